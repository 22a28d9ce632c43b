"""Where each part of a dance begins to face, the first time that it is danced."""

from __future__ import annotations

from noonwall.dance.model import Dance, Foot, Part

ON_EITHER_FOOT = frozenset(
    {"sway", "bump", "swivel", "twist", "fan", "lift", "drop", "hop", "bounce", "jump", "split", "unwind"}
    | {"turn", "pivot"}
)
"""Moves that the standing foot may do as well as the free one: they do not show where a dance begins."""


def start_facings(dance: Dance) -> dict[str, int]:
    """Return the facing in eighths (unwound) at which every part of the sequence is first begun.

    A dance that is not phrased begins at 12:00; so does a part that the sequence never names. A part
    danced from the other foot is danced mirrored, its turns to the other side.
    """
    out: dict[str, int] = {}
    facing, free = 0, dance.start_free_foot
    known = {part.label: part for part in dance.parts}
    for entry in dance.sequence:
        label, _, cut = entry.partition(":")
        part = known.get(label)
        if part is None:
            continue
        out.setdefault(label, facing)
        steps = [step for step in part.steps if not cut or step.at < int(cut)]
        mirrored = part.kind == "part" and free is not dance.start_free_foot
        facing += sum(-step.turn if mirrored else step.turn for step in steps)
        last = next((s.foot for s in reversed(steps) if s.takes_weight and s.foot), None)
        if last in (Foot.LEFT, Foot.RIGHT):
            free = last if mirrored else last.other
    return out


def entering_foot(part: Part, start: Foot) -> Foot:
    """Return the foot that is free when ``part`` begins: the one its first act asks for, else ``start``."""
    first = next((step for step in part.steps if step.foot is not None), None)
    if first is None or first.foot is None or first.foot is Foot.BOTH:
        return start
    if first.move == "hop":
        return first.foot.other
    return start if first.move in ON_EITHER_FOOT else first.foot


def shows_start(part: Part) -> bool:
    """True if the first foot to act tells which foot is free when ``part`` begins.

    A turn in that act hides it again: "¼ turn R, rock L" may be a turn onto the right foot first.
    """
    first = next((step for step in part.steps if step.foot is not None), None)
    return first is not None and not first.turn and first.move not in ON_EITHER_FOOT
