"""Whole practice tracks: every count on its beat, level, tags, what is left out, stopped and gone on with."""

from __future__ import annotations

import os
import tomllib
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from string import Formatter

import av
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from noonwall.demo import PIECES, render
from noonwall.errors import CannotDance, NoonwallError
from noonwall.outputs import stretch, track_work
from noonwall.outputs.sound_file import TRACK_RATE_HZ
from noonwall.outputs.spoken import USUAL_RATE, Speaker
from noonwall.outputs.spoken_track import (
    BREATH_SECONDS,
    COUNTED,
    LEAD_SECONDS,
    UNDER_GAIN,
    beat_clicks,
    lay_voice,
    lead_clicks,
    lead_in,
    song_offset,
)
from noonwall.outputs.track import TARGETS_LUFS, SongAtHand, TrackJob, mixture_of, song_at_hand
from noonwall.outputs.track_files import FORMATS
from noonwall.outputs.track_work import make_tracks, tidy_cache
from noonwall.outputs.voice import offline_voice
from noonwall.pipeline import prove
from noonwall.pipeline.practising import (
    PracticeOrder,
    file_name,
    practise,
    slowed_blocks,
    track_tags,
)
from noonwall.teach.cue import Beat, Cue, CueSheet
from tests.outputs.practice_kit import (
    ToneVoice,
    call_cue,
    clicks_at,
    count_cue,
    counted_sheet,
    decoded,
    errors_ms,
    loudness_by_ffmpeg,
    onsets_by_ffmpeg,
    onsets_by_rise,
    write_song,
)

ROOT = Path(__file__).parents[2]
TONES: dict[float, Speaker] = {}
NO_LEAD = lead_in(counted_sheet("en", 120))

DANCE = """QUAYSIDE STEP
16 count - 1 wall - Beginner
Choreographer: Ivy Marchbank, Harbour Hall

[1-8] VINE RIGHT, TOUCH, VINE LEFT, TOUCH
1-4  Step right to right side, step left behind right, step right to right side, touch left beside right
5-8  Step left to left side, step right behind left, step left to left side, touch right beside left

[9-16] WALK FORWARD X3, KICK, WALK BACK X3, TOUCH
1-4  Walk forward right, left, right, kick left forward
5-8  Walk back left, right, left, touch right beside left
"""


@pytest.fixture(autouse=True)
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A cache of the test's own: nothing kept from another run may answer for this one."""
    monkeypatch.setenv("NOONWALL_CACHE", str(tmp_path / "cache"))
    return tmp_path / "cache"


@pytest.fixture(scope="module")
def speaker():
    voice = offline_voice()
    yield Speaker(voice)
    voice.close()


def job_of(
    sheet: CueSheet, speaker: Speaker, out: Path, speed: float = 1.0, song: SongAtHand | None = None
) -> TrackJob:
    """Return the job of a track with everything that the sheet says."""
    lead = lead_in(sheet)
    laid = lay_voice(sheet, sheet.languages[0], speed, speaker, lead)
    assert laid.dropped == () and laid.under == ()
    offset = song_offset(speed, lead)
    if song is None:
        size = round(sheet.ends_seconds / speed * TRACK_RATE_HZ)
        clicks = beat_clicks(sheet, speed)
    else:
        size, clicks = offset + round(song.size / speed), lead_clicks(speed, lead)
    return TrackJob(out, out.suffix[1:], {"title": "t"}, speed, laid.placed, song, offset, clicks, size)


