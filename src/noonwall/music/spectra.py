"""Blocks of samples in, two small pictures of the piece out: loudness by band, and loudness by note.

`bands` has fine time (5.8 ms) for onsets; `notes` has fine pitch (2.7 Hz) for harmony and bass. Both are
built block by block, so half an hour needs about 60 MB and the samples themselves are never kept.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import scipy.fft
import soxr
from numpy.typing import NDArray

from noonwall.music.decode import ANALYSIS_RATE_HZ, Samples

BAND_WINDOW = 1024
BAND_HOP = 128
BAND_COUNT = 32
BAND_LOWEST_HZ = 30.0
BAND_HIGHEST_HZ = 10500.0
FRAMES_PER_SECOND = ANALYSIS_RATE_HZ / BAND_HOP

NOTE_RATE_HZ = 5512.5
NOTE_WINDOW = 2048
NOTE_HOP = 256
NOTE_LOWEST_MIDI = 28
NOTE_HIGHEST_MIDI = 96
CHUNK = 96  # windows at a time: what fits into a core's own cache

NOTES_PER_SECOND = NOTE_RATE_HZ / NOTE_HOP

Matrix = NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class Spectra:
    """Two magnitude pictures of one piece.

    Attributes:
        bands: (frames, 32) float32 magnitudes, frame i centred at i / FRAMES_PER_SECOND seconds.
        band_hz: (32,) centre of each band.
        notes: (frames, 69) float32 magnitudes by semitone from MIDI note 28, frame i centred at i /
            NOTES_PER_SECOND.
        seconds: Length of the piece.
    """

    bands: Matrix
    band_hz: NDArray[np.float64]
    notes: Matrix
    seconds: float


def band_edges_hz() -> NDArray[np.float64]:
    """Edges of the bands: at least one bin wide below, then equal steps in pitch."""
    bin_hz = ANALYSIS_RATE_HZ / BAND_WINDOW
    edges = np.geomspace(BAND_LOWEST_HZ, BAND_HIGHEST_HZ, BAND_COUNT + 1)
    for index in range(1, edges.size):
        edges[index] = max(edges[index], edges[index - 1] + bin_hz)
    return edges


def _band_matrix() -> tuple[Matrix, NDArray[np.float64]]:
    edges = band_edges_hz()
    hz = np.arange(BAND_WINDOW // 2 + 1) * ANALYSIS_RATE_HZ / BAND_WINDOW
    matrix = np.zeros((hz.size, BAND_COUNT), np.float32)
    owner = np.searchsorted(edges, hz, side="right") - 1
    for band in range(BAND_COUNT):
        members = np.flatnonzero(owner == band)
        matrix[members, band] = 1.0 / np.sqrt(max(1, members.size))
    return matrix, np.sqrt(edges[:-1] * edges[1:])


def _note_matrix() -> Matrix:
    hz = np.arange(NOTE_WINDOW // 2 + 1) * NOTE_RATE_HZ / NOTE_WINDOW
    midi = 69.0 + 12.0 * np.log2(np.maximum(hz, 1.0) / 440.0)
    notes = np.arange(NOTE_LOWEST_MIDI, NOTE_HIGHEST_MIDI + 1)
    closeness = 1.0 - np.abs(midi[:, None] - notes[None, :]) / 0.75
    weights = np.maximum(closeness, 0.0)
    totals = weights.sum(axis=0, keepdims=True)
    # Below about 50 Hz a semitone is narrower than a bin: the nearest bin stands for it.
    for column in np.flatnonzero(totals[0] < 0.5):
        weights[int(np.argmin(np.abs(midi - notes[column]))), column] = 1.0
    matrix: Matrix = (weights / np.sqrt(np.maximum(weights.sum(axis=0, keepdims=True), 1.0))).astype(
        np.float32
    )
    return matrix


class _Frames:
    """Cuts a stream of blocks into overlapping windows and keeps one matrix row per window."""

    def __init__(self, window: int, hop: int, matrix: Matrix) -> None:
        self._hop = hop
        self._size = window
        self._matrix = matrix
        self._shape = (np.hanning(window + 1)[:-1] * (2.0 / window)).astype(np.float32)
        self._rest: Samples = np.zeros(window // 2, np.float32)
        self._rows: list[Matrix] = []

    def feed(self, block: Samples) -> None:
        samples = np.concatenate((self._rest, block))
        count = (samples.size - self._size) // self._hop + 1
        if count <= 0:
            self._rest = samples
            return
        views = np.lib.stride_tricks.sliding_window_view(samples, self._size)[:: self._hop][:count]
        for first in range(0, count, CHUNK):
            windows = views[first : first + CHUNK] * self._shape
            spectrum = scipy.fft.rfft(windows, axis=1, overwrite_x=True)
            power = spectrum.real**2
            power += spectrum.imag**2
            self._rows.append(np.sqrt(power @ self._matrix))
        self._rest = samples[count * self._hop :].copy()

    def finish(self) -> Matrix:
        self.feed(np.zeros(self._size // 2, np.float32))
        return np.concatenate(self._rows) if self._rows else np.zeros((0, self._matrix.shape[1]), np.float32)


def measure(blocks: Iterable[Samples]) -> Spectra:
    """Turn decoded blocks into band and note magnitudes.

    Args:
        blocks: Mono float32 at `ANALYSIS_RATE_HZ`, in order.

    Returns:
        The two pictures and the length in seconds. An empty stream gives pictures without frames.
    """
    band_matrix, band_hz = _band_matrix()
    bands = _Frames(BAND_WINDOW, BAND_HOP, band_matrix)
    notes = _Frames(NOTE_WINDOW, NOTE_HOP, _note_matrix())
    lower = soxr.ResampleStream(ANALYSIS_RATE_HZ, NOTE_RATE_HZ, 1, dtype="float32", quality="LQ")
    heard = 0
    for block in blocks:
        heard += block.size
        bands.feed(block)
        notes.feed(lower.resample_chunk(block))
    notes.feed(lower.resample_chunk(np.zeros(0, np.float32), last=True))
    return Spectra(bands.finish(), band_hz, notes.finish(), heard / ANALYSIS_RATE_HZ)
