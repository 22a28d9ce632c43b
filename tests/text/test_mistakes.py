"""One mistake at a time in a right sheet: it is found on its line; the right sheet is not called wrong."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from noonwall.pipeline import prove, report
from tests.text.facts import remarks

FOLDER = Path(__file__).parents[1] / "data" / "text" / "mistakes"
SHEETS = {name: (FOLDER / f"{name}.txt").read_text("utf-8") for name in ("english", "french")}
MISTAKES: dict[str, list[dict[str, Any]]] = tomllib.loads((FOLDER / "mistakes.toml").read_text("utf-8"))
#: Mistakes that are not found on their line; each fails here once it is.
KNOWN: dict[tuple[str, int, str], str] = {}


def planted(text: str, mistake: dict[str, Any]) -> str:
    """Return the sheet with one mistake in it."""
    lines = text.splitlines()
    at = mistake["line"] - 1
    assert lines[at].count(mistake["said"]) == 1
    lines[at] = lines[at].replace(mistake["said"], mistake["is"])
    if not lines[at]:
        del lines[at]
    return "\n".join(lines) + "\n"


def cases() -> list[Any]:
    out = []
    for name, rows in MISTAKES.items():
        for row in rows:
            reason = KNOWN.get((name, row["line"], row["is"]))
            marks = [pytest.mark.xfail(reason=reason, strict=True)] if reason else []
            title = f"{name} line {row['line']}: {row['kind']}: {row['said']} -> {row['is']}"
            out.append(pytest.param(name, row, id=title, marks=marks))
    return out


@pytest.mark.parametrize("name", SHEETS)
def test_the_right_sheet_raises_nothing(name: str) -> None:
    found = report(prove(SHEETS[name]))
    assert remarks(found, "wrong", "doubtful") == []
    assert found["not_understood"] == []
    assert (found["total_counts"], found["walls"], found["turn_sum_degrees"]) == (32, 4, -450)


@pytest.mark.parametrize(("name", "mistake"), cases())
def test_a_mistake_is_found_on_its_line(name: str, mistake: dict[str, Any]) -> None:
    found = report(prove(planted(SHEETS[name], mistake), with_mends=False))
    lines = {line for line, _, _ in remarks(found, "wrong", "doubtful")}
    at = mistake["line"]
    assert lines & ({at - 1, at} if mistake.get("near") else {at})


def test_both_languages_have_the_same_kinds() -> None:
    english, french = ({row["kind"] for row in MISTAKES[name]} for name in SHEETS)
    assert english == french


@pytest.mark.parametrize("name", SHEETS)
def test_an_offered_mend_makes_the_sheet_better(name: str) -> None:
    """A mend is an edit that was tried: putting it in must leave fewer findings than before."""
    offered = 0
    for mistake in MISTAKES[name]:
        text = planted(SHEETS[name], mistake)
        proved = prove(text)
        for finding in proved.findings:
            if not finding.mend or finding.place is None:
                continue
            offered += 1
            lines = text.splitlines()
            line, place = lines[finding.place.line - 1], finding.place
            whole = place.end <= place.column
            mended = (
                finding.mend if whole else line[: place.column - 1] + finding.mend + line[place.end - 1 :]
            )
            lines[place.line - 1] = mended
            after = report(prove("\n".join(lines), with_mends=False))
            before = report(proved)
            weights = [
                (len(remarks(each, "wrong")), len(remarks(each, "doubtful"))) for each in (after, before)
            ]
            assert weights[0] < weights[1], (mistake, finding.code, mended)
    assert offered >= 5
