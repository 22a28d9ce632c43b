"""The examples of docs/sheet-language.md are read as that page says."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest

from noonwall.dance.model import Step
from noonwall.text.sheet import read_sheet
from tests.house.tree import ROOT
from tests.text.test_phrases import PARTS

PAGE = (ROOT / "docs" / "sheet-language.md").read_text("utf-8")
ROWS = re.findall(r"^\| `(\d?&?[^`]+)` \| ([1-9&¼½][^|]*) \|$", PAGE, re.MULTILINE)
AMOUNTS = {1: "⅛", 2: "¼", 3: "⅜", 4: "½", 6: "¾", 8: "1"}


def label(at: Fraction) -> str:
    return PARTS[at % 1] or str(int(at) + 1)


def written(steps: tuple[Step, ...]) -> str:
    """Return steps in the short hand of the page."""
    feet = [
        f"{label(step.at)}{step.foot if step.takes_weight else step.foot.lower()}"
        for step in steps
        if step.foot in ("L", "R")
    ]
    turn = sum(step.turn for step in steps)
    if turn:
        feet.append(f"{AMOUNTS.get(abs(turn), str(turn))}{'R' if turn > 0 else 'L'}")
    return " ".join(feet)


def is_french(phrase: str) -> bool:
    return bool(re.search(r"\bP[DG]\b|\bPied\b", phrase))


@pytest.mark.parametrize(("phrase", "danced"), ROWS, ids=[phrase for phrase, _ in ROWS])
def test_the_page_says_what_is_danced(phrase: str, danced: str) -> None:
    first = int(re.search(r"\d", phrase).group()) - 1  # type: ignore[union-attr]
    before = f"1-{first} Hold\n" if first else ""
    language = "fr" if is_french(phrase) else "en"
    reading = read_sheet(f"Two Gulls\n32 count, 4 wall, Beginner\n\nSection 1\n{before}{phrase}\n", language)
    assert reading.dance is not None
    assert not reading.claims.not_understood
    assert written(reading.dance.main.steps) == danced


def test_the_page_has_examples_of_both_languages() -> None:
    assert sum(is_french(phrase) for phrase, _ in ROWS) >= 5
    assert len(ROWS) >= 15
