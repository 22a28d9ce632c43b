"""The counted lines, floor drawings and cues of a stretch of steps, in several languages side by side."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby, pairwise
from math import ceil

from noonwall.dance.model import Foot, Part, Section, Step
from noonwall.dance.turns import clock
from noonwall.floor import Stance, Track
from noonwall.outputs.drawing import Trodden, floor_drawing
from noonwall.outputs.film import count_label
from noonwall.outputs.print_words import print_words
from noonwall.outputs.printed_data import Drawn, Row, Words
from noonwall.text.write_lines import WrittenLine, first_foot, free_after, label_of, write_lines
from noonwall.text.write_names import Piece, heading_of, pieces_of
from noonwall.text.write_words import wording_of

MOST_DRAWN_COUNTS = 4
"""Counts in one drawing: more and the prints lie on each other."""

LONGEST_REPEAT = 4
"""Figures in a group that a cue tells once with how often it is danced."""

_NUMBER = re.compile(r"\d+")
_BOX = re.compile(r'viewBox="\S+ \S+ (\S+) (\S+)"')


@dataclass(frozen=True, slots=True)
class Stretch:
    """Steps to be written: counted from its own start, with what comes before and after.

    ``facing`` is the facing before it in eighths, None where it depends on the wall.
    """

    steps: tuple[Step, ...]
    counts: int
    beats_per_bar: int
    free: Foot
    following: Foot | None = None
    shift: int = 0
    facing: int | None = None


def from_section(section: Section) -> tuple[Step, ...]:
    """Return a section's steps counted from its own start; a side that the foot itself says is left out."""
    return tuple(
        replace(
            step,
            at=step.at - section.at,
            side="" if step.foot and step.side == step.foot.value else step.side,
        )
        for step in section.steps
    )


def rows_of(stretch: Stretch, languages: Sequence[str]) -> tuple[Row, ...]:
    """Return the counted lines: each row holds the same counts in every language.

    The languages may need different lines to say a stretch without doubt, so lines are put together until
    all of them end on one count.
    """
    written = [
        write_lines(
            stretch.steps,
            stretch.counts,
            stretch.beats_per_bar,
            stretch.free,
            stretch.following,
            language,
            stretch.shift,
        )
        for language in languages
    ]
    rows: list[Row] = []
    facing = stretch.facing
    groups = _aligned(written)
    for number, group in enumerate(groups):
        turn = sum(line.turn for line in group[0])
        facing = None if facing is None else facing + turn
        shown = any(line.turns for line in group[0]) or number == len(groups) - 1
        shortest = min(group, key=len)
        label = typographic(shortest[0].label if len(shortest) == 1 else _span(shortest))
        texts = tuple(_text_of(lines) for lines in group)
        rows.append(Row(label, texts, facing if shown else None))
    return tuple(rows)


def _aligned(written: Sequence[Sequence[WrittenLine]]) -> list[list[list[WrittenLine]]]:
    """Cut the lines of all languages where all of them end on one count."""
    ends = [[_end(line) for line in lines] for lines in written]
    common = sorted(set(ends[0]).intersection(*map(set, ends[1:])))
    return [
        [
            [line for line, end in zip(lines, told, strict=True) if first < end <= last]
            for lines, told in zip(written, ends, strict=True)
        ]
        for first, last in pairwise([-1, *common])
    ]


def _end(line: WrittenLine) -> int:
    """Return the last whole count of a line: every line fills its counts."""
    numbers = _NUMBER.findall(line.label)
    return int(numbers[-1]) if numbers else 0


def _span(lines: Sequence[WrittenLine]) -> str:
    return f"{_NUMBER.findall(lines[0].label)[0]}-{_end(lines[-1])}"


def _text_of(lines: Sequence[WrittenLine]) -> str:
    if len(lines) == 1:
        text = lines[0].text
        return text[:1].upper() + text[1:]
    return "; ".join(f"{typographic(line.label)} {line.text}" for line in lines)


def typographic(label: str) -> str:
    """Return a label of counts with a dash for a range: "1-4" becomes "1–4"."""
    return label.replace("-", "–")


def drawings_of(
    section: Section, track: Track, first: int, rows: Sequence[Row], languages: Sequence[str]
) -> tuple[Drawn, ...]:
    """Return the floor of a section, at most four counts a drawing, cut where a line ends if that can be.

    Args:
        section: the section.
        track: the track of its part, one moment for each step.
        first: how many steps the part has before the section.
        rows: its counted lines; where they end a drawing may be cut.
        languages: of the words for those who do not see it.
    """
    ends = {int(_NUMBER.findall(row.label)[-1]) for row in rows if _NUMBER.search(row.label)}
    cuts, begin = [0], 0
    for end in range(1, int(section.counts) + 1):
        due = end - begin >= MOST_DRAWN_COUNTS or end == int(section.counts)
        later = [other for other in ends if end < other <= begin + MOST_DRAWN_COUNTS]
        if due or (end in ends and not later):
            cuts.append(end)
            begin = end
    steps = section.steps
    drawn = []
    for since, until in pairwise(cuts):
        chosen = [
            index
            for index, step in enumerate(steps)
            if (since == 0 or step.at - section.at >= since) and step.at - section.at < until
        ]
        if chosen:
            drawn.append(_drawn(section, track, first, chosen, (since, until), rows, languages))
    return tuple(drawn)


