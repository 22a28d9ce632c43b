"""What a text says about a dance besides its steps: claims to be held against the floor."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from noonwall.findings import Place


@dataclass(frozen=True, slots=True)
class FacingClaim:
    """A facing the text states after ``at`` counts of ``part``; ``shown`` is what the steps give."""

    part: str
    at: Fraction
    stated: int
    shown: int
    place: Place
    agrees: bool


@dataclass(frozen=True, slots=True)
class StepTrouble:
    """A step that cannot be danced as written, or was mended to let the rest be danced."""

    code: str
    part: str
    at: Fraction
    place: Place
    text: str
    foot: str = ""
    said: int = 0
    meant: int = 0
    mend: str = ""


@dataclass(frozen=True, slots=True)
class CountTrouble:
    """Counts that do not add up: in a line, between lines, or in a section."""

    code: str
    part: str
    at: Fraction
    place: Place
    text: str
    stated: str = ""
    shown: str = ""
    mend: str = ""


@dataclass(frozen=True, slots=True)
class HeadingClaim:
    """What a heading says of its section: turns in eighths (signed, or unsigned in ``amounts``), figures."""

    part: str
    section: int
    place: Place
    text: str
    figures: tuple[str, ...] = ()
    turns: tuple[tuple[int, str], ...] = ()
    moves: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RestartClaim:
    """Every place where the text speaks of a restart, with the walls and count it names there."""

    walls: tuple[int, ...]
    after_count: Fraction | None
    facings: tuple[int, ...]
    place: Place
    text: str
    kind: str = "restart"


@dataclass(frozen=True, slots=True)
class Choice:
    """An open reading that the feet, the facings or the counts around it decided."""

    code: str
    place: Place
    text: str


@dataclass(frozen=True, slots=True)
class NotUnderstood:
    """Text that the reader does not know, with the nearest names it does know."""

    place: Place
    text: str
    nearest: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Claims:
    """All claims of one text."""

    facings: tuple[FacingClaim, ...] = ()
    steps: tuple[StepTrouble, ...] = ()
    counts: tuple[CountTrouble, ...] = ()
    headings: tuple[HeadingClaim, ...] = ()
    restarts: tuple[RestartClaim, ...] = ()
    choices: tuple[Choice, ...] = ()
    not_understood: tuple[NotUnderstood, ...] = ()
    spelling: tuple[tuple[Place, str, str], ...] = ()
    header_lines: dict[str, int] = field(default_factory=dict)
    open_turns: tuple[StepTrouble, ...] = ()
