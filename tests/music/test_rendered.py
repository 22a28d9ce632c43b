"""The random songs: their truth must be exact, or every measurement made with them is worthless."""

from __future__ import annotations

import json
import struct
import sys
from collections import Counter
from dataclasses import replace
from pathlib import Path

import mir_eval
import numpy as np
import pytest

from noonwall.demo.band_grooves import GROOVES
from noonwall.demo.band_score import Note
from noonwall.demo.band_truth import truth_of
from noonwall.demo.band_voices import DRUMS, TONES
from tests.music import rendered as songs
from tests.music.rendered_midi import PERCUSSION, PROGRAMS, midi_file, soundfont_audio, soundfont_path

SEEDS = range(1, 9)
MANY = range(1000, 1400)

needs_soundfont = pytest.mark.skipif(
    soundfont_path() is None, reason="fluidsynth or a soundfont is not installed"
)


def click_times(samples: np.ndarray, sample_rate: int) -> np.ndarray:
    """Starts of bare clicks: first sample above 5% of the peak after 50 ms of quiet."""
    loud = np.flatnonzero(np.abs(samples).max(axis=1) > 0.05 * np.abs(samples).max())
    first = np.concatenate(([True], np.diff(loud) > 0.05 * sample_rate))
    return loud[first] / sample_rate


@pytest.mark.parametrize("seed", [*SEEDS, 1003, 1011, 1016, 1020])
def test_clicks_lie_on_the_true_beats(seed: int) -> None:
    """Every click within 0.2 ms of its beat, none more, none missing; mir_eval agrees with F = 1."""
    plan = songs.random_plan(seed)
    click = songs.click_song(plan)
    heard = click_times(click.samples, click.sample_rate)
    counts = plan.pickup_counts + sum(phrase.counts for phrase in plan.phrases)
    assert heard.size == counts
    beats = np.array(click.truth["beats"][:counts])
    if plan.ending != "fade":
        assert beats.size == counts
    assert np.abs(heard[: beats.size] - beats).max() < 0.0002
    assert mir_eval.beat.f_measure(beats, heard[: beats.size], 0.0002) == 1.0


def test_some_click_song_drifts_and_some_slows() -> None:
    """The seeds above cover the hard clocks, else the test before this one says too little."""
    plans = [songs.random_plan(seed) for seed in [*SEEDS, 1003, 1011, 1016, 1020]]
    assert any(plan.drift > 0 for plan in plans)
    assert any(plan.ending == "ritard" for plan in plans)
    assert any(plan.ending == "fade" for plan in plans)
    assert any(plan.pickup_counts for plan in plans)


@pytest.mark.parametrize("seed", MANY[:120])
def test_truth_agrees_with_itself(seed: int) -> None:
    plan = songs.random_plan(seed)
    truth = truth_of(plan)
    beats = np.array(truth["beats"])
    assert np.all(np.diff(beats) > 0.0)
    beat_set = set(truth["beats"])
    for key in ("bar_starts", "eight_starts", "phrase_starts"):
        assert set(truth[key]) <= beat_set, key
        assert truth[key] == sorted(truth[key])
    assert set(truth["phrase_starts"]) <= set(truth["eight_starts"])
    assert set(truth["phrase_starts"]) <= set(truth["bar_starts"])
    assert json.loads(json.dumps(truth)) == truth


@pytest.mark.parametrize("seed", MANY[:120])
def test_tempo_of_the_truth_is_the_tempo_asked(seed: int) -> None:
    """Steady songs: within 0.001% over the whole of the even part; drifting ones within their bound."""
    plan = songs.random_plan(seed)
    truth = truth_of(plan)
    slow = 2 * truth["beats_per_bar"] + 2 if truth["ending"] == "ritard" else 0
    beats = np.array(truth["beats"][: len(truth["beats"]) - slow])
    tempo = 60.0 * (beats.size - 1) / (beats[-1] - beats[0])
    assert tempo == pytest.approx(plan.bpm, rel=1e-5 if truth["steady"] else plan.drift)
    assert truth["bpm"] == plan.bpm


