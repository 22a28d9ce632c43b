"""The vocabulary of line dance as data, checked on load."""

from noonwall.figures.vocabulary import (
    FigureDef,
    Form,
    FormStep,
    Move,
    Vocabulary,
    ticks_of,
    vocabulary,
    vocabulary_moves,
)

__all__ = [
    "FigureDef",
    "Form",
    "FormStep",
    "Move",
    "Vocabulary",
    "ticks_of",
    "vocabulary",
    "vocabulary_moves",
]
