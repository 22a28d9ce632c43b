"""Loudness by ITU-R BS.1770-4, block by block, and true peaks: what levels a track.

pyloudnorm supplies the standard's frequency weighting; the gating is done here, because its meter wants the
whole track in memory three times. Tests hold both to pyloudnorm's own meter and to FFmpeg's.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import pyloudnorm
import soxr
from numpy.typing import NDArray

from noonwall.outputs.sound_file import TRACK_RATE_HZ, Samples

BLOCK_SECONDS, STEP_SECONDS = 0.4, 0.1
ABSOLUTE_GATE_LUFS, RELATIVE_GATE_LU = -70.0, -10.0
_OFFSET = -0.691
"""Gating of ITU-R BS.1770-4, annex 1: blocks of 400 ms that lap over by 75%, gates at -70 LUFS and -10 LU."""

RUN_IN = TRACK_RATE_HZ // 2
"""Samples before a block that the weighting filters hear first; their memory is far shorter than 0.5 s."""

OVERSAMPLED = 4
"""Times, as in ITU-R BS.1770-4, annex 2."""

HOP = TRACK_RATE_HZ // 100
"""Samples of a hundredth of a second, the grid of peaks and of gains."""


class _Weighting(pyloudnorm.IIRfilter):  # type: ignore[misc]
    """The two filters of the standard as one of the fourth order: half the time of one after the other."""

    def __init__(self) -> None:
        # "DeMan" are the filters of the standard's own coefficients, at any rate of samples
        above, below = np.ones(1), np.ones(1)
        for stage in pyloudnorm.Meter(TRACK_RATE_HZ, filter_class="DeMan")._filters.values():
            above, below = np.convolve(above, stage.b), np.convolve(below, stage.a)
        self._coefficients = above, below
        super().__init__(0.0, 1.0, 0.0, TRACK_RATE_HZ, "K weighting")

    def generate_coefficients(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        return self._coefficients


_WEIGHTING = _Weighting()


@dataclass(frozen=True, slots=True)
class Measured:
    """What a track measures.

    Attributes:
        lufs: integrated loudness, -inf for silence.
        peaks: highest sample of every hundredth of a second, linear.
        powers: weighted power of every tenth of a second, both channels together.
    """

    lufs: float
    peaks: NDArray[np.float32]
    powers: NDArray[np.float64]

    @property
    def peak_db(self) -> float:
        """The highest of the peaks, dB to full scale."""
        top = float(self.peaks.max(initial=0.0))
        return 20.0 * float(np.log10(top)) if top > 0.0 else float("-inf")


def weighted_power(samples: Samples) -> float:
    """Return the mean square of a mono sound after the K weighting."""
    return float(np.mean(_weighted(samples.astype(np.float64)) ** 2)) if samples.size else 0.0


def _weighted(channel: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(_WEIGHTING.apply_filter(channel), dtype=np.float64)


def measure(blocks: Iterable[Samples]) -> Measured:
    """Measure a stereo track that comes in blocks of shape (samples, 2), joined without a gap.

    All blocks but the last are whole hundredths of a second.
    """
    powers: list[NDArray[np.float64]] = []
    peaks: list[NDArray[np.float32]] = []
    before = np.zeros((0, 2), np.float32)
    rest = np.zeros(0, np.float64)
    step = round(STEP_SECONDS * TRACK_RATE_HZ)
    for block in blocks:
        heard = np.ascontiguousarray(np.concatenate((before, block)).T, dtype=np.float64)
        left, right = _weighted(heard[0]), _weighted(heard[1])
        power = (left * left + right * right)[before.shape[0] :]
        rest = np.concatenate((rest, power))
        whole = rest.size // step
        powers.append(rest[: whole * step].reshape(whole, step).mean(axis=1))
        rest = rest[whole * step :]
        peaks.append(sample_peaks(block))
        before = block[-RUN_IN:]
    steps = np.concatenate(powers) if powers else np.zeros(0)
    return Measured(gated(steps), np.concatenate(peaks) if peaks else np.zeros(0, np.float32), steps)


def true_peaks(blocks: Iterable[Samples]) -> NDArray[np.float32]:
    """Return the true peak of every hundredth of a second of a track; for its blocks see :func:`measure`."""
    peaks = [np.zeros(0, np.float32)]
    before = np.zeros((0, 2), np.float32)
    for block in blocks:
        peaks.append(true_peaks_of(block, before))
        before = block[-OVERSAMPLED * 16 :]
    return np.concatenate(peaks)


def loudness_with(powers: NDArray[np.float64], gains: NDArray[np.float32]) -> float:
    """Return the loudness a measured track has once it is turned up and down, LUFS.

    Args:
        powers: of every tenth of a second, from :func:`measure`.
        gains: at every hundredth of a second, linear; so slow that they hardly change within a tenth.
    """
    whole = gains[: 10 * powers.size].astype(np.float64) ** 2
    return gated(powers * whole.reshape(powers.size, 10).mean(axis=1))


def gated(steps: NDArray[np.float64]) -> float:
    """Return the integrated loudness of the weighted power (both channels) of every 100 ms, LUFS."""
    lapped = round(BLOCK_SECONDS / STEP_SECONDS)
    if steps.size < lapped:
        return _lufs(float(steps.mean())) if steps.size else float("-inf")
    blocks = np.convolve(steps, np.full(lapped, 1.0 / lapped), "valid")
    loud = blocks[blocks > 10.0 ** ((ABSOLUTE_GATE_LUFS - _OFFSET) / 10.0)]
    if not loud.size:
        return float("-inf")
    gate = loud.mean() * 10.0 ** (RELATIVE_GATE_LU / 10.0)
    return _lufs(float(loud[loud > gate].mean()))


def _lufs(power: float) -> float:
    return _OFFSET + 10.0 * float(np.log10(power)) if power > 0.0 else float("-inf")


def sample_peaks(block: Samples) -> NDArray[np.float32]:
    """Return the highest sample of each hundredth of a second of a stereo block, shape (hundredths,)."""
    return _per_hop(np.abs(block).reshape(-1), 2 * HOP)


def true_peaks_of(block: Samples, before: Samples) -> NDArray[np.float32]:
    """Return the true peak of each hundredth of a second of a stereo block, shape (hundredths,).

    Args:
        block: shape (samples, 2).
        before: what sounds just before it, so that no peak at the seam is missed.
    """
    over = soxr.resample(np.concatenate((before, block)), 1, OVERSAMPLED, quality="HQ")
    between = np.abs(over[OVERSAMPLED * before.shape[0] :])
    whole = block.shape[0] * OVERSAMPLED
    padded = np.zeros((whole, 2), np.float32)
    padded[: min(whole, between.shape[0])] = between[:whole]
    return np.maximum(_per_hop(padded.reshape(-1), 2 * HOP * OVERSAMPLED), sample_peaks(block))


def _per_hop(values: NDArray[np.float32], size: int) -> NDArray[np.float32]:
    hops = -(-values.size // size)
    if values.size < hops * size:
        values = np.concatenate((values, np.zeros(hops * size - values.size, np.float32)))
    return np.asarray(values.reshape(hops, size).max(axis=1), dtype=np.float32)
