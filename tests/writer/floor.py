"""Dance a part on an imaginary floor: weight, facing and sums at any count."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from .model import OTHER, Part, Section, Step


class WeightError(ValueError):
    """A step was asked of the foot that carries the weight."""


@dataclass(frozen=True, slots=True)
class State:
    """Where the dancer stands: the free foot, the facing and what was done so far."""

    free: str
    facing: int = 0
    weight_changes: int = 0


def dance_steps(state: State, steps: Iterable[Step]) -> State:
    """Apply steps in order.

    Raises:
        WeightError: A step lands on the foot that already carries the weight, or a gesture is asked of it.
    """
    free, facing, changes = state.free, state.facing, state.weight_changes
    for step in steps:
        # The drop that ends a strut lands the foot that has just been placed without weight.
        if step.foot and step.foot != free and step.act != "spiral":
            raise WeightError(f"{step.act} on {step.foot} at {step.at}, but {free} is free")
        facing += step.turn
        if step.weight and step.foot:
            free = OTHER[step.foot]
            changes += 1
    return State(free, facing, changes)


def dance_part(part: Part, free: str) -> list[State]:
    """States after each section, starting with both feet under the dancer and `free` ready to move."""
    states = []
    state = State(free)
    for section in part.sections:
        state = dance_steps(state, section.steps)
        states.append(state)
    return states


def steps_until(sections: Iterable[Section], counts: int) -> list[Step]:
    """Steps danced in the first `counts` counts of consecutive sections."""
    taken: list[Step] = []
    passed = 0
    for section in sections:
        if passed >= counts:
            break
        limit = Fraction(counts - passed)
        taken += [step for step in section.steps if step.at < limit]
        passed += section.counts
    return taken


def clock(eighths: int) -> float | int:
    """Clock hour of a facing in eighths: 12, 1.5, 3 ... 10.5."""
    hour = (eighths % 8) * 1.5
    if hour == 0:
        return 12
    return int(hour) if hour == int(hour) else hour


def net_degrees(eighths: int) -> int:
    """Turn reduced to between -179 and 180 degrees."""
    degrees = (eighths * 45) % 360
    return degrees - 360 if degrees > 180 else degrees


def walls_of(eighths: int) -> int:
    """How many walls a dance with this net turn has: the order of the turn among eight."""
    facing, walls = eighths % 8, 1
    while facing:
        facing = (facing + eighths) % 8
        walls += 1
    return walls
