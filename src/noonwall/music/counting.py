"""Pulses in, the beat a dancer counts out: every reading of the pulses is described, weighed and kept.

A reading is a rate and a phase. Each is described by a few dozen plain facts (how much low, middle and high
onset strength lies on the beat, half way, at the quarters and thirds; whether kick and snare take turns; how
fast it is) and weighed by one linear score. The weights were fitted on rendered
pieces with known beats by benchmarks/fit_listening.py.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d, maximum_filter1d

from noonwall.music.onsets import GROUPS, LATENCY_SECONDS, Onsets
from noonwall.music.passages import Passages, step, turn
from noonwall.music.pulse import Pulse, Times, find_pulse, strongest_rates
from noonwall.music.spectra import FRAMES_PER_SECOND
from noonwall.music.weights import COUNTING

SLOWEST_BPM = 54.0
FASTEST_BPM = 216.0
RATIOS = (1.0, 2.0, 0.5, 3.0, 1.0 / 3.0, 1.5, 2.0 / 3.0, 4.0, 0.25)
PULSES = 3
SUBDIVISIONS = 24
TEMPO_KNOTS_BPM = (58.0, 70.0, 80.0, 90.0, 100.0, 115.0, 130.0, 145.0, 160.0, 175.0, 190.0, 216.0)
STRETCH_BEATS = 16
SHORTLIST = 12
BOUND_BEATS = 0.15
# No published dance tempo lies between night-club two-step (54 to 64) and country waltz (76 to 98, both
# C. Duttlinger, tempo ranges for country-western dances), so a count there is unlikely: from `GAP_BPM` up
# to `SLOW_BPM`, easing off over some beats a minute. Common practice, no source, for how much it counts.
GAP_BPM, GAP_RAMP_BPM = 64.0, 4.0
SLOW_BPM, SLOW_RAMP_BPM, SLOW_COST = 82.0, 6.0, 2.0
CYCLES = (2, 3, 4, 8)
NOTHING = np.zeros(0)


@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """One way to count the piece.

    Attributes:
        pulse: The layer it is built on.
        ratio: Beats per tick of that layer.
        offset: Beat number (fraction) at tick 0.
        bpm: Beats per minute.
        facts: Description, see `describe`.
        score: Weighed description; differences are log odds.
    """

    pulse: Pulse
    ratio: float
    offset: float
    bpm: float
    facts: NDArray[np.float64]
    score: float

    def beat_number_at(self, seconds: Times) -> Times:
        """Beat number at each time; whole numbers are beats."""
        return self.pulse.ticks_at(seconds) * self.ratio - self.offset

    def seconds_at(self, beat_numbers: Times) -> Times:
        """Time of each beat number."""
        return self.pulse.seconds_at((beat_numbers + self.offset) / self.ratio)


def _rate_hz(pulse: Pulse) -> float:
    slopes = np.diff(pulse.knot_ticks) / np.diff(pulse.knot_seconds)
    return float(np.median(slopes))


def _phases(pulse: Pulse, ratio: float, curve: NDArray[np.float32]) -> list[float]:
    """Up to four places within the beat where onsets pile up, and the half after the first."""
    times = np.arange(curve.size) / FRAMES_PER_SECOND + LATENCY_SECONDS
    bins = 120
    fraction = (pulse.ticks_at(times) * ratio) % 1.0
    folded = np.bincount((fraction * bins).astype(np.int64) % bins, curve, bins)
    smooth = gaussian_filter1d(folded, max(1.0, 0.015 * _rate_hz(pulse) * ratio * bins), mode="wrap")
    peaks = np.flatnonzero(smooth >= maximum_filter1d(smooth, 17, mode="wrap"))
    ordered = sorted(peaks, key=lambda peak: -smooth[peak])[:4]
    phases = [(float(peak) + 0.5) / bins for peak in ordered]
    half = (phases[0] + 0.5) % 1.0
    if all(min(abs(half - other), 1.0 - abs(half - other)) > 0.08 for other in phases):
        phases.append(half)
    return phases


def beat_table(onsets: Onsets, smooth: NDArray[np.float32], times_of: Times) -> NDArray[np.float32]:
    """Onset strength at `SUBDIVISIONS` places in every beat: (beats, subdivisions, groups)."""
    beats = times_of.size - 1
    parts = np.arange(SUBDIVISIONS) / SUBDIVISIONS
    times = times_of[:-1, None] + np.diff(times_of)[:, None] * parts[None, :]
    return smooth[onsets.frame_at(times.ravel())].reshape(beats, SUBDIVISIONS, len(GROUPS))


def describe(table: NDArray[np.float32], bpm: float) -> NDArray[np.float64]:
    """The facts about one reading.

    Args:
        table: From `beat_table`.
        bpm: Beats per minute of the reading.

    Returns:
        One vector: log strength on the beat, at the half, the quarters and the thirds for each group; share
        of the beat-to-beat change with a cycle of 2, 3, 4 and 8 beats for each group; how far low and
        middle, low and high take turns; tempo as weights of its two nearest `TEMPO_KNOTS_BPM`.
    """
    profile = table.mean(axis=0, dtype=np.float64)
    profile = (profile + 0.02) / (profile.mean(axis=0, keepdims=True) + 0.02)
    quarter = SUBDIVISIONS // 4
    third = SUBDIVISIONS // 3
    places = np.stack(
        [
            profile[0],
            profile[2 * quarter],
            0.5 * (profile[quarter] + profile[3 * quarter]),
            profile[2 * third],
            profile[third],
        ]
    )
    facts = [np.log(places + 0.1).ravel()]
    beat = table[:, 0, :].astype(np.float64)
    facts.append(_cycles(beat))
    facts.append(_turns(beat))
    knots = np.log2(np.array(TEMPO_KNOTS_BPM))
    hats = np.array([np.interp(np.log2(bpm), knots, row) for row in np.eye(knots.size)])
    facts.append(hats)
    return np.concatenate(facts)


def _opening(onsets: Onsets, reading: Reading) -> NDArray[np.float64]:
    """Does the first sound fall on a beat (1) or half way (-1)? Most pieces begin on a beat."""
    number = reading.beat_number_at(np.array([onsets.first_seconds]))
    return np.cos(2.0 * np.pi * number)


def _stretches(beat: NDArray[np.float64]) -> NDArray[np.float64]:
    """Overlapping stretches of 16 beats: (stretches, 16, groups); a short piece is one padded stretch."""
    if beat.shape[0] < STRETCH_BEATS:
        beat = np.pad(beat, ((0, STRETCH_BEATS - beat.shape[0]), (0, 0)), mode="wrap")
    views = np.lib.stride_tricks.sliding_window_view(beat, STRETCH_BEATS, axis=0)[::8]
    return np.moveaxis(views, 2, 1)


def _cycles(beat: NDArray[np.float64]) -> NDArray[np.float64]:
    """How much of each group's beat-to-beat change has a cycle of each of `CYCLES`, 0 to 1."""
    stretches = _stretches(beat)
    centred = stretches - stretches.mean(axis=1, keepdims=True)
    power = (centred**2).sum(axis=(0, 1)) + 1e-3
    shares = []
    steps = np.arange(STRETCH_BEATS)
    for cycle in CYCLES:
        turn = np.exp(-2j * np.pi * steps / cycle)
        amount = np.abs((centred * turn[None, :, None]).sum(axis=1)) ** 2 / STRETCH_BEATS
        shares.append(np.sqrt((1.0 if cycle == 2 else 2.0) * amount.sum(axis=0) / power))
    return np.concatenate(shares)


