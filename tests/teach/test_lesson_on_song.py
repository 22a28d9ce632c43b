"""A lesson to a song: tempo, walls, changes, finish and the demonstration are the song's."""

from __future__ import annotations

from functools import cache

import pytest

from noonwall.fit import Song, fit
from noonwall.teach.lesson import OnMusic, plan_lesson
from noonwall.teach.values import Lesson

from .lesson_kit import PlainSpelling, example

BPM, INTRO, COUNTS = 120.0, 32, 32 + 7 * 32 + 16
"""A steady song, true by construction: half a second a beat, 32 counts of intro, then 240 counts."""


@cache
def song() -> Song:
    beats = tuple(0.5 * beat for beat in range(COUNTS))
    return Song(
        *(BPM, 4, beats, beats[::4], beats[::8], tuple(beats[INTRO::32]), INTRO),
        audio_end=0.5 * COUNTS,
    )


def on_song(name: str, minutes: int = 25) -> tuple[Lesson, OnMusic]:
    dance = example(name)
    music = OnMusic("Steady Lamps", song().bpm, fit(dance, song()))
    return plan_lesson(dance, PlainSpelling(dance), minutes * 60, music=music), music


def test_tempo_and_intro_are_the_songs() -> None:
    lesson, _ = on_song("lantern-walk")  # its sheet says 112 a minute and 16 counts of intro
    facts = {remark.id: dict(remark.facts) for remark in lesson.opening}
    assert (lesson.tempo.bpm, lesson.tempo.source) == (BPM, "song")
    assert facts["opening.intro"] == {"n": str(INTRO)}
    assert facts["opening.music"] == {"music": "Steady Lamps"}


def test_the_finish_is_where_the_song_ends_and_says_how_to_face_the_front() -> None:
    lesson, music = on_song("lantern-walk")
    finish = music.run.finish
    place = lesson.finish[0]
    assert place.id == "finish.place"
    assert (place.fact("wall"), place.fact("count"), place.fact("facing")) == (
        str(finish.wall),
        str(finish.count),
        str(finish.facing),
    )
    changes = finish.changes[:1]
    told = [
        remark for remark in lesson.finish if remark.id in ("finish.turn", "finish.pose", "finish.no_turn")
    ]
    assert len(told) == sum(len(change.turns) or 1 for change in changes)
    assert {remark.id for remark in lesson.finish} & {"finish.arm_up", "finish.arms_open"}


def test_the_demonstration_lasts_as_long_as_the_song() -> None:
    lesson, music = on_song("lantern-walk")
    shown = lesson.takes[0]
    assert shown.danced_seconds == pytest.approx(0.5 * COUNTS, abs=0.6)
    assert shown.counts == sum(wall.length for wall in music.run.walls) + music.run.wait_counts


def test_a_song_that_asks_for_a_change_is_told() -> None:
    lesson, music = on_song("tide-table")
    own = [wall for wall in music.run.walls if wall.change not in ("", "stated")]
    told = [one for one in lesson.changes if one.id in ("changes.cut", "changes.tag")]
    assert [one.fact("wall") for one in told] == [str(wall.wall) for wall in own]


def test_a_restart_is_danced_into() -> None:
    """The restart of this sheet comes after 16 counts; the eight after it is danced again."""
    lesson, _ = on_song("tide-table", 40)
    changes = next(drill for drill in lesson.drills if drill.kind == "changes")
    assert changes.counts == 16 + 8 and changes.told.id == "drill.changes_danced"


def test_dancing_to_the_song_waits_for_its_intro() -> None:
    lesson, music = on_song("lantern-walk", 40)
    full = next(drill for drill in lesson.drills if drill.kind == "full")
    danced = full.rounds * full.counts * 60 / BPM
    assert full.seconds == pytest.approx(danced + INTRO * 60 / BPM + 8, abs=full.rounds + 1)
    assert full.rounds <= len(music.run.walls)
