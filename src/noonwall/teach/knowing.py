"""What a class knows: figures from 0 (never met) to 1 (danced without thinking), and dances."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

from noonwall.errors import BrokenFile
from noonwall.figures import vocabulary

KNOWN = 0.5
"""From here on a figure is called by its name and needs no steps said first (our own, no source)."""

TAUGHT = 0.6
"""How well a class knows a figure of a dance it was taught: enough to be called by name (own, no source)."""


@dataclass(frozen=True, slots=True)
class ClassKnows:
    """What one class knows.

    Attributes:
        name: as the teacher calls it, "" for nobody in particular.
        figures: id of the figure to how well it is known, 0 .. 1; what is not there is 0.
        dances: titles of dances the class has learned.
    """

    name: str = ""
    figures: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    dances: tuple[str, ...] = ()

    def of(self, figure: str) -> float:
        """Return how well a figure is known, 0 .. 1."""
        return float(self.figures.get(figure, 0.0))

    def with_taught(self, taught: Iterable[tuple[str, Iterable[str]]]) -> ClassKnows:
        """Return the class with dances it was taught: (title, ids of the figures) of each.

        A figure that was danced in one of them is known at least :data:`TAUGHT`.
        """
        figures, dances = dict(self.figures), list(self.dances)
        for title, used in taught:
            dances.append(title)
            for figure in used:
                figures[figure] = max(TAUGHT, figures.get(figure, 0.0))
        return ClassKnows(self.name, MappingProxyType(figures), tuple(dict.fromkeys(dances)))

    def plain(self) -> dict[str, Any]:
        """Return it as the values of its file (docs/schema/class.schema.json)."""
        return {"name": self.name, "figures": dict(sorted(self.figures.items())), "dances": list(self.dances)}


def class_from(plain: Any) -> ClassKnows:
    """Return what a class knows from the values of its file.

    Raises:
        BrokenFile: the values are not those of docs/schema/class.schema.json, or a figure has no such id.
    """
    if not isinstance(plain, dict) or not isinstance(plain.get("name"), str):
        raise BrokenFile(
            'A class is an object with a "name"; see docs/schema/class.schema.json.', code="class.object"
        )
    figures, dances = plain.get("figures", {}), plain.get("dances", [])
    if not isinstance(figures, dict) or not isinstance(dances, list):
        raise BrokenFile(
            'In a class "figures" is an object of id to 0 .. 1, and "dances" is a list of titles.',
            code="class.lists",
        )
    for name, share in figures.items():
        if name not in vocabulary().figures:
            raise BrokenFile(
                f'"{name}" is no figure; `noonwall figures` lists their ids.',
                code="class.figure",
                facts={"name": name},
            )
        if isinstance(share, bool) or not isinstance(share, int | float) or not 0 <= share <= 1:
            raise BrokenFile(
                f'"{name}" is known {share!r}; write a number from 0 to 1.',
                code="class.share",
                facts={"name": name, "share": repr(share)},
            )
    if not all(isinstance(title, str) for title in dances):
        raise BrokenFile('In a class "dances" holds titles, each in quotes.', code="class.lists")
    shares = MappingProxyType({name: float(share) for name, share in figures.items()})
    return ClassKnows(plain["name"], shares, tuple(dances))
