"""Findings stand on their own characters, the most severe on top."""

from __future__ import annotations

import pytest

from noonwall.findings import Severity
from noonwall.outputs.page_data import NotUnderstood, PageData, PageFinding
from noonwall.outputs.page_words import page_words
from noonwall.outputs.sheet_view import sheet
from tests.outputs.reading import Element, read_page

LINE = "1-2 Step right, step left"


def _page(*findings: PageFinding, gaps: tuple[NotUnderstood, ...] = (), line: str = LINE) -> Element:
    data = PageData("x", (), (line, "second"), (), findings, gaps)
    return read_page(sheet(data, page_words("en"))).root


def _marks(root: Element) -> list[tuple[str, str]]:
    return [(mark.attributes["class"], mark.text) for mark in root.all("mark")]


def test_a_finding_marks_its_own_characters() -> None:
    assert _marks(_page(PageFinding(Severity.WRONG, "m", line=1, column=5, end=15))) == [
        ("wrong", "Step right")
    ]


def test_a_finding_without_an_end_marks_the_rest_of_the_line() -> None:
    assert _marks(_page(PageFinding(Severity.ADVICE, "m", line=1, column=17))) == [("advice", "step left")]


def test_overlapping_findings_are_cut_and_the_most_severe_shows() -> None:
    root = _page(
        PageFinding(Severity.ADVICE, "whole", line=1, column=1, end=26),
        PageFinding(Severity.WRONG, "part", line=1, column=5, end=9),
        PageFinding(Severity.DOUBTFUL, "both", line=1, column=7, end=12),
    )
    assert _marks(root) == [
        ("advice", "1-2 "),
        ("wrong", "St"),
        ("wrong", "ep"),
        ("doubtful", " ri"),
        ("advice", "ght, step left"),
    ]
    assert [note.attributes["class"] for note in root.all("ul")[0].all("li")] == [
        "wrong",
        "doubtful",
        "advice",
    ]


def test_what_was_not_understood_is_marked_and_named() -> None:
    root = _page(gaps=(NotUnderstood(1, 17, 26, "Nearest known: stomp"),))
    assert _marks(root) == [("gap", "step left")]
    assert root.all("li", class_="gap")[0].text == "Not understood Nearest known: stomp"


@pytest.mark.parametrize(("column", "end"), [(1, 400), (99, 120), (0, 3), (5, 5)])
def test_places_beyond_the_line_do_no_harm(column: int, end: int) -> None:
    root = _page(PageFinding(Severity.WRONG, "m", line=1, column=column, end=end))
    assert root.all("span", class_="text")[0].text == LINE


@pytest.mark.parametrize("line", [0, 3, 99])
def test_findings_on_no_line_stand_before_the_sheet(line: int) -> None:
    root = _page(PageFinding(Severity.ADVICE, "general", line=line))
    (whole,) = root.all("div", id="line-0")
    assert "general" in whole.text and not _marks(root)


def test_severity_is_told_by_shape_and_word_too() -> None:
    root = _page(*(PageFinding(severity, "m", line=1) for severity in Severity))
    for note, name in zip(root.all("ul")[0].all("li"), ("Wrong", "Doubtful", "Advice"), strict=True):
        assert note.all("b")[0].text == name
        assert note.all("use")[0].attributes["href"] == f"#i-{name.lower()}"


def test_a_mend_is_shown_as_the_new_text() -> None:
    root = _page(PageFinding(Severity.WRONG, "m", "(3:00)", 1))
    assert root.all("ins")[0].text == "(3:00)"
