"""Small sounds with known beats, and files of every kind, for the tests of the listening."""

from __future__ import annotations

from pathlib import Path

import av
import numpy as np
import soundfile
from numpy.typing import NDArray

RATE = 44100


def burst(
    rng: np.random.Generator, seconds: float, lowest_hz: float, highest_hz: float
) -> NDArray[np.float64]:
    """Decaying noise between two frequencies."""
    size = int(seconds * RATE)
    spectrum = np.fft.rfft(rng.normal(0.0, 1.0, size))
    hz = np.fft.rfftfreq(size, 1.0 / RATE)
    spectrum[(hz < lowest_hz) | (hz > highest_hz)] = 0.0
    sound = np.fft.irfft(spectrum, size) * np.exp(-5.0 * np.arange(size) / size)
    return np.asarray(sound / np.abs(sound).max())


def tone(hz: float, seconds: float) -> NDArray[np.float64]:
    """A decaying tone with three harmonics."""
    time = np.arange(int(seconds * RATE)) / RATE
    waves = sum(np.sin(2 * np.pi * hz * harmonic * time) / harmonic for harmonic in (1, 2, 3))
    return np.asarray(waves * np.exp(-3.0 * time / seconds))


def beat_times(bpm: float, count: int, start: float = 0.5) -> NDArray[np.float64]:
    return start + np.arange(count) * 60.0 / bpm


def band(
    times: NDArray[np.float64], beats_per_bar: int = 4, swing: float = 0.5, seed: int = 1
) -> NDArray[np.float32]:
    """Kick on one (and three), snare on the others, hats between, bass and a chord that changes every bar."""
    rng = np.random.default_rng(seed)
    period = float(np.median(np.diff(times)))
    sound = np.zeros(int((times[-1] + 2.0) * RATE))
    kick, snare, hat = burst(rng, 0.15, 40, 120), burst(rng, 0.12, 300, 6000), burst(rng, 0.04, 7000, 16000)
    chords = (110.0, 146.83, 164.81, 110.0, 98.0, 146.83, 164.81, 123.47)

    def add(at: float, what: NDArray[np.float64], level: float) -> None:
        first = round(at * RATE)
        sound[first : first + what.size] += level * what[: sound.size - first]

    for count, time in enumerate(times):
        place, bar = count % beats_per_bar, count // beats_per_bar
        strong = place == 0 or (beats_per_bar == 4 and place == 2)
        add(time, kick if strong else snare, 0.8 if strong else 0.5)
        add(time, hat, 0.2)
        add(time + swing * period, hat, 0.25)
        root = chords[bar % 8] * (1.0 if bar < 16 else 1.122)
        add(time, tone(root / 2, 0.9 * period), 0.4 if place == 0 else 0.2)
        if place == 0:
            add(time, tone(root * 2, beats_per_bar * period) + tone(root * 3, beats_per_bar * period), 0.15)
    return np.asarray(0.8 * sound / np.abs(sound).max(), dtype=np.float32)


def write_wav(path: Path, sound: NDArray[np.float32], rate: int = RATE) -> Path:
    soundfile.write(path, sound, rate, subtype="PCM_16", format="WAV")
    return path


def encode(
    path: Path, sound: NDArray[np.float32], codec: str, rate: int = RATE, container: str | None = None
) -> Path:
    """Write mono sound with a codec of FFmpeg."""
    with av.open(str(path), "w", format=container) as output:
        stream = output.add_stream(codec, rate=rate, layout="mono")
        wanted = stream.codec_context.format.name
        frame_size = 1024
        resampler = av.AudioResampler(format=wanted, layout="mono", rate=rate)
        for first in range(0, sound.size, frame_size):
            piece = np.ascontiguousarray(sound[None, first : first + frame_size])
            frame = av.AudioFrame.from_ndarray(piece, format="fltp", layout="mono")
            frame.sample_rate, frame.pts = rate, first
            for ready in resampler.resample(frame):
                for packet in stream.encode(ready):
                    output.mux(packet)
        for ready in resampler.resample(None):
            for packet in stream.encode(ready):
                output.mux(packet)
        for packet in stream.encode(None):
            output.mux(packet)
    return path


def write_video(path: Path) -> Path:
    """A second of moving grey with a second of sound."""
    with av.open(str(path), "w") as output:
        stream = output.add_stream("mpeg4", rate=10)
        stream.width, stream.height, stream.pix_fmt = 64, 48, "yuv420p"
        for number in range(10):
            grey = np.full((48, 64, 3), 20 * number, dtype=np.uint8)
            for packet in stream.encode(av.VideoFrame.from_ndarray(grey, format="rgb24")):
                output.mux(packet)
        for packet in stream.encode(None):
            output.mux(packet)
    return path
