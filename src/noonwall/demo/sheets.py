"""The demo's step sheets: the repository's examples, and one with the usual mistakes."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

from noonwall.errors import NoonwallError

WITH_MISTAKES = """FOGHORN SHUFFLE
32 count - 2 wall - Improver
Choreographer: Piers Hallowell, Harbour Hall, March 2025
Music: Foghorn by The Quay Band (118 bpm)
Intro: 16 counts

[1-8] SIDE ROCK, BEHIND SIDE CROSS, SIDE ROCK, BEHIND SIDE CROSS
1-2   Rock R to R side, recover L
3&4   Step R behind L, step L to L side, cross R over L
5-6   Rock L to L side, recover R
7&8   Step L behind R, step R to R side, cross L over R

[9-16] STEP, PIVOT 1/2 LEFT, SHUFFLE, STEP, PIVOT 1/2 RIGHT, SHUFFLE
1-2   Step R fwd, pivot 1/2 L (6:00)
3&4   Shuffle fwd R, L, R
5-6   Step L fwd, pivot 1/2 R (3:00)
7&8   Shuffle fwd L, R, L

[17-24] ROCKING CHAIR, STEP TOUCH, STEP TOUCH
1-4   Rock R fwd, recover L, rock R back, recover L
5-6   Step R to R side, touch L beside R
7-8   Step R to R side, touch L beside R

[25-32] JAZZ BOX, STEP, PIVOT 1/2 LEFT, STOMP, STOMP
1-4   Cross R over L, step L back, step R to R side, step L fwd
5-6   Step R fwd, pivot 1/2 L (6:00)
7-8   Stomp R beside L, stomp L beside R (weight on L)
"""
"""An invented sheet with two mistakes: a facing note (section 2) and a foot (section 3, counts 7-8)."""


def example_sheets() -> dict[str, str]:
    """Return the example sheets by name, in order.

    Raises:
        NoonwallError: the installation lacks them.
    """
    inside = resources.files("noonwall.demo").joinpath("sheets")
    # a checkout that is installed in place keeps its examples at its root
    folder = inside if inside.is_dir() else Path(__file__).parents[3] / "examples"
    if not folder.is_dir():
        raise NoonwallError("The example sheets are not installed; install noonwall again from its source.")
    files = sorted((f for f in folder.iterdir() if f.name.endswith(".txt")), key=lambda f: f.name)
    return {f.name.removesuffix(".txt"): f.read_text(encoding="utf-8") for f in files}
