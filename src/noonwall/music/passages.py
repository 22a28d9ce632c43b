"""Mean sound and harmony of any passage of the piece, from running sums made once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from noonwall.music.pulse import Times
from noonwall.music.spectra import FRAMES_PER_SECOND, NOTES_PER_SECOND, Spectra

Facts = NDArray[np.float64]
BASS_NOTES = 24
UPPER_NOTES = slice(8, 68)
# A note window is 0.37 s wide: looking from a little after the beat keeps the old chord out.
NOTE_LAG_SECONDS = 0.04
NOTE_COMPRESSION = 20.0


@dataclass(frozen=True, slots=True, eq=False)
class Passages:
    """Running sums of a piece's loudness by band and by note."""

    band_sums: Facts
    note_sums: Facts

    def describe(self, times: Times) -> tuple[Facts, Facts, Facts]:
        """Sound (n, 32), harmony (n, 12) and bass (n, 24) between successive times in seconds."""
        sound = _means(self.band_sums, times, FRAMES_PER_SECOND)
        notes = _means(self.note_sums, times + NOTE_LAG_SECONDS, NOTES_PER_SECOND)
        upper = notes[:, UPPER_NOTES].reshape(-1, 5, 12).sum(axis=1)
        chroma = unit(upper - 0.8 * upper.mean(axis=1, keepdims=True))
        return sound, chroma, unit(notes[:, :BASS_NOTES])


def gather(spectra: Spectra, compressed: NDArray[np.float32]) -> Passages:
    """Running sums for a piece.

    Args:
        spectra: Magnitudes of the piece.
        compressed: Its bands after `onsets.compress`.
    """
    level = float(np.percentile(spectra.notes.max(axis=1), 90.0)) if spectra.notes.size else 1.0
    notes = np.log1p(spectra.notes * np.float32(NOTE_COMPRESSION / max(level, 1e-9)))
    return Passages(_sums(compressed), _sums(notes))


def _sums(frames: NDArray[np.float32]) -> Facts:
    sums = np.zeros((frames.shape[0] + 1, frames.shape[1]))
    np.cumsum(frames, axis=0, dtype=np.float64, out=sums[1:])
    return sums


def _means(sums: Facts, times: Times, rate: float) -> Facts:
    edges = np.clip(np.rint(times * rate).astype(np.int64), 0, sums.shape[0] - 1)
    counts = np.maximum(np.diff(edges), 1)[:, None]
    result: Facts = (sums[edges[1:]] - sums[edges[:-1]]) / counts
    return result


def unit(rows: Facts) -> Facts:
    """Rows scaled to length one; silent rows stay zero."""
    length = np.sqrt((rows**2).sum(axis=1, keepdims=True))
    result: Facts = rows / np.maximum(length, 1e-6)
    return result


def window_mean(rows: Facts, beats: int) -> tuple[Facts, Facts]:
    """Mean over the `beats` rows before and from each row, fewer at the ends."""
    count = rows.shape[0]
    sums = np.concatenate((np.zeros((1, rows.shape[1])), np.cumsum(rows, axis=0)))
    here = np.arange(count)
    before = np.maximum(here - beats, 0)
    after = np.minimum(here + beats, count)
    left = (sums[here] - sums[before]) / np.maximum(here - before, 1)[:, None]
    right = (sums[after] - sums[here]) / np.maximum(after - here, 1)[:, None]
    return left, right


def turn(rows: Facts, beats: int) -> NDArray[np.float64]:
    """How different the direction of the mean before each row is from the mean after, 0 to 1."""
    left, right = window_mean(rows, beats)
    result: NDArray[np.float64] = 1.0 - (unit(left) * unit(right)).sum(axis=1)
    result[0] = result[1:].mean() if result.size > 1 else 0.0
    return result


def step(rows: Facts, beats: int) -> NDArray[np.float64]:
    """Distance between the mean before each row and the mean after."""
    left, right = window_mean(rows, beats)
    result: NDArray[np.float64] = np.sqrt(((left - right) ** 2).sum(axis=1))
    result[0] = 0.0
    return result
