"""Which way a turn usually goes: towards the foot that opens it, away from the foot a pivot stepped on.

Any turn can be forced the other way, so this is never said alone: it bears witness when something else is
wrong too. The rules are common practice, no source; a pivot's is as published (right forward, half left:
BNS, RAY, TPE, NF1).
"""

from __future__ import annotations

from collections.abc import Iterator

from noonwall.dance.model import Figure, Foot, Section, Step

MOST_EIGHTHS = 4
"""Turns beyond a half are spins: either foot leads them either way."""


def unusual_turns(section: Section) -> Iterator[tuple[Figure, Step]]:
    """Yield the turns of a section that go the less usual way, each with its figure."""
    steps = [(figure, step) for figure in section.figures for step in figure.steps]
    for number, (figure, step) in enumerate(steps):
        if not step.turn or abs(step.turn) > MOST_EIGHTHS or step.foot not in (Foot.LEFT, Foot.RIGHT):
            continue
        before = steps[number - 1][1] if number else None
        earlier = steps[number - 2][1] if number > 1 else None
        usual = _after_one(before, step) or _after_two(earlier, before, step) or _alone(before, step)
        if usual * step.turn < 0 or _is_half_of_a_box(before, step):
            yield figure, step


def _is_half_of_a_box(before: Step | None, step: Step) -> bool:
    """A jazz box or twinkle turns a quarter on the step back; a half there is rare."""
    crossed = before is not None and before.takes_weight and before.to == "cross"
    return crossed and step.to == "back" and abs(step.turn) == MOST_EIGHTHS


def _towards(foot: Foot | None) -> int:
    return 1 if foot is Foot.RIGHT else -1


def _after_one(before: Step | None, step: Step) -> int:
    """Return the usual side (1 right, -1 left, 0 unknown) of a turn by the step before it."""
    if before is None or before.foot not in (Foot.LEFT, Foot.RIGHT):
        return 0
    if before.foot is step.foot:  # Monterey: point right, turn right while drawing it in
        drawn_in = before.to == "side" and not before.takes_weight and step.to in ("together", "place")
        return _towards(step.foot) if drawn_in and step.takes_weight else 0
    if not before.takes_weight or not step.takes_weight:
        return 0
    if before.to == "fwd" and step.to in ("", "place") and not before.turn and step.move != "recover":
        return -_towards(before.foot)  # pivot
    if before.to == "cross" and step.to == "back":
        return _towards(before.foot)  # jazz box, twinkle
    if before.to == "behind" and step.to == "fwd":
        return _towards(step.foot)  # vine
    if before.to == "behind" and step.at - before.at < 1:
        return _towards(before.foot)  # sailor step
    is_hinge = before.to == "side" and step.to == "side" and abs(step.turn) == MOST_EIGHTHS
    return _towards(step.foot) if is_hinge else 0


def _after_two(earlier: Step | None, before: Step | None, step: Step) -> int:
    """Return the usual side of a turn that ends a run of three: jazz box, chassé, side together forward."""
    if earlier is None or before is None or earlier.foot is not step.foot or not step.takes_weight:
        return 0
    run = (earlier.to, before.to)
    is_known = run in (("cross", "back"), ("side", "together")) and step.to in ("fwd", "side")
    return _towards(step.foot) if is_known else 0


def _alone(before: Step | None, step: Step) -> int:
    """Return the usual side of a turn by its own step: forward towards the foot, backward away from it."""
    if not step.takes_weight or (before is not None and step.at - before.at < 1):
        return 0
    return {"fwd": 1, "back": -1}.get(step.to, 0) * _towards(step.foot)
