"""The sound of practice tracks: stretching, loudness, ducking, limiting and files, against ears not ours."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import av
import numpy as np
import pyloudnorm
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from noonwall.errors import NoonwallError
from noonwall.outputs import stretch
from noonwall.outputs.click import Click, ClickMusic, stroke
from noonwall.outputs.loudness import (
    HOP,
    loudness_with,
    measure,
    sample_peaks,
    true_peaks,
    weighted_power,
)
from noonwall.outputs.mixing import DUCKED_DB, Mixture, Placed, duck_curve, limit_curve
from noonwall.outputs.sound_file import TRACK_RATE_HZ, open_raw, sound_from_bytes, stereo_blocks
from noonwall.outputs.spoken import Spoken
from noonwall.outputs.stretch import SlowedMusic, WholeMusic, pieces_of, stretch_piece, write_raw
from noonwall.outputs.track_files import FORMATS, write_sound
from tests.outputs.practice_kit import (
    Sound,
    clicks_at,
    decoded,
    errors_ms,
    loudness_by_ffmpeg,
    pitch_hz,
    write_song,
)

SPEEDS = (0.6, 0.75, 0.9, 1.2)


def in_blocks(samples: Sound, size: int = 10 * TRACK_RATE_HZ) -> list[Sound]:
    return [samples[start : start + size] for start in range(0, samples.shape[0], size)]


def both(mono: np.ndarray) -> Sound:
    return np.stack((mono, mono), axis=1).astype(np.float32)


# --- stretching --------------------------------------------------------------------------------------------


@pytest.fixture
def slowed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[Sound, float], Sound]:
    """Stretch a sound in pieces of six seconds, so that a short one has joints."""
    monkeypatch.setattr(stretch, "PIECE_SECONDS", 6.0)

    def do(samples: Sound, speed: float) -> Sound:
        raw = tmp_path / "song.f32"
        write_raw(raw, [samples])
        pieces = pieces_of(open_raw(raw))
        assert len(pieces) >= 3, "no joint is tested"
        files = tuple(tmp_path / f"{speed}-{number}.f32" for number in range(len(pieces)))
        for piece, file in zip(pieces, files, strict=True):
            stretch_piece(raw, piece, speed, file)
        music = SlowedMusic(files, pieces, speed, samples.shape[0])
        return music.read(0, music.size)

    return do


@pytest.mark.parametrize("speed", SPEEDS)
def test_beats_stay_where_they_belong(slowed: Callable[[Sound, float], Sound], speed: float) -> None:
    times = [0.5 + 0.535 * number for number in range(34)]
    made = slowed(both(clicks_at(times, 19.5)), speed)[:, 0]
    found = []
    for time in times:
        start = round((time / speed - 0.1) * TRACK_RATE_HZ)
        near = np.abs(made[start : start + round(0.2 * TRACK_RATE_HZ)])
        found.append((start + int(np.argmax(near > 0.5 * near.max()))) / TRACK_RATE_HZ)
    errors = errors_ms(np.array(found), [time / speed for time in times])
    assert np.abs(errors).max() < 5.0  # the bar is 25 ms
    # tempo: the slope of a line through all clicks; the bar is 0.1%
    slope = np.polyfit(times, found, 1)[0]
    assert slope * speed == pytest.approx(1.0, abs=0.0005)
    assert made.shape[0] == pytest.approx(19.5 / speed * TRACK_RATE_HZ, abs=2)


@pytest.mark.parametrize(
    ("speed", "hertz"),
    [(0.6, 110.0), (0.6, 440.0), (0.75, 440.0), (0.75, 1760.0), (0.9, 440.0), (1.2, 440.0)],
)
def test_pitch_is_kept_and_joints_are_not_heard(
    slowed: Callable[[Sound, float], Sound], speed: float, hertz: float
) -> None:
    time = np.arange(19 * TRACK_RATE_HZ) / TRACK_RATE_HZ
    made = slowed(both(0.5 * np.sin(2 * np.pi * hertz * time)), speed)[TRACK_RATE_HZ:-TRACK_RATE_HZ, 0]
    assert abs(1200 * np.log2(pitch_hz(made, hertz) / hertz)) < 1.0  # cents; the bar is 5
    level = np.sqrt(np.convolve(made**2, np.ones(882) / 882, "valid"))
    assert 20 * np.log10(level.max() / level.min()) < 1.0, "the tone dips or swells"
    assert np.abs(np.diff(made)).max() < 1.5 * 0.5 * 2 * np.pi * hertz / TRACK_RATE_HZ, "a click"


def test_left_and_right_stay_apart_and_together(slowed: Callable[[Sound, float], Sound]) -> None:
    noise = np.random.default_rng(3).standard_normal(19 * TRACK_RATE_HZ) * 0.1
    made = slowed(np.stack((noise, 0.5 * noise), axis=1).astype(np.float32), 0.75)
    assert np.allclose(made[:, 0], 2 * made[:, 1], atol=0.01)
    quiet = slowed(np.stack((noise, 0 * noise), axis=1).astype(np.float32), 0.9)
    assert np.abs(quiet[:, 1]).max() < 1e-3 * np.abs(quiet[:, 0]).max()


def test_a_piece_that_is_there_is_not_made_again(tmp_path: Path) -> None:
    raw, made = tmp_path / "song.f32", tmp_path / "made.f32"
    write_raw(raw, [both(np.ones(30_000))])
    made.write_bytes(b"as it was")
    stretch_piece(raw, pieces_of(open_raw(raw))[0], 0.75, made)
    assert made.read_bytes() == b"as it was"


def test_music_is_silent_before_its_start_and_after_its_end() -> None:
    music = WholeMusic(both(np.ones(100)))
    assert music.read(-10, 0).shape == (10, 2) and not music.read(-10, 0).any()
    assert (
        not music.read(100, 120).any() and music.read(95, 105)[:5].all() and not music.read(95, 105)[5:].any()
    )


# --- loudness ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("levels_db", "lufs"),
    # EBU Tech 3341, minimum requirements test signals 1, 2 and 3: a stereo sine of 1 kHz at these levels for
    # 20 or for 10, 60 and 10 seconds (shortened here by a third), within 0.1 LU. Table from memory.
    [(((-23.0, 20),), -23.0), (((-33.0, 20),), -33.0), (((-36.0, 7), (-23.0, 40), (-36.0, 7)), -23.0)],
)
def test_loudness_of_the_test_signals_of_the_standard(
    levels_db: tuple[tuple[float, int], ...], lufs: float
) -> None:
    pieces = [
        10 ** (level / 20) * np.sin(2 * np.pi * 1000 * np.arange(seconds * TRACK_RATE_HZ) / TRACK_RATE_HZ)
        for level, seconds in levels_db
    ]
    assert measure(in_blocks(both(np.concatenate(pieces)))).lufs == pytest.approx(lufs, abs=0.1)


def music_like(seconds: float, seed: int) -> Sound:
    """Noise that swells and dies away, different on both sides."""
    chance = np.random.default_rng(seed)
    time = np.arange(round(seconds * TRACK_RATE_HZ)) / TRACK_RATE_HZ
    swell = 0.02 + 0.3 * (np.sin(2 * np.pi * time / 3.1) ** 2) * (time < 0.7 * seconds)
    sides = [
        np.convolve(chance.standard_normal(time.size), [0.4, 0.3, 0.2, 0.1], "same") * swell for _ in "lr"
    ]
    return np.stack(sides, axis=1).astype(np.float32)


def test_loudness_agrees_with_two_meters_that_are_not_ours() -> None:
    sound = music_like(23.7, 8)
    ours = measure(in_blocks(sound)).lufs
    assert ours == pytest.approx(loudness_by_ffmpeg(sound)[0], abs=0.1)
    theirs = pyloudnorm.Meter(TRACK_RATE_HZ, filter_class="DeMan").integrated_loudness(sound.astype(float))
    assert ours == pytest.approx(theirs, abs=0.05)


def test_loudness_does_not_depend_on_the_blocks() -> None:
    sound = music_like(12.3, 2)
    whole, pieces = measure([sound]), measure(in_blocks(sound, 3 * TRACK_RATE_HZ))
    assert whole.lufs == pytest.approx(pieces.lufs, abs=1e-3)
    assert np.array_equal(whole.peaks, pieces.peaks)


def test_true_peaks_between_samples_are_found() -> None:
    # a sine of a quarter of the rate, sampled 45 degrees off its peaks: samples at 0.707, true peak 1
    count = 3 * TRACK_RATE_HZ
    sine = both(np.sin(np.pi / 2 * np.arange(count) + np.pi / 4) * np.hanning(count))
    assert sample_peaks(sine).max() == pytest.approx(0.707, abs=0.01)
    assert true_peaks(in_blocks(sine, TRACK_RATE_HZ)).max() == pytest.approx(1.0, abs=0.02)
    assert loudness_by_ffmpeg(sine)[1] == pytest.approx(0.0, abs=0.3)


def test_silence_has_no_loudness() -> None:
    assert measure([both(np.zeros(90_000))]).lufs == float("-inf")
    assert measure([]).lufs == float("-inf")
    assert weighted_power(np.zeros(0, np.float32)) == 0.0


def test_loudness_after_a_gain_is_told_without_hearing_it_again() -> None:
    sound = music_like(15.0, 4)
    told = measure(in_blocks(sound))
    gains = (0.5 + 0.3 * np.sin(np.arange(told.powers.size * 10 + 1) / 90)).astype(np.float32)
    turned = sound * np.repeat(gains, HOP)[: sound.shape[0], None]
    assert loudness_with(told.powers, gains) == pytest.approx(measure(in_blocks(turned)).lufs, abs=0.05)


# --- room for the voice ------------------------------------------------------------------------------------


def test_music_gives_way_smoothly_before_the_voice_and_comes_back() -> None:
    start, stop, size = 5 * TRACK_RATE_HZ, 6 * TRACK_RATE_HZ, 12 * TRACK_RATE_HZ
    curve = 20 * np.log10(duck_curve([(start, stop)], size))
    assert curve[500:600] == pytest.approx(DUCKED_DB, abs=0.01)  # hundredths of a second
    assert curve[:470] == pytest.approx(0.0, abs=0.01) and curve[660:] == pytest.approx(0.0, abs=0.01)
    assert np.abs(np.diff(curve)).max() < 1.5, "more than 1.5 dB within 10 ms is heard as a jump"


def test_music_does_not_pump_between_counts() -> None:
    # counts at 112 beats a minute, each 0.3 s long
    period = 60 / 112
    spans = [
        (round(n * period * TRACK_RATE_HZ), round((n * period + 0.3) * TRACK_RATE_HZ)) for n in range(1, 17)
    ]
    curve = 20 * np.log10(duck_curve(spans, 12 * TRACK_RATE_HZ))
    assert curve[60:850].max() < DUCKED_DB + 0.1


@settings(max_examples=40)
@given(
    peaks=st.lists(st.floats(0.0, 2.0), min_size=1, max_size=60),
    gain=st.floats(0.1, 8.0),
    ceiling=st.floats(0.2, 1.0),
)
def test_the_limiter_keeps_every_peak_under_the_ceiling(
    peaks: list[float], gain: float, ceiling: float
) -> None:
    heights = np.array(peaks, np.float32)
    limit = limit_curve(heights, gain, ceiling)
    assert limit.size == heights.size + 1 and (limit <= 1.0 + 1e-6).all()
    # between two points the gain lies between them, so the larger of both counts
    assert (heights * gain * np.maximum(limit[:-1], limit[1:]) <= ceiling * (1 + 1e-5)).all()


def test_voice_lies_where_it_was_laid_and_music_is_untouched_far_from_it() -> None:
    music = WholeMusic(both(0.1 * np.random.default_rng(1).standard_normal(15 * TRACK_RATE_HZ)))
    spoken = Spoken(np.full(4_410, 0.1, np.float32), 441, 170)
    placed = Placed(12 * TRACK_RATE_HZ - 441, spoken)
    mixture = Mixture(music, [placed], -20.0)
    whole = np.concatenate(list(mixture.blocks()))
    assert np.array_equal(whole[: 11 * TRACK_RATE_HZ], music.read(0, 11 * TRACK_RATE_HZ))
    voice = mixture.voice(0, mixture.size)
    assert np.flatnonzero(voice)[0] == placed.at and np.flatnonzero(voice)[-1] == placed.end - 1
    # the joint of two blocks of ten seconds is not heard
    assert np.allclose(
        np.concatenate([mixture.voice(0, 441_000), mixture.voice(441_000, mixture.size)]), voice
    )


def test_a_click_begins_on_its_sample() -> None:
    music = ClickMusic([Click(1000, True), Click(40_000, False)], 60_000)
    whole = music.read(0, 60_000)
    assert np.flatnonzero(np.abs(whole[:, 0]) > 1e-4)[0] - 1000 in range(3)
    parts = np.concatenate([music.read(0, 1_003), music.read(1_003, 41_000), music.read(41_000, 60_000)])
    assert np.array_equal(parts, whole)
    assert not np.array_equal(stroke(True), stroke(False)), "the first count of a section sounds different"


# --- files -------------------------------------------------------------------------------------------------

TAGS = {
    "title": "Été <b>قمر</b> 🌊",
    "artist": "Practice",
    "album": "A & B",
    "comment": "not proved",
    "language": "fra",
}


@pytest.mark.parametrize("form", FORMATS)
def test_what_is_written_is_read_again(tmp_path: Path, form: str) -> None:
    sound = music_like(4.0, 6)
    path = tmp_path / f"track.{form}"
    write_sound(path, in_blocks(sound, TRACK_RATE_HZ), form, TAGS)
    heard = decoded(path)
    assert heard.shape[0] == pytest.approx(sound.shape[0], abs=0.05 * TRACK_RATE_HZ)
    size = min(heard.shape[0], sound.shape[0])
    # the same sound at the same place: no codec may move it
    likeness = np.corrcoef(heard[:size, 0], sound[:size, 0])[0, 1]
    assert likeness > (0.9 if FORMATS[form].is_lossy else 0.9999)
    with av.open(str(path)) as container:
        stored = container.metadata
        codec = container.streams.audio[0].codec_context.name
    assert codec == {"mp3": "mp3float", "m4a": "aac", "wav": "pcm_s16le", "flac": "flac"}[form]
    assert {name: stored.get(name) for name in ("title", "artist", "album", "comment")} == {
        name: TAGS[name] for name in ("title", "artist", "album", "comment")
    }
    assert [entry.name for entry in tmp_path.iterdir()] == [path.name], (
        "something half-written is left behind"
    )


def test_a_failure_leaves_what_was_there(tmp_path: Path) -> None:
    path = tmp_path / "track.flac"
    path.write_bytes(b"as it was")

    def breaks() -> object:
        yield both(np.zeros(4410))
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        write_sound(path, breaks(), "flac", {})  # type: ignore[arg-type]
    assert path.read_bytes() == b"as it was"
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("form", FORMATS)
@pytest.mark.skipif(sys.platform == "win32", reason="file size limits are POSIX")
def test_a_full_disk_is_one_sentence(tmp_path: Path, form: str) -> None:
    # a limit on the size of files stands in for a full disk: the system refuses to write more
    code = f"""
