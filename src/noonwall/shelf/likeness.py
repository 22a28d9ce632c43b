"""How alike two dances are by their steps, and why."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from noonwall.shelf.rows import Alike, DanceRow, Facts

STRETCH_COUNTS = 4
"""Counts that one gram covers."""
MOST_ROWS = 20_000
"""Index rows that one question may go through: the commonest stretches tell least and are left out."""
LEAST_TELLING = 8
"""The rarest stretches are always asked about, however common they are."""


def rarest(common: Mapping[int, int]) -> list[int]:
    """Return the stretches worth asking about, the rarest first.

    Args:
        common: in how many dances each stretch of the dance asked about is.
    """
    chosen: list[int] = []
    rows = 0
    for gram, many in sorted(common.items(), key=lambda one: (one[1], one[0])):
        rows += many
        if len(chosen) >= LEAST_TELLING and rows > MOST_ROWS:
            break
        chosen.append(gram)
    return chosen


def score_of(asked: Facts, other: Facts) -> float:
    """Return how alike the steps of two dances are, 0 to 1.

    That is the share of four-count stretches that both have among all that either has, each as often as it is
    danced (the weighted Jaccard index: the sum of the smaller over the sum of the larger counts).
    """
    ours, theirs = Counter(gram for gram, _ in asked.shape), Counter(gram for gram, _ in other.shape)
    every = (ours | theirs).total()
    return (ours & theirs).total() / every if every else 0.0


def alike(asked: Facts, other: Facts, row: DanceRow) -> Alike:
    """Compare the steps of two dances."""
    leads: dict[int, set[str]] = {}
    for gram, lead in other.shape:
        leads.setdefault(gram, set()).add(lead)
    both = [(at, gram, lead) for at, (gram, lead) in enumerate(asked.shape) if gram in leads]
    swapped = sum(1 for _, gram, lead in both if lead not in leads[gram])
    return Alike(
        row=row,
        score=score_of(asked, other),
        shared_counts=_covered([at for at, _, _ in both], len(asked.shape)),
        counts=len(asked.shape),
        is_mirrored=2 * swapped > len(both) > 0,
        figures=tuple(figure for figure in asked.figures if figure in other.figures),
    )


def _covered(starts: list[int], counts: int) -> int:
    """Return how many counts lie in the stretches that begin at ``starts``; the wall goes round."""
    return len({(at + more) % counts for at in starts for more in range(STRETCH_COUNTS)}) if counts else 0
