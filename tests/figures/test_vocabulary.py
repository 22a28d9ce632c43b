"""The vocabulary loads, is complete, and refuses entries that cannot be danced."""

from __future__ import annotations

import itertools
import re
import tomllib
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonwall.errors import BrokenVocabulary
from noonwall.figures import FigureDef, ticks_of, vocabulary, vocabulary_moves
from noonwall.figures.vocabulary import PLACES, _figure

ROOT = Path(__file__).parents[2]
BROKEN = tomllib.loads((ROOT / "tests/data/figures/broken.toml").read_text("utf-8"))["cases"]
FIGURES = list(vocabulary().figures.values())


def source_keys() -> set[str]:
    text = (ROOT / "docs/sources.md").read_text("utf-8")
    return set(re.findall(r"^\| ([A-Z0-9]+) \|", text, re.MULTILINE)) | {"S"}


def test_every_family_is_loaded() -> None:
    files = {f.stem for f in (ROOT / "src/noonwall/figures").glob("*.toml")} - {"moves"}
    assert {figure.family for figure in FIGURES} == files
    assert len(files) >= 15
    assert len(FIGURES) >= 170


@pytest.mark.parametrize("figure", FIGURES, ids=lambda f: f.id)
def test_sources_are_keys_or_say_there_is_none(figure: FigureDef) -> None:
    if figure.source != "common practice, no source":
        assert set(figure.source.split(", ")) <= source_keys()


@pytest.mark.parametrize("figure", FIGURES, ids=lambda f: f.id)
def test_fields_keep_to_their_range(figure: FigureDef) -> None:
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", figure.id)
    assert figure.turn_side in ("", "R", "L")
    known = {caution for move in vocabulary_moves().values() for caution in move.cautions} | {"balance"}
    assert set(figure.cautions) <= known
    for form in figure.forms:
        assert form.counts >= 1
        assert form.ticks[-1] < form.counts
        assert {step.to for step in form.steps} <= PLACES | {""}


@pytest.mark.parametrize("figure", [f for f in FIGURES if f.turn_side], ids=lambda f: f.id)
def test_own_turn_goes_to_the_side_of_an_added_one(figure: FigureDef) -> None:
    natural = sum(step.turn for step in figure.forms[0].steps)
    assert natural == 0 or (natural > 0) == (figure.turn_side == "R") or figure.id == "figure-of-eight-vine"


@pytest.mark.parametrize("figure", FIGURES, ids=lambda f: f.id)
def test_the_lead_foot_opens_every_usual_form(figure: FigureDef) -> None:
    """Data are written for a right lead: the first foot named is R, or both feet."""
    first = next((step.foot for step in figure.forms[0].steps if step.foot != "-"), "-")
    assert first in "RB" or figure.id == "polka-hop"


@pytest.mark.parametrize("figure", FIGURES, ids=lambda f: f.id)
def test_forms_differ(figure: FigureDef) -> None:
    assert len(set(figure.forms)) == len(figure.forms)


@pytest.mark.parametrize("case", BROKEN, ids=lambda c: c["name"])
def test_broken_entries_are_refused_with_the_reason(case: dict[str, Any]) -> None:
    with pytest.raises(BrokenVocabulary) as refusal:
        _figure("planted", "family", "family.toml [planted]", case["entry"], vocabulary_moves())
    assert case["message"] in str(refusal.value)
    assert str(refusal.value).startswith("family.toml [planted]: ")


def test_every_broken_entry_is_broken_by_its_fault_alone() -> None:
    """The planted entries would load without the fault: a sound twin of the same shape is accepted."""
    sound = {"counts": "1-2", "steps": ["R step fwd", "L step side"], "difficulty": 1, "source": "S"}
    assert _figure("sound", "family", "here", sound, vocabulary_moves()).forms[0].counts == 2


# Durations of samba counts (S a S = 3/4, 1/4, 1): RAL, Common Glossary of Round Dance Terms, 2001.
# "&" halves the beat: the same glossary and NTA.
@pytest.mark.parametrize(
    ("pattern", "durations"),
    [
        ("1a2", [Fraction(3, 4), Fraction(1, 4)]),
        ("1a2a3a4", [Fraction(3, 4), Fraction(1, 4)] * 3),
        ("1&2", [Fraction(1, 2)] * 2),
        ("1-2&", [Fraction(1), Fraction(1, 2)]),
        ("1-4", [Fraction(1)] * 3),
        ("1&2 3-4", [Fraction(1, 2), Fraction(1, 2), Fraction(1), Fraction(1)]),
    ],
)
def test_counts_last_as_published(pattern: str, durations: list[Fraction]) -> None:
    ticks = ticks_of(pattern)
    assert [b - a for a, b in itertools.pairwise(ticks)] == durations


@given(first=st.integers(1, 40), more=st.integers(0, 40))
def test_a_range_has_a_step_on_every_count(first: int, more: int) -> None:
    ticks = ticks_of(f"{first}-{first + more}")
    assert ticks == tuple(Fraction(k) for k in range(more + 1))


@given(last=st.integers(1, 9))
def test_halved_counts_are_twice_as_many(last: int) -> None:
    pattern = "&".join(str(k) for k in range(1, last + 1))
    assert ticks_of(pattern) == tuple(Fraction(k, 2) for k in range(2 * last - 1))


@given(last=st.integers(1, 9))
def test_a_leading_half_count_lies_before_the_first(last: int) -> None:
    assert ticks_of(f"&{last}") == (Fraction(-1, 2), Fraction(0))
