"""Counts as whole quarters where they are reckoned with often: integers are quick, fractions are exact.

"&" lies 2/4 after its number, "e" 1/4 and "a" 3/4, so a notated count is a number of quarters. The model
speaks of exact fractions; :func:`count_at` makes each of them once and shares it.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from functools import lru_cache

PER_COUNT = 4


@lru_cache(maxsize=8192)
def count_at(quarters: int) -> Fraction:
    """Return a number of quarters as an exact count."""
    return Fraction(quarters, PER_COUNT)


def quarters_of(count: Fraction) -> int:
    """Return a notated count in quarters."""
    return count.numerator * PER_COUNT // count.denominator


def all_quarters(counts: Iterable[Fraction]) -> tuple[int, ...]:
    """Return notated counts in quarters."""
    return tuple([count.numerator * PER_COUNT // count.denominator for count in counts])


def scaled(count: Fraction) -> int | Fraction:
    """Return any count times four: an integer where it is notated in quarters, else an exact fraction."""
    shift, rest = divmod(PER_COUNT, count.denominator)
    return count * PER_COUNT if rest else count.numerator * shift


def unscaled(quarters: int | Fraction) -> Fraction:
    """Return the count that :func:`scaled` made ``quarters`` of."""
    return count_at(quarters) if isinstance(quarters, int) else quarters / PER_COUNT
