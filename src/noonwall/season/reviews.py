"""Which dances are due: those a class is about to lose."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from noonwall.season.history import ClassHistory
from noonwall.season.memory import FIRST_HALF_LIFE_DAYS, Memory, memories
from noonwall.teach.knowing import KNOWN

UNTIL_NEXT_DAYS = 7
"""A class meets once a week (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class DanceDue:
    """A dance to be danced again.

    Attributes:
        dance_id: its number on the shelf.
        title: its title.
        last: when it was last taught.
        days: days since then.
        kept: how well the weakest of its figures is known today, 0 .. 1; a dance without named figures fades
            as one figure taught each time it was.
        fading: ids of the figures that are not known well enough today, or will not be at the next lesson.
    """

    dance_id: int
    title: str
    last: date
    days: int
    kept: float
    fading: tuple[str, ...]


def reviews_due(
    history: ClassHistory, day: date, until_next_days: int = UNTIL_NEXT_DAYS
) -> tuple[DanceDue, ...]:
    """Return the dances that will fall below what counts as known before the next lesson, weakest first.

    Args:
        history: the class.
        day: today.
        until_next_days: days until the class meets again.
    """
    known = memories(history, day)
    following = day + timedelta(days=until_next_days)
    lessons = history.until(day)
    due: list[DanceDue] = []
    for dance_id in dict.fromkeys(one.dance_id for one in lessons):
        own = [one for one in lessons if one.dance_id == dance_id]
        held = [known[figure] for figure in own[-1].figures]
        if not held:
            alone = Memory("", 0.0, FIRST_HALF_LIFE_DAYS, None)
            for lesson in own:
                alone = alone.taught(lesson.day)
            held = [alone]
        fading = [memory for memory in held if memory.on(following) < KNOWN]
        if fading:
            last = own[-1].day
            kept = min(memory.on(day) for memory in held)
            names = tuple(memory.figure for memory in fading if memory.figure)
            due.append(DanceDue(dance_id, own[-1].title, last, (day - last).days, round(kept, 3), names))
    return tuple(sorted(due, key=lambda one: (one.kept, one.last, one.dance_id)))