# --- on the beat -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("speed", "count_in"), [(1.0, True), (0.75, True), (0.6, True), (0.75, False)])
@pytest.mark.parametrize("language", ["en", "fr"])
def test_every_spoken_count_is_on_its_beat(
    tmp_path: Path, cache: Path, speaker: Speaker, language: str, speed: float, count_in: bool
) -> None:
    # The song is silent, so that the file holds the voice alone; all else is as for any song: decoded,
    # stretched, mixed, levelled, written and read again by FFmpeg.
    sheet = counted_sheet(language, 104.0, first_seconds=2.5 if count_in else 0.2, count_in=count_in)
    song = song_at_hand(write_song(tmp_path / "quiet.wav", np.zeros(14 * TRACK_RATE_HZ)), cache)
    job = job_of(sheet, speaker, tmp_path / "track.flac", speed, song)
    make_tracks([job], cache, workers=1)
    sound = decoded(job.out)
    lead = lead_in(sheet)
    if not count_in:
        # the clicks before the song sound under the count-in: only the voice is looked at
        assert len(lead.cues) == 4 and lead.seconds > 0
        mixture = mixture_of(job)
        sound = np.repeat(mixture.voice(0, mixture.size)[:, None], 2, axis=1)
    wanted = [(cue.from_seconds + lead.seconds) / speed for cue in (*lead.cues, *sheet.cues)]
    assert len(wanted) == 20
    for detector, found in (
        ("first sound by FFmpeg", onsets_by_ffmpeg(sound, -30.0)),
        ("first sound by FFmpeg, less sharp", onsets_by_ffmpeg(sound, -18.0)),
        ("rise", onsets_by_rise(sound)),
    ):
        assert np.abs(errors_ms(found, wanted)).max() <= 25.0, detector


def test_the_music_under_the_voice_is_where_it_should_be(
    tmp_path: Path, cache: Path, speaker: Speaker
) -> None:
    # a song of clicks, one on each beat, nothing spoken: the clicks of the file against the cue sheet
    sheet = counted_sheet("en", 104.0)
    times = [beat.seconds for beat in sheet.beats]
    song = song_at_hand(write_song(tmp_path / "clicks.wav", clicks_at(times, 14.0)), cache)
    for speed in (1.0, 0.75, 0.6):
        job = job_of(sheet, speaker, tmp_path / f"{speed}.wav", speed, song)
        silent = TrackJob(job.out, "wav", {}, speed, (), song, job.offset, (), job.size)
        make_tracks([silent], cache, workers=1)
        found = onsets_by_ffmpeg(decoded(job.out), -20.0)
        assert np.abs(errors_ms(found, [time / speed for time in times])).max() < 5.0  # the bar is 25 ms


def test_a_count_in_is_put_before_a_song_that_begins_with_the_dance() -> None:
    sheet = counted_sheet("fr", 120.0, first_seconds=0.1, count_in=False)
    lead = lead_in(sheet)
    assert [cue.words[0] for cue in lead.cues] == ["cinq", "six", "sept", "huit"]
    assert [cue.on for cue in lead.cues] == [Fraction(n) for n in (-4, -3, -2, -1)]
    assert [cue.from_seconds for cue in lead.cues] == pytest.approx([-1.9, -1.4, -0.9, -0.4])
    assert lead.seconds == pytest.approx(1.9 + LEAD_SECONDS)
    assert [click.at / TRACK_RATE_HZ for click in lead_clicks(0.5, lead)] == pytest.approx(
        [0.7, 1.7, 2.7, 3.7]
    )
    assert song_offset(0.5, lead) == pytest.approx(2 * lead.seconds * TRACK_RATE_HZ, abs=1)


def test_a_count_in_that_is_cut_short_is_made_whole() -> None:
    whole = counted_sheet("en", 120.0, first_seconds=1.1)
    cut = CueSheet(whole.title, whole.languages, whole.beats[2:], whole.cues[2:], (), whole.ends_seconds)
    lead = lead_in(cut)
    assert [cue.words[0] for cue in lead.cues] == ["five", "six"]
    assert [cue.from_seconds for cue in lead.cues] == pytest.approx([-0.9, -0.4])
    assert lead_in(whole).cues == ()


# --- what is said and what is not --------------------------------------------------------------------------


def _with(sheet: CueSheet, *cues: Cue) -> CueSheet:
    every = tuple(sorted((*sheet.cues, *cues), key=lambda cue: cue.from_seconds))
    return CueSheet(sheet.title, sheet.languages, sheet.beats, every, (), sheet.ends_seconds)


