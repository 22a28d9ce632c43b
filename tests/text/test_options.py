"""Options: easier ways are read beside the line they replace, and held against it."""

from __future__ import annotations

from fractions import Fraction

import pytest

from noonwall.pipeline import prove
from noonwall.text.sheet import read_sheet
from noonwall.text.write import write_sheet

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


SIXTEEN = """HALL LAMPS
16 count - 1 wall - Beginner

[1-8] VINES
1-4  Vine R, touch L
5-8  Vine L, touch R

[9-16] ROCK, SHUFFLE
1-2  Rock R fwd, recover L
3&4  Triple full turn R stepping R, L, R
5-8  Jazz box R
"""


@pytest.mark.parametrize(
    ("told", "at", "rhythm"),
    [
        (
            "Option for counts 3&4 of section 2: step R in place, step L in place, step R in place",
            10,
            "0 1/2 1",
        ),
        ("Easier option, section 2: no turn", None, ""),
        ("Option for counts 11-12: walk R, walk L", 10, "0 1"),
        ("Option for counts 3-4 of section 3: walk R, walk L", None, ""),
        ("Option for count 4 of section 1: stomp L", 3, "0"),
    ],
)
def test_an_option_stands_on_the_counts_it_names(told: str, at: int | None, rhythm: str) -> None:
    """Wherever it stands in the sheet; where what it replaces is not certain it stays in words."""
    dance = read_sheet(f"{SIXTEEN}\n{told}\n").dance
    assert dance is not None
    if at is None:
        assert dance.options == ()
        return
    (option,) = dance.options
    assert option.at == at
    ticks = [step.at - option.at for figure in option.figures for step in figure.steps]
    assert " ".join(map(str, ticks)) == rhythm


@pytest.mark.parametrize("language", ["en", "fr", "fr-CA"])
def test_a_written_option_is_read_back(language: str) -> None:
    dance = read_sheet(
        f"{SIXTEEN}\nOption for counts 3&4 of section 2: step R in place, step L in place, step R in place\n"
        "Option for counts 3-4 of section 1: walk L, walk R\n"
    ).dance
    assert dance is not None and len(dance.options) == 2
    again = read_sheet(write_sheet(dance, language), language[:2]).dance
    assert again is not None
    told = [
        [(o.at, o.counts, [step for f in o.figures for step in f.steps]) for o in d.options]
        for d in (dance, again)
    ]
    assert told[0] == told[1]


def test_an_option_that_ends_on_the_other_foot_is_doubtful() -> None:
    text = f"{HEAD}1-2  Rock R fwd, recover L\n3-4  Walk R, L (or step R, touch L)\n5-8  Jazz box R\n"
    found = [finding for finding in prove(text).findings if finding.code.startswith("option.")]
    assert [(finding.code, finding.severity.value) for finding in found] == [("option.foot", "doubtful")]


def test_words_that_are_no_steps_are_left_in_words() -> None:
    dance = read_sheet(f"{HEAD}1-4  Jazz box R (or make it up as you go)\n5-8  Jazz box R\n").dance
    assert dance is not None and dance.options == ()
