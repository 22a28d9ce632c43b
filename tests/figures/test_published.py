"""Every figure that a published glossary defines is danced as the glossary says (docs/sources.md)."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from noonwall.figures import Form, ticks_of, vocabulary, vocabulary_moves

DATA = Path(__file__).parents[1] / "data/figures/published.toml"
ROWS: list[dict[str, Any]] = tomllib.loads(DATA.read_text("utf-8"))["rows"]


def carried(form: Form) -> list[str]:
    """Return the foot that takes weight at each step, "-" for none; "?" where the move leaves it open."""
    out = []
    for step in form.steps:
        weight = vocabulary_moves()[step.move].weight
        out.append(step.foot if weight == "yes" else "?" if weight == "unclear" else "-")
    return out


def danced(form: Form) -> dict[str, Any]:
    """Describe a form in the terms of the published rows: weight changes, end foot, turn, path."""
    feet = carried(form)
    weighted = [foot for foot in feet if foot in "RL"]
    path = [
        f"{foot} {step.to or 'place'}" if foot != "-" else "-"
        for foot, step in zip(feet, form.steps, strict=True)
    ]
    return {
        "wc": len(weighted),
        "end": "open" if "?" in feet else (weighted or ["L"])[-1],
        "turn": 45 * sum(step.turn for step in form.steps),
        "steps": ", ".join(path),
    }


def agrees(row: dict[str, Any], form: Form) -> bool:
    if form.ticks != ticks_of(row["counts"]):
        return False
    facts = danced(form)
    turn_agrees = facts["turn"] == row.get("turn", facts["turn"]) or (
        row.get("either_side", False) and facts["turn"] == -row["turn"]
    )
    return turn_agrees and all(facts[key] == row[key] for key in ("wc", "end", "steps") if key in row)


def described(row: dict[str, Any]) -> str:
    return f"{row['figure']} {row['counts']} {row['source']}"


@pytest.mark.parametrize("row", ROWS, ids=described)
def test_a_form_is_danced_as_published(row: dict[str, Any]) -> None:
    figure = vocabulary().figures[row["figure"]]
    assert any(agrees(row, form) for form in figure.forms), [danced(form) for form in figure.forms]


@pytest.mark.parametrize("name", sorted({row["figure"] for row in ROWS}))
def test_the_usual_form_is_a_published_one(name: str) -> None:
    """The form taken first is not one of our own: a glossary, or observed use, has it too."""
    usual = vocabulary().figures[name].forms[0]
    assert any(agrees(row, usual) for row in ROWS if row["figure"] == name), danced(usual)


@pytest.mark.parametrize("row", [r for r in ROWS if "turn_side" in r or "turn_step" in r], ids=described)
def test_an_added_turn_falls_where_published(row: dict[str, Any]) -> None:
    figure = vocabulary().figures[row["figure"]]
    if "turn_side" in row:
        assert figure.turn_side == row["turn_side"]
    if "turn_step" in row:
        assert row["turn_step"] - 1 in figure.turn_on


def test_enough_figures_have_an_outside_check() -> None:
    published = {row["figure"] for row in ROWS if row["source"] != "S"}
    assert len({row["figure"] for row in ROWS}) >= 75
    assert len(published) >= 55


def test_the_source_of_every_row_is_among_those_the_figure_names() -> None:
    """A figure credits the glossary it is checked against, so that a reader can follow it back."""
    for row in ROWS:
        figure = vocabulary().figures[row["figure"]]
        if row["source"] != "S" and figure.source != "common practice, no source":
            mine = set(figure.source.split(", "))
            family = (DATA.parents[3] / f"src/noonwall/figures/{figure.family}.toml").read_text("utf-8")
            comments = [line for line in family.splitlines() if line.startswith("#")]
            for key in row["source"].split(", "):
                assert key in mine or any(key in line for line in comments), (row["figure"], key)


def test_a_wrong_row_would_be_seen() -> None:
    """The comparison can fail: each fact of a true row, changed, finds no form."""
    row = next(r for r in ROWS if r["figure"] == "coaster-step")
    forms = vocabulary().figures["coaster-step"].forms
    assert any(agrees(row, form) for form in forms)
    for change in (
        {"wc": 2},
        {"end": "L"},
        {"turn": 90},
        {"steps": "R fwd, L together, R back"},
        {"counts": "1a2"},
    ):
        assert not any(agrees({**row, **change}, form) for form in forms), change