def test_a_count_on_which_a_call_is_spoken_is_quiet_and_on_its_beat() -> None:
    sheet = counted_sheet("en", 120.0)  # beats every half second, count 0 at 2.5 s
    call = call_cue("vine right", 5.6, 6.5, on=8)
    laid = lay_voice(_with(sheet, call), "en", 1.0, Speaker(ToneVoice(0.3)), NO_LEAD)
    assert call in laid.spoken and not laid.dropped
    at = laid.placed[laid.spoken.index(call)]
    assert at.at == round(5.6 * TRACK_RATE_HZ) and at.end <= 6.5 * TRACK_RATE_HZ
    # "seven" is on 5.5 s and sounds until the call begins
    assert sorted(cue.from_seconds for cue in laid.under) == [5.5, 6.0]
    for placed, cue in zip(laid.placed, laid.spoken, strict=True):
        assert placed.gain == (UNDER_GAIN if cue in laid.under else 1.0)


def test_the_count_in_is_never_quiet() -> None:
    sheet = counted_sheet("en", 120.0)
    laid = lay_voice(_with(sheet, call_cue("vine", 0.6, 1.4)), "en", 1.0, Speaker(ToneVoice(0.3)), NO_LEAD)
    assert laid.under == () and all(placed.gain == 1.0 for placed in laid.placed)


def test_one_voice_calls_and_another_counts() -> None:
    sheet = _with(counted_sheet("en", 120.0), call_cue("vine right", 5.6, 6.5, on=8))
    caller, counter = ToneVoice(0.3, "caller"), ToneVoice(0.3, "counter")
    lay_voice(sheet, "en", 1.0, Speaker(caller), NO_LEAD, counter=Speaker(counter))
    assert caller.asked == 1 and counter.asked == 8  # each of the eight numbers once


def test_an_and_that_is_too_long_is_hurried_and_then_left_out_and_told() -> None:
    period = 0.5
    sheet = counted_sheet("en", 60 / period)
    between = Cue("count", Fraction(1, 2), 2.75, 2.75, 3.0, ("and",))
    hurried = lay_voice(_with(sheet, between), "en", 1.0, Speaker(ToneVoice(0.3)), NO_LEAD)
    assert not hurried.dropped
    assert hurried.placed[hurried.spoken.index(between)].spoken.rate > USUAL_RATE
    left_out = lay_voice(_with(sheet, between), "en", 1.0, Speaker(ToneVoice(0.42)), NO_LEAD)
    assert between in left_out.dropped and between not in left_out.spoken
    # at half the speed there is time for it
    slow = lay_voice(_with(sheet, between), "en", 0.5, Speaker(ToneVoice(0.42)), NO_LEAD)
    assert between in slow.spoken


def test_only_what_is_asked_for_is_said() -> None:
    sheet = _with(counted_sheet("en", 120.0), call_cue("wall two", 8.6, 9.4))
    for kinds in (frozenset(COUNTED), frozenset({"count-in", "call"})):
        laid = lay_voice(sheet, "en", 1.0, Speaker(ToneVoice(0.2)), NO_LEAD, kinds=kinds)
        assert {cue.kind for cue in laid.spoken} == kinds


@settings(max_examples=30)
@given(
    bpm=st.floats(60, 220),
    speed=st.sampled_from([0.6, 0.75, 0.9, 1.0, 1.2]),
    word_seconds=st.sampled_from([0.06, 0.2, 0.35, 0.6]),
    calls=st.lists(st.tuples(st.floats(0.0, 8.0), st.floats(0.1, 2.5), st.integers(1, 5)), max_size=4),
    halves=st.sets(st.integers(0, 15), max_size=6),
)
def test_no_two_calls_and_no_two_counts_sound_at_once_and_nothing_is_late(
    bpm: float,
    speed: float,
    word_seconds: float,
    calls: list[tuple[float, float, int]],
    halves: set[int],
) -> None:
    plain = counted_sheet("en", bpm)
    period = 60 / bpm
    ands = [
        Cue(
            "count",
            n + Fraction(1, 2),
            2.5 + (n + 0.5) * period,
            2.5 + (n + 0.5) * period,
            2.5 + (n + 1) * period,
            ("and",),
        )
        for n in halves
    ]
    made: list[Cue] = []
    for start, lasts, words in sorted(calls):
        if not made or start >= made[-1].until_seconds:
            made.append(call_cue(" ".join(["step"] * words), start, start + lasts))
    sheet = _with(plain, *ands, *made)
    laid = lay_voice(
        sheet, "en", speed, TONES.setdefault(word_seconds, Speaker(ToneVoice(word_seconds))), NO_LEAD
    )
    assert len(laid.placed) == len(laid.spoken)
    assert sorted(map(repr, (*laid.spoken, *laid.dropped))) == sorted(map(repr, sheet.cues))
    for placed, cue in zip(laid.placed, laid.spoken, strict=True):
        assert placed.at + placed.spoken.onset == round(cue.from_seconds / speed * TRACK_RATE_HZ)
        if cue.kind == "call":
            assert placed.end <= cue.until_seconds / speed * TRACK_RATE_HZ
    calls = [
        (placed, cue) for placed, cue in zip(laid.placed, laid.spoken, strict=True) if cue.kind == "call"
    ]
    counts = [
        (placed, cue) for placed, cue in zip(laid.placed, laid.spoken, strict=True) if cue.kind != "call"
    ]
    for one_kind in (calls, counts):
        for (before, _), (after, _) in pairwise(one_kind):
            assert before.end + BREATH_SECONDS * TRACK_RATE_HZ * 0.9 <= after.at
    for placed, cue in counts:
        met = any(call.at < placed.end and placed.at < call.end for call, _ in calls)
        assert placed.gain == (UNDER_GAIN if met and cue.kind == "count" else 1.0)


