"""Captions, chapters and the click of a run, read back by parsers that are not ours: webvtt-py, srt, mido."""

from __future__ import annotations

import html
import io
from dataclasses import replace
from datetime import timedelta
from itertools import pairwise
from pathlib import Path

import mido
import pytest
import srt
import webvtt
from hypothesis import given, settings
from hypothesis import strategies as st

from noonwall.cli.main import main
from noonwall.fit import fit
from noonwall.outputs import captions as made
from noonwall.outputs.captions import Caption, captions_of, lines_of, stamp
from noonwall.outputs.chapters import chapters_of, chapters_text, chapters_webvtt, clock_time
from noonwall.outputs.run_click import HIGH, run_click
from noonwall.pipeline.captioning import caption_files
from noonwall.pipeline.cueing import cue_sheet
from noonwall.teach.cue import Beat, CueSheet
from tests.teach.calling import LANGUAGES, SHEETS, called, proved_sheet, song

ODD_TITLES = (
    "<b>Lanterns</b> & <i>boats</i>",
    "Tide --> table",
    "رقصة المرفأ",
    "Phare 🌊🕺🏽 de nuit",
    "Two\nlines\tand a bell\x07",
    "",
)


def _path(stem: str) -> Path:
    return next(path for path in SHEETS if path.stem == stem)


def _sheet(stem: str = "tide-table", speed_bpm: float = 118.0) -> CueSheet:
    proved = proved_sheet(_path(stem))
    assert proved.dance is not None
    music = song(
        speed_bpm,
        phrases=(32, 32, 32, 16, 32, 32, 4, 32, 32, 32, 6),
        beats_per_bar=proved.dance.beats_per_bar,
    )
    return cue_sheet(proved, LANGUAGES, run=fit(proved.dance, music), music=music)


def _parsed(text: str) -> list[webvtt.Caption]:
    return list(webvtt.from_buffer(io.StringIO(text)).captions)


# --- captions ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", SHEETS, ids=lambda path: path.stem)
@pytest.mark.parametrize("place", (0, 1), ids=LANGUAGES)
def test_two_parsers_read_the_same_captions(path: Path, place: int) -> None:
    sheet = cue_sheet(proved_sheet(path), LANGUAGES)
    captions = captions_of(sheet, LANGUAGES[place])
    from_vtt, from_srt = _parsed(made.webvtt(captions)), list(srt.parse(made.srt(captions)))
    assert len(from_vtt) == len(from_srt) == len(captions) > 10
    for caption, vtt, sub in zip(captions, from_vtt, from_srt, strict=True):
        assert html.unescape(vtt.text).split("\n") == sub.content.split("\n") == list(caption.lines)
        assert abs(vtt.start_in_seconds - caption.from_seconds) <= 1.0  # the parser drops the milliseconds
        assert abs(sub.start - timedelta(seconds=caption.from_seconds)) <= timedelta(milliseconds=1)
        assert abs(sub.end - timedelta(seconds=caption.until_seconds)) <= timedelta(milliseconds=1)
        assert vtt.start == stamp(round(caption.from_seconds * 1000))


@pytest.mark.parametrize("path", SHEETS, ids=lambda path: path.stem)
def test_everything_said_is_shown_in_order_and_nothing_over_another(path: Path) -> None:
    sheet = cue_sheet(proved_sheet(path), LANGUAGES)
    for place, language in enumerate(LANGUAGES):
        captions = captions_of(sheet, language)
        shown = " ".join(line for caption in captions for line in caption.lines).lower()
        for cue in called(sheet):
            assert " ".join(cue.words[place].lower().split()) in shown
        for before, after in pairwise(captions):
            assert before.until_seconds <= after.from_seconds + 1e-9
        for caption in captions:
            assert caption.until_seconds > caption.from_seconds >= 0.0
            assert len(caption.lines) <= made.MOST_LINES
            assert all(len(line) <= made.MOST_CHARACTERS for line in caption.lines)


def test_a_caption_is_on_the_screen_while_its_words_are_said() -> None:
    """BBC Subtitle Guidelines 1.1.7, 5.2: no more than 1.5 seconds before the words or after them."""
    sheet = _sheet()
    captions = captions_of(sheet, "en")
    for cue in called(sheet):
        begin = made.capital(cue.words[0])[:10]
        near = [c for c in captions if c.from_seconds - 1e-6 <= cue.from_seconds < c.until_seconds]
        assert near and any(begin in line for line in near[0].lines), cue.words
        assert cue.from_seconds - near[0].from_seconds <= made.AHEAD_SECONDS + 1e-6


def test_slow_music_gives_captions_that_can_be_read_at_three_words_a_second() -> None:
    for stem in ("lantern-walk", "le-bal-des-patineurs", "mill-pond-waltz"):
        sheet = cue_sheet(proved_sheet(_path(stem)), LANGUAGES, bpm=80)
        captions = captions_of(sheet, "en")
        readable = sum(caption.is_readable for caption in captions)
        assert readable >= 0.85 * len(captions), stem
    assert not Caption(0.0, 1.0, ("One two three four",)).is_readable
    assert Caption(0.0, 1.5, ("One two three four",)).is_readable


