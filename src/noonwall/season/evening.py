"""The programme of an evening: warm up on what is known, review what fades, teach one new dance, dance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

from noonwall.season.history import ClassHistory
from noonwall.season.memory import knowledge
from noonwall.season.next_dances import Candidate, Suggestion, what_next
from noonwall.season.reviews import DanceDue, reviews_due

ItemKind = Literal["warm-up", "review", "new", "dance", "close"]

SHARES: dict[ItemKind, float] = {"warm-up": 1 / 8, "review": 1 / 6, "new": 1 / 3, "close": 1 / 12}
"""Shares of the evening; the rest is for dancing what is known. After a published class plan of 60 minutes
(5 to warm up, 5 review, 20 new, 25 with music, 5 to close), with a warm-up of 6 to 10 minutes (IDEA Health
& Fitness, sample dance class) and a longer review (our own)."""
MINUTES_A_DANCE = 5
"""One dance to its song, with the words around it (own)."""
LEAST_MINUTES = 15


@dataclass(frozen=True, slots=True)
class Item:
    """One entry of a programme: what it is, the dance (0 if none is at hand), its minutes."""

    kind: ItemKind
    minutes: int
    dance_id: int = 0
    title: str = ""
    figures: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Evening:
    """A programme: its items fill the minutes exactly; ``left_out`` are reviews that found no time."""

    day: date
    minutes: int
    items: tuple[Item, ...]
    left_out: tuple[DanceDue, ...] = ()
    suggestions: tuple[Suggestion, ...] = field(default=())


def evening(history: ClassHistory, candidates: Sequence[Candidate], day: date, minutes: int) -> Evening:
    """Return a programme for an evening.

    Args:
        history: the class.
        candidates: the dances of the shelf.
        day: of the evening.
        minutes: at hand; fewer than 15 are danced, without a new dance.

    Raises:
        ValueError: there is not even a minute.
    """
    if minutes < 1:
        raise ValueError("An evening has at least one minute.")
    due = reviews_due(history, day)
    taught = {lesson.dance_id: lesson.title for lesson in history.until(day)}
    fading = {one.dance_id for one in due}
    # what was danced longest ago comes first, so that nothing is danced every week
    known = [(number, title) for number, title in taught.items() if number not in fading]
    suggestions = what_next(knowledge(history, day), candidates)
    items: list[Item] = []
    left = minutes

    def put(kind: ItemKind, share: int, number: int = 0, title: str = "", *figures: str) -> None:
        nonlocal left
        share = min(share, left)
        if share > 0:
            left -= share
            items.append(Item(kind, share, number, title, figures))

    if minutes >= LEAST_MINUTES:
        put("warm-up", round(minutes * SHARES["warm-up"]), *(known.pop(0) if known else ()))
    each = max(round(minutes * SHARES["review"]) // MINUTES_A_DANCE, 1)
    for one in due[:each]:
        put("review", MINUTES_A_DANCE, one.dance_id, one.title, *one.fading)
    if minutes >= LEAST_MINUTES:
        best = suggestions[0] if suggestions else None
        told = (best.dance_id, best.title, *best.new) if best else ()
        put("new", round(minutes * SHARES["new"]), *told)  # type: ignore[arg-type]
    closing = round(minutes * SHARES["close"]) if minutes >= LEAST_MINUTES else 0
    later = [*known, *((one.dance_id, one.title) for one in due[each:])]
    while left - closing >= MINUTES_A_DANCE and later:
        put("dance", MINUTES_A_DANCE, *later.pop(0))
    put("dance", left - closing)  # by request: nothing more is known of what they could dance
    put("close", left)
    danced = {item.dance_id for item in items}
    left_out = tuple(one for one in due if one.dance_id not in danced)
    return Evening(day, minutes, tuple(items), left_out, suggestions)
