"""Invented dances and songs for the tests of fit."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from hypothesis import strategies as st

from noonwall.dance import Dance, Figure, Foot, Part, Section, Step
from noonwall.fit import Song

FEET = {"R": Foot.RIGHT, "L": Foot.LEFT}


def part(
    label: str, feet: str, turns: dict[int, int] | None = None, kind: str = "main", eight: int = 8
) -> Part:
    """Return a part with one action on each count.

    ``feet`` has a letter per count: R or L steps, r or l touches, "-" holds. ``turns`` maps a count from 1 to
    the eighths turned on it.
    """
    steps = []
    for index, letter in enumerate(feet):
        turn = (turns or {}).get(index + 1, 0)
        if letter == "-":
            steps.append(Step(Fraction(index), "hold", None, False, "", turn))
        elif letter.isupper():
            steps.append(Step(Fraction(index), "step", FEET[letter], True, "fwd", turn))
        else:
            steps.append(Step(Fraction(index), "touch", FEET[letter.upper()], False, "together", turn))
    sections = []
    for at in range(0, len(feet), eight):
        length = min(eight, len(feet) - at)
        inside = tuple(step for step in steps if at <= step.at < at + length)
        figure = Figure("steps", Fraction(at), Fraction(length), inside)
        sections.append(Section(str(at // eight + 1), Fraction(at), Fraction(length), (figure,)))
    return Part(label, kind, Fraction(len(feet)), tuple(sections))


def walk(counts: int, turns: dict[int, int] | None = None, label: str = "main", kind: str = "main") -> Part:
    """Return a part of plain steps R L R L, closed by a touch where the count is odd."""
    feet = ("RL" * counts)[:counts]
    return part(label, feet if counts % 2 == 0 else feet[:-1] + "r", turns, kind)


def dance(main: Part, *others: Part, **header: Any) -> Dance:
    """Return a dance of these parts."""
    return Dance("Harbour Wall", (main, *others), **header)


def song(
    phrases: Sequence[int], bpm: float = 120.0, bar: int = 4, intro_phrases: int = 1, **facts: Any
) -> Song:
    """Return a song of steady beats whose phrases have these lengths; the first ones are the intro.

    Phrases that are not of 16, 32 or 64 counts (24, 48 in 3/4) are odd, except the last.
    """
    beat = 60.0 / bpm
    bars, eights, starts, odd = [], [], [], []
    at = 0
    usual = (24, 48) if bar == 3 else (16, 32, 64)
    for number, length in enumerate(phrases):
        bars += list(range(at, at + length, bar))
        eights += list(range(at, at + length, 2 * bar))
        if number >= intro_phrases:
            starts.append(at)
            if length not in usual and number < len(phrases) - 1:
                odd.append((at * beat, length))
        at += length
    intro = sum(phrases[:intro_phrases])
    return Song(
        bpm,
        bar,
        tuple(beat * count for count in range(at)),
        tuple(beat * count for count in bars),
        tuple(beat * count for count in eights),
        tuple(beat * count for count in starts),
        intro,
        tuple(odd),
        at * beat,
        **facts,
    )


@st.composite
def dances(draw: st.DrawFn, longest: int = 16) -> Dance:
    """Draw a dance with any feet that can be danced, some turns, and restarts or tags now and then."""
    length = draw(st.integers(4, longest))
    free, feet = "R", ""
    for _ in range(length):
        action = draw(st.sampled_from("SSSTH"))
        feet += {"S": free, "T": free.lower(), "H": "-"}[action]
        if action == "S":
            free = "L" if free == "R" else "R"
    turns = draw(st.dictionaries(st.integers(1, length), st.sampled_from((-4, -2, -1, 1, 2, 4)), max_size=3))
    return dance(part("main", feet, turns))


@st.composite
def songs(draw: st.DrawFn, most_phrases: int = 4, lengths: Sequence[int] = (8, 12, 16, 20)) -> Song:
    """Draw a short song."""
    phrases = draw(st.lists(st.sampled_from(lengths), min_size=2, max_size=most_phrases))
    return song(phrases, intro_phrases=draw(st.integers(0, 1)))
