"""Seconds to counts and back."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonwall.errors import BrokenFile
from noonwall.fit import Song, count_grid
from noonwall.fit.counts import swing_ratio
from tests.fit.builders import song


def test_a_song_becomes_counts() -> None:
    grid = count_grid(song([16, 32, 36, 32], bpm=100))
    assert (grid.counts, grid.phrases, grid.odd_phrases) == (116, (16, 48, 84), ((48, 36),))
    assert grid.bars[:3] == (0, 4, 8)
    assert (grid.first_one, grid.invited, grid.usual_phrase, grid.eight) == (0, 16, 32, 8)


@given(st.integers(0, 200))
def test_seconds_and_counts_agree(count: int) -> None:
    grid = count_grid(song([16, 32, 32, 32, 32, 32, 32], bpm=113))
    expected = min(count, grid.counts) * 60 / 113
    assert grid.seconds(count) == pytest.approx(min(expected, grid.end_seconds))


def test_beats_that_waver_still_find_their_counts() -> None:
    steady = song([16, 32, 32])
    beats = tuple(beat + 0.03 * (-1) ** index for index, beat in enumerate(steady.beats))
    assert count_grid(replace(steady, beats=beats)).phrases == count_grid(steady).phrases


def test_a_pickup_before_the_first_one_is_not_waited_for() -> None:
    steady = song([16, 32, 32])
    early = Song(
        120,
        4,
        (0.0, 0.5, 1.0, *(beat + 1.5 for beat in steady.beats)),
        tuple(at + 1.5 for at in steady.bar_starts),
        tuple(at + 1.5 for at in steady.eight_starts),
        tuple(at + 1.5 for at in steady.phrase_starts),
        16,
        (),
        steady.audio_end + 1.5,
    )
    grid = count_grid(early)
    assert (grid.first_one, grid.invited) == (3, 19)


def test_half_time_keeps_the_ones() -> None:
    grid = count_grid(song([16, 32, 36, 32], bpm=200), Fraction(1, 2))
    assert (grid.counts, grid.phrases, grid.odd_phrases, grid.invited) == (58, (8, 24, 42), ((24, 18),), 8)
    # eights and bars are those of the dancer, begun anew with each phrase
    assert grid.eights == (0, 8, 16, 24, 32, 40, 42, 50)
    assert grid.bars[:4] == (0, 4, 8, 12)


def test_double_time_puts_a_count_between() -> None:
    grid = count_grid(song([16, 32], bpm=60), Fraction(2))
    assert grid.counts == 95
    assert grid.phrases == (32,)
    assert grid.eights[:3] == (0, 8, 16)
    assert grid.times[1] == pytest.approx(0.5)


def test_beats_after_the_end_are_left_out() -> None:
    assert count_grid(replace(song([16, 32]), audio_end=10.2)).counts == 21


def test_without_phrases_the_eights_stand_in_and_without_them_the_bars() -> None:
    bare = replace(song([16, 32]), phrase_starts=())
    assert count_grid(bare).phrases == tuple(range(0, 48, 8))
    assert count_grid(replace(bare, eight_starts=())).phrases == tuple(range(0, 48, 4))
    assert count_grid(replace(bare, eight_starts=(), bar_starts=())).phrases == ()


@pytest.mark.parametrize(
    ("beats", "sentence"),
    [((), "no beats to count"), ((1.0,), "no beats"), ((0.0, 1.0, 1.0), "do not go forward")],
)
def test_a_song_that_cannot_be_counted_says_so(beats: tuple[float, ...], sentence: str) -> None:
    with pytest.raises(BrokenFile, match=sentence):
        count_grid(replace(song([16, 32]), beats=beats))


def test_the_json_of_a_map_is_read() -> None:
    data = {
        "bpm": 120,
        "beats_per_bar": 4,
        "beats": [0, 0.5, 1],
        "bar_starts": [0],
        "eight_starts": [0],
        "phrase_starts": [0],
        "intro_counts": None,
        "odd_phrases": [[0, 36]],
        "audio_end": 2,
        "swing": "swung",
        "certainty": {"beats": 0.9},
        "more": "is passed over",
    }
    read = Song.from_json(data)
    assert read.odd_phrases == ((0.0, 36),)
    assert read.intro_counts is None
    assert read.swing == pytest.approx(2 / 3)


@pytest.mark.parametrize(
    "data", [{}, {"bpm": "fast"}, {"bpm": 120, "beats_per_bar": 4, "beats": 3, "audio_end": 1}]
)
def test_what_is_no_map_is_refused(data: dict[str, object]) -> None:
    with pytest.raises(BrokenFile, match="Harbour Lights is not a music map"):
        Song.from_json(data, "Harbour Lights")


@pytest.mark.parametrize(
    ("said", "ratio"),
    [(True, 2 / 3), (False, 0.5), ("straight", 0.5), (0.61, 0.61), (None, None), ("?", None)],
)
def test_swing_in_any_form(said: object, ratio: float | None) -> None:
    assert swing_ratio(said) == ratio
