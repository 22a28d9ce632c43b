"""The count strip: every count of a film as a cell, and the still floor of every section for paper."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import floor

from noonwall.dance.model import Foot
from noonwall.dance.turns import clock
from noonwall.findings import Severity
from noonwall.floor.track import Stance
from noonwall.outputs.drawing import Trodden, floor_drawing
from noonwall.outputs.film import count_label
from noonwall.outputs.markup import dial, icon, text
from noonwall.outputs.page_data import Film, PageSection, PageStep
from noonwall.outputs.page_words import PageWords
from noonwall.outputs.soles import contact_shown

LONGEST_DRAWN_COUNTS = 4
"""Counts in one still drawing: more and the prints lie on each other."""


@dataclass(frozen=True, slots=True)
class _Cell:
    """One step in the strip: its index in the film and what is shown of it."""

    index: int
    step: PageStep
    stance: Stance


def strip(
    film: Film, number: int, marks: Mapping[int, Severity], words: PageWords, beats_per_bar: int
) -> str:
    """Return the strip of a film.

    Args:
        film: what is played.
        number: its place among the films of the page.
        marks: the worst severity of the findings on a step, by its index.
        words: the page's words.
        beats_per_bar: 3 lays the cells in sixes, else in eights.
    """
    meter, width = ("threes", 6) if beats_per_bar == 3 else ("fours", 8)
    rows = [_row(film, section, marks, words, width) for section in range(len(film.sections))]
    return f'<div class="strip {meter}" id="strip-{number}">{"".join(rows)}</div>'


def _row(film: Film, number: int, marks: Mapping[int, Severity], words: PageWords, width: int) -> str:
    section = film.sections[number]
    facing = film.frames[section.first].stance.facing
    note = f'<span class="note">{text(section.note)}</span>' if section.note else ""
    length = words.number("page", "counts", int(section.counts))
    heading = (
        f'<h3><button type="button" class="to-section" data-section="{number}">'
        f'<span class="name" dir="auto">{text(section.label)}</span>'
        f'<span class="length">{text(length)}</span>'
        f'{note}<span class="from">{dial(facing)}{clock(facing)}</span></button></h3>'
    )
    blocks = [_count(label, cells, marks, words) for label, cells in _blocks(film, section)]
    # A line of the strip is an eight, or a six in a waltz, as a class counts it.
    lines = [blocks[first : first + width] for first in range(0, len(blocks), width)]
    body = "".join(f'<div class="counts">{"".join(line)}</div>' for line in lines)
    return f'<div class="row" data-section="{number}">{heading}{body}</div>'


def _blocks(film: Film, section: PageSection) -> Iterable[tuple[str, list[_Cell]]]:
    """Yield each whole count of a section with the steps on it and after it, empty counts too."""
    inside: dict[int, list[_Cell]] = {count: [] for count in range(max(0, int(section.counts)))}
    for index in range(section.first, section.first + section.steps):
        step = film.steps[index]
        inside.setdefault(floor(step.count - section.start), []).append(
            _Cell(index, step, film.frames[index + 1].stance)
        )
    for count in sorted(inside):
        yield count_label(Fraction(count)), inside[count]


def _count(label: str, cells: list[_Cell], marks: Mapping[int, Severity], words: PageWords) -> str:
    if not cells:
        silent = text(words.say("page", "empty_count", label=label))
        return (
            f'<div class="count n1"><div class="cell empty"><b aria-hidden="true">{text(label)}</b>'
            f'<span class="unseen">{silent}</span></div></div>'
        )
    body = "".join(_cell(cell, marks.get(cell.index), words) for cell in cells)
    return f'<div class="count n{min(len(cells), 4)}">{body}</div>'


def _cell(cell: _Cell, mark: Severity | None, words: PageWords) -> str:
    step = cell.step
    classes = "cell" + (f" {mark.value}" if mark else "") + ("" if step.label.isdigit() else " between")
    turn = f'<span class="turn">{text(words.turn_short(step.turn))}</span>' if step.turn else ""
    flag = icon(mark.value) if mark else ""
    return (
        f'<button type="button" class="{classes}" data-step="{cell.index}" tabindex="-1" '
        f'aria-label="{text(spoken(step, words))}"><b>{text(step.label)}</b>{_feet(cell)}'
        f"{dial(step.facing)}{turn}{flag}</button>"
    )


def spoken(step: PageStep, words: PageWords) -> str:
    """Return a step as a screen reader says it: count, what is done, turn, weight, facing."""
    parts = [
        f"{step.label}: {step.words}",
        words.turn(step.turn),
        words.say("weight", step.weight.value),
        words.say("script", "facing", clock=clock(step.facing)),
    ]
    return ", ".join(part for part in parts if part)


def _feet(cell: _Cell) -> str:
    step, stance = cell.step, cell.stance
    if step.foot is None:
        return '<svg class="feet" aria-hidden="true"><use href="#still"/></svg>'
    feet = "LR" if step.foot is Foot.BOTH else step.foot.value
    pieces = []
    for foot in feet:
        state = "weight" if step.weight.value in (foot, "B") else "free"
        contact = contact_shown((stance.left if foot == "L" else stance.right).contact)
        shape = f"#cell-{foot}-{state}-{contact}"
        pieces.append(f'<svg class="feet" aria-hidden="true"><use href="{shape}"/></svg>')
    return f'<span class="pair">{"".join(pieces)}</span>'


def section_drawings(film: Film, words: PageWords) -> str:
    """Return still floor drawings for paper: every section of a film, figure by figure, 12:00 at the top."""
    rows = []
    for section in film.sections:
        cards = "".join(_drawn(film, first, last) for first, last in _figures(film, section))
        facing = clock(film.frames[section.first].stance.facing)
        rows.append(
            f'<h3><span dir="auto">{text(section.label)}</span> · {facing}</h3>'
            f'<div class="drawn">{cards}</div>'
        )
    return (
        f'<section class="drawings"><h2>{text(words.say("page", "sections"))}</h2>{"".join(rows)}</section>'
    )


def _figures(film: Film, section: PageSection) -> list[tuple[int, int]]:
    """Cut a section into runs of steps of one figure on one line, none longer than a drawing can hold."""
    cuts: list[tuple[int, int]] = []
    first = section.first
    last = section.first + section.steps
    for index in range(first + 1, last + 1):
        begin = film.steps[first]
        step = film.steps[index] if index < last else None
        if (
            step is None
            or (step.figure, step.line) != (begin.figure, begin.line)
            or step.count - floor(begin.count) >= LONGEST_DRAWN_COUNTS
        ):
            cuts.append((first, index))
            first = index
    return cuts


def _drawn(film: Film, first: int, last: int) -> str:
    steps, frames = film.steps[first:last], film.frames[first + 1 : last + 1]
    trodden = [
        Trodden(step.foot, frame.stance, step.label) for step, frame in zip(steps, frames, strict=True)
    ]
    counts = text(" ".join(step.label for step in steps))
    name = f' <span dir="auto">{text(steps[0].figure)}</span>' if steps[0].figure else ""
    drawing = floor_drawing(film.frames[first].stance, trodden)
    return f"<figure><figcaption><b>{counts}</b>{name}</figcaption>{drawing}</figure>"
