"""The body: legs left crossed, and turning or travelling faster than legs can.

Metres are estimates from usual step lengths (floor/place.py) and the limits are our own judgement, no
source; so all of this is advice. Feet are always placed from the standing foot, so no stance is too wide.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator
from fractions import Fraction
from math import cos, hypot, pi, sin

from noonwall.checks.proof import Proof, figure_at
from noonwall.dance.model import Part
from noonwall.findings import Finding, Place, Severity
from noonwall.floor import Stance, Track, dance_steps

MOST_DEGREES_A_SECOND = 540
"""One and a half turns in a second: above it even practised dancers lose the front."""

MOST_METRES_A_SECOND = 3.0
"""A brisk run; a class does not keep its lines at that pace."""

CROSSED_METRES = 0.02


def check(proof: Proof) -> list[Finding]:
    """Return advice on crossed legs at the end of a wall, and on turns and travel too fast for the tempo."""
    found = list(_crossed(proof))
    if proof.dance.bpm:
        for part in proof.dance.parts:
            found += _too_fast(part, proof.tracks[part.label], proof.dance.bpm)
    return found


def is_crossed(stance: Stance) -> bool:
    """True if the right foot stands to the left of the left foot, as the dancer faces."""
    angle = stance.facing * pi / 4
    dx, dy = stance.right.x - stance.left.x, stance.right.y - stance.left.y
    return dx * cos(angle) - dy * sin(angle) < -CROSSED_METRES


def _crossed(proof: Proof) -> Iterator[Finding]:
    """A wall that ends with crossed legs, and a next wall whose first step leaves them so."""
    if proof.dance.is_phrased:
        return
    part = proof.dance.main
    end = proof.tracks[part.label].end
    weighted = [step for step in part.steps if step.takes_weight][:1]
    if not is_crossed(end) or not weighted or weighted[0].to in ("cross", "behind"):
        return
    first = next(i for i, step in enumerate(part.steps) if step.takes_weight)
    after = dance_steps(part.steps[: first + 1], end)[-1].stance
    if is_crossed(after):
        figure = part.figures[-1]
        yield Finding("body.crossed", Severity.ADVICE, figure.place, figure.at, {}, proof.quote(figure.place))


def _too_fast(part: Part, track: Track, bpm: float) -> Iterator[Finding]:
    """The fastest turn and the fastest travel of a part, where they pass the limits at this tempo."""
    seconds = 60 / bpm
    degrees, turn_at = _most_in_a_count(track, lambda before, after: abs(after.facing - before.facing) * 45)
    if degrees / seconds > MOST_DEGREES_A_SECOND:
        facts: dict[str, object] = {"degrees": round(degrees), "bpm": round(bpm)}
        yield Finding("body.turn-speed", Severity.ADVICE, _place(part, turn_at), turn_at, facts)
    metres, travel_at = _most_in_a_count(track, _travelled)
    if metres / seconds > MOST_METRES_A_SECOND:
        facts = {"metres": round(metres, 1), "bpm": round(bpm)}
        yield Finding("body.travel-speed", Severity.ADVICE, _place(part, travel_at), travel_at, facts)


def _place(part: Part, count: Fraction) -> Place | None:
    figure = figure_at(part, count)
    return figure.place if figure else None


def _travelled(before: Stance, after: Stance) -> float:
    (x, y), (u, v) = before.centre, after.centre
    return hypot(u - x, v - y)


def _most_in_a_count(track: Track, measure: Callable[[Stance, Stance], float]) -> tuple[float, Fraction]:
    """Return the most of ``measure`` that is gathered within one count, and where that count begins."""
    before = track.start
    window: deque[tuple[float, float, Fraction]] = deque()
    total, most, where = 0.0, 0.0, Fraction(0)
    for moment in track.moments:
        size = measure(before, moment.stance)
        before = moment.stance
        count = float(moment.count)  # compared only: a float is exact for halves, quarters and whole counts
        window.append((count, size, moment.count))
        total += size
        while window[0][0] <= count - 1:
            total -= window.popleft()[1]
        if total > most:
            most, where = total, window[0][2]
    return most, where
