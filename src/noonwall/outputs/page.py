"""The page of a proved dance: one HTML file that needs nothing but a browser."""

from __future__ import annotations

from dataclasses import replace

from noonwall.dance.model import Foot
from noonwall.findings import Severity
from noonwall.floor.track import FootAt
from noonwall.outputs.markup import data_script, fill, icon, symbols, text
from noonwall.outputs.page_data import Film, Frame, PageData
from noonwall.outputs.page_parts import asset, joined, policy, shared_values
from noonwall.outputs.page_words import PageWords, page_words
from noonwall.outputs.sheet_view import sheet
from noonwall.outputs.soles import CONTACTS, contact_shown
from noonwall.outputs.strip import section_drawings, spoken, strip

SCRIPTS = ("timeline.js", "floor.js", "player.js")
"""Parts of the page's one script, in order; each uses only what stands before it."""

ASSUMED_BPM = 100
"""Counts a minute at 100% speed when the sheet gives none: a walking pace, common practice, no source."""


def check_page(report: PageData, language: str) -> str:
    """Return the page as one HTML document: no network, no file beside it.

    A content security policy allows the document's own style and script by their SHA-256, and nothing else.
    Write the result as UTF-8.

    Args:
        report: what to show, every sentence already in ``language``.
        language: BCP 47 tag of the page's own words; English and French are spoken.

    Raises:
        NoonwallError: the language is not spoken.
    """
    words = page_words(language)
    report = replace(report, films=tuple(film for film in report.films if film.steps))
    style, script = asset("style.css"), joined(SCRIPTS)
    values = {
        "language": words.language,
        "policy": policy(style, script),
        "title": text(report.title),
        "subtitle": f'<p class="subtitle" dir="auto">{text(report.subtitle)}</p>' if report.subtitle else "",
        "style": style,
        "script": script,
        "symbols": symbols(words),
        "verdict": _verdict(report, words),
        "facts": _facts(report),
        "stage_kind": "" if _is_danced(report) else " hidden",
        "no_steps": ""
        if _is_danced(report)
        else f'<p class="no-steps">{text(words.say("page", "no_steps"))}</p>',
        "strips": strips(report, words),
        "sheet": sheet(report, words),
        "drawings": section_drawings(report.films[0], words) if _is_danced(report) else "",
        "data": data_script(film_data(report, words)),
        "stage": stage(report, words),
    }
    values |= shared_values(words, ("page", "controls", "legend", "feet"))
    return fill(asset("page.html"), values)


def stage(report: PageData, words: PageWords) -> str:
    """Return the floor with all its controls, as the script of the page expects it."""
    values = {
        "films": film_choice(report, words),
        "stage_kind": "" if _is_danced(report) else " hidden",
    }
    values |= shared_values(words, ("page", "controls", "legend", "feet"))
    return fill(asset("stage.html").rstrip("\n"), values)


def _is_danced(report: PageData) -> bool:
    return bool(report.films)


def _verdict(report: PageData, words: PageWords) -> str:
    """Return chips that lead to the first remark of each kind, or the good news."""
    chips = []
    for severity in Severity:
        lines = [finding.line for finding in report.findings if finding.severity is severity]
        chips += _chip(severity.value, lines, report, words)
    chips += _chip("gap", [gap.line for gap in report.not_understood], report, words)
    if not chips and _is_danced(report):
        chips = [f'<li class="clean">{text(words.say("verdict", "clean"))}</li>']
    return f'<ul class="verdict">{"".join(chips)}</ul>' if chips else ""


def _chip(kind: str, lines: list[int], report: PageData, words: PageWords) -> list[str]:
    if not lines:
        return []
    first = min(line if 1 <= line <= len(report.lines) else 0 for line in lines)
    said = text(words.number("verdict", kind, len(lines)))
    return [f'<li class="{kind}"><a href="#line-{first}">{icon(kind)}{said}</a></li>']


def _facts(report: PageData) -> str:
    rows = []
    for fact in report.facts:
        note = f' <small dir="auto">{text(fact.note)}</small>' if fact.note else ""
        rows.append(f'<div><dt>{text(fact.label)}</dt><dd dir="auto">{text(fact.value)}{note}</dd></div>')
    return f"<dl>{''.join(rows)}</dl>"


def film_choice(report: PageData, words: PageWords) -> str:
    """Return the choice between films, nothing where there is only one."""
    if len(report.films) < 2:
        return ""
    choices = []
    for number, film in enumerate(report.films):
        checked = " checked" if number == 0 else ""
        choices.append(
            f'<label><input type="radio" name="film" value="{number}"{checked}>'
            f'<span dir="auto">{text(film.label)}</span></label>'
        )
    legend = text(words.say("controls", "what"))
    return f'<fieldset class="films"><legend class="unseen">{legend}</legend>{"".join(choices)}</fieldset>'


def strips(report: PageData, words: PageWords) -> str:
    """Return the first film's strip in place; the others wait in templates, so that the page opens fast."""
    marks: dict[int, Severity] = {}
    for finding in sorted(report.findings, key=lambda each: -each.severity.rank):
        if finding.step is not None:
            marks[finding.step] = finding.severity
    pieces = []
    for number, film in enumerate(report.films):
        body = strip(film, number, marks if number == 0 else {}, words, report.beats_per_bar)
        pieces.append(body if number == 0 else f'<template data-film="{number}">{body}</template>')
    return f'<div id="strips">{"".join(pieces)}</div>'


def film_data(report: PageData, words: PageWords) -> dict[str, object]:
    """Return what the script plays, as short rows: see ``readFilm`` in timeline.js for their order."""
    strings: dict[str, int] = {}
    films = [rows_of_film(film, strings, words) for film in report.films]
    return {
        "films": films,
        "strings": list(strings),
        "say": dict(words.table["script"]),
        "weight": {foot.value: words.say("weight", foot.value) for foot in Foot},
        "letters": {foot: words.say("feet", f"letter_{foot}") for foot in "LR"},
        "bpm": report.bpm or ASSUMED_BPM,
        "tempoKnown": bool(report.bpm),
        "language": words.language,
    }


def rows_of_film(film: Film, strings: dict[str, int], words: PageWords) -> dict[str, object]:
    """Return a film as the script gets it; ``strings`` gathers its words, each told by its number."""

    def string(said: str) -> int:
        return strings.setdefault(said, len(strings))

    return {
        "counts": float(film.counts),
        "sections": [
            [string(s.label), float(s.start), float(s.counts), s.first, s.steps] for s in film.sections
        ],
        "steps": [
            [
                step.label,
                step.foot.value if step.foot else "",
                string(step.words),
                string(step.figure),
                string(words.turn(step.turn)),
                step.line,
                string(spoken(step, words)),
            ]
            for step in film.steps
        ],
        "frames": [_frame_row(frame) for frame in film.frames],
    }


def _frame_row(frame: Frame) -> list[object]:
    stance = frame.stance
    x, y = stance.centre
    row: list[object] = [round(float(frame.count), 4), *_foot_row(stance.left), *_foot_row(stance.right)]
    return [*row, stance.weight.value, stance.facing, _centimetres(x), _centimetres(y)]


def _foot_row(foot: FootAt) -> list[object]:
    return [
        _centimetres(foot.x),
        _centimetres(foot.y),
        foot.points,
        CONTACTS.index(contact_shown(foot.contact)),
    ]


def _centimetres(metres: float) -> float:
    # "+ 0" turns -0.0, which JSON would keep, into 0.
    return round(metres * 100, 1) + 0.0
