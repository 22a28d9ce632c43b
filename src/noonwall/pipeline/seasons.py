"""Classes over a season, from the plain data that a shelf keeps: no stage knows the shelf."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any, Protocol

from noonwall.figures import vocabulary
from noonwall.season import (
    Candidate,
    ClassHistory,
    DanceDue,
    Evening,
    Item,
    Suggestion,
    TaughtOn,
    evening,
    knowledge,
    memories,
    reviews_due,
    what_next,
)
from noonwall.teach.knowing import ClassKnows, class_from

TOLD_ON = "told_on"
"""Key of what a class knows under which the day is kept on which its teacher said so."""


class LessonGiven(Protocol):
    """What a shelf says of a dance taught: a day as ISO 8601, the dance and its figures."""

    @property
    def day(self) -> str:
        """When."""

    @property
    def dance_id(self) -> int:
        """Which dance."""

    @property
    def title(self) -> str:
        """Its title."""

    @property
    def figures(self) -> tuple[str, ...]:
        """Ids of its figures."""


class ShelfDance(Protocol):
    """What a shelf says of a dance."""

    @property
    def id(self) -> int:
        """Its number."""

    @property
    def title(self) -> str:
        """Its title."""

    @property
    def figures(self) -> tuple[str, ...]:
        """Ids of its figures."""

    @property
    def counts(self) -> float | None:
        """Its counts."""

    @property
    def level(self) -> str:
        """Its level."""


def history_of(name: str, knows: Mapping[str, Any], taught: Iterable[LessonGiven]) -> ClassHistory:
    """Return the history of a class that a shelf keeps.

    Args:
        name: of the class.
        knows: what its teacher says it knows, as the values of a class file, and perhaps ``told_on``.
        taught: what it was taught.

    Raises:
        BrokenFile: what it knows is not written as in a class file.
    """
    told = {key: value for key, value in knows.items() if key != TOLD_ON}
    day = knows.get(TOLD_ON)
    lessons = (TaughtOn(date.fromisoformat(one.day), one.dance_id, one.title, one.figures) for one in taught)
    told_on = date.fromisoformat(day) if isinstance(day, str) else None
    return ClassHistory(class_from({**told, "name": name}), told_on, tuple(lessons))


def knowing(knows: Mapping[str, Any], figure: str, share: float, day: date) -> dict[str, Any]:
    """Return what a class knows after its teacher said how well it knows a figure, 0 .. 1, on a day.

    Raises:
        BrokenFile: there is no such figure, or the share is not from 0 to 1.
    """
    figures = {**knows.get("figures", {}), figure: share}
    class_from({"name": "", "figures": figures})
    return {**knows, "figures": figures, TOLD_ON: day.isoformat()}


def candidates_of(dances: Iterable[ShelfDance]) -> tuple[Candidate, ...]:
    """Return the dances of a shelf as what could be taught next."""
    known = vocabulary().figures
    return tuple(
        Candidate(one.id, one.title, tuple(f for f in one.figures if f in known), one.counts, one.level)
        for one in dances
    )


__all__ = [
    "Candidate",
    "ClassHistory",
    "ClassKnows",
    "DanceDue",
    "Evening",
    "Item",
    "Suggestion",
    "candidates_of",
    "evening",
    "history_of",
    "knowing",
    "knowledge",
    "memories",
    "reviews_due",
    "what_next",
]
