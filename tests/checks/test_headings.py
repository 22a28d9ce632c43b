"""How a heading's turns are found among those danced: unit cases, and properties over random turns."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonwall.checks.headings import NEAR_COUNTS, fits

TURNS = st.lists(st.tuples(st.integers(0, 3), st.sampled_from([-4, -2, -1, 1, 2, 4])), max_size=6)


def at_counts(turns: list[tuple[int, int]]) -> list[tuple[Fraction, int]]:
    count, out = Fraction(0), []
    for gap, turn in turns:
        count += gap
        out.append((count, turn))
    return out


@pytest.mark.parametrize(
    ("said", "danced", "is_signed", "found"),
    [
        ([4], [(0, 2), (1, 2)], False, True),  # two quarters are the half of the heading
        ([2, 2], [(0, 2), (2, 2)], False, True),
        ([4, 2], [(0, 2), (2, 2)], False, False),  # the half uses both quarters
        ([4], [(0, 2), (1, -2)], False, False),  # there and back is no half turn
        ([2], [(0, -2)], True, False),
        ([-2], [(0, -2)], True, True),
        ([4], [(0, 2), (6, 2)], False, False),  # too far apart to be one turn
        ([], [], False, True),
    ],
)
def test_turns_of_a_heading(
    said: list[int], danced: list[tuple[int, int]], is_signed: bool, found: bool
) -> None:
    assert fits(said, [(Fraction(at), turn) for at, turn in danced], is_signed) is found


@given(TURNS)
def test_what_is_danced_can_always_be_said_turn_by_turn(turns: list[tuple[int, int]]) -> None:
    danced = at_counts(turns)
    assert fits([turn for _, turn in danced], danced, True)
    assert fits([abs(turn) for _, turn in danced], danced, False)


@given(TURNS, st.data())
def test_any_selection_in_order_can_be_said(turns: list[tuple[int, int]], data: st.DataObject) -> None:
    danced = at_counts(turns)
    kept = [turn for _, turn in danced if data.draw(st.booleans())]
    assert fits(kept, danced, True)


@given(TURNS)
def test_more_turn_than_there_is_can_never_be_said(turns: list[tuple[int, int]]) -> None:
    danced = at_counts(turns)
    more = sum(abs(turn) for _, turn in danced) + 1
    assert not fits([more], danced, False)


@given(TURNS)
def test_neighbours_to_one_side_add_up(turns: list[tuple[int, int]]) -> None:
    danced = at_counts(turns)
    for (first, a), (second, b) in pairwise(danced):
        if a * b > 0 and second - first <= NEAR_COUNTS:
            assert fits([a + b], danced, True)
