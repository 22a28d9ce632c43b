"""Which piece of the floor a clip shows at any moment, and which way it is turned."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot
from typing import NamedTuple

from noonwall.floor import Stance
from noonwall.outputs.clip_motion import DEGREES_PER_EIGHTH, Beats, Motion, eased
from noonwall.teach.counted import Stretch

LEAST_RADIUS_METRES, MARGIN_METRES = 0.85, 0.42
AHEAD_METRES = 0.68
"""Room around the body for the chevron that shows the way ahead."""

WIDEST_RADIUS_METRES = 2.4
"""Beyond it the soles would be too small to read, and the view moves along with the dancer."""

NEAR_RADIUS_METRES = 1.1
TURN_SECONDS = 0.7
"""Time in which the view goes over from one wall to the next, half before and half after the new one."""

TRAILING_SECONDS = 0.5
"""A view that moves along is the middle of where the dancer is within this time before and after."""

TRAILING_SAMPLES = 9


class View(NamedTuple):
    """A disc of the floor: its middle and radius in metres, and the degrees on top of the picture."""

    x: float
    y: float
    radius: float
    degrees: float


@dataclass(frozen=True, slots=True)
class Camera:
    """The views of one clip; a view depends on the time alone, so that pieces of a clip can be made apart."""

    motion: Motion
    beats: Beats
    name: str
    starts: tuple[float, ...]
    aims: tuple[View | None, ...]
    tops: tuple[float, ...]

    @classmethod
    def of(cls, motion: Motion, stretches: Sequence[Stretch], beats: Beats, name: str) -> Camera:
        """Return the camera of a run.

        Args:
            motion: the stances of the run.
            stretches: the run.
            beats: its beats at the speed of the clip.
            name: one of :data:`noonwall.outputs.clip_data.VIEWS`.
        """
        turns, follows = name == "turned-to-front", name == "follow"
        tops = [stretch.facing * DEGREES_PER_EIGHTH if turns else 0.0 for stretch in stretches]
        bounds = pairwise(motion.firsts)
        circles = [None if follows else _circle(motion.stances[a : b + 1]) for a, b in bounds]
        starts = tuple(beats.time(float(stretch.start)) for stretch in stretches)
        return cls(motion, beats, name, starts, tuple(circles), tuple(_short_ways(tops)))

    def view(self, seconds: float) -> View:
        """Return what is seen at a time of the clip."""
        if not self.starts:
            return View(0.0, 0.0, LEAST_RADIUS_METRES, 0.0)
        number = max(0, bisect_right(self.starts, seconds + TURN_SECONDS / 2) - 1)
        there = self._aim(number, seconds)
        since = seconds - (self.starts[number] - TURN_SECONDS / 2)
        if number == 0 or since >= TURN_SECONDS:
            return there
        here, share = self._aim(number - 1, seconds), eased(since / TURN_SECONDS)
        return View(*(a + (b - a) * share for a, b in zip(here, there, strict=True)))

    def _aim(self, number: int, seconds: float) -> View:
        circle = self.aims[number]
        if circle is not None:
            return circle._replace(degrees=self.tops[number])
        x, y = self._trailed(seconds)
        radius = NEAR_RADIUS_METRES if self.name == "follow" else WIDEST_RADIUS_METRES * 0.75
        return View(x, y, radius, self.tops[number])

    def _trailed(self, seconds: float) -> tuple[float, float]:
        xs, ys = 0.0, 0.0
        for number in range(TRAILING_SAMPLES):
            share = 2 * number / (TRAILING_SAMPLES - 1) - 1
            seen = self.motion.seen(self.beats.count(seconds + share * TRAILING_SECONDS))
            xs, ys = xs + seen.x, ys + seen.y
        return xs / TRAILING_SAMPLES, ys / TRAILING_SAMPLES


def _short_ways(degrees: list[float]) -> list[float]:
    """Return angles that are the same but never more than half a turn from the one before."""
    found: list[float] = []
    for angle in degrees:
        before = found[-1] if found else 0.0
        found.append(before + (angle - before + 180) % 360 - 180)
    return found


def _circle(stances: Sequence[Stance]) -> View | None:
    """Return a circle that holds both feet in some stances, None if it would be too wide."""
    feet = [foot[:2] for one in stances for foot in (one.left, one.right)]
    bodies = [one.centre for one in stances]
    left, right = min(x for x, _ in feet + bodies), max(x for x, _ in feet + bodies)
    back, front = min(y for _, y in feet + bodies), max(y for _, y in feet + bodies)
    x, y = (left + right) / 2, (back + front) / 2
    radius = max(
        LEAST_RADIUS_METRES,
        MARGIN_METRES + max(hypot(foot_x - x, foot_y - y) for foot_x, foot_y in feet),
        AHEAD_METRES + max(hypot(body_x - x, body_y - y) for body_x, body_y in bodies),
    )
    return View(x, y, radius, 0.0) if radius <= WIDEST_RADIUS_METRES else None
