"""Where both feet are at any second of a clip: the stances of a run laid on the beats of its song."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, pi, sin
from typing import NamedTuple

from noonwall.dance.model import Foot
from noonwall.floor.track import FootAt, Stance
from noonwall.teach.counted import Stretch
from noonwall.teach.cue import Beat

MOVE_COUNTS = 0.7
"""A foot leaves the floor this long before it lands, unless the last step is nearer."""

STANDS_WITHIN_METRES = 0.01
DEGREES_PER_EIGHTH = 45.0
ABOUT_NOW = 1e-6


class FootSeen(NamedTuple):
    """One foot on the way: metres, degrees clockwise from 12:00, contact, how high it is lifted (0 .. 1)."""

    x: float
    y: float
    degrees: float
    contact: str
    lift: float


class Seen(NamedTuple):
    """The dancer at a moment: both feet, who carries the weight, the body's place (metres) and degrees."""

    left: FootSeen
    right: FootSeen
    weight: Foot
    x: float
    y: float
    degrees: float


class Beats:
    """The beats of a run, asked in both directions: counts at a second, seconds of a count."""

    def __init__(self, beats: tuple[Beat, ...], swing: float, speed: float = 1.0) -> None:
        self.beats = beats
        self.seconds = [beat.seconds / speed for beat in beats]
        self.swing = swing
        self.speed = speed

    def index(self, seconds: float) -> int:
        """Return the beat that sounds at a time, -1 before the first."""
        return bisect_right(self.seconds, seconds + ABOUT_NOW) - 1

    def count(self, seconds: float) -> float:
        """Return the counts of the run at a time as notated: in swung music "&" sounds late but is a half."""
        times = self.seconds
        if len(times) < 2:
            return 0.0
        place = min(max(0, self.index(seconds)), len(times) - 2)
        share = (seconds - times[place]) / (times[place + 1] - times[place])
        # beyond the first and the last beat the music is taken to go on as there
        whole = int(share // 1)
        return self.beats[place].count + whole + self._notated(share - whole)

    def time(self, count: float) -> float:
        """Return the seconds at which a notated count of the run sounds."""
        times, first = self.seconds, self.beats[0].count if self.beats else 0
        if len(times) < 2:
            return times[0] if times else 0.0
        whole = int(count // 1)
        share = self._sounding(count - whole)
        place = min(max(0, whole - first), len(times) - 2)
        return times[place] + (whole - first - place + share) * (times[place + 1] - times[place])

    def _notated(self, share: float) -> float:
        swing = self.swing
        return share / swing / 2 if share < swing else 0.5 + (share - swing) / (1 - swing) / 2

    def _sounding(self, share: float) -> float:
        swing = self.swing
        return 2 * share * swing if share < 0.5 else swing + (2 * share - 1) * (1 - swing)


@dataclass(frozen=True, slots=True)
class Motion:
    """The stances of a run in order: ``stances[i]`` holds from ``counts[i]`` (counts of the run) on.

    ``firsts`` are, for each stretch of the run, the index of the stance before it, and a last one at the end.
    """

    counts: tuple[float, ...]
    stances: tuple[Stance, ...]
    firsts: tuple[int, ...]

    @classmethod
    def of(cls, stretches: Sequence[Stretch], opening: Stance) -> Motion:
        """Return the motion of a run; nothing is danced at or after its end."""
        counts, stances, firsts = [-math.inf], [opening], []
        end = max((float(stretch.end) for stretch in stretches), default=0.0)
        for stretch in stretches:
            firsts.append(len(stances) - 1)
            for moment in stretch.moments:
                if moment.count < end:
                    # what a faulty sheet puts before its predecessor is shown with it
                    counts.append(max(float(moment.count), counts[-1]))
                    stances.append(moment.stance)
        return cls(tuple(counts), tuple(stances), (*firsts, len(stances) - 1))

    def index(self, count: float) -> int:
        """Return the last stance at or before a count."""
        return max(0, bisect_right(self.counts, count + ABOUT_NOW) - 1)

    def seen(self, count: float) -> Seen:
        """Return the dancer at a count: a foot eases from where it was and lands on its count."""
        index = self.index(count)
        now = self.stances[index]
        if index + 1 >= len(self.counts):
            return _between(now, now, 0.0)
        lands = self.counts[index + 1]
        length = min(MOVE_COUNTS, max(0.01, lands - self.counts[index]))
        share = min(1.0, max(0.0, (count - lands + length) / length))
        return _between(now, self.stances[index + 1], eased(share))


def eased(share: float) -> float:
    """Return a share of a way that begins and ends at rest."""
    return share * share * (3 - 2 * share)


def _between(now: Stance, then: Stance, share: float) -> Seen:
    (x, y), (to_x, to_y) = now.centre, then.centre
    return Seen(
        _foot(now.left, then.left, share),
        _foot(now.right, then.right, share),
        now.weight,
        x + (to_x - x) * share,
        y + (to_y - y) * share,
        (now.facing + (then.facing - now.facing) * share) * DEGREES_PER_EIGHTH,
    )


def _foot(now: FootAt, then: FootAt, share: float) -> FootSeen:
    travels = hypot(then.x - now.x, then.y - now.y) > STANDS_WITHIN_METRES
    return FootSeen(
        now.x + (then.x - now.x) * share,
        now.y + (then.y - now.y) * share,
        (now.points + (then.points - now.points) * share) * DEGREES_PER_EIGHTH,
        "air" if travels and 0 < share < 1 else now.contact,
        sin(pi * share) if travels else 0.0,
    )
