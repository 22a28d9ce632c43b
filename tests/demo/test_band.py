"""Writing audio, the desk, the room and the master."""

from __future__ import annotations

import importlib.util
import json
import wave
from pathlib import Path

import numpy as np
import pytest
from scipy.signal import fftconvolve

from noonwall.demo import PIECES, band, write_all
from noonwall.demo.band_mix import DESK, master, mix, room, sounding_end_seconds
from noonwall.demo.band_score import Note
from noonwall.demo.band_voices import DRUMS, SAMPLE_RATE, TONES
from noonwall.demo.pieces import Piece


def tone(seconds: float = 0.2) -> np.ndarray:
    time = np.arange(round(seconds * 44_100)) / 44_100
    return np.stack([0.5 * np.sin(2 * np.pi * 441 * time), 0.25 * np.sin(2 * np.pi * 441 * time)], 1).astype(
        "f4"
    )


def test_wav_without_soundfile(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None)
    path = band.write_audio(tmp_path / "tone", tone(), 44_100)
    assert path.name == "tone.wav"
    with wave.open(str(path), "rb") as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (2, 2, 44_100)
        read = np.frombuffer(file.readframes(file.getnframes()), "<i2").reshape(-1, 2) / 32767.0
    assert np.abs(read - tone()).max() < 1 / 32767


def test_flac_with_soundfile(tmp_path: Path) -> None:
    soundfile = pytest.importorskip("soundfile")
    path = band.write_audio(tmp_path / "tone", tone(), 44_100)
    assert path.name == "tone.flac"
    read, rate = soundfile.read(path)
    assert rate == 44_100
    # soundfile reads 16-bit as n/32768, we write n = round(32767 x).
    assert np.abs(read - tone()).max() < 2 / 32767


def test_write_all_writes_audio_and_truth(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    few: dict[str, Piece] = {name: PIECES[name] for name in ("last-boat", "slipway-waltz")}
    monkeypatch.setattr(band, "PIECES", few)
    paths = write_all(tmp_path / "new" / "folder")
    assert {path.stem for path in paths} == set(few)
    assert all(path.stat().st_size > 1000 for path in paths)
    for name, piece in few.items():
        truth = json.loads((tmp_path / "new" / "folder" / f"{name}.json").read_text(encoding="utf-8"))
        assert truth["title"] == piece.title


def test_every_instrument_has_a_place_on_the_desk() -> None:
    assert set(DESK) == set(DRUMS) | set(TONES)


@pytest.mark.parametrize("voice", sorted(DESK))
def test_panning_keeps_power(voice: str) -> None:
    rows = mix([Note(voice, 0.1, 0.5, 0 if voice in DRUMS else 60, 1.0)], 8.0)
    loudness, pan, send = DESK[voice]
    left, right, room_send = (float(np.abs(row).max()) for row in rows)
    assert np.hypot(left, right) == pytest.approx(loudness, rel=0.05)
    assert (left > right) == (pan < 0) or left == pytest.approx(right)
    assert room_send == pytest.approx(loudness * send, rel=0.05, abs=1e-6)


def test_notes_start_where_written_and_stop_at_the_edge() -> None:
    rows = mix([Note("snare", 0.25, 0.2, 0, 1.0), Note("pad", 0.9, 3.0, 60, 1.0)], 1.0)
    assert rows.shape == (3, 44_100)
    first = int(np.flatnonzero(np.abs(rows[0]) > 1e-4)[0])
    assert abs(first - round(0.25 * 44_100)) <= 8


def test_room_is_a_convolution() -> None:
    """The block convolution agrees with scipy.signal.fftconvolve of its own impulse response."""
    impulse = np.zeros(88_200, dtype=np.float32)
    impulse[1000] = 1.0
    response = room(impulse)[:, 1000:]
    generator = np.random.default_rng(5)
    # Even places only: the room works at half the rate, so it is exact for shifts by two samples.
    sound = np.zeros(88_200, dtype=np.float32)
    sound[::2] = generator.standard_normal(44_100)
    for channel in range(2):
        expected = fftconvolve(sound.astype(np.float64), response[channel].astype(np.float64))[:80_000]
        assert np.abs(room(sound)[channel, :80_000] - expected).max() < 2e-3 * np.abs(expected).max()


def test_room_dies_away() -> None:
    impulse = np.zeros(88_200, dtype=np.float32)
    impulse[0] = 1.0
    tail = room(impulse)
    early = float((tail[:, :8820] ** 2).sum())
    late = float((tail[:, 44_100:] ** 2).sum())
    assert early > 100 * late
    assert not np.array_equal(tail[0], tail[1])


@pytest.mark.parametrize(("drive", "peak"), [(0.5, -1.0), (4.0, -9.0)])
def test_master_sets_the_peak(drive: float, peak: float) -> None:
    # Silence around the sound, as in a song: the mean is judged a quarter second at a time.
    sound = np.random.default_rng(1).standard_normal((2, 50_000)) * 3 + 0.5
    rows = np.pad(sound, ((0, 0), (10_000, 10_000))).astype(np.float32)
    result = master(rows, drive=drive, peak_dbfs=peak)
    assert result.shape == (70_000, 2)
    assert 20 * np.log10(np.abs(result).max()) == pytest.approx(peak, abs=0.01)
    assert np.abs(result.mean(axis=0)).max() < 1e-4


def test_harder_drive_is_louder_at_the_same_peak() -> None:
    rows = np.random.default_rng(1).standard_normal((2, 50_000)).astype(np.float32)
    soft, hard = (master(rows, drive=drive, peak_dbfs=-1.0).std() for drive in (0.5, 4.0))
    assert hard > 1.3 * soft


def test_master_leaves_silence_silent() -> None:
    """A lopsided sound must not leave a constant behind when its mean is taken away."""
    rows = np.zeros((2, 88_200), dtype=np.float32)
    rows[:, :44_100] = np.abs(np.random.default_rng(2).standard_normal(44_100)) - 0.3
    result = master(rows, drive=2.0, peak_dbfs=-1.0)
    assert np.abs(result[52_000:]).max() < 1e-6
    assert np.abs(result[8_000:36_000].mean()) < 0.02 * result[:44_100].std()


def test_silence_has_no_end() -> None:
    assert sounding_end_seconds(np.zeros((SAMPLE_RATE, 2), dtype=np.float32)) == 0.0
    assert sounding_end_seconds(np.zeros((0, 2), dtype=np.float32)) == 0.0
    assert not master(np.zeros((2, 500), dtype=np.float32), drive=1.0, peak_dbfs=-1.0).any()
