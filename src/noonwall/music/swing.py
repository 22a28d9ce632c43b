"""Where the half count sounds: 0.5 in straight music, about 0.6 to 0.67 when it swings."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from noonwall.music.onsets import LATENCY_SECONDS, Onsets
from noonwall.music.pulse import Times
from noonwall.music.spectra import FRAMES_PER_SECOND

BINS = 96
EARLIEST, LATEST = 0.42, 0.74
SWUNG_FROM = 0.56


def find_swing(onsets: Onsets, times: Times) -> tuple[float, float]:
    """Measure the place of the half count.

    Args:
        onsets: Onset strength of the piece.
        times: Beat times in seconds.

    Returns:
        The place as a share of the beat (0.5 when nothing sounds between the beats), and how sure, 0 to 1.
    """
    if times.size < 9:
        return 0.5, 0.0
    frames = np.arange(onsets.total.size) / FRAMES_PER_SECOND + LATENCY_SECONDS
    place = np.interp(frames, times, np.arange(times.size))
    inside = (frames >= times[0]) & (frames < times[-1])
    upper: NDArray[np.float64] = onsets.groups[inside].sum(axis=1, dtype=np.float64)
    folded = np.bincount(((place[inside] % 1.0) * BINS).astype(np.int64) % BINS, upper, BINS)
    smooth = gaussian_filter1d(folded / max(folded.mean(), 1e-9), 2.0, mode="wrap")
    low, high = int(EARLIEST * BINS), int(LATEST * BINS)
    window = smooth[low:high]
    peak = int(np.argmax(window))
    at = (low + peak + 0.5) / BINS
    height = float(window[peak] - np.median(smooth))
    rival = np.abs(np.arange(window.size) - peak) > 5
    gap = float(window[peak] - window[rival].max()) if rival.any() else 0.0
    sure = float(np.clip(height, 0.0, 1.0) * np.clip(gap / 0.4, 0.0, 1.0))
    # Sixteenths at 3/4 are no swing; a faint bump is none either.
    if height < 0.15 or peak in (0, window.size - 1):
        return 0.5, sure
    return round(at, 3), sure