def _turns(beat: NDArray[np.float64]) -> NDArray[np.float64]:
    """Backbeat: do low and middle (and low and high) strength take turns beat by beat, -1 to 1."""
    stretches = _stretches(beat)
    sign = np.where(np.arange(STRETCH_BEATS) % 2 == 0, 1.0, -1.0)
    swing = (stretches * sign[None, :, None]).mean(axis=1)
    mean = stretches.mean(axis=1) + 0.05
    relative = swing / mean
    return np.array(
        [
            -(relative[:, 0] * relative[:, 2]).mean(),
            -(relative[:, 0] * relative[:, 3]).mean(),
            -(relative[:, 0] * relative[:, 1]).mean(),
        ]
    )


def _families(onsets: Onsets) -> list[Pulse]:
    """A few pulses that are not simple multiples of each other."""
    chosen: list[float] = []
    for rate in strongest_rates(onsets, 8):
        related = any(abs(rate / (other * ratio) - 1.0) < 0.02 for other in chosen for ratio in RATIOS)
        if not related:
            chosen.append(rate)
        if len(chosen) == PULSES:
            break
    return [find_pulse(onsets, rate) for rate in chosen]


def edges(passages: Passages, times: Times) -> NDArray[np.float64]:
    """Do sudden changes of sound, harmony and bass fall on the beats (1) or half way between (-1)?"""
    halves = np.interp(np.arange(2 * times.size - 1) / 2.0, np.arange(times.size), times)
    sound, chroma, bass = passages.describe(halves)
    facts = []
    for change in (step(sound, 8), step(sound, 32), turn(chroma, 2), turn(chroma, 8), turn(bass, 2)):
        sharp = np.maximum(change[1:-1] - 0.5 * (change[:-2] + change[2:]), 0.0) ** 2
        on_beat, half = float(sharp[1::2].sum()), float(sharp[::2].sum())
        facts.append((on_beat - half) / max(on_beat + half, 1e-9))
    return np.array(facts)


