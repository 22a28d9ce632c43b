"""What a class gets wrong in a stretch: weight traps, off-beat steps, turns, crossings; and its cautions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from noonwall.dance.model import Foot, Step
from noonwall.figures import vocabulary, vocabulary_moves
from noonwall.teach.spans import Danced, Span

MOST_WATCHED = 3
"""Remarks on one piece: a class cannot mind more at once (common practice, no source)."""

_LETTERS = {Fraction(1, 4): "e", Fraction(1, 2): "&", Fraction(3, 4): "a"}
_SHIFTING = frozenset(
    {"bump", "sway", "swivel", "twist", "pivot", "hop", "scoot", "bounce", "drop", "unwind"}
)


@dataclass(frozen=True, slots=True)
class Watched:
    """One thing to mind: an id of ``[watch]`` in ``lesson.toml``, its facts, and how much it matters."""

    id: str
    weight: int
    at: Fraction
    facts: tuple[tuple[str, str], ...]


def count_name(at: Fraction) -> str:
    """Return a count from the start of its part as it is said: 0 is "1", 5/2 is "3&", -1/2 is "&1"."""
    whole = at.numerator // at.denominator
    letter = _LETTERS.get(at - whole, "&" if at != whole else "")
    return f"{whole + 1}{letter}" if whole >= 0 else f"{letter}1"


def watched(
    track: Danced, spans: Sequence[Span], at: Fraction | int, end: Fraction | int, facing: int
) -> tuple[Watched, ...]:
    """Return what to mind between two counts of a part, in the order of the dance, at most three things.

    Args:
        track: the part, danced from 12:00.
        spans: its spans.
        at, end: the stretch, counts from the start of the part.
        facing: the true facing at the start of the part in eighths.
    """
    found = [*_traps(track, at, end), *_turns(track, at, end, facing), *_rhythms(spans, at, end)]
    found.sort(key=lambda one: (-one.weight, one.at))
    return tuple(sorted(found[:MOST_WATCHED], key=lambda one: one.at))


def _traps(track: Danced, at: Fraction | int, end: Fraction | int) -> Iterator[Watched]:
    """Yield touches that must not take weight and closing steps that must."""
    moves = vocabulary_moves()
    told: set[str] = set()
    for index, (time, step) in enumerate(zip(track.times, track.steps, strict=True)):
        if not at <= time < end or step.foot not in (Foot.LEFT, Foot.RIGHT):
            continue
        later = [one for one in track.steps[index + 1 :] if one.foot is not None]
        following = later[0] if later else None
        facts = (("count", count_name(step.at)), ("foot", step.foot.value))
        grounded = moves[step.move].contact != "air" and step.move not in _SHIFTING
        if not step.takes_weight and grounded and following is not None:
            if following.foot is step.foot and following.takes_weight and "touch" not in told:
                told.add("touch")
                yield Watched("touch-then-step", 5, time, facts)
        elif step.takes_weight and step.to == "together" and step.at.denominator == 1:
            closing = following is None or following.foot is step.foot.other
            if closing and time + 1 >= end and "close" not in told:
                told.add("close")
                yield Watched("step-not-touch", 4, time, (*facts, ("next_foot", step.foot.other.value)))
        elif step.takes_weight and step.to in ("cross", "behind") and step.to not in told:
            told.add(step.to)
            yield Watched(f"{step.to}-step", 1, time, facts)


def _turns(track: Danced, at: Fraction | int, end: Fraction | int, facing: int) -> Iterator[Watched]:
    for time, step, stance in zip(track.times, track.steps, track.stances, strict=True):
        if at <= time < end and step.turn:
            after = facing + stance.facing
            yield Watched(
                "turn",
                2 + (abs(step.turn) >= 4),
                time,
                (
                    ("count", count_name(step.at)),
                    ("turn", str(abs(step.turn))),
                    ("side", "R" if step.turn > 0 else "L"),
                    ("facing", str((after - step.turn) % 8)),
                    ("facing_end", str(after % 8)),
                ),
            )


def _rhythms(spans: Sequence[Span], at: Fraction | int, end: Fraction | int) -> Iterator[Watched]:
    """Yield the first off-beat figure: how many steps in how many counts."""
    for span in spans:
        if at <= span.at < end and span.off_beat and span.figure:
            label = _label(span.steps)
            yield Watched(
                "off-beat",
                3,
                span.at,
                (("count", label), ("steps", str(len(span.steps))), ("figure", span.figure)),
            )
            return


def _label(steps: Sequence[Step]) -> str:
    """Return the counts of a figure as they are said: "3&4"; a long one by its first and last: "17–20"."""
    counts = sorted({step.at for step in steps})
    names = [count_name(at) for at in counts]
    if sum(at.denominator == 1 for at in counts) > 2:
        return f"{names[0]}–{names[-1]}"
    label = ""
    for name, at in zip(names, counts, strict=True):
        if at.denominator != 1:
            name = name.lstrip("0123456789")
        elif label[-1:].isdigit():
            name = f"-{name}"  # else "1-2&" would be read as twelve
        label += name
    return label


SHOWN_BY_MOVES = frozenset({"jump", "stomp"})
"""Cautions that the moves of a dance tell better than the names of its figures."""


def cautions_of(spans: Sequence[Span]) -> dict[str, tuple[str, ...]]:
    """Return the cautions of the figures and moves of a part, each with the counts it is for."""
    moves, figures = vocabulary_moves(), vocabulary().figures
    found: dict[str, dict[str, None]] = {}
    for span in spans:
        held = {(caution, step.at) for step in span.steps for caution in moves[step.move].cautions}
        if span.figure:
            held |= {(one, span.at) for one in figures[span.figure].cautions if one not in SHOWN_BY_MOVES}
        for caution, at in sorted(held):
            found.setdefault(caution, {})[count_name(at)] = None
    return {caution: tuple(counts) for caution, counts in sorted(found.items())}
