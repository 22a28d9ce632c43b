"""The worked cases: every fact of their truth, every planted mistake, nothing wrong on clean sheets."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from noonwall.pipeline import prove, report
from tests.text.facts import differences, remarks

CASES = sorted((Path(__file__).parents[1] / "data" / "text" / "cases").glob("*.json"))
#: The title of case 13 leaves out or keeps "24 count hall version", which may be a title's tail or a count.
TITLE_IS_OPEN = {"13"}


@pytest.fixture(params=CASES, ids=lambda path: path.stem)
def case(request: pytest.FixtureRequest) -> tuple[str, dict[str, Any], dict[str, Any]]:
    path: Path = request.param
    truth = json.loads(path.read_text("utf-8"))
    return path.stem, truth, report(prove(path.with_suffix(".txt").read_text("utf-8")))


def test_there_are_cases() -> None:
    assert len(CASES) == 4


def test_every_fact_is_read(case: tuple[str, dict[str, Any], dict[str, Any]]) -> None:
    name, truth, found = case
    if name in TITLE_IS_OPEN:
        assert truth["title"].lower().startswith(found["title"].lower())
        truth = {key: value for key, value in truth.items() if key != "title"}
    assert differences(truth, found) == []


def test_everything_is_understood(case: tuple[str, dict[str, Any], dict[str, Any]]) -> None:
    assert case[2]["not_understood"] == []


def test_planted_mistakes_are_found_and_no_others(
    case: tuple[str, dict[str, Any], dict[str, Any]],
) -> None:
    _, truth, found = case
    planted = {mistake["line"] for mistake in truth["planted_errors"]}
    assert planted <= {line for line, _, _ in remarks(found, "wrong", "doubtful")}
    assert [each for each in remarks(found, "wrong") if each[0] not in planted] == []


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_the_comparison_can_fail(path: Path) -> None:
    truth = json.loads(path.read_text("utf-8"))
    found = report(prove(path.with_suffix(".txt").read_text("utf-8")))
    found["sections"][1]["facing_after"] += 3
    found["total_counts"] += 1
    assert {"total_counts", "section 2 facing_after"} <= {
        each.split(":")[0] for each in differences(truth, found)
    }
