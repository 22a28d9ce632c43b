"""The whole run of a dance as the plain values of a chart: one row for each wall."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from noonwall.dance.model import Dance, Part, Tag
from noonwall.dance.turns import normal
from noonwall.fit import RunWall, count_grid
from noonwall.floor import RunDanced, WallDanced
from noonwall.outputs.print_words import print_word, print_words
from noonwall.outputs.printed_data import Chart, ChartPiece, ChartRow, Words
from noonwall.pipeline.printed_sheet import OnSong, finish_words, title_of, unproved_words
from noonwall.pipeline.proving import Proved


def chart_of(proved: Proved, fitted: OnSong | None, languages: tuple[str, ...]) -> Chart:
    """Return the chart of a dance on a song, or of the dance alone: as many walls as its sheet speaks of.

    Args:
        proved: the sheet; it holds a dance.
        fitted: the dance on a song, or None.
        languages: the first is that of the document.
    """
    dance, run = proved.dance, proved.run
    assert dance is not None and run is not None
    title, mark = title_of(proved, languages[0]), unproved_words(proved, languages)
    if fitted is None:
        return Chart(
            languages,
            title,
            print_words(languages, "chart", "alone"),
            tuple(_alone(dance, run, languages)),
            dance.intro_counts,
            dance.beats_per_bar,
            (),
            mark,
        )
    song = fitted.run
    facts = {"song": fitted.name, "wait": song.wait_counts, "walls": len(song.walls)}
    subtitle = print_words(languages, "sheet", "song", bpm=f"{fitted.song.bpm:.0f}", **facts)
    return Chart(
        languages,
        title,
        subtitle,
        tuple(_on_song(dance, fitted, languages)),
        song.wait_counts,
        dance.beats_per_bar,
        tuple(finish_words(song.finish, tag) for tag in languages),
        mark,
    )


def _alone(dance: Dance, run: RunDanced, languages: tuple[str, ...]) -> Sequence[ChartRow]:
    rows = []
    for wall in run.walls:
        part = dance.part(wall.part)
        tags = [] if dance.is_phrased else [tag for tag in dance.tags if tag.after_wall == wall.number]
        notes = _notes(
            languages, wall.cut_after, [(int(t.after_count), _length(dance, t), part) for t in tags], False
        )
        inserted = [(int(min(t.after_count, wall.counts)), _length(dance, t)) for t in tags]
        rows.append(
            ChartRow(
                _name(wall.number, part, languages),
                None,
                normal(wall.stance_start.facing),
                normal(wall.stance_end.facing),
                int(wall.counts + wall.tag_counts),
                _pieces(part, int(wall.counts), inserted, _may_be_cut(wall)),
                (),
                notes,
            )
        )
    return rows


def _may_be_cut(wall: WallDanced) -> bool:
    return wall.cut_after is not None


def _length(dance: Dance, tag: Tag) -> int:
    return int(dance.part(tag.part).counts) * tag.times


def _on_song(dance: Dance, fitted: OnSong, languages: tuple[str, ...]) -> Sequence[ChartRow]:
    phrases = list(enumerate(count_grid(fitted.song).phrases, 1))
    rows = []
    for wall in fitted.run.walls:
        part = dance.part(wall.part)
        inside = [
            (number, start - wall.start_count)
            for number, start in phrases
            if wall.start_count <= start < wall.start_count + wall.length
        ]
        at = _tag_place(dance, wall)
        is_last = wall is fitted.run.walls[-1]
        inserted = [(at, wall.tag_counts)] if wall.tag_counts else []
        notes = list(
            _notes(
                languages,
                wall.cut_after,
                [(at, wall.tag_counts, part)] if wall.tag_counts else [],
                wall.mirrored,
            )
        )
        if wall.last_weight:
            notes = _added(notes, print_words(languages, "chart", "last_weight"))
        if is_last and wall.counts < part.counts:
            notes = _added(notes, print_words(languages, "chart", "ends_here", n=wall.length))
        rows.append(
            ChartRow(
                _name(wall.wall, part, languages),
                wall.start_seconds,
                wall.facing_start,
                wall.facing_end,
                wall.length,
                _pieces(part, wall.counts, inserted, wall.cut_after is not None or is_last),
                tuple(inside),
                tuple(notes),
            )
        )
    return rows


def _tag_place(dance: Dance, wall: RunWall) -> int:
    """Return after how many counts of its wall a tag is danced: inside the wall if the sheet says so."""
    told = [tag for tag in dance.tags if tag.part in wall.tags]
    here = [tag for tag in told if tag.after_wall == wall.wall] or told
    return min(int(here[0].after_count), wall.counts) if here else wall.counts


def _pieces(
    part: Part, danced: int, inserted: Sequence[tuple[int, int]], is_cut: bool
) -> tuple[ChartPiece, ...]:
    """Return the danced sections of a wall, its tags where they come, and what is left out."""
    cuts = sorted({0, danced, *(int(section.at) for section in part.sections if section.at < danced)})
    cuts = sorted({*cuts, *(at for at, _ in inserted)})
    pieces: list[ChartPiece] = []
    shift = 0
    tags = sorted(inserted)
    for begin, end in zip(cuts, [*cuts[1:], danced], strict=True):
        while tags and tags[0][0] <= begin and tags[0][0] < danced:
            shift += _put(pieces, tags.pop(0)[1], begin + shift)
        if end > begin:
            pieces.append(ChartPiece("section", _label(part, begin), begin + shift, end - begin))
    while tags:
        shift += _put(pieces, tags.pop(0)[1], danced + shift)
    left = int(part.counts) - danced
    if is_cut and left > 0:
        pieces.append(ChartPiece("left", "", danced + shift, left))
    return tuple(pieces)


def _put(pieces: list[ChartPiece], counts: int, start: int) -> int:
    pieces.append(ChartPiece("tag", "tag", start, counts))
    return counts


def _label(part: Part, begin: int) -> str:
    """Return the number of the section that holds a count."""
    before = [number for number, section in enumerate(part.sections, 1) if section.at <= Fraction(begin)]
    return str(before[-1]) if before else "1"


def _name(number: int, part: Part, languages: tuple[str, ...]) -> Words:
    own = "" if part.kind == "main" else f" {part.label}"
    return tuple(f"{number}{own}" for _ in languages)


def _notes(
    languages: tuple[str, ...],
    cut_after: Fraction | int | None,
    tags: Sequence[tuple[int, int, Part]],
    is_mirrored: bool,
) -> Words:
    told = []
    for language in languages:
        words = []
        for at, counts, part in tags:
            key = "tag_inside" if at < part.counts else "tag"
            words.append(print_word(language, "chart", key, n=counts, at=at))
        if cut_after is not None:
            words.append(print_word(language, "chart", "cut", n=int(cut_after)))
        if is_mirrored:
            words.append(print_word(language, "chart", "mirrored"))
        told.append(", ".join(words))
    return tuple(told)


def _added(notes: Sequence[str], more: Words) -> list[str]:
    return [", ".join(filter(None, pair)) for pair in zip(notes, more, strict=True)]