@pytest.mark.parametrize("seed", MANY[:120])
def test_phrases_sum_to_the_song(seed: int) -> None:
    plan = songs.random_plan(seed)
    truth = truth_of(plan)
    total = sum(counts for _, counts, _ in truth["phrases"])
    last_chord = 1 if truth["ending"] in ("hit", "ritard") else 0
    if truth["ending"] == "fade":
        assert len(truth["beats"]) <= truth["pickup_counts"] + total
    else:
        assert len(truth["beats"]) == truth["pickup_counts"] + total + last_chord
    intro = sum(counts for _, counts, section in truth["phrases"] if section == "intro")
    assert truth["intro_counts"] == intro
    index = {time: number for number, time in enumerate(truth["beats"])}
    assert index[truth["phrase_starts"][0]] == truth["pickup_counts"] + intro
    # Odd phrases are exactly those of unusual length, and the next phrase comes that much later.
    odd = [(start, counts) for start, counts, section in truth["phrases"] if section != "intro"]
    odd = [(start, counts) for start, counts in odd if counts != truth["phrase_counts"]]
    assert truth["odd_phrases"] == [list(pair) for pair in odd]
    for start, counts in odd:
        following = truth["phrase_starts"][truth["phrase_starts"].index(start) + 1]
        assert index[following] - index[start] == counts


def test_the_songs_are_many_kinds() -> None:
    """Every kind asked for really comes, and in a share that can be measured."""
    truths = [truth_of(songs.random_plan(seed)) for seed in MANY]
    plans = [songs.random_plan(seed) for seed in MANY]
    genres = Counter(truth["groove"] for truth in truths)
    assert set(genres) == set(songs.GENRE_WEIGHTS) == set(GROOVES)
    assert {truth["beats_per_bar"] for truth in truths} == {2, 3, 4}
    assert {truth["ending"] for truth in truths} == {"hit", "ritard", "cold", "fade"}
    assert {plan.pickup for plan in plans} == {"none", "sticks", "notes", "fill"}
    extras = {
        counts - truth["phrase_counts"]
        for truth in truths
        if truth["beats_per_bar"] == 4
        for _, counts in truth["odd_phrases"]
    }
    assert extras == {-4, 2, 4, 8}
    share = sum(bool(truth["odd_phrases"]) for truth in truths) / len(truths)
    assert 0.4 < share < 0.6
    assert {0, 4, 8, 16, 32} <= {truth["intro_counts"] for truth in truths if truth["beats_per_bar"] == 4}
    assert all(0 <= truth["intro_counts"] <= 32 for truth in truths)
    assert 0.1 < sum(not truth["steady"] for truth in truths) / len(truths) < 0.25
    assert 0.15 < sum(truth["swing"] > 0.55 for truth in truths) / len(truths) < 0.5
    assert sum(bool(truth["breaks"]) for truth in truths) > len(truths) / 5
    tempos = [truth["bpm"] for truth in truths if truth["groove"] != "night_club"]
    assert min(tempos) >= 80 and max(tempos) <= 190
    assert min(tempos) < 90 and max(tempos) > 170
    assert max(plan.humanise_seconds for plan in plans) <= 0.008


def test_same_seed_same_song_other_seed_other_song() -> None:
    first, rate, truth = songs.random_song(5)
    again, _, truth_again = songs.random_song(5)
    assert rate == 44_100
    assert np.array_equal(first, again) and truth == truth_again
    assert truth_of(songs.random_plan(6))["beats"] != truth["beats"]


def test_unknown_renderer_is_named() -> None:
    with pytest.raises(ValueError, match="choose one of synth, soundfont"):
        songs.render_random(songs.random_plan(1), "organ-grinder")


