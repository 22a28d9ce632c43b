"""Cue sheets of whole runs: hand-worked ones, and what must hold for every dance, song and tempo."""

from __future__ import annotations

import tomllib
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st

from noonwall.dance.model import Dance
from noonwall.errors import CannotDance, NoonwallError
from noonwall.figures import vocabulary
from noonwall.fit import Run, Song, fit
from noonwall.pipeline.cueing import cue_sheet
from noonwall.pipeline.proving import prove
from noonwall.teach.call_words import same_facts
from noonwall.teach.called_cues import GAP_SECONDS
from noonwall.teach.cue import CueSheet
from noonwall.teach.speech import estimate_seconds
from tests.property.sources import dances
from tests.teach.calling import (
    DATA,
    EIGHT,
    LANGUAGES,
    SHEETS,
    by_words,
    called,
    proved_of,
    proved_sheet,
    song,
)

RUNS = tomllib.loads((DATA / "runs.toml").read_text("utf-8"))["run"]
NO_SHRINKING = (Phase.explicit, Phase.reuse, Phase.generate)
"""Dances are small as they are, and making them smaller takes minutes."""

EVERYTHING = frozenset(vocabulary().figures)


@pytest.mark.parametrize("run", RUNS, ids=lambda run: f"{run['walls']} walls at {run['bpm']}")
def test_a_short_dance_is_called_as_worked_out_by_hand(run: dict[str, Any]) -> None:
    sheet = cue_sheet(
        prove(EIGHT, "en"),
        LANGUAGES,
        bpm=run["bpm"],
        walls=run["walls"],
        known=frozenset(run.get("known", ())),
        speaks=by_words,
        lead_beats=run["lead"],
    )
    said = [[cue.on, round(cue.from_seconds, 3), cue.kind, *cue.words] for cue in called(sheet)]
    assert said == run["said"]


# --- what must hold for all --------------------------------------------------------------------------------


def assert_sound(sheet: CueSheet, speaks: Any = estimate_seconds) -> None:
    """Hold a cue sheet to its contract (see noonwall/teach/cue.py)."""
    languages = sheet.languages
    assert [cue for cue in (*sheet.cues, *sheet.left_out) if not same_facts(cue, languages)] == []
    said = called(sheet)
    for cue in said:
        longest = max(speaks(language, text) for language, text in zip(languages, cue.words, strict=True))
        assert cue.from_seconds >= 0.0
        assert cue.from_seconds + longest <= cue.until_seconds + 1e-6, (cue.words, "is cut off")
        assert cue.until_seconds <= cue.on_seconds - GAP_SECONDS + 1e-6, (cue.words, "is late")
    for before, after in pairwise(said):
        assert before.until_seconds <= after.from_seconds + 1e-6, (before.words, after.words)
    assert [cue.from_seconds for cue in sheet.cues] == sorted(cue.from_seconds for cue in sheet.cues)
    assert {cue.reason for cue in sheet.left_out} <= {"no-time", "voice-busy"}
    assert all(cue.reason == "" for cue in sheet.cues)
    _assert_counted(sheet)


def _assert_counted(sheet: CueSheet) -> None:
    """Every danced beat is counted on the beat, each number follows the one before or begins anew with 1."""
    times = {beat.count: beat.seconds for beat in sheet.beats}
    counted = {cue.on: cue for cue in sheet.cues if cue.kind == "count"}
    danced = [beat for beat in sheet.beats if beat.said]
    assert {beat.count for beat in danced} == {int(on) for on in counted if on.denominator == 1}
    for beat in danced:
        cue = counted[Fraction(beat.count)]
        assert cue.from_seconds == cue.on_seconds == times[beat.count]
        assert dict(cue.facts) == {"count": str(beat.said)}
    for before, after in pairwise(danced):
        # a wall goes on with its own number after a tag inside it
        assert after.said in (before.said + 1, 1) or before.kind == "tag"
    assert not danced or danced[0].said == 1