@pytest.mark.parametrize("title", ODD_TITLES)
def test_an_odd_title_stays_readable_and_breaks_nothing(title: str) -> None:
    sheet = replace(_sheet(), title=title)
    captions = captions_of(sheet, "fr")
    vtt = _parsed(made.webvtt(captions))
    subtitles = list(srt.parse(made.srt(captions)))
    assert len(vtt) == len(subtitles) == len(captions)
    plain = " ".join(title.replace("\x07", "").split())
    if plain:
        assert html.unescape(vtt[0].text).replace("\n", " ") == plain
        assert "<" not in made.webvtt(captions).replace("-->", ""), "no tag is left for a player to read"
    assert made.webvtt(captions).count("-->") == len(captions), "an arrow belongs to the times alone"
    assert made.srt(captions).count("-->") == len(captions)
    midi = mido.MidiFile(file=io.BytesIO(run_click(sheet, chapters_of(sheet))), charset="utf-8")
    assert midi.tracks[0].name == (plain or "run")


@given(st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=90))
def test_lines_lose_no_word(text: str) -> None:
    lines = lines_of(" ".join(text.split()))
    assert " ".join(lines) == " ".join(text.split())
    assert all(len(line) <= made.MOST_CHARACTERS or " " not in line for line in lines)


@given(st.integers(0, 5_000_000))
def test_times_are_written_as_both_formats_want_them(milliseconds: int) -> None:
    text = stamp(milliseconds, ",")
    assert srt.srt_timestamp_to_timedelta(text) == timedelta(milliseconds=milliseconds)


@settings(max_examples=20, deadline=None)
@given(st.sampled_from((0.5, 0.75, 0.9, 1.0)))
def test_a_slowed_track_has_slowed_captions(speed: float) -> None:
    sheet = _sheet("lantern-walk")
    usual, slowed = captions_of(sheet, "en"), captions_of(sheet, "en", speed)
    assert {cue.words[0].lower() for cue in called(sheet)} <= {
        " ".join(caption.lines).lower() for caption in slowed
    } | {line.lower() for caption in slowed for line in caption.lines}
    assert slowed[-1].from_seconds >= usual[-1].from_seconds
    files = caption_files(sheet, 4, speed)
    assert len(files.files) == 9


# --- chapters ----------------------------------------------------------------------------------------------


def test_chapters_name_walls_restart_and_tag_where_they_are() -> None:
    """The song is 118 to the minute from 0.3 s on; walls begin after 32, 64, 96, 112, 144 + 4 ... counts."""
    sheet = _sheet()
    chapters = chapters_of(sheet)
    beat = 60 / 118
    told = [(one.kind, one.count, one.names) for one in chapters]
    assert told[:7] == [
        ("intro", -32, ("Intro", "Intro")),
        ("wall", 0, ("Wall 1, 12:00", "Mur 1, 12h")),
        ("wall", 32, ("Wall 2, 6:00", "Mur 2, 6h")),
        ("wall", 64, ("Wall 3, 12:00", "Mur 3, 12h")),
        ("restart", 80, ("Restart: wall 4, 6:00", "Restart : mur 4, 6h")),
        ("wall", 112, ("Wall 5, 12:00", "Mur 5, 12h")),
        ("tag", 144, ("Tag", "Tag")),
    ]
    for one in chapters[1:]:
        assert abs(one.from_seconds - (0.3 + (32 + one.count) * beat)) < 1e-6
    assert chapters[0].from_seconds == 0.0
    assert chapters_text(chapters, 1).splitlines()[:3] == ["0:00 Intro", "0:16 Mur 1, 12h", "0:32 Mur 2, 6h"]


def test_chapters_are_webvtt_that_covers_the_audio() -> None:
    sheet = _sheet()
    for speed in (1.0, 0.75):
        chapters = chapters_of(sheet, speed)
        end = sheet.ends_seconds / speed
        parsed = _parsed(chapters_webvtt(chapters, end, 0))
        assert [html.unescape(one.text) for one in parsed] == [one.names[0] for one in chapters]
        assert parsed[0].start == "00:00:00.000"
        assert all(a.end == b.start for a, b in pairwise(parsed))
        assert parsed[-1].end == stamp(round(end * 1000))


def test_a_phrased_dance_has_its_parts_as_chapters() -> None:
    sheet = cue_sheet(proved_sheet(_path("two-keys")), LANGUAGES)
    names = [one.names[0] for one in chapters_of(sheet) if one.kind == "part"]
    assert names[:3] == ["Part A, 12:00", "Part A, 12:00", "Part B, 12:00"]


def test_clock_times() -> None:
    assert [clock_time(seconds) for seconds in (0, 59.9, 61, 3600, 3725)] == [
        "0:00",
        "0:59",
        "1:01",
        "1:00:00",
        "1:02:05",
    ]


# --- the click ---------------------------------------------------------------------------------------------


