"""Slowing into the end: the last beats of an even grid, stretched if the onsets clearly ask for it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from noonwall.music.onsets import Onsets
from noonwall.music.pulse import Times

LONGEST_BEATS = 20
STRETCHES = np.arange(0.01, 0.16, 0.005)  # growth of the period, in periods per beat
FEWEST_BEATS = 4
CLEARLY_BETTER = 1.6
LIKE_BEFORE = 0.6


def follow_ending(times: Times, onsets: Onsets) -> Times:
    """Stretch the last beats where the music slows down.

    Every start within the last `LONGEST_BEATS` beats and every evenly growing period is tried; the best is
    taken only if it meets far more onset strength than the even grid, nearly as much as the beats before.

    Args:
        times: Beat times of an even or drifting grid in seconds.
        onsets: Onset strength of the piece.

    Returns:
        The beat times, the last ones moved, fewer of them if they were stretched.
    """
    if times.size < 3 * LONGEST_BEATS:
        return times
    smooth = gaussian_filter1d(onsets.total, 2.0)
    before = float(smooth[onsets.frame_at(times[:-LONGEST_BEATS])].mean())
    best, found = 0.0, times
    for start in range(times.size - LONGEST_BEATS, times.size - FEWEST_BEATS):
        period = times[start] - times[start - 1]
        even = float(smooth[onsets.frame_at(times[start + 1 :])].mean())
        for stretch in STRETCHES:
            tail = _stretched(times[start], period, stretch, onsets.last_seconds + 0.1 * period)
            if tail.size < FEWEST_BEATS:
                continue
            strength = smooth[onsets.frame_at(tail)]
            met = float(strength.mean())
            # The later a slowing starts, the fewer beats could meet onsets by chance.
            value = float((strength - before * 0.5).sum())
            clear = (
                met > CLEARLY_BETTER * even and met > LIKE_BEFORE * before and strength.min() > 0.1 * before
            )
            if clear and value > best:
                best, found = value, np.concatenate((times[: start + 1], tail))
    return found


def _stretched(start: float, period: float, stretch: float, end: float) -> NDArray[np.float64]:
    """Beats after `start` whose period grows by `stretch` periods a beat, up to `end` seconds."""
    steps = period * (1.0 + stretch * np.arange(1, LONGEST_BEATS + 1))
    tail = start + np.cumsum(steps)
    return tail[tail <= end]
