"""Safety: turning to one side only, jumps and stomps, and load on one leg.

No published ceiling for any of these was found (standards.md, part 8), so the limits are our own and the
remarks are advice. They give way to the rules of the hall and to what a doctor says.
"""

from __future__ import annotations

from collections.abc import Iterator

from noonwall.checks.proof import Proof
from noonwall.dance.model import Foot, Step
from noonwall.figures import vocabulary_moves
from noonwall.findings import Finding, Severity

MOST_ONE_WAY_EIGHTHS = 16
"""Two full turns to one side in a wall without one back make heads spin over a whole song."""

MOST_IMPACTS = 6
"""Jumps and stomps in a wall: one in every five or six counts of a common dance."""

LEAST_ONE_SIDED = 4
"""Impacts that fall on one leg while the other has none."""


def check(proof: Proof) -> list[Finding]:
    """Return advice on what a wall repeats too often for heads, knees and feet."""
    steps = [step for part in proof.dance.parts if part.kind in ("main", "part") for step in part.steps]
    return [*_turning(steps), *_impacts(steps)]


def _turning(steps: list[Step]) -> Iterator[Finding]:
    right = sum(step.turn for step in steps if step.turn > 0)
    left = -sum(step.turn for step in steps if step.turn < 0)
    if abs(right - left) > MOST_ONE_WAY_EIGHTHS:
        facts: dict[str, object] = {"turn": right - left}
        yield Finding("safety.turning", Severity.ADVICE, None, None, facts)


def _impacts(steps: list[Step]) -> Iterator[Finding]:
    moves = vocabulary_moves()
    hard = [step for step in steps if {"jump", "stomp"} & set(moves[step.move].cautions)]
    sides = {foot: sum(step.foot in (foot, Foot.BOTH) for step in hard) for foot in (Foot.LEFT, Foot.RIGHT)}
    if len(hard) > MOST_IMPACTS:
        facts: dict[str, object] = {"impacts": len(hard)}
        yield Finding("safety.impact", Severity.ADVICE, None, None, facts)
    elif max(sides.values()) >= LEAST_ONE_SIDED and min(sides.values()) == 0:
        foot = max(sides, key=lambda each: sides[each])
        facts = {"impacts": sides[foot], "foot": foot.value}
        yield Finding("safety.one-sided", Severity.ADVICE, None, None, facts)
