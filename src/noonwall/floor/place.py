"""Where a foot lands: offsets in metres from the supporting foot, in the dancer's own frame.

Step lengths are common practice, no source: a walking step of about 0.45 m and a side step of 0.5 m
for an adult dancing in a row. They draw the floor and feed travel checks; nothing exact hangs on them.
"""

from __future__ import annotations

from math import cos, pi, sin

SINES = tuple(sin(k * pi / 4) for k in range(8))
COSINES = tuple(cos(k * pi / 4) for k in range(8))

HALF_STANCE_METRES = 0.09
"""Half of the distance between the centres of two feet standing together."""

# place -> (outwards, forwards); outwards is towards the moving foot's own side
OFFSETS: dict[str, tuple[float, float]] = {
    "together": (0.18, 0.0),
    "in": (0.18, 0.0),
    "fwd": (0.14, 0.45),
    "back": (0.14, -0.40),
    "side": (0.50, 0.0),
    "out": (0.42, 0.0),
    "cross": (-0.12, 0.18),
    "behind": (-0.12, -0.18),
    "lock-behind": (0.02, -0.24),
    "lock-front": (0.02, 0.24),
    "diag-fwd": (0.34, 0.34),
    "diag-back": (0.34, -0.32),
}


def landing(
    support: tuple[float, float], is_right: bool, to: str, facing: int, crosses_over: bool = False
) -> tuple[float, float]:
    """Return the floor position of a foot placed ``to`` a place beside the supporting foot.

    Args:
        support: (x, y) of the supporting foot, metres.
        is_right: whether the moving foot is the right one.
        to: a place id of ``OFFSETS``.
        facing: eighths from 12:00.
        crosses_over: True if the foot travels to the other foot's side.
    """
    outwards, forwards = OFFSETS[to]
    lateral = outwards if is_right else -outwards
    if crosses_over:
        lateral = -lateral
    cosine, sine = COSINES[facing % 8], SINES[facing % 8]
    return (
        support[0] + lateral * cosine + forwards * sine,
        support[1] - lateral * sine + forwards * cosine,
    )


def _turned(
    outwards: float, forwards: float, is_right: bool
) -> tuple[tuple[float, float, float, float], ...]:
    lateral = outwards if is_right else -outwards
    return tuple(
        (lateral * c, forwards * s, lateral * s, forwards * c) for c, s in zip(COSINES, SINES, strict=True)
    )


LANDINGS = {
    to: tuple(_turned(outwards, forwards, is_right) for is_right in (False, True))
    for to, (outwards, forwards) in OFFSETS.items()
}
"""What :func:`landing` adds to x (twice), takes from y and adds to y: by place, side and facing.

A foot that crosses over lands where the other foot's own side is.
"""
