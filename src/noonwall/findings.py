"""One record for every remark to a user.

A finding carries a code and the facts; the sentence in English or French is made from them in one
place (``noonwall.words``), so both languages say the same thing.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction


class Severity(StrEnum):
    """How sure noonwall is that something must change."""

    WRONG = "wrong"
    DOUBTFUL = "doubtful"
    ADVICE = "advice"

    @property
    def rank(self) -> int:
        """0 for the most severe, so that findings sort worst first."""
        return ("wrong", "doubtful", "advice").index(self.value)


@dataclass(frozen=True, slots=True)
class Place:
    """Where in a text: line and column from 1; ``end`` is the column after the last character."""

    line: int
    column: int = 1
    end: int = 0


@dataclass(frozen=True, slots=True)
class Finding:
    """What the text says against what the floor shows.

    ``code`` names the check and the remark (``weight.same-foot``); ``facts`` fill the sentence of that
    code in any language; ``says`` quotes the text; ``mend`` is the smallest edit, as the new text.
    """

    code: str
    severity: Severity
    place: Place | None = None
    count: Fraction | None = None
    facts: dict[str, object] = field(default_factory=dict)
    says: str = ""
    mend: str = ""
