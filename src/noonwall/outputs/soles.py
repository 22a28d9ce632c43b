"""The two soles, drawn once: every picture of a foot on any page or sheet comes from here.

A sole is drawn in centimetres about its middle, toes towards -y, longer and wider than a real one so that
it can be read across a hall. The left toe is round, the right toe pointed; each sole has two pieces,
forepart and heel, and a tip. What carries weight is filled, what only meets the floor is outlined, and what
is off the floor is a thin broken line.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

LENGTH_CENTIMETRES = 37.0
"""Length of a drawn sole."""

PIECES: Mapping[str, Mapping[str, str]] = {
    "L": {
        "fore": (
            "M-7.4-4C-8.4-12-6-18.5.6-18.5 6.2-18.5 7.9-13 7.2-7 6.7-3 5.3 0 4.7 3H-4.9C-5.7 0-7-1.5-7.4-4Z"
        ),
        "tip": "M-7.2-11C-6.5-15.8-4-18.5.6-18.5 5-18.5 7-15.6 7.5-11Z",
        "heel": (
            "M-5.1 6H4.7C5.4 9 5.6 11 5.2 13.2 4.4 16.7 2 17.6 0 17.6"
            "-2.6 17.6-4.8 16.6-5.4 13.2-5.7 11-5.6 9-5.1 6Z"
        ),
    },
    "R": {
        "fore": (
            "M7.4-4C7.6-9.5 5.4-14.6 1.6-19.6H-2.4C-6-14.6-7.7-9.5-7.2-5"
            "-6.7-2-5.3 0-4.7 3H4.9C5.7 0 7.1-1.5 7.4-4Z"
        ),
        "tip": "M5.6-11.4C4.6-14.4 3.4-17.2 1.6-19.6H-2.4C-4.2-17.2-5.6-14.4-6.6-11.4Z",
        "heel": "M-5 6H5L5.5 14.8C5.5 16.6 4.2 17.6 2.8 17.6H-2.8C-4.2 17.6-5.5 16.6-5.5 14.8Z",
    },
}

CONTACTS = ("flat", "ball", "toe", "heel", "air")

MEETS_FLOOR: Mapping[str, frozenset[str]] = {
    "flat": frozenset({"fore", "heel"}),
    "ball": frozenset({"fore"}),
    "toe": frozenset({"tip"}),
    "heel": frozenset({"heel"}),
    "air": frozenset(),
}
"""Pieces of the sole that meet the floor, by contact."""


@dataclass(frozen=True, slots=True)
class Ink:
    """Colours of a drawing: the left and right sole, the ground beneath, and lines and numbers."""

    left: str
    right: str
    ground: str
    line: str


PLAIN_INK = Ink("#14365c", "#b9500a", "#ffffff", "#14212b")
"""For drawings that stand alone and for paper; in grey the left is nearly black and the right a middle grey.

Contrast on white by the WCAG 2.2 formula: left 12.3, right 5.0, line 16.4 (a test computes them).
"""


def contact_shown(contact: str) -> str:
    """Return how a floor contact is drawn; a foot that meets nothing in particular stands flat."""
    return contact if contact in CONTACTS else "flat"


def sole(foot: str, contact: str, has_weight: bool, ink: Ink | None = None) -> str:
    """Return the SVG paths of one sole.

    Args:
        foot: "L" or "R".
        contact: a contact of the vocabulary; see :func:`contact_shown`.
        has_weight: filled where it meets the floor if True, outlined if False.
        ink: colours for a drawing that stands alone; None leaves them to the page's style sheet.
    """
    meets = MEETS_FLOOR[contact_shown(contact)]
    paths = []
    for piece in ("heel", "fore", "tip"):
        if piece == "tip" and "tip" not in meets:
            continue
        state = ("weight" if has_weight else "free") if piece in meets else "off"
        paths.append(f'<path class="{state}" d="{PIECES[foot][piece]}"{_colours(foot, state, ink)}/>')
    return f'<g class="sole {foot}">{"".join(paths)}</g>'


def _colours(foot: str, state: str, ink: Ink | None) -> str:
    if ink is None:
        return ""
    colour = ink.left if foot == "L" else ink.right
    # What is off the floor hides nothing beneath it.
    fill = {"weight": colour, "free": ink.ground, "off": "none"}[state]
    line = 'stroke-width=".8" stroke-dasharray="2 1.6"' if state == "off" else 'stroke-width="1.7"'
    return f' fill="{fill}" stroke="{colour}" {line}'
