"""A proved dance as the plain values that are printed of it, in one language or in several side by side."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from noonwall.checks import tracks_of
from noonwall.dance.model import Dance, Foot, Part, Section
from noonwall.figures import vocabulary, vocabulary_moves
from noonwall.findings import Severity
from noonwall.fit import Finish, Music, Run
from noonwall.outputs.print_words import print_word, print_words
from noonwall.outputs.printed_data import Block, Printed, PrintedFact, Remark, Row, Words
from noonwall.pipeline.printed_lines import (
    Stretch,
    cues_of,
    drawings_of,
    free_after,
    from_section,
    heading_words,
    leading_foot,
    rows_of,
)
from noonwall.pipeline.proving import Proved
from noonwall.text.write_facings import entering_foot, start_facings
from noonwall.text.write_header import date_in, level_in
from noonwall.text.write_notes import (
    ending_heading,
    option_line,
    restart_groups,
    restart_line,
    sequence_line,
    tag_headings,
)
from noonwall.text.write_words import wording_of
from noonwall.words.messages import say, speak

MOST_OPEN = 6
"""Findings and gaps that are quoted on the sheet; `noonwall check` shows them all."""


@dataclass(frozen=True, slots=True)
class OnSong:
    """A dance on a song: what the song is called, what was heard of it, and the run."""

    name: str
    song: Music
    run: Run


def printed_of(proved: Proved, fitted: OnSong | None, languages: tuple[str, ...]) -> Printed:
    """Return what is printed of a proved dance.

    Args:
        proved: the sheet; it holds a dance.
        fitted: the dance on a song, or None.
        languages: "en", "fr" or "fr-CA", the first that of the document.
    """
    dance = proved.dance
    assert dance is not None
    return Printed(
        languages,
        title_of(proved, languages[0]),
        dance.choreographer,
        _facts(proved, dance, languages),
        (*_sections(dance, languages), *_extras(dance, languages)),
        (
            *_remarks(dance, languages),
            *_shorts(dance, languages),
            *song_remarks(fitted, languages),
            *_cautions(dance, languages),
            *_open(proved, languages),
        ),
        unproved_words(proved, languages),
    )


def title_of(proved: Proved, language: str) -> str:
    """Return the title of a sheet, or what stands for one."""
    return str(proved.facts.get("title") or say(language, "cli", "unnamed"))


# --- the head ----------------------------------------------------------------------------------------------


def _facts(proved: Proved, dance: Dance, languages: tuple[str, ...]) -> tuple[PrintedFact, ...]:
    facts = proved.facts
    level = tuple(_capital(level_in(dance.level, dance.language, wording_of(tag))) for tag in languages)
    weight = "B" if dance.start_free_foot is Foot.BOTH else dance.start_free_foot.other.value
    told: list[tuple[str, Words]] = [
        ("counts", _same(facts["total_counts"], languages)),
        ("walls", _same(facts["walls"], languages)),
        ("level", level if dance.level else ()),
        ("intro", _same(dance.intro_counts, languages)),
        ("tempo", _same(None if _says_tempo(dance) else f"{dance.bpm:g}", languages)),
        ("weight", print_words(languages, "value", f"weight_{weight}")),
        ("meter", print_words(languages, "value", "waltz") if dance.beats_per_bar == 3 else ()),
        ("music", _same(" ".join(dance.music.split()) or None, languages)),
        (
            "date",
            () if _says_date(dance) else tuple(date_in(dance.date, wording_of(tag)) for tag in languages),
        ),
    ]
    called = {"walls": "wall"} if facts["walls"] == 1 else {}
    return tuple(
        PrintedFact(name, print_words(languages, "fact", called.get(name, name)), value)
        for name, value in told
        if value
    )


def _says_tempo(dance: Dance) -> bool:
    """True if there is no tempo to tell, or the line of music tells it already."""
    return dance.bpm is None or ("bpm" in dance.music.lower() and f"{dance.bpm:g}" in dance.music)


def _says_date(dance: Dance) -> bool:
    """True if there is no date to tell, or the line of the writer tells it already."""
    return dance.date.casefold() in dance.choreographer.casefold()


def _same(value: object, languages: tuple[str, ...]) -> Words:
    return () if value is None else tuple(str(value) for _ in languages)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


# --- the steps ---------------------------------------------------------------------------------------------


def _sections(dance: Dance, languages: tuple[str, ...]) -> Iterable[Block]:
    facings, tracks = start_facings(dance), tracks_of(dance)
    for part in dance.parts:
        if part.kind not in ("main", "part"):
            continue
        if part.kind == "part":
            name = _heading(languages, "part", label=part.label, counts=int(part.counts))
            yield Block("part", "", name, short=tuple(part.label for _ in languages))
        free, facing, first = entering_foot(part, dance.start_free_foot), facings.get(part.label, 0), 0
        for number, section in enumerate(part.sections):
            steps = from_section(section)
            following = leading_foot(part, number)
            stretch = Stretch(steps, int(section.counts), dance.beats_per_bar, free, following, facing=facing)
            rows = rows_of(stretch, languages)
            facing += sum(step.turn for step in steps)
            yield Block(
                "section",
                _range(section),
                heading_words(section, languages),
                rows,
                facing,
                drawings_of(section, tracks[part.label], first, rows, languages),
                tuple(cues_of(section.steps, section.at, section.counts, tag) for tag in languages),
            )
            free, first = free_after(steps, free), first + len(section.steps)


def _range(section: Section) -> str:
    first, last = int(section.at) + 1, int(section.at + section.counts)
    return f"{first}–{last}" if last > first else str(first)


def _heading(languages: tuple[str, ...], key: str, **values: object) -> Words:
    return tuple(wording_of(tag).one("notes", key).format(**values) for tag in languages)


def _extras(dance: Dance, languages: tuple[str, ...]) -> Iterable[Block]:
    """Return tags with their steps, then the ending."""
    number = 0
    for part in dance.parts:
        if part.kind not in ("tag", "bridge"):
            continue
        number += 1
        told = [tag_headings(part, number, dance, wording_of(tag)) for tag in languages]
        # further places where the tag is danced stand below its heading
        heading = tuple(" ".join([first + ("." if more else ""), *more]) for first, more in told)
        yield _extra(dance, part, "tag", heading, languages)
    endings = [part for part in dance.parts if part.kind == "ending"]
    if endings or dance.ending is not None:
        heading = tuple(ending_heading(dance, wording_of(tag)) for tag in languages)
        if not endings:
            both = zip(languages, heading, strict=True)
            posed = tuple(print_word(tag, "sheet", "pose", heading=text) for tag, text in both)
            yield Block("ending", "", posed)
        for part in endings:
            yield _extra(dance, part, "ending", heading, languages)


def _extra(dance: Dance, part: Part, kind: str, heading: Words, languages: tuple[str, ...]) -> Block:
    free = entering_foot(part, free_after(dance.main.steps, dance.start_free_foot))
    rows: list[Row] = []
    for number, section in enumerate(part.sections):
        steps = from_section(section)
        rows += rows_of(
            Stretch(
                steps,
                int(section.counts),
                dance.beats_per_bar,
                free,
                leading_foot(part, number),
                int(section.at),
            ),
            languages,
        )
        free = free_after(steps, free)
    counts = int(part.counts)
    cues = tuple(cues_of(part.steps, Fraction(0), part.counts, tag) for tag in languages)
    label = f"1–{counts}" if counts > 1 else "1"
    return Block(kind, label, heading, tuple(rows), None, (), cues, _called(dance, part, languages))


def _called(dance: Dance, part: Part, languages: tuple[str, ...]) -> Words:
    """Return what a tag or an ending is called in a word: "Tag", "Tag 2", "End"."""
    tags = [other.label for other in dance.parts if other.kind in ("tag", "bridge")]
    if part.kind == "ending":
        return print_words(languages, "card", "end")
    number = f" {tags.index(part.label) + 1}" if len(tags) > 1 else ""
    return tuple(word + number for word in print_words(languages, "card", "tag"))


# --- what stands around the steps --------------------------------------------------------------------------


def _remarks(dance: Dance, languages: tuple[str, ...]) -> Iterable[Remark]:
    if sequence_line(dance, wording_of(languages[0])):
        yield Remark("sequence", tuple(sequence_line(dance, wording_of(tag)) for tag in languages))
    for group in restart_groups(dance.restarts):
        yield Remark("restart", tuple(restart_line(group, dance, wording_of(tag)) for tag in languages))
    for option in dance.options:
        yield Remark("option", tuple(option_line(option, dance, wording_of(tag)) for tag in languages))


def _shorts(dance: Dance, languages: tuple[str, ...]) -> Iterable[Remark]:
    """Return where something changes, in the few words that a card has room for, by wall."""
    told: dict[tuple[str, int, str], list[int]] = {}
    for restart in dance.restarts:
        told.setdefault(("restart", int(restart.after_count), ""), []).append(restart.wall)
    for tag in () if dance.is_phrased else dance.tags:
        key = "tag_after" if tag.after_count >= dance.main.counts else "tag_inside"
        told.setdefault((key, int(tag.after_count), tag.part), []).append(tag.after_wall)
    ending = dance.ending
    if ending is not None and ending.wall is not None and ending.after_count is not None:
        key = "end_at" if ending.part else "pose_at"
        told[(key, int(ending.after_count), "")] = [ending.wall]
    for (key, counts, label), walls in sorted(told.items(), key=lambda one: one[1]):
        names = _called(dance, dance.part(label), languages) if label else ("",) * len(languages)
        yield Remark(
            "short",
            tuple(
                print_word(tag, "card", key, wall=", ".join(map(str, walls)), n=counts, tag=name.lower())
                for tag, name in zip(languages, names, strict=True)
            ),
        )


def song_remarks(fitted: OnSong | None, languages: tuple[str, ...]) -> Iterable[Remark]:
    """Return what the song says: how long to wait, walls, tempo, and how it ends."""
    if fitted is None:
        return
    run = fitted.run
    facts: dict[str, object] = {
        "song": fitted.name,
        "wait": run.wait_counts,
        "walls": len(run.walls),
        "bpm": f"{fitted.song.bpm:.0f}",
    }
    yield Remark("song", print_words(languages, "sheet", "song", **facts))
    yield Remark("song", tuple(finish_words(run.finish, tag) for tag in languages))


def finish_words(finish: Finish, language: str) -> str:
    """Return where a song ends, and the smallest change that ends the dance at the front."""
    where = say(
        language, "clock", "half" if finish.facing % 2 else "whole", hour=finish.facing * 3 // 2 or 12
    )
    text = say(language, "fit", "finish", wall=finish.wall, count=finish.count, facing=where)
    if not finish.changes:
        return text
    change = finish.changes[0]
    if change.kind == "pose":
        how = say(language, "fit", "pose", count=change.count, hold=change.hold_counts)
    else:
        turns = [
            say(language, "fit", "turn", count=one.count, foot=one.foot, total=one.total)
            for one in change.turns
        ]
        how = ", ".join(turns)
    return f"{text} {say(language, 'fit', 'finish_front', how=how)}"


def _cautions(dance: Dance, languages: tuple[str, ...]) -> Iterable[Remark]:
    """Return the usual cautions of the moves and figures, with the sections that hold them."""
    moves, figures = vocabulary_moves(), vocabulary().figures
    found: dict[str, dict[str, None]] = {}
    for part in dance.parts:
        for section in part.sections:
            held = {caution for step in section.steps for caution in moves[step.move].cautions}
            for figure in section.figures:
                held |= set(figures[figure.id].cautions) if figure.id in figures else set()
            place = {"main": _range(section), "part": f"{part.label} {_range(section)}"}.get(part.kind)
            if place:
                for caution in sorted(held):
                    found.setdefault(caution, {})[place] = None
    for caution, places in found.items():
        texts = []
        for tag in languages:
            where = print_word(tag, "sheet", "counts", n=", ".join(places))
            texts.append(print_word(tag, "sheet", "caution", where=where, what=say(tag, "caution", caution)))
        yield Remark("caution", tuple(texts))


# --- what is still open ------------------------------------------------------------------------------------


def _gaps(proved: Proved) -> list[str]:
    """Return the passages of counted lines that were not understood, and so are not danced."""
    counted = {account.number for account in proved.reading.account if account.kind == "counted"}
    return [gap.text for gap in proved.reading.claims.not_understood if gap.place.line in counted]


def unproved_words(proved: Proved, languages: tuple[str, ...]) -> Words:
    """Return the mark for every page if something is wrong or was not understood; else ()."""
    wrong = sum(finding.severity is Severity.WRONG for finding in proved.findings)
    if wrong:
        return print_words(languages, "sheet", "unproved_one" if wrong == 1 else "unproved_many", n=wrong)
    return print_words(languages, "sheet", "unproved_gap") if _gaps(proved) else ()


def _open(proved: Proved, languages: Sequence[str]) -> Iterable[Remark]:
    wrong = [finding for finding in proved.findings if finding.severity is Severity.WRONG]
    told = [Remark("open", tuple(speak(finding, tag).message for tag in languages)) for finding in wrong]
    told += [
        Remark("open", print_words(tuple(languages), "sheet", "gap", text=text)) for text in _gaps(proved)
    ]
    return told[:MOST_OPEN]