@pytest.mark.parametrize("path", SHEETS, ids=lambda path: path.stem)
@pytest.mark.parametrize("known", (frozenset(), EVERYTHING), ids=("new", "known"))
def test_every_example_is_called_soundly_at_any_tempo(path: Path, known: frozenset[str]) -> None:
    for bpm in (72, 126, 184):
        sheet = cue_sheet(proved_sheet(path), LANGUAGES, bpm=bpm, known=known, walls=3)
        assert_sound(sheet)
        assert called(sheet), "nothing is called"


@pytest.mark.parametrize("path", SHEETS, ids=lambda path: path.stem)
def test_every_example_is_called_soundly_on_a_song(path: Path) -> None:
    proved = proved_sheet(path)
    assert proved.dance is not None
    music = song(bpm=118, counts=170, beats_per_bar=proved.dance.beats_per_bar, swing=0.64)
    run = fit(proved.dance, music)
    sheet = cue_sheet(proved, ("fr", "en"), run=run, music=music)
    assert_sound(sheet)
    _assert_facings(sheet, run)
    assert [beat.seconds for beat in sheet.beats] == list(music.beats)
    assert sheet.ends_seconds == music.audio_end


def _assert_facings(sheet: CueSheet, run: Run) -> None:
    """The beats of a wall end where the fit says that the wall ends; the run ends at 12:00 if it can."""
    for wall in run.walls:
        beats = [beat for beat in sheet.beats if beat.wall == wall.wall]
        assert len(beats) == wall.length
        assert beats[0].count == wall.start_count - run.start_count
        if wall is run.walls[-1]:
            wanted = 0 if run.finish.changes else wall.facing_end
            assert beats[-1].facing == wanted
        else:
            assert beats[-1].facing == wall.facing_end


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck), phases=NO_SHRINKING)
@given(dances("en"), st.sampled_from((60, 96, 128, 190)), st.booleans(), st.sampled_from((None, 1, 2, 3, 4)))
def test_any_dance_to_a_click(dance: Dance, bpm: int, is_known: bool, lead: int | None) -> None:
    known = EVERYTHING if is_known else frozenset()
    sheet = cue_sheet(proved_of(dance), LANGUAGES, bpm=float(bpm), known=known, lead_beats=lead, walls=3)
    assert_sound(sheet)


@settings(max_examples=20, deadline=None, suppress_health_check=list(HealthCheck), phases=NO_SHRINKING)
@given(
    dances("fr"),
    st.sampled_from((66.0, 104.0, 150.0, 196.0)),
    st.lists(st.sampled_from((32, 32, 24, 36, 16, 4)), min_size=1, max_size=6),
    st.floats(0.5, 0.72),
    st.sampled_from((0.0, 0.4, 2.5)),
)
def test_any_dance_on_any_song(
    dance: Dance, bpm: float, phrases: list[int], swing: float, first: float
) -> None:
    music = song(bpm, 0, dance.beats_per_bar, 16, swing, first, tuple(phrases))
    assume(not any(":" in entry for entry in dance.sequence))
    try:
        run = fit(dance, music, runners_up=0)
    except CannotDance:
        assume(False)
    sheet = cue_sheet(proved_of(dance), LANGUAGES, run=run, music=music)
    assert_sound(sheet)
    is_plain = not dance.is_phrased and not any(wall.mirrored or wall.tag_counts for wall in run.walls)
    if is_plain and not any(step.at < 0 for part in dance.parts for step in part.steps):
        _assert_facings(sheet, run)


def test_calls_keep_their_place_in_the_bar() -> None:
    """Kern, Cueing Seminar, ROUNDALAB 1987: the same place in every measure."""
    for path in SHEETS:
        proved = proved_sheet(path)
        assert proved.dance is not None
        sheet = cue_sheet(proved, LANGUAGES, bpm=120)
        places = {beat.seconds: beat for beat in sheet.beats}
        bar = 3 if proved.dance.beats_per_bar == 3 else 2
        for cue in called(sheet):
            beat = next((places[at] for at in places if abs(at - cue.from_seconds) < 1e-6), None)
            assert beat is not None, f"{cue.words} does not begin on a beat"
            if cue.kind == "call" and beat.said:
                assert (beat.said - 1) % bar == 0, cue.words


