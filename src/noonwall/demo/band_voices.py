"""The instruments of the demo band: short mono waves made from sines and filtered noise.

Every wave is float32 at 44.1 kHz, starts at zero and begins to sound at its first sample, so that
a note's start time in the score is its onset in the audio. Waves are cached: a song needs each
pitch once. Nothing is sampled from a recording.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Wave = NDArray[np.float32]

SAMPLE_RATE = 44_100
TWO_PI = 2.0 * np.pi


def frequency_hz(pitch: int) -> float:
    """Frequency of a MIDI note number, equal temperament, A4 (69) = 440 Hz (ISO 16:1975)."""
    return float(440.0 * 2.0 ** ((pitch - 69) / 12.0))


def _time(length_seconds: float) -> NDArray[np.float64]:
    return np.arange(round(length_seconds * SAMPLE_RATE), dtype=np.float64) / SAMPLE_RATE


def _decay(time: NDArray[np.float64], half_life_seconds: float) -> NDArray[np.float64]:
    return np.asarray(0.5 ** (time / half_life_seconds))


def _finish(wave: NDArray[np.float64], fade_seconds: float = 0.004) -> Wave:
    """Scale to a peak of one, take the mean away and fade the last instant to zero."""
    window = np.ones(wave.size)
    # 0.3 ms in: short enough to keep the onset sharp, long enough to avoid a click at sample 0.
    rise = min(13, wave.size)
    window[:rise] = np.linspace(0.0, 1.0, rise)
    fall = min(int(fade_seconds * SAMPLE_RATE), wave.size)
    window[wave.size - fall :] = np.linspace(1.0, 0.0, fall)
    # The mean is taken away under the same window, so that both ends stay at zero exactly.
    shaped = wave * window
    shaped -= window * (shaped.mean() / window.mean())
    return np.asarray(shaped / np.abs(shaped).max(), dtype=np.float32)


def _noise(length_seconds: float, low_hz: float, high_hz: float, seed: int) -> NDArray[np.float64]:
    """Band-limited white noise with gentle edges, made in the frequency domain."""
    size = round(length_seconds * SAMPLE_RATE)
    spectrum = np.fft.rfft(np.random.default_rng(seed).standard_normal(size))
    hertz = np.fft.rfftfreq(size, 1.0 / SAMPLE_RATE) + 1e-9
    spectrum *= 1.0 / (1.0 + (low_hz / hertz) ** 4) / (1.0 + (hertz / high_hz) ** 4)
    return np.asarray(np.fft.irfft(spectrum, size))


def _sweep(time: NDArray[np.float64], from_hz: float, to_hz: float, half_life: float) -> NDArray[np.float64]:
    """A sine falling from one frequency to another, with the phase integrated exactly."""
    rate = np.log(2.0) / half_life
    phase = to_hz * time + (from_hz - to_hz) * (1.0 - np.exp(-rate * time)) / rate
    return np.asarray(np.sin(TWO_PI * phase))


def _kick() -> Wave:
    time = _time(0.32)
    body = _sweep(time, 170.0, 48.0, 0.018) * _decay(time, 0.07)
    click = _noise(0.32, 1500.0, 6000.0, 1) * _decay(time, 0.003)
    return _finish(body + 0.5 * click)


def _snare() -> Wave:
    time = _time(0.26)
    shell = (np.sin(TWO_PI * 188.0 * time) + 0.6 * np.sin(TWO_PI * 331.0 * time)) * _decay(time, 0.025)
    wires = _noise(0.26, 900.0, 9000.0, 2) * _decay(time, 0.04)
    return _finish(0.7 * shell + wires)


def _rim() -> Wave:
    time = _time(0.08)
    return _finish(
        (np.sin(TWO_PI * 1720.0 * time) + 0.7 * np.sin(TWO_PI * 830.0 * time)) * _decay(time, 0.008)
    )


def _sticks() -> Wave:
    time = _time(0.07)
    return _finish(
        (np.sin(TWO_PI * 2480.0 * time) + 0.4 * _noise(0.07, 1800.0, 7000.0, 3)) * _decay(time, 0.007)
    )


def _hiss(length_seconds: float, half_life: float, low_hz: float, seed: int, rise: float = 0.0) -> Wave:
    time = _time(length_seconds)
    wave = _noise(length_seconds, low_hz, 15_000.0, seed) * _decay(time, half_life)
    if rise:
        wave = wave * np.minimum(time / rise, 1.0)
    return _finish(wave)


def _metal(length_seconds: float, half_life: float, seed: int) -> Wave:
    """Cymbal: noise and a few inharmonic partials ringing together."""
    time = _time(length_seconds)
    partials = sum(np.sin(TWO_PI * hertz * time + hertz) for hertz in (3170.0, 4310.0, 5390.0, 7430.0))
    wash = _noise(length_seconds, 3500.0, 14_000.0, seed)
    return _finish(
        (0.25 * np.asarray(partials) + wash) * (0.6 * _decay(time, half_life) + 0.4 * _decay(time, 0.02))
    )


def _clap() -> Wave:
    time = _time(0.2)
    noise = _noise(0.2, 800.0, 3800.0, 7)
    # Three hands a few milliseconds apart; the first is the onset.
    envelope = sum(
        (time >= late) * _decay(np.maximum(time - late, 0.0), life)
        for late, life in ((0.0, 0.004), (0.009, 0.004), (0.018, 0.028))
    )
    return _finish(noise * np.asarray(envelope))


def _drum(from_hz: float, to_hz: float, half_life: float, slap: float, seed: int) -> Wave:
    time = _time(half_life * 6.0)
    skin = _noise(half_life * 6.0, 700.0, 5000.0, seed) * _decay(time, 0.006)
    return _finish(_sweep(time, from_hz, to_hz, 0.02) * _decay(time, half_life) + slap * skin)


def _cowbell() -> Wave:
    time = _time(0.22)
    tone = sum(np.sin(TWO_PI * hertz * k * time) / k for hertz in (562.0, 845.0) for k in (1, 3, 5))
    return _finish(np.asarray(tone) * (0.5 * _decay(time, 0.04) + 0.5 * _decay(time, 0.01)))


def _guiro() -> Wave:
    time = _time(0.22)
    teeth = 0.5 + 0.5 * np.sign(np.sin(TWO_PI * (70.0 + 90.0 * time) * time))
    return _finish(_noise(0.22, 2200.0, 8000.0, 11) * teeth * np.minimum(1.0, (0.22 - time) / 0.1))


DRUMS: dict[str, Callable[[], Wave]] = {
    "kick": _kick,
    "snare": _snare,
    "rim": _rim,
    "sticks": _sticks,
    "hat": lambda: _hiss(0.07, 0.012, 6500.0, 4),
    "open_hat": lambda: _hiss(0.34, 0.07, 6000.0, 5),
    "shaker": lambda: _hiss(0.1, 0.02, 5200.0, 6, rise=0.012),
    "tambourine": lambda: _metal(0.16, 0.03, 8),
    "ride": lambda: _metal(0.5, 0.12, 9),
    "crash": lambda: _metal(1.6, 0.34, 10),
    "clap": _clap,
    "cowbell": _cowbell,
    "guiro": _guiro,
    "low_tom": lambda: _drum(150.0, 92.0, 0.1, 0.3, 12),
    "mid_tom": lambda: _drum(210.0, 132.0, 0.08, 0.3, 13),
    "high_tom": lambda: _drum(290.0, 185.0, 0.07, 0.3, 14),
    "low_conga": lambda: _drum(215.0, 196.0, 0.07, 0.4, 15),
    "high_conga": lambda: _drum(345.0, 310.0, 0.045, 0.8, 16),
}


def _partials(
    pitch: int,
    length_seconds: float,
    weights: tuple[float, ...],
    half_life: float,
    damping: float,
    *,
    detune_cents: tuple[float, ...] = (0.0,),
    vibrato_cents: float = 0.0,
) -> NDArray[np.float64]:
    """Sum of harmonics; the k-th dies `1 + damping * (k - 1)` times faster than the first.

    float32 inside: the phase is wrapped in float64 first, so the pitch stays exact.
    """
    time = _time(length_seconds)
    envelope = _decay(time, half_life).astype(np.float32)
    step = (envelope ** np.float32(damping)) if damping else None
    total = np.zeros(time.size, dtype=np.float32)
    for cents in detune_cents:
        cycles = frequency_hz(pitch) * 2.0 ** (cents / 1200.0) * time + 0.137 * cents
        if vibrato_cents:
            # 5.4 Hz, growing in over 0.3 s: common practice for a sung or bowed tone, no source.
            depth = frequency_hz(pitch) * (2.0 ** (vibrato_cents / 1200.0) - 1.0) / (TWO_PI * 5.4)
            cycles = cycles + depth * np.minimum(time / 0.3, 1.0) * np.sin(TWO_PI * 5.4 * time)
        angle = (TWO_PI * (cycles % 1.0)).astype(np.float32)
        shape = envelope.copy()
        for harmonic, weight in enumerate(weights, start=1):
            if frequency_hz(pitch) * harmonic > 16_000.0:
                break
            total += np.float32(weight) * np.sin(np.float32(harmonic) * angle) * shape
            if step is not None:
                shape *= step
    return total.astype(np.float64)


def _attack(wave: NDArray[np.float64], rise_seconds: float) -> NDArray[np.float64]:
    rise = min(max(int(rise_seconds * SAMPLE_RATE), 1), wave.size)
    wave[:rise] *= np.linspace(0.0, 1.0, rise)
    return wave


def _saw(count: int, slope: float = 1.0) -> tuple[float, ...]:
    return tuple(1.0 / k**slope for k in range(1, count + 1))


def _plucked(count: int, place: float) -> tuple[float, ...]:
    """Harmonics of a string plucked at a fraction of its length (ideal string, 1/k^1.5 for a soft finger)."""
    return tuple(abs(np.sin(np.pi * k * place)) / k**1.5 for k in range(1, count + 1))


def _bass(pitch: int) -> Wave:
    return _finish(_attack(_partials(pitch, 1.6, (1.0, 0.55, 0.3, 0.16, 0.09, 0.05), 0.45, 0.7), 0.004))


def _guitar(pitch: int) -> Wave:
    return _finish(_partials(pitch, 1.4, _plucked(12, 0.21), 0.28, 0.35))


def _muted_guitar(pitch: int) -> Wave:
    return _finish(_partials(pitch, 0.2, _plucked(10, 0.17), 0.035, 0.3))


def _piano(pitch: int) -> Wave:
    wave = _partials(pitch, 2.2, _saw(9, 1.6), 0.4, 0.3, detune_cents=(-1.5, 1.5))
    hammer = _noise(2.2, 400.0, 2500.0, 17) * _decay(_time(2.2), 0.006)
    return _finish(wave + 0.15 * hammer)


def _pad(pitch: int) -> Wave:
    return _finish(_attack(_partials(pitch, 5.0, _saw(6, 1.7), 30.0, 0.0, detune_cents=(-7.0, 6.0)), 0.12))


def _organ(pitch: int) -> Wave:
    weights = (1.0, 0.8, 0.5, 0.4, 0.0, 0.25, 0.0, 0.2)
    return _finish(_attack(_partials(pitch, 4.0, weights, 30.0, 0.0), 0.006))


def _accordion(pitch: int) -> Wave:
    return _finish(_attack(_partials(pitch, 2.5, _saw(10, 1.1), 20.0, 0.0, detune_cents=(-6.0, 8.0)), 0.018))


def _brass(pitch: int) -> Wave:
    return _finish(_attack(_partials(pitch, 1.8, _saw(9, 0.9), 1.2, 0.1), 0.02))


def _voice(pitch: int) -> Wave:
    """A sung "ah": harmonics weighted by two broad resonances near 750 and 1150 Hz (from memory)."""
    base = frequency_hz(pitch)
    weights = tuple(
        (1.0 / k)
        * (
            0.25
            + np.exp(-(((base * k - 750.0) / 260.0) ** 2))
            + 0.7 * np.exp(-(((base * k - 1150.0) / 300.0) ** 2))
        )
        for k in range(1, 13)
    )
    return _finish(_attack(_partials(pitch, 3.0, weights, 12.0, 0.0, vibrato_cents=22.0), 0.045))


def _fiddle(pitch: int) -> Wave:
    return _finish(_attack(_partials(pitch, 3.0, _saw(12, 1.2), 12.0, 0.0, vibrato_cents=15.0), 0.03))


def _bell(pitch: int) -> Wave:
    return _finish(_partials(pitch, 1.2, (1.0, 0.0, 0.1, 0.45, 0.0, 0.0, 0.0, 0.12), 0.14, 0.5))


TONES: dict[str, Callable[[int], Wave]] = {
    "bass": _bass,
    "guitar": _guitar,
    "muted_guitar": _muted_guitar,
    "piano": _piano,
    "pad": _pad,
    "organ": _organ,
    "accordion": _accordion,
    "brass": _brass,
    "voice": _voice,
    "fiddle": _fiddle,
    "bell": _bell,
}


@lru_cache(maxsize=512)
def wave(voice: str, pitch: int) -> Wave:
    """The full-length wave of one note of an instrument.

    Args:
        voice: a name in `DRUMS` or `TONES`.
        pitch: MIDI note number; drums take 0.

    Returns:
        Mono float32 samples at `SAMPLE_RATE`, peak 1, read-only.

    Raises:
        KeyError: no instrument has that name.
    """
    made = DRUMS[voice]() if voice in DRUMS else TONES[voice](pitch)
    made.flags.writeable = False
    return made
