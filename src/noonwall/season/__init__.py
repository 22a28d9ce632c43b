"""A class over a season: what it knows today, what is due for review, what to teach next, an evening."""

from noonwall.season.evening import Evening, Item, evening
from noonwall.season.history import ClassHistory, TaughtOn
from noonwall.season.memory import Memory, knowledge, memories
from noonwall.season.next_dances import Candidate, Suggestion, what_next
from noonwall.season.reviews import DanceDue, reviews_due

__all__ = [
    "Candidate",
    "ClassHistory",
    "DanceDue",
    "Evening",
    "Item",
    "Memory",
    "Suggestion",
    "TaughtOn",
    "evening",
    "knowledge",
    "memories",
    "reviews_due",
    "what_next",
]