def _sounding(content: bytes) -> tuple[list[tuple[float, int]], list[tuple[float, str]]]:
    """Return clicks (seconds, note) and markers (seconds, text) as mido hears them with the tempo map."""
    midi = mido.MidiFile(file=io.BytesIO(content), charset="utf-8")
    now, clicks, markers = 0.0, [], []
    for message in midi:
        now += message.time
        if message.type == "note_on" and message.velocity:
            clicks.append((now, message.note))
        elif message.type == "marker":
            markers.append((now, message.text))
    return clicks, markers


def _uneven(beats: list[float]) -> CueSheet:
    rows = tuple(
        Beat(number, seconds, number % 8 + 1, "wall", 1, "main") for number, seconds in enumerate(beats)
    )
    return CueSheet("Drift", LANGUAGES, rows, (), (), beats[-1] + 1.0)


@settings(max_examples=60, deadline=None)
@given(st.floats(0.0, 40.0), st.lists(st.floats(0.2, 3.0), min_size=1, max_size=80))
def test_the_tempo_map_follows_every_beat_within_a_millisecond(first: float, steps: list[float]) -> None:
    beats = [first]
    for step in steps:
        beats.append(beats[-1] + step)
    clicks, _ = _sounding(run_click(_uneven(beats), ()))
    assert len(clicks) == len(beats)
    for (seconds, _), beat in zip(clicks, beats, strict=True):
        assert abs(seconds - beat) < 0.001


def test_a_whole_song_keeps_time_and_its_markers_lie_on_the_walls() -> None:
    sheet = _sheet()
    chapters = chapters_of(sheet)
    clicks, markers = _sounding(run_click(sheet, chapters))
    assert max(abs(s - b.seconds) for (s, _), b in zip(clicks, sheet.beats, strict=True)) < 0.001
    assert [text for _, text in markers] == [one.names[0] for one in chapters]
    for (seconds, _), one in zip(markers, chapters, strict=True):
        assert abs(seconds - one.from_seconds) < 0.001
    high = [beat.said for (_, note), beat in zip(clicks, sheet.beats, strict=True) if note == HIGH]
    assert set(high) == {0, 1, 5}, "the first beat of each bar is higher"


def test_the_click_of_a_waltz_is_in_threes() -> None:
    sheet = cue_sheet(proved_sheet(_path("mill-pond-waltz")), LANGUAGES, bpm=90)
    content = run_click(sheet, chapters_of(sheet), 3)
    clicks, _ = _sounding(content)
    said = [beat.said for (_, note), beat in zip(clicks, sheet.beats, strict=True) if note == HIGH]
    assert set(said) == {0, 1, 4}
    midi = mido.MidiFile(file=io.BytesIO(content), charset="utf-8")
    assert next(m.numerator for m in midi.tracks[0] if m.type == "time_signature") == 3


# --- the command -------------------------------------------------------------------------------------------


def test_the_command_makes_all_files_in_both_languages(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    status = main(
        ["captions", str(_path("lantern-walk")), "--as", "fr,en", "--out", str(tmp_path), "--bpm", "84"]
    )
    assert status == 0
    assert sorted(path.name.removeprefix("lantern-walk.") for path in tmp_path.iterdir()) == [
        "chapters.en.txt",
        "chapters.en.vtt",
        "chapters.fr.txt",
        "chapters.fr.vtt",
        "click.mid",
        "en.srt",
        "en.vtt",
        "fr.srt",
        "fr.vtt",
    ]
    assert "Sous-titres" in capsys.readouterr().err
    first = next(srt.parse((tmp_path / "lantern-walk.fr.srt").read_text("utf-8")))
    assert first.content == "Vine à droite, côté droit,\nderrière, côté, touche"


def test_the_command_marks_what_is_not_proved(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = _path("lantern-walk").read_text("utf-8")
    wrong = tmp_path / "wrong.txt"
    wrong.write_text(text.replace("32", "40", 1), "utf-8")
    assert main(["captions", str(wrong), "--as", "en", "--out", str(tmp_path)]) == 2
    assert "not proved" in capsys.readouterr().err
    shown = [one.text for one in _parsed((tmp_path / "wrong.en.vtt").read_text("utf-8"))]
    assert shown[0] == "This sheet is not proved"


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["--out", "nowhere-at-all"], "not a folder"),
        (["--speed", "900"], "percentage"),
        (["--as", "nl"], "not en, fr"),
    ],
)
def test_what_cannot_be_done_is_one_sentence(
    arguments: list[str], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    try:
        status = main(["captions", str(_path("lantern-walk")), *arguments])
    except SystemExit as stopped:
        status = int(stopped.code or 0)
    error = capsys.readouterr().err
    assert status == 3
    assert told in error and "Traceback" not in error


def test_a_slowed_track_says_more(tmp_path: Path) -> None:
    """At half the speed there is twice the time: what was left out at 180 is called."""
    left = {}
    for percent in ("100", "50"):
        folder = tmp_path / percent
        folder.mkdir()
        arguments = ["--as", "en", "--out", str(folder), "--bpm", "180", "--speed", percent]
        assert main(["captions", str(_path("tide-table")), *arguments]) == 0
        shown = list(srt.parse((folder / "tide-table.en.srt").read_text("utf-8")))
        left[percent] = sum(len(one.content.split()) for one in shown)
    assert left["50"] > 1.2 * left["100"]