import resource, numpy as np
from pathlib import Path
from noonwall.errors import NoonwallError
from noonwall.outputs.track_files import write_sound
resource.setrlimit(resource.RLIMIT_FSIZE, (30_000, 30_000))
noise = (np.random.default_rng(1).standard_normal((44100, 2)) * 0.1).astype(np.float32)
try:
    write_sound(Path({str(tmp_path)!r}) / "track.{form}", [noise] * 8, {form!r}, {{}})
except NoonwallError as error:
    print(error)
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert "could not be written (file too large)" in done.stdout, done.stderr
    assert "Traceback" not in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_places_that_cannot_be_written_are_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(NoonwallError, match="is not a folder"):
        write_sound(tmp_path / "none" / "a.wav", [], "wav", {})
    with pytest.raises(NoonwallError, match="is a folder"):
        write_sound(tmp_path, [], "wav", {})


@pytest.mark.parametrize(("rate_hz", "channels"), [(44_100, 2), (48_000, 2), (22_050, 1), (44_100, 1)])
def test_a_song_is_decoded_to_stereo_and_its_beats_stay(tmp_path: Path, rate_hz: int, channels: int) -> None:
    import soundfile

    mono = np.zeros(5 * rate_hz)
    mono[2 * rate_hz] = 0.9
    path = tmp_path / "song.wav"
    soundfile.write(path, np.stack([mono] * channels, axis=1), rate_hz)
    sound = np.concatenate(list(stereo_blocks(path)))
    assert sound.shape == (pytest.approx(5 * TRACK_RATE_HZ, abs=2), 2)
    assert abs(int(np.argmax(sound[:, 1])) - 2 * TRACK_RATE_HZ) <= 1


def test_bytes_that_are_no_sound_are_none() -> None:
    assert sound_from_bytes(b"") is None
    assert sound_from_bytes(b"hello") is None
    assert sound_from_bytes(bytes(5000)) is None


def test_a_song_written_for_the_tests_is_what_it_should_be(tmp_path: Path) -> None:
    path = write_song(tmp_path / "a.wav", np.sin(np.arange(TRACK_RATE_HZ * 5) / 9) * 0.5)
    sound = np.concatenate(list(stereo_blocks(path)))
    assert np.allclose(sound, decoded(path), atol=1e-4)