def beat_contrast(samples: np.ndarray, beats: np.ndarray, period: float) -> float:
    """Rise of level on the beats over the rise at other places of the count (5 ms frames)."""
    mono = np.diff(samples.astype(np.float64).mean(axis=1))
    level = np.sqrt((mono[: mono.size // 220 * 220].reshape(-1, 220) ** 2).mean(axis=1))
    rise = np.maximum(np.diff(level, prepend=level[0]), 0.0)

    def gathered(shift: float) -> float:
        frames = np.round((beats + shift) * 44_100 / 220).astype(int)
        near = np.stack([rise[np.clip(frames + k, 0, rise.size - 1)] for k in (-2, -1, 0, 1, 2, 3)])
        return float(near.max(axis=0).mean())

    return gathered(0.0) / max(gathered(shift * period) for shift in (0.12, 0.38, 0.62, 0.88))


@pytest.mark.parametrize(
    "genre", ["rock", "disco", "shuffle", "polka", "waltz", "cha_cha", "stomp", "six_eight"]
)
def test_the_band_plays_on_the_true_beats(genre: str) -> None:
    plan = songs.random_plan(21, genre=genre, length_seconds=40.0)
    song = songs.render_random(plan)
    beats = np.array(song.truth["beats"])
    assert beat_contrast(song.samples, beats, 60.0 / plan.bpm) > 1.25
    assert song.truth["audio_end"] >= beats[-1]


def test_a_cold_ending_is_heard_to_end() -> None:
    plan = replace(songs.random_plan(305), ending="cold", drift=0.0)
    song = songs.render_random(plan)
    assert 0.0 < song.truth["audio_end"] - song.truth["beats"][-1] < 60.0 / plan.bpm + 1.5


@pytest.mark.parametrize("seed", [2, 7, 13])
def test_songs_do_not_clip(seed: int) -> None:
    samples, _, _ = songs.random_song(seed)
    assert np.isfinite(samples).all()
    assert 0.2 < np.abs(samples).max() <= 1.0
    assert np.abs(samples.mean(axis=0)).max() < 1e-3


def test_command_writes_songs_and_truth(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    words = [
        "rendered",
        "--count",
        "2",
        "--seed",
        "3",
        "--out",
        str(tmp_path / "songs"),
        "--genre",
        "night_club",
    ]
    monkeypatch.setattr(sys, "argv", words)
    songs.main()
    files = sorted(path.name for path in (tmp_path / "songs").iterdir())
    assert [name.rsplit(".", 1)[0] for name in files[::2]] == [
        "synth-00003-night_club",
        "synth-00004-night_club",
    ]
    assert len(files) == 4
    truth = json.loads((tmp_path / "songs" / "synth-00003-night_club.json").read_text(encoding="utf-8"))
    assert truth["groove"] == "night_club" and truth["renderer"] == "synth"


def test_midi_keeps_the_time() -> None:
    """mido's own playing time of each note is the start asked for, to a twentieth of a millisecond."""
    notes = [Note("kick", 0.1 + 0.3337 * k, 0.2, 0, 0.9) for k in range(50)]
    notes += [Note("bass", 0.1 + 0.5003 * k, 0.4, 40, 0.9) for k in range(30)]
    now, starts = 0.0, []
    for message in midi_file(notes, 20.0):
        now += message.time
        if message.type == "note_on" and message.velocity:
            starts.append(now)
    assert now == pytest.approx(20.0, abs=1e-3)
    assert np.abs(np.array(starts) - np.sort([note.start_seconds for note in notes])).max() < 5.1e-5


def test_midi_knows_every_instrument() -> None:
    assert set(PERCUSSION) == set(DRUMS)
    assert set(PROGRAMS) == set(TONES)


@needs_soundfont
def test_soundfont_drums_are_on_time() -> None:
    notes = [Note("sticks", 0.5 + 0.7313 * k, 0.2, 0, 0.9) for k in range(12)]
    samples = soundfont_audio(notes, 10.0).T
    heard = click_times(samples, 44_100)
    assert heard.size == 12
    error = heard - np.array([note.start_seconds for note in notes])
    assert error.min() > -0.001 and error.max() < 0.005


def preset_names(path: Path) -> dict[tuple[int, int], str]:
    """(bank, program) to the name in the soundfont: the "phdr" records of the SoundFont 2.01 format."""
    data = path.read_bytes()
    start = data.rindex(b"phdr") + 4
    (size,) = struct.unpack_from("<I", data, start)
    names = {}
    for place in range(start + 4, start + 4 + size - 38, 38):
        name, program, bank = struct.unpack_from("<20sHH", data, place)
        names[(bank, program)] = name.split(b"\0")[0].decode("latin-1").lower()
    return names


EXPECTED_PRESETS = {
    "bass": "bass",
    "guitar": "steel",
    "muted_guitar": "mute",
    "piano": "piano",
    "pad": "string",
    "organ": "organ",
    "accordion": "accord",
    "brass": "brass",
    "voice": "voice",
    "fiddle": "fiddle",
    "bell": "vib",
}


@needs_soundfont
def test_programs_are_what_the_soundfont_calls_them() -> None:
    """The program numbers are from memory; the installed soundfont's own names are the outside check."""
    path = soundfont_path()
    assert path is not None
    names = preset_names(path)
    for voice, part in EXPECTED_PRESETS.items():
        assert part in names[(0, PROGRAMS[voice])], voice


@needs_soundfont
def test_soundfont_song_follows_the_truth() -> None:
    plan = songs.random_plan(4, genre="rock", length_seconds=30.0)
    song = songs.render_random(plan, "soundfont")
    beats = np.array(song.truth["beats"])
    assert song.truth["renderer"] == "soundfont"
    assert beat_contrast(song.samples, beats, 60.0 / plan.bpm) > 1.25
