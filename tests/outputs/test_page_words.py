"""Both languages say the same things."""

from __future__ import annotations

import string

import pytest

from noonwall.errors import NoonwallError
from noonwall.outputs.page_words import LANGUAGES, page_words, turn_amount


def _braces(text: str) -> set[str | None]:
    return {name for _, name, _, _ in string.Formatter().parse(text) if name}


def test_languages_hold_identical_ids_and_blanks() -> None:
    english, french = (page_words(language).table for language in LANGUAGES)
    assert english.keys() == french.keys()
    for section in english:
        assert english[section].keys() == french[section].keys(), section
        for name in english[section]:
            assert _braces(english[section][name]) == _braces(french[section][name]), f"{section}.{name}"


def test_no_word_is_empty() -> None:
    for language in LANGUAGES:
        for section, entries in page_words(language).table.items():
            for name, said in entries.items():
                assert said.strip() == said and said, f"{language} {section}.{name}"


@pytest.mark.parametrize("tag", ["fr", "fr-CA", "FR", "fr_FR"])
def test_region_falls_back_to_its_language(tag: str) -> None:
    assert page_words(tag).language == "fr"


def test_unknown_language_is_refused_in_one_sentence() -> None:
    with pytest.raises(NoonwallError, match=r'^No page can be made in "de": choose en or fr\.$'):
        page_words("de")


@pytest.mark.parametrize(
    ("language", "n", "said"),
    [
        # Unicode CLDR plural rules: English "one" is 1 alone, French "one" is 0 and 1.
        ("en", 0, "0 counts"),
        ("en", 1, "1 count"),
        ("en", 2, "2 counts"),
        ("fr", 0, "0 compte"),
        ("fr", 1, "1 compte"),
        ("fr", 2, "2 comptes"),
    ],
)
def test_plurals(language: str, n: int, said: str) -> None:
    assert page_words(language).number("page", "counts", n) == said


@pytest.mark.parametrize(
    ("eighths", "amount"), [(1, "⅛"), (2, "¼"), (-4, "½"), (6, "¾"), (8, "1"), (-10, "1¼"), (16, "2")]
)
def test_turn_amounts(eighths: int, amount: str) -> None:
    assert turn_amount(eighths) == amount


def test_turn_sides() -> None:
    assert page_words("en").turn(2) == "¼ turn right"
    assert page_words("fr").turn(-4) == "½ tour à gauche"
    assert page_words("fr").turn_short(2) == "¼ D"
    assert page_words("en").turn(0) == page_words("en").turn_short(0) == ""
