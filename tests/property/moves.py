"""Which acts random dances are made of: every move of the vocabulary at the places where it makes sense."""

from __future__ import annotations

AROUND = ("fwd", "back", "side", "cross", "behind", "together", "place", "diag-fwd", "diag-back")

# moves that take the weight onto the free foot, and where they go
STEPS: dict[str, tuple[str, ...]] = {
    "step": (*AROUND, "out", "in", "lock-behind", "lock-front", ""),
    "rock": ("fwd", "back", "side", "cross", "behind", "diag-fwd", "diag-back"),
    "recover": ("place",),
    "walk": ("fwd", "back"),
    "run": ("fwd", "back"),
    "ball": ("together", "back", "side", "behind"),
    "stomp": ("together", "fwd", "side", "place"),
    "skate": ("diag-fwd", "fwd"),
    "lunge": ("side", "fwd", "diag-fwd"),
    "press": ("fwd", "side"),
    "drop": ("place",),
    "leap": ("fwd", "side"),
    "sway": ("place", "side"),
    "bump": ("place", "side"),
}
# moves of the free foot without weight
GESTURES: dict[str, tuple[str, ...]] = {
    "touch": AROUND,
    "tap": ("place", "together", "behind"),
    "point": ("fwd", "back", "side", "cross", "behind", "diag-fwd"),
    "heel": ("fwd", "diag-fwd", "side", "cross"),
    "toe": ("fwd", "back", "side"),
    "dig": ("fwd", "diag-fwd"),
    "kick": ("fwd", "side", "cross", "diag-fwd", "back"),
    "flick": ("back", "side", "behind"),
    "hitch": ("fwd", "cross"),
    "hook": ("cross", "behind"),
    "scuff": ("fwd",),
    "brush": ("fwd", "back", "cross"),
    "swing": ("fwd", "side"),
    "stomp-up": ("together", "fwd"),
    "drag": ("together",),
    "sweep": ("fwd", "back"),
    "ronde": ("side",),
    "lift": ("fwd",),
    "fan": ("place",),
    "sway": ("place",),
    "bump": ("place", "side"),
}
# both feet: (takes the weight, places)
BOTH: dict[str, tuple[bool, tuple[str, ...]]] = {
    "jump": (True, ("place", "fwd", "back", "out", "together", "cross")),
    "bounce": (False, ("place",)),
    "swivel": (False, ("place", "side")),
    "twist": (False, ("place",)),
    "split": (False, ("place",)),
}
# the body or the standing foot, in place of a step
BODY: dict[str, str] = {
    "hold": "",
    "clap": "",
    "snap": "",
    "body-roll": "place",
    "hip-roll": "place",
    "knee-pop": "place",
    "shimmy": "",
    "scoot": "fwd",
    "pose": "",
}
WITH_A_STEP = ("clap", "snap")
TURNS = (2, -2, 4, -4, 1, -1, 6, -6, 3, -3, 8, -8, 5, -5, 10, -12)

NO_WORDS: dict[str, frozenset[str]] = {
    "en": frozenset(),
    "fr": frozenset({"ball"}),
}
"""Moves that the reader of a language knows only inside a figure's name, so that plain words cannot say them.

The moves grind, heel-fan, toe-swivel, toe-split, swivet, heel-click and slide-step (both languages) stand
in no table above for the same reason; unwind and turn are danced as part of the strategies' turns.
"""
