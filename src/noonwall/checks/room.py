"""Room on the floor: where a wall and a whole run lead, how wide a lane they need, and lines that meet.

In lines that face one way all dancers move alike, so neighbours keep their distance whatever the steps are;
what a dance needs is the lane it sweeps. Contra lines face each other, and there the steps decide.
Metres are estimates from usual step lengths (floor/place.py).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import cos, hypot, pi, sin

from noonwall.checks.facing import walls_shown
from noonwall.checks.proof import Proof
from noonwall.findings import Finding, Severity
from noonwall.floor import dance_run

MOST_DRIFT_METRES = 4.0
"""A class that ends this far from its start is against a wall or off the floor. Own judgement, no source."""

MOST_LANE_METRES = 8.0
"""A longer or wider lane fills a common hall by itself. Own judgement, no source."""

CONTRA_METRES = 1.8
"""Distance of two contra lines, common practice, no source."""

CONTRA_SHIFT_METRES = 0.5
"""Contra lines stand in each other's gaps so that they can pass: half of a place a metre wide."""

SHOULDERS_METRES = 0.45
"""Two bodies closer than this touch: about the breadth of an adult's shoulders."""


@dataclass(frozen=True, slots=True)
class Room:
    """What a dance needs: metres to the right of and ahead of the start, as seen facing 12:00.

    ``drifts`` holds where each wall ends, ``end`` where the run ends; ``width`` and ``depth`` are of the
    smallest box around the whole run.
    """

    drifts: tuple[tuple[float, float], ...]
    end: tuple[float, float]
    width: float
    depth: float


def check(proof: Proof) -> list[Finding]:
    """Return advice on drift and lane, and on contra lines that would collide."""
    return [*_drift(proof), *_contra(proof)]


def room_of(proof: Proof) -> Room:
    """Return the room that one round of all walls needs, uncut; for a phrased dance its whole sequence."""
    centres, ends = _centres(proof)
    xs, ys = [x for x, _ in centres], [y for _, y in centres]
    return Room(tuple(ends), ends[-1] if ends else (0.0, 0.0), max(xs) - min(xs), max(ys) - min(ys))


def _centres(proof: Proof) -> tuple[list[tuple[float, float]], list[tuple[float, float]]]:
    """Return where the dancer is at every moment of a round, and at the end of each wall."""
    dance = proof.dance
    main = proof.tracks[dance.main.label]
    if dance.is_phrased or main.end.free_foot is not dance.start_free_foot:
        run = proof.run
        if not dance.is_phrased:
            run = dance_run(replace(dance, restarts=(), tags=(), ending=None), walls_shown(proof))
        centres = [(0.0, 0.0), *(moment.stance.centre for moment in run.moments)]
        return centres, [wall.stance_end.centre for wall in run.walls]
    # Steps land relative to the standing foot, so every wall is the first one turned and moved.
    path = [moment.stance.centre for moment in main.moments] or [(0.0, 0.0)]
    net = main.end.facing - main.start.facing
    centres, ends = [(0.0, 0.0)], []
    here = (0.0, 0.0)
    for wall in range(walls_shown(proof)):
        angle = wall * net * pi / 4
        right, ahead = cos(angle), sin(angle)
        centres += [(here[0] + x * right + y * ahead, here[1] - x * ahead + y * right) for x, y in path]
        here = centres[-1]
        ends.append(here)
    return centres, ends


def _drift(proof: Proof) -> Iterator[Finding]:
    room = room_of(proof)
    drift = hypot(*room.end)
    if drift > MOST_DRIFT_METRES:
        facts: dict[str, object] = {
            "metres": round(drift, 1),
            "walls": len(room.drifts),
            "where": _where(*room.end),
        }
        yield Finding("room.drift", Severity.ADVICE, None, None, facts)
    elif max(room.width, room.depth) > MOST_LANE_METRES:
        facts = {"width": round(room.width, 1), "depth": round(room.depth, 1)}
        yield Finding("room.lane", Severity.ADVICE, None, None, facts)


def _where(x: float, y: float) -> str:
    if abs(y) >= abs(x):
        return "front" if y > 0 else "back"
    return "right" if x > 0 else "left"


def _contra(proof: Proof) -> Iterator[Finding]:
    """Two lines face to face, each in the other's gaps: the nearest they come."""
    if "contra" not in f"{proof.dance.title} {proof.dance.level}".lower():
        return
    nearest, count = CONTRA_METRES, None
    for moment in proof.run.moments:
        x, y = moment.stance.centre
        # The dancer opposite does the same, turned about: theirs is (shift - x, distance - y).
        apart = hypot(CONTRA_SHIFT_METRES - 2 * x, CONTRA_METRES - 2 * y)
        if apart < nearest:
            nearest, count = apart, moment.count
    if nearest < SHOULDERS_METRES:
        facts: dict[str, object] = {"metres": round(nearest, 1)}
        yield Finding("room.contra", Severity.ADVICE, None, count, facts)
