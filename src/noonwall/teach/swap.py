"""Dance other steps in the place of some of a part, and prove that the dance stays the same afterwards."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import hypot

from noonwall.dance.model import Foot, Step
from noonwall.dance.turns import normal
from noonwall.floor import Stance, dance_steps
from noonwall.teach.spans import Danced

STEP_METRES = 0.5
"""Other steps may end this far from the written ones: one side step (floor/place.py)."""


@dataclass(frozen=True, slots=True)
class SwapProof:
    """What the floor shows of other steps danced in place of the written ones.

    Attributes:
        feet: every step is on the free foot, and so are all that follow.
        weight: the same foot carries the weight afterwards (or the one that goes on is free).
        facing: the same facing afterwards, whole turns apart.
        metres: how far apart the two ways end.
        after: how many actions of the part are danced after them, all the same as written.
    """

    feet: bool
    weight: bool
    facing: bool
    metres: float
    after: int

    @property
    def holds(self) -> bool:
        """True if the dance stays the same."""
        return self.feet and self.weight and self.facing and self.metres <= STEP_METRES


def prove_swap(track: Danced, since: Fraction, until: Fraction, steps: Sequence[Step]) -> SwapProof:
    """Dance a part with ``steps`` in the place of its own from count ``since`` up to ``until``.

    Args:
        track: the part as it is written.
        since: counts from the start of the part.
        until: where the written steps go on.
        steps: the other steps, counted from the start of the part.
    """
    start, written = track.before(since), track.before(until)
    moments = dance_steps(steps, start)
    ended = moments[-1].stance if moments else start
    later = [index for index, time in enumerate(track.times) if time >= until]
    follow = dance_steps([track.steps[index] for index in later], ended)
    own = dance_steps([track.steps[index] for index in later], written)
    same = all(
        new.stance.weight is old.stance.weight and normal(new.stance.facing) == normal(old.stance.facing)
        for new, old in zip(follow[1:], own[1:], strict=True)
    )
    feet = not any(moment.problem for moment in moments) and all(
        new.problem == old.problem for new, old in zip(follow, own, strict=True)
    )
    return SwapProof(
        feet and same,
        _same_weight(written, ended, _next_foot(track, later)),
        normal(ended.facing) == normal(written.facing),
        round(_apart(written, ended), 2),
        len(later),
    )


def _next_foot(track: Danced, later: Sequence[int]) -> Foot | None:
    feet = (track.steps[index].foot for index in later)
    return next((foot for foot in feet if foot in (Foot.LEFT, Foot.RIGHT)), None)


def _same_weight(written: Stance, ended: Stance, following: Foot | None) -> bool:
    if written.weight is ended.weight:
        return True
    # on both feet the next step decides, so the foot that goes on must be free
    if written.weight is Foot.BOTH:
        return following is not None and ended.weight is following.other
    return False


def _apart(written: Stance, ended: Stance) -> float:
    (x, y), (other_x, other_y) = written.centre, ended.centre
    return hypot(x - other_x, y - other_y)
