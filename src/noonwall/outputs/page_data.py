"""What the page of a proved dance shows: plain values, every sentence already in words."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from noonwall.dance.model import Foot
from noonwall.findings import Severity
from noonwall.floor.track import Stance


@dataclass(frozen=True, slots=True)
class Fact:
    """One fact about the dance, worded: "Walls", "4"; ``note`` is a small remark under it."""

    label: str
    value: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class PageFinding:
    """A remark beside a line of the sheet.

    ``line`` counts from 1, 0 is the whole sheet; ``column`` from 1, ``end`` is the column after the last
    character (0: the whole line). ``mend`` is the new text. ``step`` is an index into the first film's steps.
    """

    severity: Severity
    message: str
    mend: str = ""
    line: int = 0
    column: int = 1
    end: int = 0
    step: int | None = None


@dataclass(frozen=True, slots=True)
class NotUnderstood:
    """A stretch of text that was not read; ``hint`` is the nearest known figures, worded."""

    line: int
    column: int
    end: int
    hint: str = ""


@dataclass(frozen=True, slots=True)
class PageStep:
    """One action.

    Attributes:
        count: counts from the start of the film.
        label: what a caller says: "1", "&", "2".
        foot: L, R, B, or None for a hold, a clap or a turn on the standing foot.
        move: id of the move.
        words: the action in words.
        turn: eighths turned, right positive.
        facing: unwound facing after it, eighths.
        weight: L, R or B after it.
        figure: name of the figure it belongs to, "" if none.
        line: line of the sheet, 0 if unknown.
        problem: "" or the floor's id of what cannot be danced.
    """

    count: Fraction
    label: str
    foot: Foot | None
    move: str
    words: str
    turn: int
    facing: int
    weight: Foot
    figure: str = ""
    line: int = 0
    problem: str = ""


@dataclass(frozen=True, slots=True)
class Frame:
    """The stance from ``count`` on, in counts from the start of the film; -1 is before count 1."""

    count: Fraction
    stance: Stance


@dataclass(frozen=True, slots=True)
class PageSection:
    """A stretch of a film: a section of one wall, or a wall or tag of a whole run.

    ``start`` and ``counts`` are in counts; its steps are ``film.steps[first : first + steps]``, and
    ``film.frames[first]`` is the stance before it. ``note`` is a remark such as "restart after count 16".
    """

    label: str
    start: Fraction
    counts: Fraction
    first: int
    steps: int
    note: str = ""


@dataclass(frozen=True, slots=True)
class Film:
    """Something that can be played: one wall, one part, or the whole run.

    ``frames[0]`` is the stance before the first step and ``frames[i + 1]`` the stance after ``steps[i]``.
    """

    label: str
    counts: Fraction
    sections: tuple[PageSection, ...]
    steps: tuple[PageStep, ...]
    frames: tuple[Frame, ...]


@dataclass(frozen=True, slots=True)
class PageData:
    """Everything the page shows.

    ``lines`` are the lines of the sheet as they reached the reader, ``sheet_language`` its BCP 47 tag.
    ``bpm`` is counts per minute, None if the sheet gives none. The first of ``films`` opens.
    """

    title: str
    facts: tuple[Fact, ...]
    lines: tuple[str, ...]
    films: tuple[Film, ...]
    findings: tuple[PageFinding, ...] = ()
    not_understood: tuple[NotUnderstood, ...] = ()
    bpm: float | None = None
    beats_per_bar: int = 4
    sheet_language: str = "en"
    subtitle: str = ""
