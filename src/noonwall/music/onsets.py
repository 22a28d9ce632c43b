"""Band loudness in, onset strength out: five curves, low to high, each fair to quiet and loud passages.

Method: log-compressed magnitudes; rise over two frames against the loudest neighbouring band (so that a
sliding pitch or vibrato is no onset, after Böck and Widmer, "Maximum filter vibrato suppression for onset
detection", DAFx 2013); sum by group; less the local mean; divided by the local strength.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d, maximum_filter1d, uniform_filter1d

from noonwall.music.spectra import FRAMES_PER_SECOND, Spectra

GROUP_UPPER_HZ = (130.0, 500.0, 2500.0, 6500.0, 20000.0)
GROUPS = ("low", "body", "middle", "high", "air")
COMPRESSION = 40.0
LAG_FRAMES = 2
FAIRNESS_SECONDS = 6.0
CLEAR_SHARE = 0.08  # of the usual strongest onset
CLEAR_WITHIN_SECONDS = 1.0
LOUD_SHARE = 0.15  # of the loud level
# The rise over a Hann window is seen before the window's centre reaches the onset; measured on clicks and
# rendered drums, see tests/music/test_onsets.py.
LATENCY_SECONDS = -0.003

Curves = NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class Onsets:
    """Onset strength of one piece.

    Attributes:
        groups: (frames, 5) onset strength low to high, local strength about 1.
        total: (frames,) mean of the groups.
        loudness: (frames,) compressed loudness, 0 in silence.
        first_seconds: Time of the first clear onset.
        last_seconds: Time of the last clear onset.
        seconds: Length of the piece.
    """

    groups: Curves
    total: Curves
    loudness: Curves
    first_seconds: float
    last_seconds: float
    seconds: float

    def frame_at(self, times_seconds: NDArray[np.float64]) -> NDArray[np.int64]:
        """Nearest frame for each onset time, kept inside the piece."""
        frames = np.rint((times_seconds - LATENCY_SECONDS) * FRAMES_PER_SECOND).astype(np.int64)
        return np.clip(frames, 0, self.total.size - 1)


def compress(spectra: Spectra) -> Curves:
    """Band magnitudes on a log scale relative to the piece's own loud level, so that gain does not matter."""
    level = float(np.percentile(spectra.bands.max(axis=1), 90.0)) if spectra.bands.size else 0.0
    scaled = spectra.bands * np.float32(COMPRESSION / max(level, 1e-9))
    compressed: Curves = np.log1p(scaled, out=scaled)
    return compressed


def find_onsets(spectra: Spectra, compressed: Curves) -> Onsets:
    """Measure onset strength in five frequency groups.

    Args:
        spectra: Magnitudes of the piece.
        compressed: The same bands after `compress`.

    Returns:
        Curves at `FRAMES_PER_SECOND`; all zero where nothing sounds.
    """
    widest = maximum_filter1d(compressed, 3, axis=1, mode="nearest")
    rise = np.zeros_like(compressed)
    np.subtract(compressed[LAG_FRAMES:], widest[:-LAG_FRAMES], out=rise[LAG_FRAMES:])
    np.maximum(rise, 0.0, out=rise)
    groups = np.zeros((compressed.shape[0], len(GROUPS)), np.float32)
    owner = np.searchsorted(np.array(GROUP_UPPER_HZ), spectra.band_hz)
    for group in range(len(GROUPS)):
        groups[:, group] = rise[:, owner == group].sum(axis=1)
    groups = gaussian_filter1d(groups, 1.0, axis=0)
    groups -= 0.7 * uniform_filter1d(groups, int(0.4 * FRAMES_PER_SECOND), axis=0)
    np.maximum(groups, 0.0, out=groups)
    first, last = _bounds(groups.sum(axis=1), compressed.mean(axis=1))
    squared = uniform_filter1d(groups**2, int(FAIRNESS_SECONDS * FRAMES_PER_SECOND), axis=0)
    strength = np.sqrt(np.maximum(squared, 0.0))
    # A floor keeps the noise of near-silent passages, and empty groups, from being blown up.
    floor = 0.25 * np.sqrt((groups**2).mean(axis=0)) + 0.02 * float(np.sqrt((groups**2).mean())) + 1e-6
    groups /= np.maximum(strength, floor)
    return Onsets(
        groups,
        groups.mean(axis=1),
        compressed.mean(axis=1),
        first,
        last,
        spectra.seconds,
    )


def _bounds(strength: Curves, loudness: Curves) -> tuple[float, float]:
    """Seconds of the first sound and of the last clear onset.

    Hiss before the music is too soft to count, a swelling chord is not; the ring after the last note has no
    onset.
    """
    peaks = maximum_filter1d(strength, int(CLEAR_WITHIN_SECONDS * FRAMES_PER_SECOND))
    clear = np.flatnonzero(strength > CLEAR_SHARE * float(np.median(peaks)))
    if clear.size == 0:
        return 0.0, 0.0
    loud = np.flatnonzero(loudness > LOUD_SHARE * float(np.percentile(loudness, 95.0)))
    first = min(int(clear[0]), int(loud[0])) if loud.size else int(clear[0])
    return first / FRAMES_PER_SECOND + LATENCY_SECONDS, int(clear[-1]) / FRAMES_PER_SECOND + LATENCY_SECONDS
