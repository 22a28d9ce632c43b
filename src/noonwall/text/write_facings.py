"""Where each part of a dance begins to face, the first time that it is danced."""

from __future__ import annotations

from noonwall.dance.model import Dance, Foot, Part


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
    for step in part.steps:
        if step.foot in (Foot.LEFT, Foot.RIGHT):
            return step.foot.other if step.move == "hop" else step.foot
        if step.takes_weight:
            break
    return start
