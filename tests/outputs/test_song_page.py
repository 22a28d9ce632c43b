"""The page of a song, without a browser: sound made ready, words, the ribbon of walls, what may run."""

from __future__ import annotations

import base64
import hashlib
import json
import re
import string
import wave
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
import soundfile

from noonwall.errors import BrokenFile, NoonwallError
from noonwall.fit import Run, fit
from noonwall.music.layout import CORRECTION_KINDS
from noonwall.outputs import song_audio
from noonwall.outputs.page_words import LANGUAGES
from noonwall.outputs.song_audio import AudioForPage, audio_for_page
from noonwall.outputs.song_data import as_counted, pieces_of
from noonwall.outputs.song_page import SCRIPTS, song_page
from noonwall.outputs.song_words import clock_text, number_text, song_words, sure_word
from tests.outputs.ferry_song import ferry_film, ferry_run, stated_run, true_map, write_song
from tests.outputs.harbour_lights import harbour_lights

SILENT = AudioForPage("A song", "audio/wav", "./song.wav", False, 77.0, bytes(3850))


def _data(html: str) -> dict:  # type: ignore[type-arg]
    found = re.search(r'<script type="application/json" id="data">(.*?)</script>', html, re.DOTALL)
    assert found
    return json.loads(found[1])  # type: ignore[no-any-return]


def _bursts(path: Path, seconds: float, at: list[float], rate: int = 44100) -> Path:
    """Write a wav of silence with bursts of 10 ms, each half as loud as the one before."""
    samples = np.zeros(int(seconds * rate), np.int16)
    for number, moment in enumerate(at):
        begin = int(moment * rate)
        samples[begin : begin + rate // 100] = 32000 // 2**number
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes(samples.tobytes())
    return path


# --- sound


def test_peaks_stand_where_the_sound_is(tmp_path: Path) -> None:
    """Bursts on both sides of the decoder's ten-second blocks, each in its own 20 ms and half as high."""
    at = [1.005, 9.985, 10.005, 21.005]
    audio = audio_for_page(_bursts(tmp_path / "bursts.wav", 23.0, at), embed=False)
    peaks = np.frombuffer(audio.peaks, np.uint8)
    assert audio.seconds == pytest.approx(23.0, abs=0.001)
    assert peaks.size == 23 * song_audio.PEAKS_PER_SECOND
    loud = [int(moment * song_audio.PEAKS_PER_SECOND) for moment in at]
    assert peaks[loud] == pytest.approx([255, 128, 64, 32], rel=0.15)
    # A resampler rings for a few samples; a neighbour may hold a trace of it and no more.
    quiet = np.ones(peaks.size, bool)
    quiet[[each + by for each in loud for by in (-1, 0, 1)]] = False
    assert peaks[quiet].max() <= 1


@pytest.mark.parametrize(
    ("name", "mime"),
    [
        ("song.wav", "audio/wav"),
        ("song.flac", "audio/flac"),
        ("song.ogg", "audio/ogg"),
        ("song.mp3", "audio/mpeg"),
    ],
)
def test_the_kind_is_read_from_the_file_and_not_from_its_name(tmp_path: Path, name: str, mime: str) -> None:
    """Outside check: files written by libsndfile; the types are those registered with IANA."""
    noise = np.random.default_rng(7).uniform(-0.3, 0.3, 22050 * 5)
    soundfile.write(tmp_path / name, noise, 22050)
    renamed = (tmp_path / name).rename(tmp_path / "song.sound")
    audio = audio_for_page(renamed, embed=True)
    assert audio.mime == mime
    assert audio.title == "song"
    head, _, body = audio.source.partition(",")
    assert head == f"data:{mime};base64"
    assert base64.b64decode(body, validate=True) == renamed.read_bytes()


def test_a_song_is_referred_to_from_the_folder_of_the_page(tmp_path: Path) -> None:
    folder = tmp_path / "songs & all"
    folder.mkdir()
    song = _bursts(folder / "12: Ferry #2.wav", 5.0, [1.0])
    assert audio_for_page(song, embed=False).source == "./12%3A%20Ferry%20%232.wav"
    (tmp_path / "pages").mkdir()
    page_folder = tmp_path / "pages"
    there = audio_for_page(song, embed=False, page_folder=page_folder).source
    assert there == "./../songs%20%26%20all/12%3A%20Ferry%20%232.wav"


def test_a_song_too_large_for_a_page_is_refused_in_one_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    song = _bursts(tmp_path / "long.wav", 6.0, [1.0])
    monkeypatch.setattr(song_audio, "MOST_EMBEDDED_BYTES", 500_000)
    with pytest.raises(BrokenFile, match=r"^long\.wav has 1 MB, more than the 0 MB .*refer to it\.$"):
        audio_for_page(song, embed=True)
    assert audio_for_page(song, embed=False).source == "./long.wav"


# --- words


def _braces(text: str) -> set[str | None]:
    return {name for _, name, _, _ in string.Formatter().parse(text) if name}


def test_languages_hold_identical_ids_and_blanks() -> None:
    english, french = (song_words(language).table for language in LANGUAGES)
    assert english.keys() == french.keys()
    for section in english:
        assert english[section].keys() == french[section].keys(), section
        for name in english[section]:
            said = english[section][name], french[section][name]
            assert _braces(said[0]) == _braces(said[1]), f"{section}.{name}"
            assert all(each.strip() == each and each for each in said), f"{section}.{name}"


def test_every_word_of_the_script_is_said_and_every_word_said_is_there() -> None:
    folder = Path(song_audio.__file__).parent / "page_assets"
    script = "\n".join((folder / name).read_text("utf-8") for name in SCRIPTS[2:])
    own = song_words("en").table["song_script"]
    asked = set(re.findall(r"\bsay\.(\w+)", script))
    assert asked <= own.keys(), asked - own.keys()
    # The others are named in quotes, or put together from a beginning and a kind.
    joined = {f"did_{kind}" for kind in CORRECTION_KINDS} | {"tap_same", "tap_halve", "tap_double"}
    for name in own.keys() - asked - joined:
        stem = name.removesuffix("_one").removesuffix("_many")
        assert f'"{stem}"' in script, name


def test_numbers_and_times_as_a_reader_writes_them() -> None:
    assert [clock_text(s) for s in (0, 59.999, 60, 187.4)] == ["0:00", "0:59", "1:00", "3:07"]
    # Unicode CLDR: the decimal sign is "." in English and "," in French.
    assert number_text(93.26, song_words("en")) == "93.3"
    assert number_text(93.26, song_words("fr")) == "93,3"
    assert number_text(120.0, song_words("fr")) == "120"
    assert [sure_word(c) for c in (0.99, 0.85, 0.7, 0.59, 0.0)] == [
        "certain", "certain", "likely", "doubtful", "doubtful",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", ["120 bpm", "4/4", "straight", "36 counts at 0:24", "doubtful", "likely", "sure", "Wall 3"]),
        ("fr-CA", ["120 bpm", "4/4", "binaire", "36 comptes à 0:24", "douteux", "probable", "sûr", "Mur 3"]),
    ],
)
def test_the_page_says_what_was_heard_and_how_surely(language: str, said: list[str]) -> None:
    html = song_page(true_map(), SILENT, ferry_run(), None, language)
    for words in said:
        assert words in html
    assert f'<html lang="{language[:2]}">' in html


