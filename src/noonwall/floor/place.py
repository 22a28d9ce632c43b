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
"""Where a foot lands beside the supporting foot, metres, by place, moving foot (left, right) and facing in
eighths: what is added to x (two terms), taken from y and added to y.

A foot that crosses over lands where the other foot's own side is.
"""