def read_all(onsets: Onsets, passages: Passages, shortlist: int = SHORTLIST) -> list[Reading]:
    """The likely readings of the piece, best first.

    Args:
        onsets: Onset strength of the piece.
        passages: Its sound and harmony.
        shortlist: How many readings are looked at closely; the others are dropped.

    Returns:
        Readings between 54 and 216 beats a minute; empty when no pulse could be found.
    """
    smooth = gaussian_filter1d(onsets.groups, 2.0, axis=0)
    readings: list[Reading] = []
    for pulse in _families(onsets):
        for ratio in RATIOS:
            bpm = 60.0 * _rate_hz(pulse) * ratio
            if SLOWEST_BPM <= bpm <= FASTEST_BPM:
                readings += [
                    _glance(Reading(pulse, ratio, phase, bpm, NOTHING, 0.0), onsets, smooth)
                    for phase in _phases(pulse, ratio, onsets.total)
                ]
    likely = sorted(readings, key=lambda reading: -reading.score)[:shortlist]
    return sorted(
        (_look(reading, onsets, passages) for reading in likely if reading.facts.size),
        key=lambda reading: -reading.score,
    )


def beats_within(reading: Reading, onsets: Onsets) -> Times:
    """Beats of a reading from the first clear onset to the last."""
    if onsets.last_seconds <= onsets.first_seconds:
        return np.zeros(0)
    numbers = reading.beat_number_at(np.array([onsets.first_seconds, onsets.last_seconds]))
    return reading.seconds_at(
        np.arange(np.ceil(numbers[0] - BOUND_BEATS), np.floor(numbers[1] + BOUND_BEATS) + 1)
    )


def _score(facts: NDArray[np.float64], bpm: float) -> float:
    """Weighed facts, less what a tempo that nothing is danced to costs."""
    below = np.clip((SLOW_BPM - bpm) / SLOW_RAMP_BPM, 0.0, 1.0)
    above = np.clip((bpm - GAP_BPM) / GAP_RAMP_BPM, 0.0, 1.0)
    return float(facts @ COUNTING[: facts.size]) - SLOW_COST * float(below * above)


def _glance(reading: Reading, onsets: Onsets, smooth: NDArray[np.float32]) -> Reading:
    """Weigh a reading by its onsets alone."""
    times = beats_within(reading, onsets)
    if times.size < 5:
        return reading
    facts = np.concatenate(
        (describe(beat_table(onsets, smooth, times), reading.bpm), _opening(onsets, reading))
    )
    return replace(reading, facts=facts, score=_score(facts, reading.bpm))


def _look(reading: Reading, onsets: Onsets, passages: Passages) -> Reading:
    """Weigh a reading by where sound and harmony change as well."""
    facts = np.concatenate((reading.facts, edges(passages, beats_within(reading, onsets))))
    return replace(reading, facts=facts, score=_score(facts, reading.bpm))
