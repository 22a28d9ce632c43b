"""Dance one part on the floor, count by count."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from math import cos, pi, sin
from typing import NamedTuple

from noonwall.dance.model import Foot, Part, Step
from noonwall.dance.quarters import scaled, unscaled
from noonwall.figures import vocabulary_moves
from noonwall.floor.place import HALF_STANCE_METRES, LANDINGS


class FootAt(NamedTuple):
    """One foot: (x, y) in metres, the way it points in eighths from 12:00, and what of it meets the floor."""

    x: float
    y: float
    points: int
    contact: str = "flat"


class Stance(NamedTuple):
    """Both feet, the weight (L, R, B) and the unwound facing in eighths."""

    left: FootAt
    right: FootAt
    weight: Foot
    facing: int

    @property
    def free_foot(self) -> Foot | None:
        """The foot that may step next; None when both carry weight."""
        return None if self.weight is Foot.BOTH else self.weight.other

    @property
    def centre(self) -> tuple[float, float]:
        """Where the dancer is: over the weighted foot, shifted to the middle of the body; metres."""
        if self.weight is Foot.BOTH:
            return ((self.left.x + self.right.x) / 2, (self.left.y + self.right.y) / 2)
        foot, sign = (self.right, -1) if self.weight is Foot.RIGHT else (self.left, 1)
        angle = self.facing * pi / 4
        return (
            foot.x + sign * HALF_STANCE_METRES * cos(angle),
            foot.y - sign * HALF_STANCE_METRES * sin(angle),
        )


class Moment(NamedTuple):
    """The stance after ``step`` has been danced, ``count`` counts from the start of the track.

    ``problem`` is "" or the id of what cannot be danced: "same-foot" (the foot that carries the weight is
    asked to step) or "weighted-gesture" (it is asked to touch, kick or point).
    """

    count: Fraction  # type: ignore[assignment]  # a tuple's own method of that name is never needed
    step: Step
    stance: Stance
    problem: str = ""


@dataclass(frozen=True, slots=True)
class Track:
    """A danced stretch: its start, one moment per action, its length in counts."""

    start: Stance
    moments: tuple[Moment, ...]
    counts: Fraction

    @property
    def end(self) -> Stance:
        """The stance after the last action."""
        return self.moments[-1].stance if self.moments else self.start

    def at(self, count: Fraction | int) -> Stance:
        """Return the stance just before ``count`` counts have passed (all actions earlier than it done)."""
        stance = self.start
        for moment in self.moments:
            if moment.count >= count:
                break
            stance = moment.stance
        return stance

    @property
    def weight_changes(self) -> int:
        """How often weight is transferred onto a foot."""
        return sum(moment.step.takes_weight for moment in self.moments)


def opening_stance(free_foot: Foot = Foot.RIGHT, facing: int = 0) -> Stance:
    """Return the stance before count 1: feet together at (0, 0), ``free_foot`` without weight."""
    angle = facing * pi / 4
    dx, dy = HALF_STANCE_METRES * cos(angle), -HALF_STANCE_METRES * sin(angle)
    weight = Foot.BOTH if free_foot is Foot.BOTH else free_foot.other
    return Stance(FootAt(-dx, -dy, facing), FootAt(dx, dy, facing), weight, facing)


def dance_steps(steps: Iterable[Step], start: Stance, shift: Fraction = Fraction(0)) -> tuple[Moment, ...]:
    """Dance ``steps`` from ``start``; counts of the moments are the steps' own plus ``shift``."""
    return dance_timed([(scaled(step.at), step) for step in steps], start, scaled(shift))


def dance_timed(
    steps: Iterable[tuple[int | Fraction, Step]], start: Stance, shift: int | Fraction
) -> tuple[Moment, ...]:
    """Return what :func:`dance_steps` does; counts in quarters (:func:`noonwall.dance.quarters.scaled`)."""
    stance, moments, contacts = start, [], _contacts()
    for at, step in steps:
        stance, problem = _act(stance, step, contacts)
        moments.append(_new(Moment, (unscaled(at + shift), step, stance, problem)))
    return tuple(moments)


@lru_cache(maxsize=1)
def _contacts() -> dict[str, str]:
    return {name: move.contact for name, move in vocabulary_moves().items()}


def dance_part(part: Part, start: Stance | None = None) -> Track:
    """Dance one part once.

    Args:
        part: the part.
        start: the stance before it; by default feet together at the origin, right foot free.
    """
    first = start or opening_stance()
    return Track(first, dance_steps(part.steps, first), part.counts)


_new = tuple.__new__
"""Makes a named tuple without a call of its Python constructor: three are made for every step of a run."""


def _act(stance: Stance, step: Step, contacts: dict[str, str]) -> tuple[Stance, str]:
    left, right, weight, facing = stance
    turn, foot = step.turn, step.foot
    facing += turn
    if foot is None or foot is Foot.BOTH:
        if turn:
            left = _new(FootAt, (left.x, left.y, facing, left.contact))
            right = _new(FootAt, (right.x, right.y, facing, right.contact))
        turned = _new(Stance, (left, right, weight, facing))
        return (turned if foot is None else _act_both(turned, step, contacts)), ""
    problem = ""
    if weight is foot and step.move not in _WEIGHTED_GESTURES:
        problem = "same-foot" if step.takes_weight else "weighted-gesture"
    is_right = foot is Foot.RIGHT
    own, support = (right, left) if is_right else (left, right)
    x, y, points, contact = support
    sides = LANDINGS.get(step.to)
    if sides is None:
        moved = _new(FootAt, (own.x, own.y, facing, contacts[step.move]))
    else:
        crosses = bool(step.side) and step.side != foot.value
        to_x, and_x, from_y, and_y = sides[is_right is not crosses][facing % 8]
        moved = _new(FootAt, (x + to_x + and_x, y - from_y + and_y, facing, contacts[step.move]))
    if step.takes_weight:
        weight = foot
    elif contact != "flat":
        contact = "flat"
        support = _new(FootAt, (x, y, points, contact))
    if turn:
        support = _new(FootAt, (x, y, facing, contact))
    if is_right:
        return _new(Stance, (support, moved, weight, facing)), problem
    return _new(Stance, (moved, support, weight, facing)), problem


_WEIGHTED_GESTURES = frozenset(
    {"bump", "sway", "swivel", "twist", "fan", "drop", "hop", "scoot", "bounce", "lift"}
)
"""Moves that the weighted foot may well do: hips, heels and toes on the spot, hops on one foot."""


def _act_both(stance: Stance, step: Step, contacts: dict[str, str]) -> Stance:
    contact = contacts[step.move]
    left, right = stance.left._replace(contact=contact), stance.right._replace(contact=contact)
    if step.move in ("jump", "leap") and step.to in ("fwd", "back", "together", "in", "out"):
        forwards = {"fwd": 0.3, "back": -0.3}.get(step.to, 0.0)
        half = 0.21 if step.to == "out" else HALF_STANCE_METRES
        x, y = stance.centre
        angle = stance.facing * pi / 4
        x, y = x + forwards * sin(angle), y + forwards * cos(angle)
        left = left._replace(x=x - half * cos(angle), y=y + half * sin(angle))
        right = right._replace(x=x + half * cos(angle), y=y - half * sin(angle))
    weight = Foot.BOTH if step.takes_weight else stance.weight
    return Stance(left, right, weight, stance.facing)
