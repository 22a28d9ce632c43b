"""One line of steps at a time: which foot moves when, whether it takes weight, how far the line turns.

Every phrase is read as it stands and as its mirror image, which must be danced as the mirror image.
"""

from __future__ import annotations

import tomllib
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from noonwall.dance.model import Foot, Step
from noonwall.text.sheet import read_sheet
from tests.text.mirror import mirror_words

FOLDER = Path(__file__).parents[1] / "data" / "text" / "phrases"
CODES = {"english": "en", "french": "fr"}
SHEETS = {
    "en": "Harbour Drill\nChoreographer: Wendy Ashdown\nLevel: Beginner\n\nSection 1\n{}\n",
    "fr": "Quai Nord\nChorégraphe : Anne Vasseur\nNiveau : Débutant\n\nSection 1\n{}\n",
}
PARTS = {Fraction(0): "", Fraction(1, 4): "e", Fraction(1, 2): "&", Fraction(3, 4): "a"}
#: Read otherwise than a dancer would, by language and phrase of the table; each fails here once it is mended.
KNOWN: dict[tuple[str, str], str] = {
    (
        "en",
        "1-4 Jazz box ¼ turn left, starting by crossing left over right",
    ): "the foot after the figure is not taken",
    ("fr", "1-2 Poser talon PD devant, abaisser la pointe D"): "poser talon is read as a step",
    (
        "fr",
        "1-4 Marcher en demi-cercle à gauche D, G, D, G",
    ): "demi-cercle takes the first foot and has no turn",
}
#: Read rightly, but their mirror image is not.
KNOWN_MIRRORED: dict[tuple[str, str], str] = {
    ("en", "1-4 Two 1/4 paddle turns left"): "a paddle to the right is led by the right foot",
}


def rows() -> list[tuple[str, str, str, int]]:
    """Return language, phrase, feet and turn of every row."""
    out = []
    for name, code in CODES.items():
        table: dict[str, list[list[Any]]] = tomllib.loads((FOLDER / f"{name}.toml").read_text("utf-8"))
        out += [(code, said, feet, turn) for group in table.values() for said, feet, turn in group]
    return out


ROWS = rows()


def feet_of(steps: tuple[Step, ...]) -> str:
    """Write the acts that have a foot in the notation of the table."""
    said = []
    for step in steps:
        if step.foot in (Foot.LEFT, Foot.RIGHT):
            foot = step.foot.value if step.takes_weight else step.foot.value.lower()
            said.append(f"{int(step.at // 1) + 1}{PARTS[step.at % 1]}{foot}")
    return " ".join(said)


def danced(said: str, language: str) -> tuple[str, int]:
    """Return feet and turn of a line read in a sheet of its own."""
    reading = read_sheet(SHEETS[language].format(said), language)
    assert reading.dance is not None
    assert reading.claims.not_understood == ()
    return feet_of(reading.dance.main.steps), reading.dance.main.turn


def parameters(known: dict[tuple[str, str], str]) -> list[Any]:
    out = []
    for row in ROWS:
        reason = known.get(row[:2])
        marks = [pytest.mark.xfail(reason=reason, strict=True)] if reason else []
        out.append(pytest.param(*row, id=f"{row[0]}: {row[1]}", marks=marks))
    return out


def test_there_are_enough_phrases_and_none_twice() -> None:
    for code in CODES.values():
        mine = [said for language, said, _, _ in ROWS if language == code]
        assert len(mine) == len(set(mine)) >= 150
    assert {(language, said) for language, said, _, _ in ROWS} >= set(KNOWN) | set(KNOWN_MIRRORED)


@pytest.mark.parametrize(("language", "said", "feet", "turn"), parameters(KNOWN))
def test_a_phrase_is_danced_as_it_says(language: str, said: str, feet: str, turn: int) -> None:
    assert danced(said, language) == (feet, turn)


@pytest.mark.parametrize(("language", "said", "feet", "turn"), parameters(KNOWN | KNOWN_MIRRORED))
def test_its_mirror_image_is_danced_mirrored(language: str, said: str, feet: str, turn: int) -> None:
    swapped = feet.translate(str.maketrans("RLrl", "LRlr"))
    assert danced(mirror_words(said, language), language) == (swapped, -turn)


def test_the_mirror_of_a_mirror_is_the_phrase() -> None:
    for language, said, _, _ in ROWS:
        assert mirror_words(mirror_words(said, language), language) == said
