"""Counts as whole quarters while a line is read: integers are quick, and every notated count is a quarter.

"&" lies 2/4 after its number, "e" 1/4 and "a" 3/4, so nothing finer is ever written. The model speaks of
exact fractions; :func:`count_at` makes each of them once and shares it.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

PER_COUNT = 4

_SHARED = tuple(Fraction(quarter, PER_COUNT) for quarter in range(160 * PER_COUNT))


def count_at(quarters: int) -> Fraction:
    """Return a number of quarters as an exact count; common ones are shared objects."""
    if 0 <= quarters < len(_SHARED):
        return _SHARED[quarters]
    return Fraction(quarters, PER_COUNT)


def quarters_of(count: Fraction) -> int:
    """Return an exact count in whole quarters."""
    return count.numerator * PER_COUNT // count.denominator


def all_quarters(counts: Iterable[Fraction]) -> tuple[int, ...]:
    """Return exact counts in whole quarters."""
    return tuple([count.numerator * PER_COUNT // count.denominator for count in counts])
