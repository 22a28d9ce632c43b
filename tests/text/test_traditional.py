"""Traditional dances against what is published about them; the source stands in each TOML file."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from noonwall.pipeline import Proved, prove, report
from tests.text.facts import remarks

DANCES = sorted((Path(__file__).parents[1] / "data" / "text" / "traditional").glob("*.toml"))
PUBLISHED = {"total_counts", "walls", "net_turn_degrees_per_wall", "free_foot_start"}

#: Shortfalls of the reader, by dance and test; each fails here once it is mended.
KNOWN: dict[tuple[str, str], str] = {}


@pytest.fixture(params=DANCES, ids=lambda path: path.stem)
def danced(request: pytest.FixtureRequest) -> tuple[dict[str, Any], Proved, dict[str, Any]]:
    path: Path = request.param
    reason = KNOWN.get((path.stem, request.function.__name__))
    if reason:
        request.applymarker(pytest.mark.xfail(reason=reason, strict=True))
    proved = prove(path.with_suffix(".txt").read_text("utf-8"))
    return tomllib.loads(path.read_text("utf-8")), proved, report(proved)


def test_the_six_dances_with_agreed_figures_are_there() -> None:
    counts = {tomllib.loads(path.read_text("utf-8"))["total_counts"] for path in DANCES}
    assert counts == {18, 40, 24, 16, 48, 32}


def test_what_is_published_is_what_is_read(danced: tuple[dict[str, Any], Proved, dict[str, Any]]) -> None:
    truth, _, found = danced
    assert set(truth) >= PUBLISHED | {"source"}
    compared = {name: value for name, value in truth.items() if name in found}
    assert {name: found[name] for name in compared} == compared


def test_what_follows_from_the_steps(danced: tuple[dict[str, Any], Proved, dict[str, Any]]) -> None:
    truth, proved, found = danced
    reckoned = dict(truth["reckoned"])
    facings = reckoned.pop("facings_after_sections", None)
    assert {name: found[name] for name in reckoned} == reckoned
    if facings:
        assert [row["facing_after"] for row in found["sections"]] == facings
    if "placements" in truth:
        assert proved.dance is not None
        assert len(proved.dance.main.steps) == truth["placements"]


def test_nothing_is_called_wrong_or_left_unread(
    danced: tuple[dict[str, Any], Proved, dict[str, Any]],
) -> None:
    _, _, found = danced
    assert remarks(found, "wrong", "doubtful") == []
    assert found["not_understood"] == []
