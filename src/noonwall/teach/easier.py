"""Easier and fancier figures that fit where a figure stands: same counts, weight and facing afterwards."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from math import hypot

from noonwall.dance.model import Dance, Foot, Part, Step
from noonwall.dance.turns import normal
from noonwall.figures import vocabulary, vocabulary_moves
from noonwall.figures.vocabulary import FigureDef, Form
from noonwall.floor import Stance, dance_steps
from noonwall.teach.spans import Danced, Span, danced, spans_of
from noonwall.teach.swap import STEP_METRES, SwapProof, prove_swap

HARD = 3
"""From this difficulty on an easier way is looked for, up to it a fancier one (the figures' own scale)."""
MOST_HARDER = 2
"""A fancier figure is at most so much harder."""
MOST_TURN = 4
"""An added turn of more than a half on one step is no easier way."""


@dataclass(frozen=True, slots=True)
class Swap:
    """Another way to dance some counts, proved on the floor.

    Attributes:
        kind: "easier", "fancier", "sheet" (written on the sheet) or "low-impact".
        part: label of the part.
        at: counts from its start.
        counts: how many it replaces.
        figure: id of the figure danced instead, "" for plain steps.
        was: id of the figure it replaces, "" for plain steps.
        lead: the foot that moves first.
        steps: its actions, counted from the start of the part.
        difficulty: before and after, on the vocabulary's scale; 0 where it is not of the vocabulary.
        proof: what the floor shows.
        text: as the sheet words it, "" for one that was found.
    """

    kind: str
    part: str
    at: Fraction
    counts: Fraction
    figure: str
    was: str
    lead: Foot | None
    steps: tuple[Step, ...]
    difficulty: tuple[int, int]
    proof: SwapProof
    text: str = ""

    @property
    def turn(self) -> int:
        """Net turn in eighths."""
        return sum(step.turn for step in self.steps)


def sheet_options(dance: Dance) -> tuple[Swap, ...]:
    """Return the sheet's own options, each danced in its place."""
    found = []
    for option in dance.options:
        part = next((part for part in dance.parts if part.label == option.part), None)
        steps = tuple(step for figure in option.figures for step in figure.steps)
        if part is None or not steps:
            continue
        proof = prove_swap(danced(part, dance.start_free_foot), option.at, option.at + option.counts, steps)
        figure = option.figures[0].id if len(option.figures) == 1 else ""
        known = figure if figure in vocabulary().figures else ""
        found.append(
            Swap(
                *("sheet", part.label, option.at, option.counts, known, "", steps[0].foot, steps),
                difficulty=(0, 0),
                proof=proof,
                text=option.text,
            )
        )
    return tuple(found)


def found_options(dance: Dance, parts: Iterable[Part], most: int = 4) -> tuple[Swap, ...]:
    """Return easier and fancier figures for the figures of some parts, the most useful first.

    Every figure of the vocabulary is danced in the place of each figure of the dance; those stay that keep
    counts, weight, facing (mod whole turns) and place within a step, and after which the rest of the part is
    danced as it is written.

    Args:
        dance: the dance.
        parts: the parts to look through.
        most: how many of each kind to keep; one figure for another is told once for each place.
    """
    easier: list[Swap] = []
    fancier: list[Swap] = []
    for part in parts:
        track = danced(part, dance.start_free_foot)
        for span in spans_of(part):
            if not span.figure or span.end.denominator != 1 or span.at.denominator != 1:
                continue
            own = vocabulary().figures[span.figure]
            if own.difficulty >= HARD:
                below = _fitting(part, track, span, range(1, own.difficulty))
                easier += _first_proved("easier", track, sorted(below, key=_ease))
            if own.difficulty <= HARD:
                harder = range(own.difficulty + 1, own.difficulty + MOST_HARDER + 1)
                above = _fitting(part, track, span, harder)
                fancier += _first_proved("fancier", track, sorted(above, key=_flair))
    easier.sort(key=lambda swap: swap.difficulty[1] - swap.difficulty[0])
    fancier.sort(key=lambda swap: swap.difficulty[1] - swap.difficulty[0])
    return (*_first_ways(easier, most), *_first_ways(fancier, most))


def _first_ways(swaps: list[Swap], most: int) -> list[Swap]:
    """Keep the first ``most`` ways, each with all its places, in the order of the dance."""
    ways = list(dict.fromkeys((swap.figure, swap.was) for swap in swaps))[:most]
    kept = [swap for swap in swaps if (swap.figure, swap.was) in ways]
    return sorted(kept, key=lambda swap: (ways.index((swap.figure, swap.was)), swap.part, swap.at))


def _first_proved(kind: str, track: Danced, swaps: Iterable[Swap]) -> list[Swap]:
    """Return the first way after which the rest of the part is danced as it is written; none if none is."""
    for swap in swaps:
        proof = prove_swap(track, swap.at, swap.at + swap.counts, swap.steps)
        if proof.holds:
            return [replace(swap, kind=kind, proof=proof)]
    return []


def _ease(swap: Swap) -> tuple[int, int, int, float, str]:
    off_beat = sum(step.at.denominator != 1 for step in swap.steps)
    return (swap.difficulty[1], off_beat, len(swap.steps), swap.proof.metres, swap.figure)


def _flair(swap: Swap) -> tuple[bool, int, float, str]:
    """Prefer a figure of the same family: dancers hear it as the same idea made richer."""
    table = vocabulary().figures
    other_family = table[swap.figure].family != table[swap.was].family
    return (other_family, swap.difficulty[1], swap.proof.metres, swap.figure)


def _fitting(part: Part, track: Danced, span: Span, wanted: range) -> Iterator[Swap]:
    """Yield every figure of a wanted difficulty that may fit where a span stands, not proved yet."""
    start, written = track.before(span.at), track.before(span.end)
    difficulty = vocabulary().figures[span.figure].difficulty
    seen: set[str] = set()
    for figure, form in _forms_of(span.end - span.at):
        if figure.difficulty not in wanted or figure.id in seen or figure.id == span.figure:
            continue
        for lead in (Foot.RIGHT, Foot.LEFT):
            steps = placed(figure, form, lead, span.at, span.turn)
            metres = None if steps is None else _apart(steps, start, written)
            if steps is None or metres is None:
                continue
            seen.add(figure.id)
            yield Swap(
                *("", part.label, span.at, span.end - span.at, figure.id, span.figure, lead, steps),
                difficulty=(difficulty, figure.difficulty),
                proof=SwapProof(False, False, False, metres, 0),
            )
            break


def _apart(steps: tuple[Step, ...], start: Stance, written: Stance) -> float | None:
    """A quick look before the proof: metres to the written end; None if it is no way to the same facing."""
    if steps[0].takes_weight and steps[0].foot is start.weight and steps[0].move != "hop":
        return None
    moments = dance_steps(steps, start)
    ended = moments[-1].stance
    if normal(ended.facing) != normal(written.facing) or any(moment.problem for moment in moments):
        return None
    if written.weight is not ended.weight and written.weight is not Foot.BOTH:
        return None
    (x, y), (other_x, other_y) = ended.centre, written.centre
    metres = hypot(x - other_x, y - other_y)
    return round(metres, 2) if metres <= STEP_METRES else None


@lru_cache(maxsize=64)
def _forms_of(counts: Fraction) -> tuple[tuple[FigureDef, Form], ...]:
    """Return every form of so many counts that begins on its first count."""
    return tuple(
        (figure, form)
        for figure in vocabulary().figures.values()
        for form in figure.forms
        if not figure.styled
        if form.counts == counts and form.ticks[0] == 0 and form.ticks[-1] < counts
    )


def placed(figure: FigureDef, form: Form, lead: Foot, at: Fraction, turn: int) -> tuple[Step, ...] | None:
    """Return a form danced from count ``at`` with a net turn of ``turn`` eighths (mod a whole turn).

    None if the form does not turn as far by itself and would need more than a half turn on one step.
    """
    feet = {"R": lead, "L": lead.other, "B": Foot.BOTH, "-": None}
    sign = 1 if lead is Foot.RIGHT else -1
    moves = vocabulary_moves()
    steps = [
        Step(
            at + tick,
            one.move,
            feet[one.foot],
            one.foot != "-" and moves[one.move].weight == "yes",
            one.to,
            sign * one.turn,
        )
        for tick, one in zip(form.ticks, form.steps, strict=True)
    ]
    missing = normal(turn - sum(step.turn for step in steps))
    if missing:
        added = missing - 8 if missing > MOST_TURN or (missing == MOST_TURN and turn < 0) else missing
        if not figure.turn_on or figure.turn_on[0] >= len(steps):
            return None
        index = figure.turn_on[0]
        total = steps[index].turn + added
        if abs(total) > MOST_TURN:
            return None
        steps[index] = replace(steps[index], turn=total)
    return tuple(steps)