# --- the file ----------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def ferry(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Eighteen seconds of a piece of the demo band."""
    samples = render(PIECES["ferry-was-late"]).samples[: 18 * TRACK_RATE_HZ].astype(float)
    return write_song(tmp_path_factory.mktemp("ferry") / "ferry.wav", samples[:, 0], samples[:, 1])


@pytest.mark.parametrize(("form", "level"), [*((form, "music") for form in FORMATS), ("mp3", "broadcast")])
def test_loudness_and_peaks_by_a_meter_that_is_not_ours(
    tmp_path: Path, cache: Path, speaker: Speaker, ferry: Path, form: str, level: str
) -> None:
    job = job_of(counted_sheet("fr", 118.0), speaker, tmp_path / f"a.{form}", 0.9, song_at_hand(ferry, cache))
    target = TARGETS_LUFS[level]
    job = TrackJob(job.out, form, {}, 0.9, job.placed, job.song, job.offset, (), job.size, target)
    (made,) = make_tracks([job], cache, workers=1)
    lufs, true_peak_db = loudness_by_ffmpeg(decoded(job.out))
    assert lufs == pytest.approx(target, abs=0.5)
    assert lufs == pytest.approx(made.lufs, abs=0.3)
    assert true_peak_db <= -1.0


@pytest.mark.parametrize("speed", [1.0, 0.6])
def test_a_click_without_a_song_is_levelled_too(
    tmp_path: Path, cache: Path, speaker: Speaker, speed: float
) -> None:
    sheet = counted_sheet("en", 112.0)
    job = job_of(sheet, speaker, tmp_path / "click.flac", speed)
    make_tracks([job], cache, workers=1)
    sound = decoded(job.out)
    lufs, true_peak_db = loudness_by_ffmpeg(sound)
    assert lufs == pytest.approx(TARGETS_LUFS["music"], abs=0.5) and true_peak_db <= -1.0
    assert sound.shape[0] == pytest.approx(
        sheet.ends_seconds / speed * TRACK_RATE_HZ, abs=0.2 * TRACK_RATE_HZ
    )


def test_a_silent_song_and_nothing_said_is_silence(tmp_path: Path, cache: Path) -> None:
    song = song_at_hand(write_song(tmp_path / "quiet.wav", np.zeros(5 * TRACK_RATE_HZ)), cache)
    make_tracks([TrackJob(tmp_path / "a.wav", "wav", {}, 0.9, (), song, 0, (), song.size)], cache)
    assert not decoded(tmp_path / "a.wav").any()


# --- stopped and gone on with ------------------------------------------------------------------------------


class Stopped(Exception):
    """What a progress bar raises when somebody closes the window."""


