"""One mistake is reported once, on the line that is wrong, with the other lines as witnesses."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from noonwall.checks.usual_turns import unusual_turns
from noonwall.pipeline import prove
from noonwall.text.sheet import read_sheet

HEAD = "Harbour Lights\nCount: {counts}\nWall: {walls}\nLevel: Beginner\n\n"


@dataclass(frozen=True, slots=True)
class Case:
    """Lines of steps under a header, and the only remarks they deserve: code and line of the steps from 1."""

    steps: str
    said: set[tuple[str, int]]
    counts: int = 8
    walls: int = 4


JAZZ = "1-4 Cross R over L, step L back turning ¼ R, step R to R side, step L beside R\n"
WALKS = "5-8 Walk forward R, L, R, touch L beside R\n"
CASES = {
    # the heading and the way a jazz box turns agree: the body line is wrong, not the heading
    "turn side": Case(
        "JAZZ BOX ¼ TURN RIGHT, WALKS\n" + JAZZ.replace("¼ R", "¼ L") + "5-8 Walk forward R, L, R, L\n",
        {("facing.turn-usual", 2)},
    ),
    "as it should be": Case("JAZZ BOX ¼ TURN RIGHT, WALKS\n" + JAZZ + "5-8 Walk forward R, L, R, L\n", set()),
    # "1-4" printed twice does not begin a section of its own
    "label twice": Case(
        "VINE RIGHT, VINE LEFT\n1-4 Vine right, touch\n5-8 Vine left, touch\n\n"
        "VINE RIGHT, WALKS\n1-4 Vine right, touch\n1-4 Walk forward L, R, L, touch R beside L\n\n"
        "VINE RIGHT, VINE LEFT\n1-4 Vine right, touch\n5-8 Vine left, touch\n",
        {("counts.overlap", 7)},
        24,
        1,
    ),
    # the dance begins with count 5: its first line is missing
    "first line missing": Case(
        "WALKS, JAZZ BOX\n5-8 Cross R over L, step L back turning ¼ R, step R to R side, step L beside R\n\n"
        "WALKS, ROCKS\n1-4 Walk forward R, L, R, L\n5-8 Rock R forward, recover L, rock R back, recover L\n",
        {("counts.gap", 2)},
        16,
    ),
    # no total speaks for it, but the last line of one section is missing
    "last line missing": Case(
        "WALKS\n1-4 Walk forward R, L, R, L\n5-6 Rock R back, recover L\n7-8 Walk forward R, L\n\n"
        "ROCKS\n1-4 Rock R forward, recover L, rock R back, recover L\n5-6 Rock R to R, recover L\n\n"
        "JAZZ BOX ¼ TURN RIGHT, WALKS\n" + JAZZ + "5-8 Walk forward R, L, R, L\n",
        {("counts.section", 8)},
    ),
    # a rolling vine goes to the side of its first foot
    "heading foot": Case(
        "ROLLING VINE LEFT, WALKS\n1-4 ¼ turn R stepping R forward, ½ turn R stepping L back,"
        " ¼ turn R stepping R to R side, touch L beside R\n5-8 Walk forward L, R, L, touch R beside L\n",
        {("heading.foot", 1)},
        8,
        1,
    ),
    # the recover cannot be a touch, and the pivot turns away from a left step
    "wrong foot": Case(
        "ROCK, STEP TURN\n1-2 Rock R back, recover L\n3-4 Step L forward, pivot ¼ L\n"
        "5-8 Rock R forward, recover L, rock R back, recover L\n",
        {("weight.same-foot", 3)},
    ),
}


@pytest.mark.parametrize("case", CASES.values(), ids=CASES)
def test_the_line_that_is_wrong_is_named(case: Case) -> None:
    head = HEAD.format(counts=case.counts, walls=case.walls)
    if ("counts.section", 8) in case.said:
        head = head.replace("Count: 8\n", "")
    found = prove(head + case.steps, with_mends=False).findings
    first = head.count("\n")
    told = {(f.code, f.place.line - first if f.place else 0) for f in found if f.severity.value != "advice"}
    assert told == case.said


@pytest.mark.parametrize(
    ("line", "is_unusual"),
    [
        ("1-4 Step R forward, pivot ½ L, step R forward, step L together", False),
        ("1-4 Step R forward, pivot ½ R, step R forward, step L together", True),
        ("1-4 Point R to R side, turn ½ R stepping R together, point L to L side, step L together", False),
        ("1-4 Point R to R side, turn ½ L stepping R together, point L to L side, step L together", True),
        ("1-4 Cross R over L, step L back turning ¼ R, step R to R side, step L forward", False),
        ("1-4 Cross R over L, step L back turning ¼ L, step R to R side, step L forward", True),
        ("1-4 Cross R over L, step L back turning ½ R, step R to R side, step L forward", True),
        ("1-3 Step R to R side, cross L behind R, step R forward turning ¼ R", False),
        ("1-3 Step R to R side, cross L behind R, step R forward turning ¼ L", True),
        ("1&2 Cross R behind L, step L to L side turning ¼ R, step R forward", False),
        ("1&2 Step R to R side, step L together, step R forward turning ¼ L", True),
    ],
)
def test_the_way_a_turn_usually_goes(line: str, is_unusual: bool) -> None:
    dance = read_sheet(f"Two Gulls\n\nSection 1\n{line}\n").dance
    assert dance is not None
    assert bool([turn for section in dance.main.sections for turn in unusual_turns(section)]) is is_unusual
