"""Slowing into the end: the last beats of an even grid, stretched if the onsets clearly ask for it."""

from __future__ import annotations

import numpy as np
from scipy.ndimage import gaussian_filter1d

from noonwall.music.onsets import Onsets
from noonwall.music.pulse import Times

LONGEST_BEATS = 20
STRETCHES = np.arange(0.01, 0.16, 0.005)  # growth of the period, in periods per beat
# Time of each beat after the last even one, in even periods, for every stretch.
GROWING = np.cumsum(1.0 + np.outer(STRETCHES, np.arange(1, LONGEST_BEATS + 1)), axis=1)
FEWEST_BEATS = 4
MET_SHARE = 0.3  # of the usual strength on beats
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
    smooth = gaussian_filter1d(onsets.total, 2.0).astype(np.float64)
    before = float(smooth[onsets.frame_at(times[:-LONGEST_BEATS])].mean())
    best, found = 0.0, times
    for start in range(times.size - LONGEST_BEATS, times.size - FEWEST_BEATS):
        period = times[start] - times[start - 1]
        even = float(smooth[onsets.frame_at(times[start + 1 :])].mean())
        tails = times[start] + period * GROWING
        inside = tails <= onsets.last_seconds + 0.1 * period
        strength = smooth[onsets.frame_at(tails)]
        # Damping and reverberation after the last chord are onsets too: it ends with the last beat met.
        beats_met = inside & (strength > MET_SHARE * before)
        inside &= np.cumsum(beats_met[:, ::-1], axis=1)[:, ::-1] > 0
        size = inside.sum(axis=1)
        met = np.where(inside, strength, 0.0).sum(axis=1) / np.maximum(size, 1)
        weakest = np.where(inside, strength, np.inf).min(axis=1)
        # The later a slowing starts, the fewer beats could meet onsets by chance.
        value = size * (met - 0.5 * before)
        clear = (met > CLEARLY_BETTER * even) & (met > LIKE_BEFORE * before) & (weakest > 0.1 * before)
        value = np.where(clear & (size >= FEWEST_BEATS), value, 0.0)
        top = int(np.argmax(value))
        if value[top] > best:
            best = float(value[top])
            found = np.concatenate((times[: start + 1], tails[top, inside[top]]))
    return found
