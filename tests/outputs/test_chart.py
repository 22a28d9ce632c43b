"""Charts of a whole run: with a song of known counts, and without one."""

from __future__ import annotations

from xml.dom import minidom

import pytest

from noonwall.dance.turns import clock
from noonwall.fit import Song, fit
from noonwall.outputs import chart
from noonwall.outputs.printed_data import Chart
from noonwall.pipeline.charting import chart_of
from noonwall.pipeline.printed_sheet import OnSong
from tests.outputs import printing_kit as kit


def song(counts: int, intro: int, phrase: int = 32) -> Song:
    """Return a song of 120 beats a minute, true by construction: ``intro`` counts, then phrases."""
    beats = tuple(number / 2 for number in range(counts))
    starts = tuple(beats[at] for at in range(intro, counts, phrase))
    return Song(
        120.0,
        4,
        beats,
        beats[::4],
        beats[::8],
        starts,
        intro,
        audio_end=counts / 2,
        certainty={"beats": 1.0, "phrase_starts": 1.0},
    )


def on_song(name: str, counts: int, intro: int) -> Chart:
    dance = kit.proved(name).dance
    assert dance is not None
    heard = song(counts, intro)
    return chart_of(kit.proved(name), OnSong("Lamps on the Water", heard, fit(dance, heard)), ("en",))


def check(told: Chart) -> None:
    """Pieces of a row follow one another without a gap, and what is danced adds up to its counts."""
    for row in told.rows:
        at = 0
        for piece in row.pieces:
            assert piece.start == at and piece.counts > 0
            at += piece.counts
        assert sum(piece.counts for piece in row.pieces if piece.kind != "left") == row.counts


@pytest.mark.parametrize("name", kit.SHEETS)
def test_a_dance_alone_has_as_many_walls_as_its_sheet_speaks_of(name: str) -> None:
    told = chart_of(kit.proved(name), None, ("en", "fr"))
    run = kit.proved(name).run
    assert run is not None and len(told.rows) == len(run.walls)
    check(told)
    reader = kit.pdf_of(chart.make(told).content)
    assert len(reader.pages) == 1
    text = kit.all_text(reader)
    for row in told.rows:
        assert clock(row.facing_start) in text and clock(row.facing_end) in text


def test_restarts_and_tags_stand_where_they_are_danced() -> None:
    told = chart_of(kit.proved("english/dev/10"), None, ("en",))
    third, fifth = told.rows[2], told.rows[4]
    assert third.notes == ("restart after count 32",)
    assert [piece.kind for piece in third.pieces][-1] == "left" and third.pieces[-1].counts == 32
    assert fifth.pieces[-1].kind == "tag" and fifth.pieces[-1].counts == 4


@pytest.mark.parametrize("name", kit.SHEETS)
def test_a_run_on_a_song_fills_the_song(name: str) -> None:
    told = on_song(name, 16 + 7 * 64, 16)
    check(told)
    assert told.wait_counts is not None
    danced = told.wait_counts + sum(row.counts for row in told.rows)
    assert danced <= 16 + 7 * 64
    starts = [row.start_seconds for row in told.rows]
    counts = [told.wait_counts + sum(row.counts for row in told.rows[:at]) for at in range(len(told.rows))]
    assert starts == pytest.approx([count / 2 for count in counts])


def test_phrases_stand_where_the_song_has_them() -> None:
    told = on_song("english/dev/01", 16 + 4 * 32, 16)
    assert [row.phrases for row in told.rows] == [((number, 0),) for number in range(1, 5)]


def test_a_hundred_walls_stay_on_one_page() -> None:
    made = chart.make(on_song("english/dev/01", 16 + 100 * 32, 16))
    assert made.pages == 1


def test_the_picture_is_well_formed_and_says_what_it_shows() -> None:
    made = chart.make(on_song("english/dev/01", 16 + 4 * 32, 16), "svg")
    root = minidom.parseString(made.content).documentElement
    assert root is not None and root.getAttribute("role") == "img"
    title = root.getElementsByTagName("title")[0].firstChild
    assert title is not None and "4 walls" in title.nodeValue