def _drawn(
    section: Section,
    track: Track,
    first: int,
    chosen: Sequence[int],
    span: tuple[int, int],
    rows: Sequence[Row],
    languages: Sequence[str],
) -> Drawn:
    moments = [track.moments[first + index] for index in chosen]
    before: Stance = track.moments[first + chosen[0] - 1].stance if first + chosen[0] else track.start
    trodden = [Trodden(m.step.foot, m.stance, count_label(m.step.at, section.at)) for m in moments]
    label = f"{span[0] + 1}–{span[1]}" if span[1] - span[0] > 1 else str(span[1])
    inside = [row for row in rows if span[0] < int(_NUMBER.findall(row.label)[-1]) <= span[1]]
    facing = clock(moments[-1].stance.facing)
    words = tuple(
        print_words((language,), "sheet", "drawing", counts=label, steps=_told(inside, number), clock=facing)[
            0
        ]
        for number, language in enumerate(languages)
    )
    svg = floor_drawing(before, trodden)
    box = _BOX.search(svg)
    assert box is not None
    return Drawn(svg, float(box[1]), float(box[2]), label, words)


def _told(rows: Sequence[Row], number: int) -> str:
    return "; ".join(row.texts[number] for row in rows)


def cues_of(
    steps: tuple[Step, ...], at: Fraction, counts: Fraction, language: str
) -> tuple[tuple[str, str], ...]:
    """Return the figures of a stretch with their counts, the shortest true words for a card on the floor.

    Args:
        steps: counted from the start of the part.
        at: where the stretch starts.
        counts: how long it is.
        language: "en", "fr" or "fr-CA".
    """
    wording, pieces = wording_of(language), pieces_of(steps)
    starts = [min(step.at for step in piece.steps) - at for piece in pieces]
    ends = [*starts[1:], counts]
    told = [
        (_plain_case(heading_of((piece,), wording)), _ticks(piece, at, end))
        for piece, end in zip(pieces, ends, strict=True)
    ]
    return tuple((typographic(label_of(sorted(set(ticks)))), name) for name, ticks in _repeated(told))


_Cue = tuple[str, list[Fraction]]


def _repeated(told: list[_Cue]) -> list[_Cue]:
    """Put what is danced again at once together: "Back, clap, back, clap" is "(Back, clap) ×2"."""
    out: list[_Cue] = []
    at = 0
    while at < len(told):
        period, times = _again([name for name, _ in told[at:]])
        names = [name for name, _ in told[at : at + period]]
        ticks = [tick for _, held in told[at : at + period * times] for tick in held]
        text = names[0] if period == 1 else f"({_in_a_row(names)})"
        out.append((f"{text} ×{times}" if times > 1 else names[0], ticks))
        at += period * times
    return out


def _in_a_row(names: Sequence[str]) -> str:
    """Return names with commas, one that comes again at once told with how often."""
    groups = [(name, len(list(group))) for name, group in groupby(names)]
    return ", ".join(f"{name} ×{times}" if times > 1 else name for name, times in groups)


def _again(names: Sequence[str]) -> tuple[int, int]:
    """Return how many names from the first on are repeated at once, and how often; (1, 1) if none are."""
    best = (1, 1)
    for period in range(1, LONGEST_REPEAT + 1):
        times = 1
        while names[times * period : (times + 1) * period] == names[:period]:
            times += 1
        if times > 1 and period * times > best[0] * best[1]:
            best = (period, times)
    return best


def _ticks(piece: Piece, at: Fraction, end: Fraction) -> list[Fraction]:
    """Return the counts of a piece: its steps, and the whole counts before ``end`` on which it is held."""
    ticks = {step.at - at for step in piece.steps}
    return sorted(ticks | {Fraction(n) for n in range(int(min(ticks)) + 1, ceil(end)) if n < end})


def _plain_case(name: str) -> str:
    """Return a name in capitals as a label: "R VINE ¼ TURN L" becomes "R vine ¼ turn L"."""
    words = [word if len(word) == 1 and word in "LRGD" else word.lower() for word in name.split(" ")]
    text = " ".join(words)
    return text[:1].upper() + text[1:]


def heading_words(section: Section, languages: Sequence[str]) -> Words:
    """Return the names of the figures in a section, in each language."""
    told = [cues_of(section.steps, section.at, section.counts, language) for language in languages]
    return tuple(", ".join(name for _, name in cues) for cues in told)


def leading_foot(part: Part, after: int) -> Foot | None:
    """Return the foot that steps first after the section of index ``after``."""
    return first_foot(tuple(step for later in part.sections[after + 1 :] for step in later.steps))


__all__ = [
    "Stretch",
    "cues_of",
    "drawings_of",
    "free_after",
    "from_section",
    "heading_words",
    "leading_foot",
    "rows_of",
    "typographic",
]
