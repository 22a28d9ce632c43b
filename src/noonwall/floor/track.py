"""Dance one part on the floor, count by count."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from math import cos, pi, sin

from noonwall.dance.model import Foot, Part, Step
from noonwall.figures import vocabulary_moves
from noonwall.floor.place import HALF_STANCE_METRES, OFFSETS, landing


@dataclass(frozen=True, slots=True)
class FootAt:
    """One foot: (x, y) in metres, the way it points in eighths from 12:00, and what of it meets the floor."""

    x: float
    y: float
    points: int
    contact: str = "flat"


@dataclass(frozen=True, slots=True)
class Stance:
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


@dataclass(frozen=True, slots=True)
class Moment:
    """The stance after ``step`` has been danced, ``count`` counts from the start of the track.

    ``problem`` is "" or the id of what cannot be danced: "same-foot" (the foot that carries the weight is
    asked to step) or "weighted-gesture" (it is asked to touch, kick or point).
    """

    count: Fraction
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
    stance, moments = start, []
    for step in steps:
        stance, problem = _act(stance, step)
        moments.append(Moment(step.at + shift, step, stance, problem))
    return tuple(moments)


def dance_part(part: Part, start: Stance | None = None) -> Track:
    """Dance one part once.

    Args:
        part: the part.
        start: the stance before it; by default feet together at the origin, right foot free.
    """
    first = start or opening_stance()
    return Track(first, dance_steps(part.steps, first), part.counts)


def _act(stance: Stance, step: Step) -> tuple[Stance, str]:
    facing = stance.facing + step.turn
    left, right = stance.left, stance.right
    if step.turn:
        left, right = replace(left, points=facing), replace(right, points=facing)
    if step.foot is None:
        return Stance(left, right, stance.weight, facing), ""
    if step.foot is Foot.BOTH:
        return _act_both(Stance(left, right, stance.weight, facing), step), ""
    problem = ""
    if stance.weight is step.foot:
        problem = "same-foot" if step.takes_weight else "weighted-gesture"
        if step.move in _WEIGHTED_GESTURES:
            problem = ""
    is_right = step.foot is Foot.RIGHT
    own, support = (right, left) if is_right else (left, right)
    if step.to in OFFSETS:
        crosses = bool(step.side) and step.side != step.foot.value
        x, y = landing((support.x, support.y), is_right, step.to, facing, crosses)
    else:
        x, y = own.x, own.y
    contact = vocabulary_moves()[step.move].contact
    moved = FootAt(x, y, facing, contact)
    planted = replace(support, contact="flat") if not step.takes_weight else support
    weight = step.foot if step.takes_weight else stance.weight
    if is_right:
        return Stance(planted, moved, weight, facing), problem
    return Stance(moved, planted, weight, facing), problem


_WEIGHTED_GESTURES = frozenset(
    {"bump", "sway", "swivel", "twist", "fan", "drop", "hop", "scoot", "bounce", "lift"}
)
"""Moves that the weighted foot may well do: hips, heels and toes on the spot, hops on one foot."""


def _act_both(stance: Stance, step: Step) -> Stance:
    contact = vocabulary_moves()[step.move].contact
    left, right = replace(stance.left, contact=contact), replace(stance.right, contact=contact)
    if step.move in ("jump", "leap") and step.to in ("fwd", "back", "together", "in", "out"):
        forwards = {"fwd": 0.3, "back": -0.3}.get(step.to, 0.0)
        half = 0.21 if step.to == "out" else HALF_STANCE_METRES
        x, y = stance.centre
        angle = stance.facing * pi / 4
        x, y = x + forwards * sin(angle), y + forwards * cos(angle)
        left = replace(left, x=x - half * cos(angle), y=y + half * sin(angle))
        right = replace(right, x=x + half * cos(angle), y=y - half * sin(angle))
    weight = Foot.BOTH if step.takes_weight else stance.weight
    return Stance(left, right, weight, stance.facing)
