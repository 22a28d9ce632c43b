"""A dance without jumps, stomps and spins, and one for a chair: the same counts and feet, less load."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from noonwall.dance.model import Foot, Part, Step
from noonwall.figures import vocabulary_moves
from noonwall.teach.spans import danced
from noonwall.teach.swap import SwapProof, prove_swap
from noonwall.teach.watch import count_name

FULL_TURN = 8
_AHEAD = {"fwd": 0, "diag-fwd": 1, "side": 2, "diag-back": 3, "back": 4}
"""Directions of a right foot in eighths from ahead; a left foot goes to the other side."""
_SIDES = {value: key for key, value in _AHEAD.items()}


@dataclass(frozen=True, slots=True)
class Gentler:
    """One change: "stomp-step", "stomp-touch", "leap-step", "jump-steps", "hop-hold" or "turn-walk"."""

    kind: str
    at: Fraction
    facts: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class LowImpact:
    """A part with less load: its steps, what was changed, and the proof that it ends as written."""

    part: str
    steps: tuple[Step, ...]
    changes: tuple[Gentler, ...]
    proof: SwapProof


def low_impact(part: Part, start: Foot) -> LowImpact:
    """Return a part without jumps, hops and stomps, and with full turns walked."""
    track = danced(part, start)
    changes: list[Gentler] = []
    steps = list(track.steps)
    for first, last in _full_turns(steps):
        changes.append(Gentler("turn-walk", steps[first].at, _counts(steps[first], steps[last])))
        steps[first : last + 1] = _walked(steps[first : last + 1])
    out: list[Step] = []
    for index, step in enumerate(steps):
        kind, gentler = _gentler(step, steps[index + 1 :], start)
        if kind:
            changes.append(Gentler(kind, step.at, (("count", count_name(step.at)),)))
        out += gentler
    changes.sort(key=lambda one: one.at)
    proof = prove_swap(track, Fraction(0), part.counts + 1, out)
    return LowImpact(part.label, tuple(out), tuple(changes), proof)


def _counts(first: Step, last: Step) -> tuple[tuple[str, str], ...]:
    return (("count", count_name(first.at)), ("count_end", count_name(last.at)))


def _gentler(step: Step, later: Sequence[Step], start: Foot) -> tuple[str, list[Step]]:
    """Return what a step becomes: the kind of change ("" for none) and the steps."""
    cautions = vocabulary_moves()[step.move].cautions
    if "stomp" in cautions:
        if step.takes_weight:
            return "stomp-step", [replace(step, move="step")]
        return "stomp-touch", [replace(step, move="touch")]
    if "jump" not in cautions:
        return "", [step]
    if step.foot is Foot.BOTH and step.takes_weight:
        return "jump-steps", _two_steps(step, later, start)
    if step.move in ("hop", "scoot"):
        return "hop-hold", [replace(step, move="hold", foot=None, takes_weight=False, to="")]
    return "leap-step", [replace(step, move="step" if step.takes_weight else "touch")]


def _two_steps(step: Step, later: Sequence[Step], start: Foot) -> list[Step]:
    """Return a jump onto both feet as two steps, so that the foot that goes on is free."""
    free = next((one.foot for one in later if one.foot in (Foot.LEFT, Foot.RIGHT)), start)
    next_at = next((one.at for one in later if one.at > step.at), step.at + 1)
    second = step.at + min(Fraction(1, 2), (next_at - step.at) / 2)
    first = replace(step, move="step", foot=free, side="")
    to = step.to if step.to in ("out", "in") else "together"
    return [first, replace(step, at=second, move="step", foot=free.other, to=to, turn=0, side="")]


def _full_turns(steps: Sequence[Step]) -> Iterator[tuple[int, int]]:
    """Yield (first, last) of steps in a row that together turn once around to one side."""
    index = 0
    while index < len(steps):
        total, last = 0, index
        while last < len(steps) and _turns_on(steps[index], steps[last]):
            total += steps[last].turn
            if abs(total) == FULL_TURN:
                if last > index:
                    yield index, last
                    index = last
                break
            last += 1
        index += 1


def _turns_on(first: Step, step: Step) -> bool:
    """True if a step travels and turns to the side of the first: a pivot on the spot is no walk."""
    return (
        step.turn * first.turn > 0
        and step.takes_weight
        and step.move not in ("pivot", "unwind", "jump", "hop")
    )


def _walked(steps: Sequence[Step]) -> list[Step]:
    """Return the steps of a full turn walked without turning, each to where it went on the floor."""
    turned, out = 0, []
    for step in steps:
        turned += step.turn
        out.append(replace(step, turn=0, to=_to(step, turned), side=""))
    return out


def _to(step: Step, turned: int) -> str:
    """Return where a step goes for a dancer who has not turned ``turned`` eighths."""
    if step.to not in _AHEAD or step.foot is None:
        return step.to
    sign = 1 if step.foot is Foot.RIGHT else -1
    way = (sign * _AHEAD[step.to] + turned) % 8
    own = way * sign % 8
    # what lies on the other foot's side is reached by crossing behind, as in a vine
    return _SIDES.get(own, "behind")


def seated_feet(steps: Sequence[Step]) -> tuple[str, ...]:
    """Return what each foot does for a dancer on a chair: "R" or "L" a step on the spot, "r" or "l" a tap,
    "B" both heels, "-" a rest."""
    out = []
    for step in steps:
        if step.foot is None:
            out.append("-")
        elif step.foot is Foot.BOTH:
            out.append("B")
        else:
            out.append(step.foot.value if step.takes_weight else step.foot.value.lower())
    return tuple(out)
