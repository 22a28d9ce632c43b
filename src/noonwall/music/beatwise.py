"""The piece seen beat by beat: sound, harmony, bass and rhythm of every beat, and what changes at each.

Every row of the evidence answers one question about the moment a beat begins: does the harmony change here,
does the sound, is the beat before like a fill, does a passage heard 32 beats ago begin again. `structure`
weighs the answers.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from noonwall.music.counting import beat_table
from noonwall.music.onsets import Onsets
from noonwall.music.passages import Facts, Passages, step, turn, unit, window_mean
from noonwall.music.pulse import Times

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


def _repeats(rows: Facts, lag: int) -> NDArray[np.float64]:
    """Does the next stretch repeat what came `lag` beats before better than the last stretch did?"""
    count = rows.shape[0]
    alike = np.zeros(count)
    if count > lag:
        alike[lag:] = (rows[lag:] * rows[:-lag]).sum(axis=1)
    left, right = window_mean(alike[:, None], 8)
    return (right - left)[:, 0]


def _fill(rhythm: Facts, period: int) -> NDArray[np.float64]:
    """How unlike the two beats before are to those one period earlier, less the same after."""
    count = rhythm.shape[0]
    unlike = np.zeros(count)
    if count > period:
        unlike[period:] = np.sqrt(((rhythm[period:] - rhythm[:-period]) ** 2).sum(axis=1))
    left, _ = window_mean(unlike[:, None], 2)
    before, right = window_mean(unlike[:, None], 4)
    return (left - 0.5 * (before + right))[:, 0]


def standard(column: NDArray[np.float64]) -> NDArray[np.float64]:
    """The column less its mean in units of its spread, at most 4 either way; zero where it never changes."""
    spread = float(column.std())
    return np.clip((column - column.mean()) / spread, -4.0, 4.0) if spread > 1e-9 else np.zeros_like(column)


def see(passages: Passages, onsets: Onsets, times: Times) -> Beatwise:
    """Describe every beat.

    Args:
        passages: Sound and harmony of the piece.
        onsets: Its onset strength.
        times: (n,) beat times in seconds, the last one closing the last beat; at least 3.
    """
    sound, chroma, bass = passages.describe(times)
    smooth = gaussian_filter1d(onsets.groups, 2.0, axis=0)
    table = beat_table(onsets, smooth, times).astype(np.float64)
    rhythm = table[:, ::6, :].reshape(table.shape[0], -1)
    columns = [turn(chroma, 1), turn(chroma, 2), turn(chroma, 4), turn(bass, 1), turn(bass, 2)]
    columns += [table[:, 0, group] for group in range(table.shape[2])]
    columns += [step(sound, beats) for beats in (1, 4, 8, 16)]
    columns += [step(rhythm, beats) for beats in (4, 8, 16)]
    columns += [turn(chroma, 8), turn(chroma, 16)]
    left, right = window_mean(sound.mean(axis=1, keepdims=True), 4)
    columns.append((right - left)[:, 0])
    high_left, high_right = window_mean(sound[:, -HIGH_BANDS:].mean(axis=1, keepdims=True), 2)
    columns.append((high_right - high_left)[:, 0])
    joint = np.concatenate((chroma, unit(rhythm), unit(sound - sound.mean(axis=0))), axis=1)
    columns += [_repeats(joint, lag) for lag in REPEAT_LAGS]
    columns += [_fill(rhythm, 4), _fill(rhythm, 8)]
    evidence = np.stack([standard(column) for column in columns], axis=1)
    return Beatwise(times, sound, chroma, bass, rhythm, evidence)


def in_context(evidence: Facts) -> Facts:
    """Each row with its neighbours up to four beats away and marks for the first beat: (beats, n * 9 + 2)."""
    count, width = evidence.shape
    reach = max(CONTEXT)
    padded = np.zeros((count + 2 * reach, width))
    padded[reach : reach + count] = evidence
    parts = [padded[reach + shift : reach + shift + count] for shift in CONTEXT]
    first = np.zeros((count, 2))
    first[0, 0] = 1.0
    first[:, 1] = 1.0
    return np.concatenate([*parts, first], axis=1)
