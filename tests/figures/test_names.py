"""Every figure has its names and its explanation in both languages, and no name means two figures."""

from __future__ import annotations

import re
import tomllib
import unicodedata
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from noonwall.figures import vocabulary

ROOT = Path(__file__).parents[2]
LANGUAGES = ("en", "fr")
WORDS: dict[str, dict[str, Any]] = {
    language: tomllib.loads((ROOT / f"src/noonwall/words/{language}/figures.toml").read_text("utf-8"))
    for language in LANGUAGES
}
IDS = set(vocabulary().figures)
# Words that the reader takes away before it looks for a name: they would make the name unreachable.
TAKEN_AWAY = {
    "en": {"right", "left", "r", "l", "rf", "lf", "x2", "twice", "¼", "½", "¾"},
    "fr": {"droite", "droit", "gauche", "pd", "pg", "d", "g", "x2", "¼", "½", "¾"},
}


def folded(name: str) -> str:
    """Fold what the reader folds: accents, hyphens, spaces and the plural s."""
    plain = "".join(c for c in unicodedata.normalize("NFD", name) if not unicodedata.combining(c))
    words = re.split(r"[\s'’-]+", plain.lower())
    return "".join(w[:-1] if len(w) > 3 and w.endswith("s") and not w.endswith("ss") else w for w in words)


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_figure_has_names_and_an_explanation(language: str) -> None:
    words = WORDS[language]
    assert set(words) == {"names", "unclear", "misspelt", "explain"}
    assert set(words["names"]) == IDS
    assert set(words["explain"]) == IDS
    assert all(words["names"].values())


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_name_means_two_figures(language: str) -> None:
    owners: dict[str, str] = {}
    for figure, names in WORDS[language]["names"].items():
        for name in names:
            key = folded(name)
            assert owners.get(key, figure) == figure, f"{name}: {figure} and {owners[key]}"
            owners[key] = figure


@pytest.mark.parametrize("language", LANGUAGES)
def test_names_are_written_as_the_reader_needs_them(language: str) -> None:
    for figure, names in WORDS[language]["names"].items():
        for name in names:
            assert name == name.lower().strip(), (figure, name)
            assert not set(name.split()) & TAKEN_AWAY[language], (figure, name)


@pytest.mark.parametrize("language", LANGUAGES)
def test_an_unclear_name_is_printed_for_its_usual_figure_at_most(language: str) -> None:
    owners = {folded(n): figure for figure, names in WORDS[language]["names"].items() for n in names}
    for name, ids in WORDS[language]["unclear"].items():
        assert len(set(ids)) == len(ids) >= 2
        assert set(ids) <= IDS
        assert owners.get(folded(name), ids[0]) == ids[0], name


@pytest.mark.parametrize("language", LANGUAGES)
def test_misspellings_lead_to_a_figure_and_are_no_names(language: str) -> None:
    names = {folded(n) for names in WORDS[language]["names"].values() for n in names}
    for wrong, figure in WORDS[language]["misspelt"].items():
        assert figure in IDS, wrong
        assert folded(wrong) not in names, wrong


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_disputed_names_of_the_glossaries_are_unclear(language: str) -> None:
    """Names that published lists give to two figures (disagreements listed at the end of docs/sources.md)."""
    unclear = WORDS[language]["unclear"]
    assert set(unclear["charleston"]) == {"charleston-kick", "charleston-touch"}
    assert set(unclear["vaudeville"]) == set(unclear["heel jack"]) == {"vaudeville", "heel-jack"}
    assert set(unclear["scissor"]) == {"scissor-step", "heel-split"}


def english_turns(text: str) -> Counter[tuple[str, str]]:
    found = re.findall(r"(⅛|¼|½|full turn) (right|left)", text)
    return Counter((amount.replace("full turn", "full"), side) for amount, side in found)


def french_turns(text: str) -> Counter[tuple[str, str]]:
    found = re.findall(r"(⅛ tour|¼ tour|½ tour|Tour complet) à (droite|gauche)", text)
    sides = {"droite": "right", "gauche": "left"}
    return Counter(
        (amount.removesuffix(" tour").replace("Tour complet", "full"), sides[side]) for amount, side in found
    )


@pytest.mark.parametrize("figure", sorted(IDS))
def test_both_languages_explain_the_same_turns(figure: str) -> None:
    english, french = (WORDS[language]["explain"][figure] for language in LANGUAGES)
    assert english_turns(english) == french_turns(french)
    assert english.endswith(".") and french.endswith(".")
    assert english.count(".") == french.count(".") == 1
    assert english.count(";") == french.count(";")


@pytest.mark.parametrize("figure", sorted(IDS))
def test_the_explanation_turns_as_the_steps_do(figure: str) -> None:
    text = WORDS["en"]["explain"][figure]
    eighths = {"⅛": 1, "¼": 2, "½": 4, "full": 8}
    told = sum(
        eighths[a] * n * (1 if side == "right" else -1) for (a, side), n in english_turns(text).items()
    )
    danced = sum(step.turn for step in vocabulary().figures[figure].forms[0].steps)
    assert told == danced or "repeat" in text


@pytest.mark.parametrize("figure", sorted(IDS))
def test_both_languages_name_the_same_gestures(figure: str) -> None:
    """Kicks, hooks, scuffs and rocks keep one word or root in both languages, so they can be compared."""
    english, french = (WORDS[language]["explain"][figure].lower() for language in LANGUAGES)
    pairs = [("kick", "kick"), ("hook", "hook"), ("scuff", "scuff"), ("flick", "flick"), ("rock", "rock"),
             ("stomp", "stomp"), ("recover", "revenir|revenant"),
             ("hold", "pause"), ("(pivot|swivel)", "pivot")]  # fmt: skip
    for word, mot in pairs:
        assert bool(re.search(rf"\b{word}", english)) == bool(re.search(rf"\b({mot})", french)), word
