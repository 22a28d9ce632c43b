"""What to teach next: dances that share what a class knows and add a little."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from noonwall.figures import vocabulary
from noonwall.teach.knowing import KNOWN, ClassKnows

MOST_NEW = 3
"""New figures that a class can take in one dance: a published class plan allows three to four new ideas."""
USUAL_DIFFICULTY = 3
"""Difficulty of a figure that the vocabulary does not know, 1 to 10 (own)."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """A dance that could be taught."""

    dance_id: int
    title: str
    figures: tuple[str, ...]
    counts: float | None = None
    level: str = ""


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A dance to teach next, and why.

    Attributes:
        dance_id: its number on the shelf.
        title: its title.
        known: figures that the class knows.
        new: figures that it does not know yet, the easiest first.
        score: 0 .. 1; 1 is a dance with one new figure, all others known well.
    """

    dance_id: int
    title: str
    known: tuple[str, ...]
    new: tuple[str, ...]
    score: float


def what_next(
    knows: ClassKnows, candidates: Iterable[Candidate], most: int = 10, most_new: int = MOST_NEW
) -> tuple[Suggestion, ...]:
    """Return the dances to teach next, the best first.

    A dance that the class was taught is left out, and so is one with more new figures than it can take, or
    without named figures, of which nothing can be said. A dance with nothing new is good practice but teaches
    nothing: it comes after those that add one or two figures.

    Args:
        knows: what the class knows.
        candidates: the dances to choose from.
        most: how many to return.
        most_new: new figures that are too many if there are more.
    """
    found = []
    for one in candidates:
        if one.title in knows.dances or not one.figures:
            continue
        known = tuple(figure for figure in one.figures if knows.of(figure) >= KNOWN)
        new = sorted((figure for figure in one.figures if figure not in known), key=_difficulty)
        if len(new) <= most_new:
            found.append(Suggestion(one.dance_id, one.title, known, tuple(new), _score(knows, known, new)))
    found.sort(key=lambda one: (-one.score, one.title, one.dance_id))
    return tuple(found[:most])


def _score(knows: ClassKnows, known: tuple[str, ...], new: list[str]) -> float:
    """Return how well a dance suits, 0 to 1 (own scale): how well its known figures are known, less the new.

    The first new figure costs nothing, each further one a tenth, a hard one more; nothing new costs a third.
    """
    held = sum(knows.of(figure) for figure in known) / len(known) if known else 0.0
    hard = sum(max(_difficulty(figure) - USUAL_DIFFICULTY, 0) for figure in new) / 20
    cost = 0.1 * (len(new) - 1) if new else 1 / 3
    return round(max(0.0, min(1.0, held - cost - hard)), 3)


def _difficulty(figure: str) -> int:
    told = vocabulary().figures.get(figure)
    return told.difficulty if told else USUAL_DIFFICULTY
