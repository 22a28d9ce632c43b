"""Small dances written as lists of steps, for tests that need no text."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from noonwall.dance import Dance, Figure, Foot, Part, Section, Step
from noonwall.figures import vocabulary_moves
from noonwall.findings import Place

FEET = {"R": Foot.RIGHT, "L": Foot.LEFT, "B": Foot.BOTH, "-": None}


def step(text: str) -> Step:
    """Read "COUNT FOOT MOVE [PLACE] [TURN]", such as "3.5 R step fwd -2"; counts from 1."""
    count, foot, move, *rest = text.split()
    turn = next((int(word) for word in rest if word.lstrip("+-").isdigit()), 0)
    to = next((word for word in rest if not word.lstrip("+-").isdigit()), vocabulary_moves()[move].to)
    takes = vocabulary_moves()[move].weight == "yes"
    return Step(Fraction(count) - 1, move, FEET[foot], takes, to, turn)


def dance(*steps: str, counts: int = 8, line: int = 5, **header: Any) -> Dance:
    """Return a dance of one section whose steps all stand on one line."""
    danced = tuple(step(text) for text in steps)
    place = Place(line, 1, 10)
    figures = tuple(Figure("steps", one.at, Fraction(1), (one,), one.foot, place) for one in danced)
    section = Section("1", Fraction(0), Fraction(counts), figures)
    return Dance("Bench", (Part("main", "main", Fraction(counts), (section,)),), ("main",), **header)


def codes(findings: list[Any]) -> list[str]:
    """Return the codes of findings, in order."""
    return [finding.code for finding in findings]
