"""What a lesson asks of those who can word steps: :mod:`noonwall.text` may not be imported here."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from noonwall.dance.model import Foot, Part, Step
from noonwall.teach.telling import Words
from noonwall.teach.values import Line


class Spelling(Protocol):
    """Words for steps and header facts, one text for each language of :attr:`languages`."""

    @property
    def languages(self) -> tuple[str, ...]:
        """BCP 47 tags, the first that of the document."""

    def lines(self, part: Part, at: int, end: int) -> tuple[Line, ...]:
        """Return the counted lines of a part from count ``at`` up to ``end``."""

    def figures(self, part: Part, at: int, end: int) -> Words:
        """Return the names of the figures between two counts."""

    def steps(self, steps: Sequence[Step], counts: int, free: Foot, first: int) -> tuple[Line, ...]:
        """Return the counted lines of loose steps; they are counted from 0, the labels from ``first`` + 1."""

    def level(self) -> Words:
        """Return the level of the dance, "" where the sheet names none."""

    def changes(self) -> tuple[Words, ...]:
        """Return where the dance is cut or has a tag, and its order of parts if it is phrased."""
