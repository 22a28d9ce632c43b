"""What the band plays: cues in counts, the clock that turns counts into seconds, and notes in seconds."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray


@dataclass(frozen=True, slots=True)
class Cue:
    """One sound as written: position and length in counts, before swing and before any human touch."""

    voice: str
    position: float
    length: float
    pitch: int
    level: float


@dataclass(frozen=True, slots=True)
class Note:
    """One sound as played: start and length in seconds, MIDI pitch (0 for drums), level 0 to 1."""

    voice: str
    start_seconds: float
    length_seconds: float
    pitch: int
    level: float


@dataclass(frozen=True, slots=True)
class Clock:
    """Seconds of every count; `times[0]` is the time of count number `first`, which may be negative."""

    first: int
    times: NDArray[np.float64]

    def seconds(self, position: ArrayLike) -> NDArray[np.float64]:
        """Seconds of positions in counts; between counts time runs evenly, outside it keeps the last pace."""
        place = np.asarray(position, dtype=np.float64) - self.first
        index = np.clip(np.floor(place).astype(np.int64), 0, self.times.size - 2)
        return np.asarray(self.times[index] + (place - index) * (self.times[index + 1] - self.times[index]))


def make_clock(periods_seconds: NDArray[np.float64], *, first: int, start_seconds: float) -> Clock:
    """A clock from the length of every count in seconds; count `first` falls at `start_seconds`."""
    times = start_seconds + np.concatenate(([0.0], np.cumsum(periods_seconds)))
    return Clock(first, times)


def swing_position(position: ArrayLike, swing: float) -> NDArray[np.float64]:
    """Where a written position sounds: the half count moves to `swing` (1/2 straight, 2/3 triplets)."""
    place = np.asarray(position, dtype=np.float64)
    whole = np.floor(place)
    part = place - whole
    bent = np.where(part < 0.5, part * 2.0 * swing, swing + (part - 0.5) * 2.0 * (1.0 - swing))
    return np.asarray(whole + bent)


def perform(
    cues: Iterable[Cue],
    clock: Clock,
    *,
    swing: float,
    humanise_seconds: float,
    generator: np.random.Generator,
) -> list[Note]:
    """Play cues: swing, then the clock, then a small human error in time and level.

    Args:
        cues: what is written, any order.
        clock: seconds of every count.
        swing: place of the half count, 1/2 to 3/4.
        humanise_seconds: standard deviation of each start, normal, cut at 2.5 deviations.
        generator: source of the human error.

    Returns:
        Notes in the order of the cues.
    """
    written = list(cues)
    starts = np.array([cue.position for cue in written])
    ends = starts + np.array([cue.length for cue in written])
    start_seconds = clock.seconds(swing_position(starts, swing))
    lengths = clock.seconds(swing_position(ends, swing)) - start_seconds
    error = np.clip(generator.standard_normal(len(written)), -2.5, 2.5) * humanise_seconds
    start_seconds = np.maximum(start_seconds + error, 0.0)
    touch = 1.0 + 0.08 * np.clip(generator.standard_normal(len(written)), -2.0, 2.0)
    return [
        Note(cue.voice, float(start), float(length), cue.pitch, float(min(cue.level * much, 1.0)))
        for cue, start, length, much in zip(written, start_seconds, lengths, touch, strict=True)
    ]