@pytest.mark.parametrize(
    ("certainty", "said"),
    [
        ({}, "Everything was heard clearly"),
        ({"beats": 0.3, "phrase_starts": 0.2}, "The beat itself is doubtful"),
        ({"bar_starts": 0.5, "phrase_starts": 0.2}, "the one is doubtful"),
        ({"phrase_starts": 0.59}, "the phrases are doubtful"),
        ({"odd_phrases": 0.4}, "which phrases are odd is doubtful"),
    ],
)
def test_the_first_doubt_is_told(certainty: dict[str, float], said: str) -> None:
    clear = dict.fromkeys(true_map().certainty, 0.95)
    html = song_page(replace(true_map(), certainty=clear | certainty), SILENT, None, None, "en")
    assert said in html


def test_a_waltz_goes_in_sixes() -> None:
    waltz = replace(true_map(), beats_per_bar=3)
    assert "Six on" in song_page(waltz, SILENT, None, None, "en")
    assert "Six on" not in song_page(true_map(), SILENT, None, None, "en")


def test_an_unknown_language_is_refused() -> None:
    with pytest.raises(NoonwallError, match="choose en or fr"):
        song_page(true_map(), SILENT, None, None, "de")


# --- walls


@pytest.mark.parametrize("run", [ferry_run(), stated_run()], ids=["best", "stated"])
def test_the_ribbon_covers_the_run_without_gap_or_overlap(run: Run) -> None:
    for film in (None, ferry_film(run=run)):
        at = 0.0
        for piece in pieces_of(run, film, song_words("en")):
            assert piece.start == at
            at += piece.counts
        assert at == sum(wall.length for wall in run.walls)


