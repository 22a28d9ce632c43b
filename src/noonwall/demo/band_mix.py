"""Notes to stereo sound: placing, panning, a room, and the final level."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from noonwall.demo.band_score import Note
from noonwall.demo.band_voices import DRUMS, SAMPLE_RATE, wave

Samples = NDArray[np.float32]

# Loudness, place from left (-1) to right (+1), and share sent to the room, by ear.
DESK: dict[str, tuple[float, float, float]] = {
    "kick": (0.85, 0.0, 0.02),
    "snare": (0.72, 0.05, 0.18),
    "rim": (0.4, 0.15, 0.2),
    "sticks": (0.4, 0.1, 0.15),
    "hat": (0.3, 0.35, 0.04),
    "open_hat": (0.26, 0.35, 0.06),
    "shaker": (0.16, -0.4, 0.06),
    "tambourine": (0.2, -0.3, 0.12),
    "ride": (0.26, 0.4, 0.08),
    "crash": (0.3, -0.35, 0.2),
    "clap": (0.42, -0.1, 0.25),
    "cowbell": (0.22, 0.3, 0.1),
    "guiro": (0.18, -0.35, 0.1),
    "low_tom": (0.5, 0.35, 0.15),
    "mid_tom": (0.48, 0.0, 0.15),
    "high_tom": (0.45, -0.3, 0.15),
    "low_conga": (0.42, 0.25, 0.12),
    "high_conga": (0.38, 0.25, 0.12),
    "bass": (0.48, 0.0, 0.0),
    "guitar": (0.24, -0.35, 0.15),
    "muted_guitar": (0.26, 0.4, 0.1),
    "piano": (0.25, -0.15, 0.18),
    "pad": (0.11, 0.0, 0.3),
    "organ": (0.12, 0.3, 0.2),
    "accordion": (0.13, 0.25, 0.15),
    "brass": (0.16, -0.2, 0.2),
    "voice": (0.32, 0.0, 0.25),
    "fiddle": (0.22, 0.1, 0.25),
    "bell": (0.26, 0.2, 0.25),
}

RELEASE_SECONDS = 0.06


def _place(note: Note) -> tuple[int, Samples]:
    """First sample and the sounding part of a note, released at its end (drums ring out)."""
    sound = wave(note.voice, note.pitch)
    if note.voice not in DRUMS:
        held = round(note.length_seconds * SAMPLE_RATE)
        release = round(RELEASE_SECONDS * SAMPLE_RATE)
        if held + release < sound.size:
            sound = sound[: held + release].copy()
            sound[held:] *= np.linspace(1.0, 0.0, release, dtype=np.float32)
    return round(note.start_seconds * SAMPLE_RATE), sound


def mix(notes: Iterable[Note], length_seconds: float) -> NDArray[np.float32]:
    """Sum notes into three rows: left, right and the send to the room.

    Args:
        notes: any order; what lies beyond the length is cut.
        length_seconds: length of the result.

    Returns:
        float32, shape (3, samples), not yet levelled.
    """
    size = round(length_seconds * SAMPLE_RATE)
    rows = np.zeros((3, size), dtype=np.float32)
    for note in notes:
        begin, sound = _place(note)
        sound = sound[: max(size - begin, 0)]
        loudness, pan, send = DESK[note.voice]
        # Equal-power panning keeps the loudness of a sound the same wherever it stands.
        angle = (pan + 1.0) * np.pi / 4.0
        gain = np.array([np.cos(angle), np.sin(angle), send], dtype=np.float32) * np.float32(
            note.level * loudness
        )
        for row in range(3):
            rows[row, begin : begin + sound.size] += gain[row] * sound
    return rows


@lru_cache(maxsize=8)
def _room_response(seconds: float) -> NDArray[np.float32]:
    """Two rows of decaying noise at half the sample rate, falling 60 dB over `seconds`."""
    size = round(seconds * SAMPLE_RATE / 2)
    time = np.arange(size) / (SAMPLE_RATE / 2)
    noise = np.random.default_rng(62).standard_normal((2, size))
    response = noise * 10.0 ** (-3.0 * time / seconds)
    # A few milliseconds of silence first: the walls of a hall are metres away.
    response[:, : round(0.012 * SAMPLE_RATE / 2)] = 0.0
    return np.asarray(response / np.sqrt((response**2).sum(axis=1, keepdims=True)), dtype=np.float32)


def room(send: Samples, seconds: float = 0.9) -> NDArray[np.float32]:
    """Reverberation of a mono row, shape (2, samples), by block convolution.

    Computed at half the sample rate: the room is dark anyway, and it halves the work.
    """
    response = _room_response(seconds)
    # A three-tap filter before and after changing the rate keeps images well below the music.
    padded = np.pad(send, (1, 2 + send.size % 2))
    half = 0.25 * padded[:-2:2] + 0.5 * padded[1:-1:2] + 0.25 * padded[2::2]
    transform = 1 << int(np.ceil(np.log2(response.shape[1] * 3)))
    block = transform - response.shape[1] + 1
    count = -(-half.size // block)
    blocks = np.zeros((count, transform), dtype=np.float32)
    blocks[:, :block] = np.pad(half, (0, count * block - half.size)).reshape(count, block)
    spectra = np.fft.rfft(blocks)
    result = np.zeros((2, send.size), dtype=np.float32)
    for channel in range(2):
        wet = np.fft.irfft(spectra * np.fft.rfft(response[channel], transform), transform)
        joined = np.zeros(count * block + transform, dtype=np.float32)
        for index in range(count):
            joined[index * block : index * block + transform] += wet[index].astype(np.float32)
        short = joined[: send.size // 2 + 1]
        result[channel, 0::2] = short[: (send.size + 1) // 2]
        between = 0.5 * (short[:-1] + short[1:])
        result[channel, 1::2] = between[: send.size // 2]
    return result


def _slow_part(row: Samples, seconds: float = 0.25) -> NDArray[np.float32]:
    """Mean of the row over a quarter second around each sample.

    Taking this away instead of the mean of the whole song leaves silence silent.
    """
    half = round(seconds * SAMPLE_RATE / 2)
    total = np.concatenate((np.zeros(half + 1), np.cumsum(row, dtype=np.float64)))
    total = np.concatenate((total, np.full(half, total[-1])))
    return np.asarray((total[2 * half :] - total[: -2 * half]) / (2 * half), dtype=np.float32)[: row.size]


def master(stereo: NDArray[np.float32], *, drive: float, peak_dbfs: float) -> NDArray[np.float32]:
    """Press the peaks softly, take away what is slower than any tone, and set the peak level.

    Args:
        stereo: shape (2, samples), any level.
        drive: how hard the peaks are pressed; 0.5 hardly, 4 very loud and flat.
        peak_dbfs: peak of the result in dB below full scale, negative.

    Returns:
        float32, shape (samples, 2).
    """
    # The loudness is judged by the busiest 99.9% of samples, so one loud crash does not set it.
    reference = float(np.quantile(np.abs(stereo[:, ::17]), 0.999)) or 1.0
    pressed = np.tanh(stereo * np.float32(drive / reference))
    for row in pressed:
        row -= _slow_part(row)
    peak = float(np.abs(pressed).max()) or 1.0
    return np.ascontiguousarray((pressed * np.float32(10.0 ** (peak_dbfs / 20.0) / peak)).T)


def sounding_end_seconds(samples: NDArray[np.float32]) -> float:
    """When the sound ends: the last instant within 60 dB of the peak; 0 for silence."""
    loud = np.abs(samples).max(axis=1)
    peak = float(loud.max()) if loud.size else 0.0
    if peak == 0.0:
        return 0.0
    return float(np.flatnonzero(loud > peak * 1e-3)[-1] + 1) / SAMPLE_RATE
