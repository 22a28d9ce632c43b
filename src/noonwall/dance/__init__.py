"""The model of a dance: frozen values that know nothing of text, files or clocks."""

from noonwall.dance.model import (
    Dance,
    Ending,
    Figure,
    Foot,
    Option,
    Part,
    Restart,
    Section,
    Step,
    Tag,
    Weight,
)
from noonwall.dance.turns import clock, normal, walls_of

__all__ = [
    "Dance",
    "Ending",
    "Figure",
    "Foot",
    "Option",
    "Part",
    "Restart",
    "Section",
    "Step",
    "Tag",
    "Weight",
    "clock",
    "normal",
    "walls_of",
]
