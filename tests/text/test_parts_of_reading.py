"""The small readers below a sheet: counts, tokens, header facts, notes about walls, sequences."""

from __future__ import annotations

import tomllib
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from noonwall.text.header import read_header
from noonwall.text.labels import read_label
from noonwall.text.lexicon import lexicon_of
from noonwall.text.notes import read_sequence, read_wall_note
from noonwall.text.tokens import tokenise

FOLDER = Path(__file__).parents[1] / "data" / "text" / "parts"
PARTS = {Fraction(0): "", Fraction(1, 4): "e", Fraction(1, 2): "&", Fraction(3, 4): "a"}
#: Texts that are read otherwise than meant; each fails here once it is mended.
KNOWN: dict[str, str] = {
    "1OH30": "a letter O inside the hour is not read",
    "1O:30": "a letter O inside the hour is not read",
    "Sequence: AAB Tag AAB": "parts written without a space are not read",
}


def table(name: str) -> dict[str, Any]:
    return tomllib.loads((FOLDER / f"{name}.toml").read_text("utf-8"))


def cases(rows: dict[str, Any]) -> list[Any]:
    out = []
    for said, meant in rows.items():
        marks = [pytest.mark.xfail(reason=KNOWN[said], strict=True)] if said in KNOWN else []
        out.append(pytest.param(said, meant, id=said, marks=marks))
    return out


def spelled(tick: Fraction) -> str:
    return f"{int(tick // 1)}{PARTS[tick % 1]}"


@pytest.mark.parametrize(("said", "meant"), cases(table("labels")["read"]))
def test_counts_before_a_step(said: str, meant: str) -> None:
    label = read_label(said)
    found = " ".join(spelled(tick) for tick in label.ticks) if label else ""
    assert found == meant


@pytest.mark.parametrize(("said", "meant"), cases(table("tokens")["amounts"]))
@pytest.mark.parametrize("language", ["en", "fr"])
def test_an_amount_of_turn(language: str, said: str, meant: int) -> None:
    around = {"en": "turn {} left stepping L forward", "fr": "{} tour à gauche en avançant PG"}[language]
    tokens = tokenise(around.format(said), lexicon_of(language))
    assert [int(token.value) for token in tokens if token.kind in ("amount", "degrees")] == [meant]
    assert [token for token in tokens if token.kind == "unknown"] == []


@pytest.mark.parametrize(("said", "meant"), cases(table("tokens")["clocks"]))
@pytest.mark.parametrize("language", ["en", "fr"])
def test_a_facing(language: str, said: str, meant: int) -> None:
    around = {"en": "step L forward ({})", "fr": "avancer PG ({})"}[language]
    tokens = tokenise(around.format(said), lexicon_of(language))
    assert [int(token.value) for token in tokens if token.kind == "clock"] == [meant]
    assert [token for token in tokens if token.kind == "unknown"] == []


@pytest.mark.parametrize("case", table("headers")["header"], ids=lambda case: case["lines"][0])
def test_header_facts(case: dict[str, Any]) -> None:
    header = read_header(list(enumerate(case["lines"], 1)), [])
    facts = {name: value for name, value in case.items() if name not in ("lines", "not")}
    assert {name: getattr(header, name) for name in facts} == facts
    assert [name for name in case.get("not", []) if getattr(header, name) is not None] == []


NOTES = table("wall_notes")


@pytest.mark.parametrize(("said", "meant"), cases(NOTES["en"] | NOTES["fr"]))
def test_numbers_in_a_note_about_walls(said: str, meant: dict[str, Any]) -> None:
    note = read_wall_note(said)
    found = {
        "walls": list(note.walls),
        "count": note.count,
        "section": note.section,
        "facings": list(note.facings),
        "times": note.times,
        "here": note.here,
    }
    empty = {"walls": [], "count": None, "section": None, "facings": [], "times": 1, "here": False}
    assert found == empty | meant


SEQUENCES = {case["says"]: case for case in table("sequences")["sequence"]}


@pytest.mark.parametrize(("said", "case"), cases(SEQUENCES))
def test_the_order_of_parts(said: str, case: dict[str, Any]) -> None:
    entries = read_sequence(said, set(case["labels"]))
    found = [
        (entry.label + (f":{entry.counts}" if entry.counts else "")) if entry.kind == "part" else entry.kind
        for entry in entries
    ]
    assert found == case["is"]
