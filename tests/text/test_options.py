"""Options: easier ways are read beside the line they replace, and held against it."""

from __future__ import annotations

from fractions import Fraction

import pytest

from noonwall.pipeline import prove
from noonwall.text.sheet import read_sheet

HEAD = "HALL LAMPS\n8 count - 1 wall - Beginner\n\n"


@pytest.mark.parametrize(
    ("line", "feet"),
    [
        ("3-4  Full turn L stepping R, L (or walk R, L)", "RL"),
        ("3-4  Step R fwd, step L fwd\nEasier option: walk R, L", "RL"),
        ("3-4  Avancer PD, avancer PG (option : marcher PD, PG)", "RL"),
    ],
)
def test_an_option_stands_on_the_counts_of_its_line(line: str, feet: str) -> None:
    text = f"{HEAD}1-2  Rock R fwd, recover L\n{line}\n5-6  Rock R fwd, recover L\n7-8  Stomp R, stomp L\n"
    dance = read_sheet(text, "fr" if "avancer" in text else "en").dance
    assert dance is not None
    (option,) = dance.options
    assert (option.at, option.counts) == (Fraction(2), Fraction(2))
    steps = [step for figure in option.figures for step in figure.steps]
    assert "".join(step.foot.value for step in steps if step.foot) == feet
    assert all(step.move == "walk" and step.takes_weight for step in steps)


def test_an_option_that_ends_on_the_other_foot_is_doubtful() -> None:
    text = f"{HEAD}1-2  Rock R fwd, recover L\n3-4  Walk R, L (or step R, touch L)\n5-8  Jazz box R\n"
    found = [finding for finding in prove(text).findings if finding.code.startswith("option.")]
    assert [(finding.code, finding.severity.value) for finding in found] == [("option.foot", "doubtful")]


def test_words_that_are_no_steps_are_left_in_words() -> None:
    dance = read_sheet(f"{HEAD}1-4  Jazz box R (or make it up as you go)\n5-8  Jazz box R\n").dance
    assert dance is not None and dance.options == ()