@pytest.mark.parametrize("workers", [1, 2])
def test_work_that_was_stopped_goes_on_where_it_was(
    tmp_path: Path, cache: Path, speaker: Speaker, ferry: Path, monkeypatch: pytest.MonkeyPatch, workers: int
) -> None:
    monkeypatch.setattr(stretch, "PIECE_SECONDS", 6.0)
    monkeypatch.setattr(track_work, "LITTLE_SECONDS", 1.0)
    song = song_at_hand(ferry, cache)
    jobs = [
        job_of(counted_sheet("en", 118.0), speaker, tmp_path / f"{n}.wav", s, song)
        for n, s in enumerate((0.9, 0.8))
    ]

    def stop_at_a_third(done: float, total: float) -> None:
        if done > total / 3:
            raise Stopped

    with pytest.raises(Stopped):
        make_tracks(jobs, cache, workers=workers, progress=stop_at_a_third)
    left = [
        path.name for folder in (tmp_path, song.folder) for path in folder.iterdir() if "part" in path.name
    ]
    assert left == []
    kept = {path: path.stat().st_mtime_ns for path in song.folder.glob("*-*.f32")}
    assert kept, "nothing is kept of what was done"
    told: list[tuple[float, float]] = []
    made = make_tracks(jobs, cache, workers=workers, progress=lambda done, total: told.append((done, total)))
    assert {path: path.stat().st_mtime_ns for path in kept} == kept, "a finished piece was made again"
    assert told[-1][0] == pytest.approx(told[-1][1]) and [done for done, _ in told] == sorted(
        d for d, _ in told
    )
    assert [one.out.exists() for one in made] == [True, True] and not any(one.is_kept for one in made)
    # a third time there is nothing left to do, until something differs
    assert all(one.is_kept for one in make_tracks(jobs, cache, workers=workers))
    jobs[0].out.write_bytes(b"spoilt")
    other = TrackJob(jobs[1].out, "wav", {"title": "other"}, 0.8, jobs[1].placed, song, 0, (), jobs[1].size)
    again = make_tracks([jobs[0], other], cache, workers=1)
    assert not any(one.is_kept for one in again)
    assert decoded(jobs[0].out).shape[0] > TRACK_RATE_HZ


