"""Onset strength in, steady pulses out: how fast the piece ticks, and where the ticks lie, drift included.

A pulse is any steady layer (bars, beats, eighths); which of them a dancer counts is decided in `counting`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.fft
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d, median_filter

from noonwall.music.onsets import LATENCY_SECONDS, Onsets
from noonwall.music.spectra import FRAMES_PER_SECOND

COARSE_STEP = 4
COARSE_RATE_HZ = FRAMES_PER_SECOND / COARSE_STEP
WINDOW_SECONDS = 11.9
SLOWEST_HZ = 0.8
FASTEST_HZ = 4.2
STEP = 16
STEADY = 0.93
DRIFT_WINDOW_SECONDS = 8.0
DRIFT_COST = 0.3  # of the mean local strength, per quarter percent of change from one second to the next
HARMONICS = (1, 2, 3, 4, 6, 8)
HARMONIC_WEIGHTS = (1.0, 0.8, 0.35, 0.6, 0.2, 0.3)

Times = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Pulse:
    """A steady layer of the music as a map from time to tick number.

    Attributes:
        knot_seconds: (n,) increasing times.
        knot_ticks: (n,) tick number at each knot; ticks run evenly between knots and beyond them.
        drifting: True when the ticks were allowed to drift.
        steadiness: 0 to 1, how well the whole piece keeps one even pulse.
    """

    knot_seconds: Times
    knot_ticks: Times
    drifting: bool
    steadiness: float

    def ticks_at(self, seconds: Times) -> Times:
        """Tick number at each time, extended evenly beyond the ends."""
        return _line(seconds, self.knot_seconds, self.knot_ticks)

    def seconds_at(self, ticks: Times) -> Times:
        """Time of each tick number, extended evenly beyond the ends."""
        return _line(ticks, self.knot_ticks, self.knot_seconds)


def _line(values: Times, xs: Times, ys: Times) -> Times:
    result = np.interp(values, xs, ys)
    first = (ys[1] - ys[0]) / (xs[1] - xs[0])
    last = (ys[-1] - ys[-2]) / (xs[-1] - xs[-2])
    result = np.where(values < xs[0], ys[0] + (values - xs[0]) * first, result)
    return np.where(values > xs[-1], ys[-1] + (values - xs[-1]) * last, result)


def _local_spectrum(curve: NDArray[np.float32]) -> tuple[Times, Times]:
    """Mean magnitude of the onset curve's spectrum over windows of twelve seconds, by frequency in Hz."""
    size = curve.size - curve.size % COARSE_STEP
    coarse = curve[:size].reshape(-1, COARSE_STEP).mean(axis=1)
    window = min(int(WINDOW_SECONDS * COARSE_RATE_HZ), coarse.size)
    shape = np.hanning(window)
    step = max(1, window // 8)
    views = np.lib.stride_tricks.sliding_window_view(coarse, window)[::step]
    centred = (views - views.mean(axis=1, keepdims=True)) * shape
    spectrum = np.abs(scipy.fft.rfft(centred, 4096, axis=1)).mean(axis=0)
    hz: Times = np.fft.rfftfreq(4096, 1.0 / COARSE_RATE_HZ).astype(np.float64)
    return hz, spectrum


def salience(curve: NDArray[np.float32]) -> tuple[Times, Times]:
    """How well each pulse rate explains the onset curve, harmonics included.

    Args:
        curve: (frames,) onset strength.

    Returns:
        Rates in Hz from `SLOWEST_HZ` to `FASTEST_HZ`, and the salience of each.
    """
    hz, spectrum = _local_spectrum(curve)
    floor = median_filter(spectrum, 101)
    clean = np.maximum(spectrum - floor, 0.0) / (np.median(floor) + 1e-9)
    rates = np.arange(SLOWEST_HZ, FASTEST_HZ, 0.005)
    total = np.zeros_like(rates)
    for harmonic, weight in zip(HARMONICS, HARMONIC_WEIGHTS, strict=True):
        total += weight * np.interp(harmonic * rates, hz, clean)
    return rates, total


def strongest_rates(onsets: Onsets, count: int) -> list[float]:
    """The most salient pulse rates in Hz, strongest first, none within 4% of another."""
    rates, total = salience(onsets.total)
    chosen: list[float] = []
    order = np.argsort(total)[::-1]
    for index in order:
        rate = float(rates[index])
        peak = 0 < index < total.size - 1 and total[index] >= max(total[index - 1], total[index + 1])
        if peak and total[index] > 0.0 and all(abs(rate / other - 1.0) > 0.04 for other in chosen):
            chosen.append(rate)
            if len(chosen) == count:
                break
    return chosen


def _refine(curve: NDArray[np.float32], rate_hz: float) -> tuple[float, float]:
    """The even rate near `rate_hz` that gathers most onset strength over the whole piece, and how much."""
    seconds = curve.size / FRAMES_PER_SECOND
    size = scipy.fft.next_fast_len(4 * curve.size)
    spectrum = scipy.fft.rfft((curve - curve.mean()).astype(np.float32), size)
    bin_hz = FRAMES_PER_SECOND / size
    tries = np.arange(rate_hz * 0.98, rate_hz * 1.02, 1.0 / (16.0 * seconds))
    gathered = np.zeros_like(tries)
    for harmonic in (1, 2, 4):
        place = harmonic * tries / bin_hz
        low = np.clip(place.astype(np.int64), 0, spectrum.size - 2)
        part = place - low
        gathered += ((1 - part) * np.abs(spectrum[low]) + part * np.abs(spectrum[low + 1])) ** 2
    best = int(np.argmax(gathered))
    return float(tries[best]), float(gathered[best])


def _turning(
    curve: NDArray[np.float32], ticks: Times, harmonic: int, smooth_seconds: float
) -> NDArray[np.complex128]:
    """The onset curve turned back by a pulse, smoothed: its angle is how far the music runs ahead of the
    pulse.

    One value per `STEP` frames; 2 pi is one tick divided by `harmonic`.
    """
    angles = (-2.0 * np.pi * ((harmonic * ticks) % 1.0)).astype(np.float32)
    turned = (curve - curve.mean()) * np.exp(1j * angles)
    size = turned.size - turned.size % STEP
    coarse = turned[:size].reshape(-1, STEP).sum(axis=1)
    width = smooth_seconds * FRAMES_PER_SECOND / STEP
    result: NDArray[np.complex128] = gaussian_filter1d(coarse.real, width) + 1j * gaussian_filter1d(
        coarse.imag, width
    )
    return result


def find_pulse(onsets: Onsets, rate_hz: float) -> Pulse:
    """Fit a pulse near a rate: one even grid if it holds, a drifting one only where the music asks for it.

    Args:
        onsets: Onset strength of the piece.
        rate_hz: Approximate rate, within 2%.

    Returns:
        The pulse; tick 0 lies near time 0, and ticks lie on the onsets.
    """
    curve = onsets.total
    rate, _ = _refine(curve, rate_hz)
    frames = np.arange(curve.size) / FRAMES_PER_SECOND
    turned = {harmonic: _turning(curve, frames * rate, harmonic, 2.5) for harmonic in (1, 2, 4)}
    best = max(turned, key=lambda harmonic: float(abs(turned[harmonic].sum())) / harmonic**0.25)
    local = turned[best]
    steadiness = float(abs(local.sum()) / max(float(np.abs(local).sum()), 1e-9))
    phase = float(np.angle(local.sum())) / (2 * np.pi * best)
    ends = np.array([0.0, curve.size / FRAMES_PER_SECOND])
    even = _shift(Pulse(ends, ends * rate + phase, False, steadiness), onsets)
    if steadiness > STEADY:
        return even
    drifting = _shift(_follow(curve, rate_hz, steadiness), onsets)
    return drifting if gathered(drifting, onsets) > 1.1 * gathered(even, onsets) else even


def _follow(curve: NDArray[np.float32], rate_hz: float, steadiness: float) -> Pulse:
    """Follow a drifting pulse: first how fast it runs in each second, then where exactly its ticks lie."""
    seconds = curve.size / FRAMES_PER_SECOND
    centres, rates = _rate_path(curve, rate_hz)
    frames = np.arange(curve.size) / FRAMES_PER_SECOND
    ticks = np.concatenate(([0.0], np.cumsum(np.interp(frames, centres, rates))[:-1])) / FRAMES_PER_SECOND
    knots = np.arange(STEP // 2, curve.size - STEP // 2, STEP)
    for harmonic, smooth_seconds in ((1, 4.0), (2, 2.0), (4, 1.5)):
        local = _turning(curve, ticks, harmonic, smooth_seconds)
        angles = np.unwrap(np.angle(local)) / (2 * np.pi * harmonic)
        ticks = ticks + np.interp(np.arange(curve.size), knots[: angles.size], angles[: knots.size])
    at = np.arange(0, curve.size, 4 * STEP)
    kept = np.maximum.accumulate(ticks[at] + 1e-6 * at)
    return (
        Pulse(frames[at], kept, True, steadiness)
        if at.size > 1
        else Pulse(np.array([0.0, seconds]), np.array([0.0, seconds]) * rate_hz, False, steadiness)
    )


def _rate_path(curve: NDArray[np.float32], rate_hz: float) -> tuple[Times, Times]:
    """The rate in every second, by the smoothest strong path through the local spectra (Viterbi)."""
    size = curve.size - curve.size % COARSE_STEP
    coarse = curve[:size].reshape(-1, COARSE_STEP).mean(axis=1)
    window = min(int(DRIFT_WINDOW_SECONDS * COARSE_RATE_HZ), coarse.size)
    padded = np.pad(coarse - coarse.mean(), window // 2)
    step = int(COARSE_RATE_HZ)
    views = np.lib.stride_tricks.sliding_window_view(padded, window)[::step]
    spectrum = np.abs(scipy.fft.rfft(views * np.hanning(window), 4096, axis=1))
    bin_hz = COARSE_RATE_HZ / 4096
    tries = rate_hz * np.exp(np.arange(-32, 33) * 0.0025)
    score = np.zeros((views.shape[0], tries.size))
    for harmonic, weight in zip(HARMONICS, HARMONIC_WEIGHTS, strict=True):
        place = np.clip(np.rint(harmonic * tries / bin_hz).astype(np.int64), 0, spectrum.shape[1] - 1)
        score += weight * spectrum[:, place]
    score /= score.mean()
    value, came_from = score[0].copy(), np.zeros(score.shape, np.int64)
    moves = DRIFT_COST * np.abs(np.subtract.outer(np.arange(tries.size), np.arange(tries.size)))
    for row in range(1, score.shape[0]):
        options = value[None, :] - moves
        came_from[row] = np.argmax(options, axis=1)
        value = options[np.arange(tries.size), came_from[row]] + score[row]
    path = [int(np.argmax(value))]
    for row in range(score.shape[0] - 1, 0, -1):
        path.append(int(came_from[row][path[-1]]))
    rates = gaussian_filter1d(tries[np.array(path[::-1])], 1.5)
    return np.arange(rates.size) * step / COARSE_RATE_HZ, rates


def gathered(pulse: Pulse, onsets: Onsets) -> float:
    """Mean onset strength met by the ticks of a pulse."""
    first, last = pulse.ticks_at(np.array([0.0, onsets.seconds]))
    ticks = np.arange(np.ceil(first), np.floor(last) + 1)
    if ticks.size == 0:
        return 0.0
    return float(onsets.total[onsets.frame_at(pulse.seconds_at(ticks))].mean())


def _shift(pulse: Pulse, onsets: Onsets) -> Pulse:
    """Move all ticks together onto the strongest onsets: the fine phase, to about a millisecond."""
    times = np.arange(onsets.total.size) / FRAMES_PER_SECOND + LATENCY_SECONDS
    fraction = pulse.ticks_at(times) % 1.0
    bins = 240
    folded = np.bincount((fraction * bins).astype(np.int64) % bins, onsets.total, bins)
    rate = (pulse.knot_ticks[-1] - pulse.knot_ticks[0]) / (pulse.knot_seconds[-1] - pulse.knot_seconds[0])
    smooth = gaussian_filter1d(folded, max(1.0, 0.012 * rate * bins), mode="wrap")
    best = int(np.argmax(smooth))
    left, mid, right = smooth[best - 1], smooth[best], smooth[(best + 1) % bins]
    curve = left - 2 * mid + right
    nudge = 0.5 * (left - right) / curve if curve < 0 else 0.0
    offset = (best + 0.5 + nudge) / bins
    return Pulse(pulse.knot_seconds, pulse.knot_ticks - offset, pulse.drifting, pulse.steadiness)
