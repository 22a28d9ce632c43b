"""Which calls are said: the most telling ones that fit between each other and before what they call.

Method: weighted interval scheduling. Every candidate says something of a row of items (figures, walls,
warnings) within a span of time; chosen candidates follow each other in time and in items. Candidates are
taken in the order in which they begin; what was reached best is kept for each item reached so far, since more
is only worth keeping if it is worth more. The result is the optimum (a test compares it with trying all).
"""

from __future__ import annotations

import heapq
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, field

TOUCHING_SECONDS = 1e-6
"""Two calls may touch; times that differ by less are the same."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """Something that may be said.

    Attributes:
        first, last: items it covers, ``last`` not included.
        from_seconds, to_seconds: when it would be said.
        worth: what saying it is worth; more than 0.
        key: of the caller, to know it again.
    """

    first: int
    last: int
    from_seconds: float
    to_seconds: float
    worth: float
    key: int


@dataclass(order=True, slots=True)
class _Reached:
    """The best way to some item: when it is over, what it is worth, and the chain that leads to it."""

    to_seconds: float
    worth: float = field(compare=False)
    covered: int = field(compare=False)
    chain: tuple[Candidate, _Reached] | None = field(compare=False, default=None)


def choose(candidates: Sequence[Candidate]) -> tuple[float, tuple[Candidate, ...]]:
    """Return the greatest worth that can be said, and what is said for it, in order of time."""
    settled = _Settled()
    running: list[_Reached] = []
    for candidate in sorted(candidates, key=lambda one: (one.from_seconds, one.to_seconds)):
        while running and running[0].to_seconds <= candidate.from_seconds + TOUCHING_SECONDS:
            settled.add(heapq.heappop(running))
        before = settled.best_before(candidate.first)
        worth = before.worth + candidate.worth
        heapq.heappush(running, _Reached(candidate.to_seconds, worth, candidate.last, (candidate, before)))
    for one in running:
        settled.add(one)
    best = settled.rows[-1]
    chosen: list[Candidate] = []
    at = best
    while at.chain is not None:
        candidate, at = at.chain
        chosen.append(candidate)
    return best.worth, tuple(reversed(chosen))


class _Settled:
    """What was reached and is over; a row is kept if it is worth more than all that cover no more items."""

    def __init__(self) -> None:
        self.rows = [_Reached(0.0, 0.0, 0)]
        self.covered = [0]

    def best_before(self, item: int) -> _Reached:
        """Return the row of greatest worth that covers nothing from ``item`` on."""
        return self.rows[bisect_right(self.covered, item) - 1]

    def add(self, one: _Reached) -> None:
        """Keep ``one`` unless a row that covers no more is worth as much; drop those it outdoes."""
        place = bisect_right(self.covered, one.covered)
        if self.rows[place - 1].worth >= one.worth:
            return
        while place and self.covered[place - 1] == one.covered:
            place -= 1
        end = place
        while end < len(self.rows) and self.rows[end].worth <= one.worth:
            end += 1
        self.rows[place:end] = [one]
        self.covered[place:end] = [one.covered]