def test_fast_music_is_called_a_bar_ahead_and_slow_music_too_if_that_says_more() -> None:
    """Two beats are 0.67 s at 180: too short for a phrase, so calls begin a whole bar ahead."""
    proved = proved_sheet(next(path for path in SHEETS if path.stem == "quai-des-lanternes"))
    sheet = cue_sheet(proved, LANGUAGES, bpm=180, known=EVERYTHING)
    leads = [cue.on_seconds - cue.from_seconds for cue in sheet.cues if cue.kind == "call" and cue.on > 4]
    assert sum(abs(lead - 4 * 60 / 180) < 1e-6 for lead in leads) > 0.8 * len(leads)


def test_and_sounds_where_the_music_swings_it() -> None:
    proved = proved_sheet(next(path for path in SHEETS if path.stem == "la-bouee-rouge"))
    assert proved.dance is not None
    for swing in (0.5, 2 / 3):
        music = song(bpm=90, counts=140, swing=swing)
        sheet = cue_sheet(proved, LANGUAGES, run=fit(proved.dance, music), music=music)
        halves = [cue for cue in sheet.cues if cue.kind == "count" and cue.on.denominator == 2]
        assert halves, "no and is counted"
        assert all(cue.words == ("and", "et") for cue in halves)
        for cue in halves:
            into = (cue.from_seconds - music.beats[0]) / (60 / 90) % 1
            assert abs(into - swing) < 1e-6


def test_a_word_between_two_counts_is_left_out_where_there_is_no_time() -> None:
    proved = proved_sheet(next(path for path in SHEETS if path.stem == "la-bouee-rouge"))
    slow = cue_sheet(proved, LANGUAGES, bpm=90, walls=1)
    fast = cue_sheet(proved, LANGUAGES, bpm=220, walls=1)
    assert any(cue.on.denominator == 2 for cue in slow.cues if cue.kind == "count")
    assert not any(cue.on.denominator == 2 for cue in fast.cues if cue.kind == "count")


@pytest.mark.parametrize(
    ("name", "numbers"), [("lantern-walk", ("5", "6", "7", "8")), ("mill-pond-waltz", ("4", "5", "6"))]
)
def test_the_count_in_is_one_bar(name: str, numbers: tuple[str, ...]) -> None:
    sheet = cue_sheet(proved_sheet(next(path for path in SHEETS if path.stem == name)), LANGUAGES)
    counted = [cue for cue in sheet.cues if cue.kind == "count-in"]
    assert tuple(dict(cue.facts)["count"] for cue in counted) == numbers
    assert [cue.on for cue in counted] == list(range(-len(numbers), 0))
    over = [cue for cue in called(sheet) if cue.from_seconds < counted[-1].until_seconds < cue.until_seconds]
    assert over == [], "something is said over the count-in"


# --- restarts, tags, endings, what is odd ------------------------------------------------------------------


def _tide_table() -> tuple[Any, Song]:
    path = next(path for path in SHEETS if path.stem == "tide-table")
    return proved_sheet(path), song(120, phrases=(32, 32, 32, 16, 32, 32, 4, 32, 32, 32, 6), intro=32)


