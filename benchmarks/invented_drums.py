"""Synthetic drums, ducking and saturation for invented pieces, so that not every kick comes from a
soundfont."""

from __future__ import annotations

import numpy as np

RATE = 44100


def draw_kit(rng: np.random.Generator) -> dict[int, np.ndarray]:
    """One drum kit: a short mono sound for every General MIDI drum the pieces use."""
    return {
        36: _kick(rng),
        38: _snare(rng),
        37: _snare(rng, 0.05),
        39: _noise(rng, 0.12, 900, 5000, 0.8),
        42: _noise(rng, float(rng.uniform(0.02, 0.06)), 6000, 16000, 0.35),
        46: _noise(rng, float(rng.uniform(0.12, 0.3)), 5000, 16000, 0.4),
        49: _noise(rng, 1.4, 3000, 15000, 0.5),
        51: _noise(rng, 0.35, 4000, 12000, 0.3),
        45: _tom(rng, 110),
        50: _tom(rng, 180),
        54: _noise(rng, 0.06, 5000, 14000, 0.3),
        70: _noise(rng, 0.05, 4000, 12000, 0.25),
        56: _tom(rng, 560),
        63: _tom(rng, 330),
    }


def _kick(rng: np.random.Generator) -> np.ndarray:
    seconds = np.arange(int(0.35 * RATE)) / RATE
    low, high = rng.uniform(42, 62), rng.uniform(110, 320)
    hz = low + (high - low) * np.exp(-seconds / rng.uniform(0.012, 0.04))
    tone = np.sin(2 * np.pi * np.cumsum(hz) / RATE) * np.exp(-seconds / rng.uniform(0.06, 0.18))
    click = rng.normal(0, 1, seconds.size) * np.exp(-seconds / 0.004) * rng.uniform(0.0, 0.5)
    return np.tanh(rng.uniform(0.8, 3.0) * (tone + click))


def _snare(rng: np.random.Generator, decay: float | None = None) -> np.ndarray:
    decay = decay or float(rng.uniform(0.06, 0.2))
    body = _tom(rng, float(rng.uniform(170, 240)), 0.06) * 0.6
    rattle = _noise(rng, decay, 1200, 10000, 0.9)
    size = max(body.size, rattle.size)
    return np.pad(body, (0, size - body.size)) + np.pad(rattle, (0, size - rattle.size))


def _tom(rng: np.random.Generator, hz: float, decay: float = 0.15) -> np.ndarray:
    seconds = np.arange(int(4 * decay * RATE)) / RATE
    return np.sin(2 * np.pi * hz * seconds * (1 - 0.1 * seconds)) * np.exp(-seconds / decay) * 0.8


def _noise(rng: np.random.Generator, decay: float, low: float, high: float, level: float) -> np.ndarray:
    size = int(4 * decay * RATE)
    spectrum = np.fft.rfft(rng.normal(0, 1, size))
    hz = np.fft.rfftfreq(size, 1 / RATE)
    spectrum *= (hz > low) & (hz < high)
    sound = np.fft.irfft(spectrum, size) * np.exp(-np.arange(size) / RATE / decay)
    return level * sound / max(np.abs(sound).max(), 1e-9)


def add_drums(music: np.ndarray, hits: list[tuple[float, int, int]], rng: np.random.Generator) -> np.ndarray:
    """Mix hits (seconds, drum, velocity) into (samples, 2) music, ducking and saturating some pieces."""
    kit = draw_kit(rng)
    drums = np.zeros(music.shape[0])
    for seconds, drum, loud in hits:
        sound, at = kit.get(drum), int(seconds * RATE)
        if sound is not None and 0 <= at < drums.size:
            piece = sound[: drums.size - at]
            drums[at : at + piece.size] += piece * (loud / 110.0) ** 1.5
    music = music / max(float(np.sqrt((music**2).mean())), 1e-6) * 0.1
    if rng.random() < 0.35:
        music = music * _ducking(hits, music.shape[0], rng)[:, None]
    mix = music + drums[:, None] * rng.uniform(0.15, 0.5)
    if rng.random() < 0.35:
        mix = np.tanh(mix * rng.uniform(1.5, 4.0))
    return mix / max(float(np.abs(mix).max()), 1e-9) * 0.9


def _ducking(hits: list[tuple[float, int, int]], size: int, rng: np.random.Generator) -> np.ndarray:
    """Gain that falls at every kick and recovers, as a side chain does."""
    gain = np.ones(size)
    depth, back = rng.uniform(0.5, 0.95), int(rng.uniform(0.12, 0.35) * RATE)
    ramp = 1.0 - depth * (1.0 - np.arange(back) / back) ** 1.5
    for seconds, drum, _ in hits:
        at = int(seconds * RATE)
        if drum == 36 and at < size:
            stop = min(size, at + back)
            gain[at:stop] = np.minimum(gain[at:stop], ramp[: stop - at])
    return gain
