"""The piece seen beat by beat: sound, harmony, bass and rhythm of every beat, and what changes at each.

Every row of the evidence answers one question about the moment a beat begins: does the harmony change here, does the
sound, is the beat before like a fill, does a passage heard 32 beats ago begin again. `structure` weighs the answers.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from noonwall.music.counting import beat_table
from noonwall.music.onsets import Onsets
from noonwall.music.pulse import Times
from noonwall.music.spectra import FRAMES_PER_SECOND, NOTES_PER_SECOND, Spectra

Facts = NDArray[np.float64]
BASS_NOTES = 24
REPEAT_LAGS = (8, 12, 16, 24, 32, 48)
HIGH_BANDS = 8
CONTEXT = (-4, -3, -2, -1, 0, 1, 2, 3, 4)


@dataclass(frozen=True, slots=True, eq=False)
class Beatwise:
    """One row per beat.

    Attributes:
        times: (beats + 1,) start of every beat and the end of the last, in seconds.
        sound: (beats, 32) mean compressed band loudness.
        chroma: (beats, 12) harmony, unit length.
        bass: (beats, 24) low notes, unit length.
        rhythm: (beats, 20) onset strength at four places for five groups.
        evidence: (beats, n) standardised answers, see the module.
    """

    times: Times
    sound: Facts
    chroma: Facts
    bass: Facts
    rhythm: Facts
    evidence: Facts


def _means(frames: NDArray[np.float32], times: Times, rate: float) -> Facts:
    """Mean of the frames of each beat."""
    edges = np.clip(np.rint(times * rate).astype(np.int64), 0, frames.shape[0])
    sums = np.concatenate((np.zeros((1, frames.shape[1])), np.cumsum(frames, axis=0, dtype=np.float64)))
    counts = np.maximum(np.diff(edges), 1)[:, None]
    result: Facts = (sums[edges[1:]] - sums[edges[:-1]]) / counts
    return result


def _unit(rows: Facts) -> Facts:
    """Rows scaled to length one; silent rows stay zero."""
    length = np.sqrt((rows ** 2).sum(axis=1, keepdims=True))
    result: Facts = rows / np.maximum(length, 1e-6)
    return result


def _window_mean(rows: Facts, beats: int) -> tuple[Facts, Facts]:
    """Mean over the `beats` beats before and from each beat, fewer at the ends."""
    count = rows.shape[0]
    sums = np.concatenate((np.zeros((1, rows.shape[1])), np.cumsum(rows, axis=0)))
    here = np.arange(count)
    before = np.maximum(here - beats, 0)
    after = np.minimum(here + beats, count)
    left = (sums[here] - sums[before]) / np.maximum(here - before, 1)[:, None]
    right = (sums[after] - sums[here]) / np.maximum(after - here, 1)[:, None]
    return left, right


def _turn(rows: Facts, beats: int) -> NDArray[np.float64]:
    """How different the direction of the mean before is from the mean after, 0 to 1."""
    left, right = _window_mean(rows, beats)
    result: NDArray[np.float64] = 1.0 - (_unit(left) * _unit(right)).sum(axis=1)
    result[0] = result[1:].mean() if result.size > 1 else 0.0
    return result


def _step(rows: Facts, beats: int) -> NDArray[np.float64]:
    """Distance between the mean before and the mean after."""
    left, right = _window_mean(rows, beats)
    result: NDArray[np.float64] = np.sqrt(((left - right) ** 2).sum(axis=1))
    result[0] = 0.0
    return result


def _repeats(rows: Facts, lag: int) -> NDArray[np.float64]:
    """Does the next stretch repeat what came `lag` beats before better than the last stretch did?"""
    count = rows.shape[0]
    alike = np.zeros(count)
    if count > lag:
        alike[lag:] = (rows[lag:] * rows[:-lag]).sum(axis=1)
    left, right = _window_mean(alike[:, None], 8)
    return (right - left)[:, 0]


def _fill(rhythm: Facts, period: int) -> NDArray[np.float64]:
    """How unlike the two beats before are to the same place one period earlier, less the same for what follows."""
    count = rhythm.shape[0]
    unlike = np.zeros(count)
    if count > period:
        unlike[period:] = np.sqrt(((rhythm[period:] - rhythm[:-period]) ** 2).sum(axis=1))
    left, _ = _window_mean(unlike[:, None], 2)
    before, right = _window_mean(unlike[:, None], 4)
    return (left - 0.5 * (before + right))[:, 0]


def _standard(column: NDArray[np.float64]) -> NDArray[np.float64]:
    spread = float(column.std())
    return np.clip((column - column.mean()) / spread, -4.0, 4.0) if spread > 1e-9 else np.zeros_like(column)


def see(spectra: Spectra, compressed: NDArray[np.float32], onsets: Onsets, times: Times) -> Beatwise:
    """Describe every beat.

    Args:
        spectra: Magnitudes of the piece.
        compressed: Its bands after `onsets.compress`.
        onsets: Its onset strength.
        times: (n,) beat times in seconds, the last one closing the last beat; at least 3.
    """
    sound = _means(compressed, times, FRAMES_PER_SECOND)
    level = float(np.percentile(spectra.notes.max(axis=1), 90.0)) if spectra.notes.size else 1.0
    notes = np.log1p(spectra.notes * np.float32(20.0 / max(level, 1e-9)))
    # A note window is 0.37 s wide: looking from a little after the beat keeps the old chord out.
    lagged = times + 0.04
    by_note = _means(notes, lagged, NOTES_PER_SECOND)
    bass = _unit(by_note[:, :BASS_NOTES])
    upper = by_note[:, 8:68].reshape(-1, 5, 12).sum(axis=1)
    chroma = _unit(upper - 0.8 * upper.mean(axis=1, keepdims=True))
    smooth = gaussian_filter1d(onsets.groups, 2.0, axis=0)
    table = beat_table(onsets, smooth, times).astype(np.float64)
    rhythm = table[:, ::6, :].reshape(table.shape[0], -1)
    columns = [_turn(chroma, 1), _turn(chroma, 2), _turn(chroma, 4), _turn(bass, 1), _turn(bass, 2)]
    columns += [table[:, 0, group] for group in range(table.shape[2])]
    columns += [_step(sound, beats) for beats in (1, 4, 8, 16)]
    columns += [_step(rhythm, beats) for beats in (4, 8, 16)]
    columns += [_turn(chroma, 8), _turn(chroma, 16)]
    left, right = _window_mean(sound.mean(axis=1, keepdims=True), 4)
    columns.append((right - left)[:, 0])
    high_left, high_right = _window_mean(sound[:, -HIGH_BANDS:].mean(axis=1, keepdims=True), 2)
    columns.append((high_right - high_left)[:, 0])
    joint = np.concatenate((chroma, _unit(rhythm), _unit(sound - sound.mean(axis=0))), axis=1)
    columns += [_repeats(joint, lag) for lag in REPEAT_LAGS]
    columns += [_fill(rhythm, 4), _fill(rhythm, 8)]
    evidence = np.stack([_standard(column) for column in columns], axis=1)
    return Beatwise(times, sound, chroma, bass, rhythm, evidence)


def in_context(evidence: Facts) -> Facts:
    """Each row with its neighbours up to four beats away and marks for the first beat: (beats, n * 9 + 2)."""
    count, width = evidence.shape
    reach = max(CONTEXT)
    padded = np.zeros((count + 2 * reach, width))
    padded[reach:reach + count] = evidence
    parts = [padded[reach + shift:reach + shift + count] for shift in CONTEXT]
    first = np.zeros((count, 2))
    first[0, 0] = 1.0
    first[:, 1] = 1.0
    return np.concatenate([*parts, first], axis=1)