def test_the_cache_lets_go_of_the_songs_not_used_for_longest(tmp_path: Path, cache: Path) -> None:
    held = []
    for number in range(3):
        song = write_song(tmp_path / f"{number}.wav", np.full(4 * TRACK_RATE_HZ, 0.1 * number))
        held.append(song_at_hand(song, cache).folder)
        os.utime(held[-1] / "song.f32", (1_000_000 + number, 1_000_000 + number))
    size = (held[0] / "song.f32").stat().st_size
    (cache / "voices").mkdir()
    tidy_cache(cache, int(2.5 * size))
    assert [folder.exists() for folder in held] == [False, True, True]
    assert (cache / "voices").exists()
    tidy_cache(cache / "none", 0)


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_that_cannot_be_written_is_one_sentence(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    with pytest.raises(NoonwallError, match=r"could not be written|cannot be made"):
        practise(prove(DANCE), PracticeOrder(tmp_path / "out", "a", ("en",)))


def test_a_cache_that_cannot_be_written_is_one_sentence(tmp_path: Path, cache: Path, ferry: Path) -> None:
    cache.write_text("in the way")
    with pytest.raises(NoonwallError, match="could not be written"):
        list(slowed_blocks(ferry, 0.9))


# --- from a sheet ------------------------------------------------------------------------------------------


def test_a_sheet_becomes_tracks_in_both_languages(tmp_path: Path) -> None:
    order = PracticeOrder(
        tmp_path / "new" / "out", "quayside", ("en", "fr"), (100, 75), "flac", bpm=104, walls=1
    )
    stages: list[str] = []
    made = practise(prove(DANCE), order, progress=lambda stage, done, total: stages.append(stage))
    assert [track.made.out.name for track in made.tracks] == [
        "quayside-100-en.flac",
        "quayside-100-fr.flac",
        "quayside-75-en.flac",
        "quayside-75-fr.flac",
    ]
    assert made.click_bpm == pytest.approx(104) and not made.is_unproved
    assert set(stages) == {"speaking", "making"}
    for track in made.tracks:
        with av.open(str(track.made.out)) as container:
            tags = container.metadata
        assert f"{track.percent}" in tags["title"] and "QUAYSIDE STEP".lower() in tags["title"].lower()
        assert ("English" if track.language == "en" else "français") in tags["title"]
        assert "LUFS" in tags["comment"]
        counts = [cue for cue in track.laid.spoken if cue.kind in COUNTED]
        assert len(counts) >= 20 and len(track.laid.under) < len(counts)
        seconds = track.cues.ends_seconds / (track.percent / 100)
        assert track.made.seconds == pytest.approx(seconds, abs=0.5)


def test_a_dance_that_is_not_proved_is_made_and_marked(tmp_path: Path) -> None:
    wrong = DANCE.replace("16 count", "32 count")
    made = practise(prove(wrong), PracticeOrder(tmp_path, "wrong", ("fr",), form="wav", walls=1))
    assert made.is_unproved
    with av.open(str(made.tracks[0].made.out)) as container:
        assert "non prouvée" in container.metadata["title"]
        assert "NON PROUVÉE" in container.metadata["comment"]


def test_a_sheet_without_steps_and_speeds_that_cannot_be_are_refused(tmp_path: Path) -> None:
    with pytest.raises(CannotDance):
        practise(prove("Nothing to dance."), PracticeOrder(tmp_path, "a", ("en",)))
    with pytest.raises(NoonwallError, match="A speed of 20% cannot be made; choose from 40 to 150"):
        practise(prove(DANCE), PracticeOrder(tmp_path, "a", ("en",), (20,)))
    for bpm in (0.0, -5.0, 1e9, float("nan")):
        with pytest.raises(NoonwallError, match="cannot be danced to; choose from 30 to 300"):
            practise(prove(DANCE), PracticeOrder(tmp_path, "a", ("en",), bpm=bpm))
    with pytest.raises(NoonwallError, match="0 walls cannot be danced"):
        practise(prove(DANCE), PracticeOrder(tmp_path, "a", ("en",), walls=0))
    with pytest.raises(NoonwallError, match="choose en or fr"):
        practise(prove(DANCE), PracticeOrder(tmp_path, "a", ("de",)))


@pytest.mark.parametrize(
    ("title", "name"),
    [
        ("Lantern Walk", "Lantern-Walk"),
        ('<b>A/B\\C: "D"?*|', "b-A-B-C-D"),
        ("رقصة الميناء", "رقصة-الميناء"),
        ("🌊🌊", "practice"),
        ("../../etc", "etc"),
        ("", "practice"),
        ("x" * 300, "x" * 80),
    ],
)
def test_a_name_of_a_file_is_one_on_every_system(title: str, name: str) -> None:
    assert file_name(title) == name


def test_tags_of_any_title_are_kept(tmp_path: Path) -> None:
    order = PracticeOrder(tmp_path, "a", ("en",))
    tags = track_tags(order, "قمر <i>🌊</i> {x}", "en", 75, None, True)
    assert tags["title"] == "قمر <i>🌊</i> {x} – 75% – English (not proved)"
    assert tags["comment"].startswith("NOT PROVED") and tags["language"] == "eng"


def test_a_waltz_is_counted_in_with_three(tmp_path: Path) -> None:
    beats = tuple(Beat(n, 0.1 + 0.6 * n, n % 6 + 1, "wall") for n in range(12))
    cues = tuple(
        Cue(
            "count",
            Fraction(n),
            0.1 + 0.6 * n,
            0.1 + 0.6 * n,
            0.7 + 0.6 * n,
            (str(n % 6 + 1),),
            (("count", str(n % 6 + 1)),),
        )
        for n in range(12)
    )
    lead = lead_in(CueSheet("w", ("en",), beats, cues, (), 8.0))
    assert [cue.words[0] for cue in lead.cues] == ["4", "5", "6"]
    assert count_cue("en", -4, 0.0, 0.5).kind == "count-in"


def test_the_words_of_both_languages_are_the_same_in_kind() -> None:
    tables = [
        tomllib.loads((ROOT / "src/noonwall/words" / language / "practice.toml").read_text("utf-8"))
        for language in ("en", "fr")
    ]
    fields = [
        {
            f"{section}.{name}": sorted(field for _, field, _, _ in Formatter().parse(text) if field)
            for section, held in table.items()
            for name, text in held.items()
        }
        for table in tables
    ]
    assert fields[0] == fields[1]
