"""What is known of a class: what its teacher says it knows, and what it was taught when."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from noonwall.teach.knowing import ClassKnows


@dataclass(frozen=True, slots=True)
class TaughtOn:
    """A dance taught on a day: its number on the shelf, title, and the ids of its figures."""

    day: date
    dance_id: int
    title: str
    figures: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ClassHistory:
    """A class and its past.

    Attributes:
        knows: what the teacher says it knows, as it was on ``told_on``.
        told_on: when that was said; None if it does not fade.
        taught: what it was taught, in any order.
    """

    knows: ClassKnows = field(default_factory=ClassKnows)
    told_on: date | None = None
    taught: tuple[TaughtOn, ...] = ()

    def until(self, day: date) -> tuple[TaughtOn, ...]:
        """Return what was taught until a day, that day included, in order."""
        return tuple(sorted((one for one in self.taught if one.day <= day), key=lambda one: one.day))
