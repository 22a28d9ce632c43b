"""The number of walls against group theory by a general library.

Outside authority: sympy's permutation groups. A quarter turn is a rotation of the eight facings; the number
of walls is the order of the element of Z8 that one wall's net turn is.
"""

from __future__ import annotations

import pytest
from sympy.combinatorics import Permutation

from noonwall.checks import proof_of
from noonwall.checks.facing import check, walls_shown
from noonwall.dance import walls_of
from noonwall.dance.claims import Claims
from tests.checks.dances import codes, dance

EIGHTH = Permutation([1, 2, 3, 4, 5, 6, 7, 0])


@pytest.mark.parametrize("net", range(-16, 17))
def test_walls_are_the_order_of_the_net_turn(net: int) -> None:
    assert walls_of(net) == (EIGHTH ** (net % 8)).order()


@pytest.mark.parametrize("net", range(-8, 9))
def test_the_check_sees_the_walls_that_are_danced(net: int) -> None:
    order = (EIGHTH ** (net % 8)).order()
    two = dance(f"1 R step fwd {net:+d}", "2 L step together", counts=2, stated_walls=int(order))
    proof = proof_of(two, Claims(header_lines={"walls": 1}), ("4 walls",))
    assert walls_shown(proof) == order
    assert "walls.header" not in codes(check(proof))


@pytest.mark.parametrize("net", range(-8, 9))
def test_a_dance_that_mirrors_turns_back_again(net: int) -> None:
    # Group theory: a mirrored wall turns by the inverse; an element times its inverse is the identity.
    turn = EIGHTH ** (net % 8)
    assert (turn * turn**-1).is_Identity
    one = dance(f"1 R step fwd {net:+d}", counts=1)
    proof = proof_of(one)
    starts = {wall.stance_start.facing % 8 for wall in proof.run.walls}
    assert walls_shown(proof) == len(starts) == (1 if turn.is_Identity else 2)
