"""Which of several places is believed when they name different walls for a restart."""

from __future__ import annotations

from fractions import Fraction

import pytest

from noonwall.checks import proof_of, settled
from noonwall.checks.restarts import check
from noonwall.dance import Dance, Restart
from noonwall.dance.claims import Claims, RestartClaim
from noonwall.findings import Place
from tests.checks.dances import codes, dance

LINES = tuple(f"line {n}" for n in range(1, 12))
HEADER, BODY, FOOT = 2, 5, 9  # the steps of the test dances stand on line 5


def claim(line: int, *walls: int, facing: int | None = None) -> RestartClaim:
    facings = () if facing is None else (facing,)
    return RestartClaim(walls, Fraction(2), facings, Place(line, 1, 7), f"line {line}")


def quarter(*walls: int) -> Dance:
    """Four counts turning a quarter right on count 3: wall n begins at (n - 1) quarters if none is cut."""
    steps = ("1 R step fwd", "2 L step together", "3 R step fwd +2", "4 L step together")
    restarts = tuple(Restart(wall, Fraction(2)) for wall in walls)
    return dance(*steps, counts=4, restarts=restarts)


@pytest.mark.parametrize(
    ("claims", "wrong_line", "kept"),
    [
        ((claim(HEADER, 3), claim(BODY, 4)), HEADER, {4}),  # the note in the steps is believed
        ((claim(HEADER, 3), claim(FOOT, 4)), HEADER, {4}),  # then the foot, which tells more
        ((claim(BODY, 4), claim(FOOT, 3)), FOOT, {4}),
        # wall 3 begins at 6:00 and turns only after its cut: the header's facing holds, the body's does not
        ((claim(HEADER, 3, facing=4), claim(BODY, 4, facing=4)), BODY, {3}),
        ((claim(HEADER, 3), claim(BODY, 4), claim(FOOT, 3)), BODY, {3}),  # two against one
    ],
)
def test_one_place_is_believed(claims: tuple[RestartClaim, ...], wrong_line: int, kept: set[int]) -> None:
    told = Claims(restarts=claims)
    danced = settled(quarter(3, 4), told)
    assert {restart.wall for restart in danced.restarts} == kept
    found = check(proof_of(danced, told, LINES))
    assert codes(found) == ["restart.walls"]
    assert found[0].place is not None and found[0].place.line == wrong_line


@pytest.mark.parametrize(
    "claims",
    [
        (claim(HEADER, 3, 4), claim(BODY, 3), claim(FOOT, 4)),  # each note tells one of them
        (claim(HEADER), claim(BODY, 3, 4)),  # "2 restarts" names no wall
        (claim(HEADER, 4, 3), claim(BODY, 3, 4)),
    ],
)
def test_places_that_complete_each_other_do_not_contradict(claims: tuple[RestartClaim, ...]) -> None:
    told = Claims(restarts=claims)
    danced = settled(quarter(3, 4), told)
    assert len(danced.restarts) == 2
    assert "restart.walls" not in codes(check(proof_of(danced, told, LINES)))


def test_a_restart_behind_the_end_is_wrong() -> None:
    steps = ("1 R step fwd", "2 L step together")
    late = dance(*steps, counts=2, restarts=(Restart(3, Fraction(6)),))
    assert codes(check(proof_of(late, Claims(), LINES))) == ["restart.beyond"]
