"""Decoding: every format gives the same clock, and every unusable file one clear sentence."""

from __future__ import annotations

import struct
import tracemalloc
from pathlib import Path

import numpy as np
import pytest
import soundfile

from noonwall.errors import BrokenFile
from noonwall.music import listen
from noonwall.music.decode import ANALYSIS_RATE_HZ, read_blocks, read_header
from tests.music.sounds import RATE, encode, write_video, write_wav

CLICKS_SECONDS = (1.0, 2.5, 4.25)
# Lossy codecs smear a click over a few milliseconds; the resampler and the lossless formats do not.
FORMATS = [
    ("wav", "pcm_s16le", 0.001),
    ("flac", "flac", 0.001),
    ("mp3", "libmp3lame", 0.004),
    ("m4a", "aac", 0.004),
    ("ogg", "libopus", 0.004),
    ("aiff", "pcm_s16be", 0.001),
]


def clicks(rate: int = RATE, seconds: float = 6.0) -> np.ndarray:
    sound = np.zeros(int(seconds * rate), np.float32)
    for time in CLICKS_SECONDS:
        first = int(time * rate)
        sound[first : first + rate // 100] = 0.9 * np.sin(2 * np.pi * 1000 * np.arange(rate // 100) / rate)
    return sound


def heard_clicks(path: Path) -> list[float]:
    sound = np.concatenate(list(read_blocks(path)))
    loud = np.flatnonzero(np.abs(sound) > 0.3)
    starts = loud[np.concatenate(([True], np.diff(loud) > 2000))]
    return [float(start) / ANALYSIS_RATE_HZ for start in starts]


@pytest.mark.parametrize(("suffix", "codec", "tolerance"), FORMATS)
def test_every_format_keeps_the_clock(tmp_path: Path, suffix: str, codec: str, tolerance: float) -> None:
    rate = 48000 if codec == "libopus" else RATE
    path = encode(tmp_path / f"clicks.{suffix}", clicks(rate), codec, rate)
    assert heard_clicks(path) == pytest.approx(CLICKS_SECONDS, abs=tolerance)


@pytest.mark.parametrize(("rate", "channels"), [(8000, 1), (11025, 2), (96000, 2), (192000, 6)])
def test_rates_and_channels(tmp_path: Path, rate: int, channels: int) -> None:
    sound = np.repeat(clicks(rate)[:, None], channels, axis=1)
    path = tmp_path / "clicks.wav"
    soundfile.write(path, sound, rate, subtype="PCM_24")
    assert heard_clicks(path) == pytest.approx(CLICKS_SECONDS, abs=0.001)
    header = read_header(path)
    assert (header.rate_hz, header.channels) == (rate, channels)


@pytest.mark.parametrize("subtype", ["PCM_U8", "PCM_16", "PCM_24", "PCM_32", "FLOAT", "DOUBLE"])
def test_sample_formats_give_the_same_level(tmp_path: Path, subtype: str) -> None:
    path = tmp_path / "level.wav"
    soundfile.write(path, 0.5 * np.sin(np.arange(RATE * 5) * 0.05), RATE, subtype=subtype)
    sound = np.concatenate(list(read_blocks(path)))
    assert np.abs(sound[1000:-1000]).max() == pytest.approx(0.5, abs=0.01)


def test_mislabelled_file_is_heard_by_its_content(tmp_path: Path) -> None:
    path = write_wav(tmp_path / "clicks.mp3", clicks())
    assert heard_clicks(path) == pytest.approx(CLICKS_SECONDS, abs=0.001)


def one_sentence(error: pytest.ExceptionInfo[BrokenFile], *words: str) -> None:
    text = str(error.value)
    assert "\n" not in text and text.endswith(".") and len(text) < 220
    assert all(word in text for word in words), text


def test_text_renamed_to_mp3(tmp_path: Path) -> None:
    path = tmp_path / "song.mp3"
    path.write_text("Walk forward right, left, right, kick left.\n" * 200, encoding="utf-8")
    with pytest.raises(BrokenFile) as error:
        listen(path)
    one_sentence(error, "song.mp3", "text")


def test_bytes_that_are_no_sound(tmp_path: Path) -> None:
    path = tmp_path / "song.ogg"
    path.write_bytes(np.random.default_rng(1).integers(0, 256, 50_000, dtype=np.uint8).tobytes())
    with pytest.raises(BrokenFile) as error:
        listen(path)
    one_sentence(error, "song.ogg")


def test_empty_file_folder_and_missing_file(tmp_path: Path) -> None:
    (tmp_path / "empty.wav").touch()
    for name, word in (("empty.wav", "empty"), (".", "folder"), ("gone.wav", "no file")):
        with pytest.raises(BrokenFile) as error:
            listen(tmp_path / name)
        one_sentence(error, word)


def test_no_permission(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = write_wav(tmp_path / "locked.wav", clicks())

    def refuse(self: Path, mode: str = "r") -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(BrokenFile) as error:
        listen(path)
    one_sentence(error, "locked.wav", "permission")


def test_video_is_refused(tmp_path: Path) -> None:
    path = write_video(tmp_path / "class.mp4")
    with pytest.raises(BrokenFile) as error:
        listen(path)
    one_sentence(error, "class.mp4", "video")


@pytest.mark.parametrize("suffix", ["wav", "flac"])
def test_truncated_file(tmp_path: Path, suffix: str) -> None:
    whole = tmp_path / f"whole.{suffix}"
    soundfile.write(whole, np.random.default_rng(2).normal(0, 0.1, RATE * 20), RATE)
    cut = tmp_path / f"cut.{suffix}"
    cut.write_bytes(whole.read_bytes()[: whole.stat().st_size // 2])
    with pytest.raises(BrokenFile) as error:
        listen(cut)
    one_sentence(error, "breaks off", "50% of it is missing" if suffix == "wav" else "of 0:20")


def test_silence(tmp_path: Path) -> None:
    path = write_wav(tmp_path / "quiet.wav", np.zeros(RATE * 10, np.float32))
    with pytest.raises(BrokenFile) as error:
        listen(path)
    one_sentence(error, "silent")


def test_too_short(tmp_path: Path) -> None:
    path = write_wav(tmp_path / "short.wav", clicks(seconds=3.0 + 1.5)[: RATE * 3])
    with pytest.raises(BrokenFile) as error:
        listen(path)
    one_sentence(error, "too short")


def test_three_hours_are_refused_at_once(tmp_path: Path) -> None:
    """A header of 3 hours over a sparse file: refused by the header, without reading it."""
    size = 3 * 3600 * 8000
    header = struct.pack(
        "<4sI4s4sIHHIIHH4sI", b"RIFF", size + 36, b"WAVE", b"fmt ", 16, 1, 1, 8000, 8000, 1, 8, b"data", size
    )
    path = tmp_path / "set.wav"
    with path.open("wb") as handle:
        handle.write(header)
        handle.truncate(size + 44)
    tracemalloc.start()
    with pytest.raises(BrokenFile) as error:
        listen(path)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    one_sentence(error, "3:00:00", "25:00")
    assert peak < 20e6
