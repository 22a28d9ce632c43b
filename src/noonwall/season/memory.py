"""How well a class knows each figure on a day: stronger with every lesson, fading in between.

The form is exponential forgetting with a half-life, strength · 2 ** (-days / half_life) (after Ebbinghaus,
Über das Gedächtnis, 1885; so written by Settles and Meeder, A Trainable Spaced Repetition Model for
Language Learning, ACL 2016; both cited from memory), and a half-life that grows with every spaced lesson.
No study of line-dance figures was found: every number below is our own scale, chosen so that a class that
meets weekly still knows a figure by name a week after the second lesson but not after the first, and takes
twelve weeks to lose half of what it was taught in three.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from types import MappingProxyType

from noonwall.season.history import ClassHistory
from noonwall.teach.knowing import TAUGHT, ClassKnows

FIRST_HALF_LIFE_DAYS = 21.0
"""Days after which half is left of what was taught once (own scale)."""
GROWTH = 2.0
"""What each lesson on another day multiplies the half-life by (own scale)."""
LONGEST_HALF_LIFE_DAYS = 730.0
"""A figure danced all the time is still not known forever (own scale)."""
FORGOTTEN = 0.05
"""Below this a figure counts as not known at all (own scale)."""


@dataclass(frozen=True, slots=True)
class Memory:
    """A figure as a class remembers it: ``strength`` was 0 .. 1 right after the ``last`` lesson with it."""

    figure: str
    strength: float
    half_life_days: float
    last: date | None
    lessons: int = 0

    def on(self, day: date) -> float:
        """Return how well it is known on a day, 0 .. 1; what has no date does not fade."""
        if self.last is None:
            return self.strength
        return float(self.strength * 2.0 ** (-max((day - self.last).days, 0) / self.half_life_days))

    def taught(self, day: date) -> Memory:
        """Return it after a lesson: part of what is missing is learned, and it lasts longer.

        A second lesson on the same day repeats the first and adds nothing.
        """
        if self.last == day and self.lessons:
            return self
        before = self.on(day)
        return replace(
            self,
            strength=before + (1.0 - before) * TAUGHT,
            half_life_days=min(
                self.half_life_days * (GROWTH if self.lessons else 1.0), LONGEST_HALF_LIFE_DAYS
            ),
            last=day,
            lessons=self.lessons + 1,
        )


def memories(history: ClassHistory, day: date) -> dict[str, Memory]:
    """Return what a class remembers of every figure it met until a day, by id."""
    found = {
        figure: Memory(figure, share, FIRST_HALF_LIFE_DAYS * GROWTH, history.told_on)
        for figure, share in history.knows.figures.items()
    }
    for lesson in history.until(day):
        for figure in dict.fromkeys(lesson.figures):
            before = found.get(figure, Memory(figure, 0.0, FIRST_HALF_LIFE_DAYS, None))
            found[figure] = before.taught(lesson.day)
    return found


def knowledge(history: ClassHistory, day: date) -> ClassKnows:
    """Return what a class knows on a day, as a lesson plan asks for it."""
    told = {figure: memory.on(day) for figure, memory in memories(history, day).items()}
    figures = {figure: round(share, 3) for figure, share in told.items() if share >= FORGOTTEN}
    titles: Iterable[str] = (*history.knows.dances, *(lesson.title for lesson in history.until(day)))
    return ClassKnows(history.knows.name, MappingProxyType(figures), tuple(dict.fromkeys(titles)))