def test_the_ribbon_shows_facings_cuts_and_tags() -> None:
    run = stated_run()
    pieces = pieces_of(run, ferry_film(run=run), song_words("en"))
    starts = {p.wall: p.facing for p in pieces if p.facing is not None}
    assert starts == {wall.wall: wall.facing_start for wall in run.walls}
    cut = [wall for wall in run.walls if wall.cut_after is not None]
    assert [p.wall for p in pieces if p.is_cut] == [wall.wall for wall in cut]
    for wall in cut:
        assert any(p.wall == wall.wall and f"restart after {wall.cut_after}" in p.note for p in pieces)
    tags = {p.wall: p.counts for p in pieces if p.is_tag}
    assert tags == {wall.wall: wall.tag_counts for wall in run.walls if wall.tag_counts}
    assert cut and tags, "the run has neither, so the test sees nothing"


@pytest.mark.parametrize(
    ("pace", "bpm"), [(Fraction(1, 2), 60.0), (Fraction(1), 120.0), (Fraction(2), 240.0)]
)
def test_the_page_counts_at_the_pace_of_the_dancers(pace: Fraction, bpm: float) -> None:
    run = fit(harbour_lights(), true_map(), pace=pace)
    counted = as_counted(true_map(), run)
    assert counted.bpm == bpm
    for wall in run.walls:
        at = counted.nearest_beat(wall.start_seconds)
        assert counted.beats[at] == pytest.approx(wall.start_seconds, abs=1e-6)
        assert at - counted.nearest_beat(run.walls[0].start_seconds) == wall.start_count - run.start_count


# --- the file


def test_nothing_runs_but_the_pages_own_script() -> None:
    """Outside check: Content Security Policy Level 3: a hash-source is the base64 SHA-256 of the text."""
    html = song_page(true_map(), SILENT, ferry_run(), ferry_film(), "en")
    policy = re.search(r'http-equiv="Content-Security-Policy" content="([^"]*)"', html)
    assert policy
    for element, directive in (("style", "style-src"), ('script type="module"', "script-src")):
        body = re.search(rf"<{element}>(.*?)</{element.split()[0]}>", html, re.DOTALL)
        assert body
        digest = base64.b64encode(hashlib.sha256(body[1].encode()).digest()).decode()
        assert f"{directive} 'sha256-{digest}';" in policy[1]
    assert "default-src 'none'" in policy[1]
    assert "media-src 'self' file:;" in policy[1]
    embedded = song_page(true_map(), replace(SILENT, is_embedded=True, source="data:,"), None, None, "en")
    assert "media-src data:;" in embedded
    assert " style=" not in html and " onclick" not in html
    assert set(re.findall(r"https?://[^\"'<\s]+", html)) == {"http://www.w3.org/2000/svg"}


@pytest.mark.parametrize("title", ["</title><script>alert(1)</script>", '"><img src=x onerror=alert(1)>'])
def test_hostile_titles_are_text(title: str) -> None:
    html = song_page(true_map(), replace(SILENT, title=title), None, None, "en")
    assert title not in html
    assert html.count("<script") == 2


def test_kept_corrections_come_first_in_the_list() -> None:
    kept = true_map().shifted(1).with_phrase_at(30.0)
    data = _data(song_page(kept, SILENT, None, None, "en"))
    assert data["kept"] == [
        {"kind": "shift", "seconds": None, "counts": 1},
        {"kind": "mark_phrase", "seconds": 30.0, "counts": None},
    ]


def test_a_song_without_a_beat_makes_a_page_that_says_so() -> None:
    silence = replace(
        true_map(), bpm=0.0, beats=(), bar_starts=(), eight_starts=(), phrase_starts=(), phrases=(),
        odd_phrases=(), intro_counts=0, intro_phrases=0, first_one=0,
    )  # fmt: skip
    html = song_page(silence, SILENT, None, None, "en")
    assert "No beat was found" in html
    assert _data(html)["map"]["beats"] == []


def test_the_song_stays_small_beside_its_sound(tmp_path: Path) -> None:
    """All that is not sound: a phone opens it at once."""
    html = song_page(
        true_map(), audio_for_page(write_song(tmp_path), embed=False), ferry_run(), ferry_film(), "en"
    )
    assert len(html.encode()) < 250_000
