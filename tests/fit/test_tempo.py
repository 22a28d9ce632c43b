"""Tempo ranges against the published figures, and the tempos that a dance asks for."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from noonwall.errors import BrokenVocabulary
from noonwall.fit.tempo import TempoRange, _range, classify, tempo_table, tempo_wanted
from tests.fit.builders import dance, walk

PUBLISHED = tomllib.loads(
    (Path(__file__).parents[1] / "data" / "fit" / "tempo_published.toml").read_text("utf-8")
)


@pytest.mark.parametrize("name", PUBLISHED["main"])
def test_the_first_range_is_the_published_one(name: str) -> None:
    row = PUBLISHED["main"][name]
    low, high = (bars * row["beats"] for bars in row["bars"])
    assert tempo_table().rhythms[name].ranges[0] == TempoRange(low, high, "wdsf")


@pytest.mark.parametrize(
    ("name", "row"),
    [*PUBLISHED["main"].items(), *((row["rhythm"], row) for row in PUBLISHED["more"].values())],
)
def test_a_song_within_published_bars_is_named(name: str, row: dict[str, Any]) -> None:
    for bars in (*row["bars"], sum(row["bars"]) / 2):
        assert name in classify(bars * row["beats"], row["beats"], row.get("swing"))


# counts a minute: C. Duttlinger's country-western page (two step, country waltz, night club, polka, hustle)
@pytest.mark.parametrize(
    ("bpm", "bar", "name"),
    [
        (184, 4, "two-step"),
        (80, 3, "country-waltz"),
        (59, 4, "night-club"),
        (110, 2, "polka"),
        (110, 4, "hustle"),
    ],
)
def test_country_ranges(bpm: float, bar: int, name: str) -> None:
    assert name in classify(bpm, bar)


def test_three_beats_are_never_danced_in_four() -> None:
    for bpm in range(40, 260):
        assert not {"waltz", "viennese-waltz", "country-waltz"} & set(classify(bpm, 4))
        assert set(classify(bpm, 3)) <= {"waltz", "viennese-waltz", "country-waltz"}


def test_feel_decides_between_rhythms_of_one_tempo() -> None:
    assert "east-coast-swing" in classify(140, 4, 0.667)
    assert "east-coast-swing" not in classify(140, 4, 0.5)
    assert "cha-cha" not in classify(124, 4, 0.667)
    assert {"cha-cha", "west-coast-swing"} <= set(classify(124, 4, None))


def test_a_tempo_that_no_table_lists_has_no_name() -> None:
    assert classify(40, 4) == []
    assert classify(120, 5) == []


def test_the_likeliest_comes_first() -> None:
    # 87 is the middle of the federation's waltz and lies only near the edge of nothing else
    assert classify(87, 3) == ["waltz", "country-waltz"] or classify(87, 3) == ["country-waltz", "waltz"]
    assert classify(102, 2)[0] == "samba"


def test_the_sheets_own_tempo_comes_first() -> None:
    wanted = tempo_wanted(dance(walk(32), bpm=120.0, level="Beginner"))
    assert wanted.source == "sheet"
    assert wanted.holds(120) and wanted.holds(110) and not wanted.holds(130)


@pytest.mark.parametrize(
    ("level", "low", "high"),
    [
        ("Beginner", 90, 140),
        ("Absolute Beginner", 90, 140),
        ("Débutant", 90, 140),
        ("High Beginner", 85, 160),
        ("Improver", 85, 160),
        ("Phrased Intermediate", 75, 180),
        ("Novice plus", 85, 160),
        ("", 80, 160),
        ("Harbour class", 80, 160),
    ],
)
def test_the_level_gives_the_tempo_otherwise(level: str, low: float, high: float) -> None:
    wanted = tempo_wanted(dance(walk(32), level=level))
    assert (wanted.low, wanted.high) == (low, high)


def test_a_waltz_may_be_slower() -> None:
    assert tempo_wanted(dance(walk(48), level="Beginner", beats_per_bar=3)).low == 76


def test_distance_is_a_share_of_the_nearest_end() -> None:
    tempo = TempoRange(100, 120, "own")
    assert tempo.distance(110) == 0
    assert tempo.distance(90) == pytest.approx(0.1)
    assert tempo.distance(126) == pytest.approx(0.05)


@pytest.mark.parametrize("values", [[90, 80, "own"], [80, 90, "nobody"], [0, 90, "own"]])
def test_a_broken_range_is_refused(values: list[Any]) -> None:
    with pytest.raises(BrokenVocabulary, match="known source"):
        _range("waltz", values, {"own": "ours"})
