"""Messages: both languages say the same things about the same facts, and every code can be said."""

from __future__ import annotations

import re
import tomllib
from fractions import Fraction
from pathlib import Path
from string import Formatter
from typing import Any

import pytest

import noonwall
from noonwall.checks import CHECKS
from noonwall.errors import NoonwallError
from noonwall.figures import vocabulary
from noonwall.findings import Finding, Place, Severity
from noonwall.fit import COST_CODES
from noonwall.words.messages import _Words, count_text, messages, say, speak

PACKAGE = Path(noonwall.__file__).parent
DOCS = PACKAGE.parents[1] / "docs"


def table(language: str) -> dict[str, Any]:
    return tomllib.loads((PACKAGE / "words" / language / "messages.toml").read_text("utf-8"))


def fields(text: str) -> list[tuple[str, str]]:
    return sorted((name, kind or "") for _, name, kind, _ in Formatter().parse(text) if name is not None)


def flat(tables: dict[str, Any], prefix: str = "") -> dict[str, str]:
    out: dict[str, str] = {}
    for key, value in tables.items():
        out |= flat(value, f"{prefix}{key}/") if isinstance(value, dict) else {f"{prefix}{key}": value}
    return out


def test_both_languages_have_the_same_messages() -> None:
    english, french = flat(table("en")), flat(table("fr"))
    english = {key: text for key, text in english.items() if not key.startswith("sides_in_text/")}
    french = {key: text for key, text in french.items() if not key.startswith("sides_in_text/")}
    assert set(english) == set(french)
    assert {key: fields(text) for key, text in english.items()} == {
        key: fields(text) for key, text in french.items()
    }


def test_every_field_has_a_kind_that_can_be_worded() -> None:
    kinds = {kind for text in flat(table("en")).values() for _, kind in fields(text)} - {""}
    assert kinds
    assert [kind for kind in kinds if not hasattr(_Words, f"word_{kind}")] == []


SAMPLES: dict[str, object] = {
    "foot": "R", "side": "L", "clock": 3, "turn": -2, "amount": 4, "count": Fraction(3, 2), "list": [3, 5, 6],
    "action": "touch", "reasons": ["counts", "turns"], "metres": 1.25, "place": "front", "": 7,
}  # fmt: skip


@pytest.mark.parametrize("language", ["en", "fr"])
def test_every_finding_can_be_said(language: str) -> None:
    for code, template in table(language)["findings"].items():
        facts = {name: SAMPLES[kind] for text in template.values() for name, kind in fields(text)}
        finding = Finding(code, Severity.WRONG, Place(1), None, facts, "old", "new")
        spoken = speak(finding, language)
        assert spoken.title.endswith(".") and len(spoken.title) <= 60, code
        assert spoken.shows and "{" not in spoken.message, code
        assert "old" in spoken.mend_text and "new" in spoken.mend_text, code
        # a spoken sentence must not carry ids of the program
        assert not re.search(r"\b(?:None|True|False|Fraction)\b", spoken.message), code


def test_feet_sides_and_clock_are_worded_in_each_language() -> None:
    facts = {"stated": 2, "shown": 7}
    finding = Finding("facing.note", Severity.WRONG, Place(1), None, facts, "(3:00)", "(10:30)")
    assert "3:00" in speak(finding, "en").shows and "10:30" in speak(finding, "en").shows
    assert "3h" in speak(finding, "fr").shows and "10h30" in speak(finding, "fr-CA").shows


def test_turns_are_worded_by_amount_and_side() -> None:
    facts = {"said": -6, "meant": 12, "places": 2}
    finding = Finding("facing.turn", Severity.WRONG, Place(1), None, facts)
    assert "¾ turn left" in speak(finding, "en").shows
    assert "1 and ½ turns right" in speak(finding, "en").shows


@pytest.mark.parametrize(
    ("at", "said"),
    [(0, "1"), (Fraction(1, 2), "1&"), (Fraction(3, 4), "1a"), (Fraction(5, 4), "2e")],
)  # fmt: skip
def test_counts_are_said_as_dancers_say_them(at: Fraction, said: str) -> None:
    # ROUNDALAB/URDC Common Glossary, 2001: "a" is the last quarter of a beat, "&" the half.
    assert count_text(Fraction(at)) == said


def test_an_unknown_language_is_refused_in_a_sentence() -> None:
    with pytest.raises(NoonwallError, match="choose en or fr"):
        messages("de")
    assert say("fr-CA", "foot", "L") == "pied gauche"


def test_every_cost_of_a_fit_can_be_said() -> None:
    assert set(table("en")["cost"]) == set(COST_CODES)


def test_every_reason_of_a_match_can_be_said() -> None:
    source = (PACKAGE / "fit" / "match.py").read_text("utf-8")
    told = {code.removeprefix("match.") for code in re.findall(r'"(match\.[a-z-]+)"', source)}
    assert told == set(table("en")["match"])


def test_every_check_has_a_page_with_all_its_headings() -> None:
    text = (DOCS / "checks.md").read_text("utf-8")
    chapters = dict(re.findall(r"^## ([A-Z][a-z]+)\n(.*?)(?=^## |\Z)", text, re.M | re.S))
    labels = ("What", "Why it matters on the floor", "Example", "Better wording", "When to ignore it")
    for name in CHECKS:
        chapter = chapters[name.capitalize()]
        assert [label for label in labels if f"**{label}.**" not in chapter] == [], name


def test_every_caution_of_the_vocabulary_can_be_said() -> None:
    moves, figures = vocabulary().moves.values(), vocabulary().figures.values()
    told = {caution for one in (*moves, *figures) for caution in one.cautions}
    assert told == set(table("en")["caution"])