def test_a_restart_and_a_tag_are_told_with_their_wall_and_again_before_they_come() -> None:
    """The sheet cuts wall 3 after 16 counts and dances a tag of four after wall 5; the song fits that."""
    proved, music = _tide_table()
    run = fit(proved.dance, music)
    assert [wall.length for wall in run.walls] == [32, 32, 16, 32, 36, 32, 32, 32, 6]
    sheet = cue_sheet(proved, LANGUAGES, run=run, music=music)
    facts = {cue.on: dict(cue.facts) for cue in called(sheet) if cue.kind != "call"}
    assert facts[Fraction(64)]["restart_after"] == "16"
    assert "restart" in facts[Fraction(80)]
    assert "tag_coming" in facts[Fraction(112)]
    assert {"tag", "tag_counts"} & set(facts[Fraction(144)])
    early = {cue.on: cue.on_seconds - cue.from_seconds for cue in called(sheet)}
    assert early[Fraction(80)] >= 1.5 and early[Fraction(144)] >= 1.5, "three beats at 120"
    kinds = [beat.kind for beat in sheet.beats if 144 <= beat.count < 148]
    assert kinds == ["tag"] * 4
    assert [beat.said for beat in sheet.beats if 80 <= beat.count < 83] == [1, 2, 3]


def test_a_turn_to_the_front_is_called_as_the_finish() -> None:
    proved = proved_sheet(next(path for path in SHEETS if path.stem == "lantern-walk"))
    assert proved.dance is not None
    music = song(bpm=110, counts=215)
    run = fit(proved.dance, music)
    change = run.finish.changes[0]
    assert (run.finish.facing, change.kind, change.turns[0].total) == (6, "turn", 2)
    sheet = cue_sheet(proved, LANGUAGES, run=run, music=music)
    finish = next(cue for cue in sheet.cues if cue.kind == "finish")
    assert ("turn", "R2") in finish.facts
    assert finish.on == run.walls[-1].start_count - run.start_count + change.turns[0].count - 1
    assert sheet.beats[-1].facing == 0


def test_the_ending_of_the_sheet_is_danced_to_the_click() -> None:
    proved, _ = _tide_table()
    sheet = cue_sheet(proved, LANGUAGES)
    ending = [beat for beat in sheet.beats if beat.kind == "ending"]
    assert [(beat.wall, beat.part, beat.said) for beat in ending] == [(8, "ending", 1), (8, "ending", 2)]
    assert ending[-1].facing == 0
    assert next(cue for cue in sheet.cues if cue.kind == "finish").words == ("ending", "final")


def test_an_unproved_sheet_says_so_first() -> None:
    proved = prove(EIGHT.replace("Count: 8", "Count: 16"), "en")
    assert proved.worst is not None
    sheet = cue_sheet(proved, LANGUAGES, walls=1)
    first = sheet.cues[0]
    assert (first.kind, first.facts) == ("remark", (("unproved", ""),))
    assert first.words == ("this sheet is not proved", "cette fiche n'est pas prouvée")
    assert_sound(sheet)


@pytest.mark.parametrize("counts", (3, 9, 18, 40))
def test_a_song_shorter_than_its_intro_or_than_a_wall(counts: int) -> None:
    proved = proved_sheet(next(path for path in SHEETS if path.stem == "lantern-walk"))
    assert proved.dance is not None
    music = song(counts=counts, intro=32)
    try:
        run = fit(proved.dance, music)
    except NoonwallError as error:
        assert "Lantern Walk" in str(error)
        return
    sheet = cue_sheet(proved, LANGUAGES, run=run, music=music)
    assert_sound(sheet)
    assert len(sheet.beats) == counts


def test_a_text_without_steps_is_one_sentence() -> None:
    with pytest.raises(CannotDance):
        cue_sheet(prove("Harbour Hall\nNo steps yet.\n", "en"), LANGUAGES)


def test_a_voice_that_is_slower_together_is_believed() -> None:
    """Texts put together are measured again: a voice whose long texts drag makes the calls shorter."""

    def dragging(language: str, text: str) -> float:
        return estimate_seconds(language, text) * (2.0 if text.count(",") > 2 else 1.0)

    proved = proved_sheet(next(path for path in SHEETS if path.stem == "paper-boats"))
    assert_sound(cue_sheet(proved, LANGUAGES, speaks=dragging, walls=2), dragging)
