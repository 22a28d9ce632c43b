"""Dance, Part, Section, Figure, Step: what a step sheet means, as frozen values.

Counts are exact fractions measured from the start of the part (count 1 is 0, "&" after it is 1/2).
Turns are integers in eighths of a full turn, right (clockwise) positive.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction

from noonwall.findings import Place


class Foot(StrEnum):
    """A foot that moves."""

    LEFT = "L"
    RIGHT = "R"
    BOTH = "B"

    @property
    def other(self) -> Foot:
        """The opposite foot; both feet stay both."""
        return _OTHER[self]


_OTHER = {Foot.LEFT: Foot.RIGHT, Foot.RIGHT: Foot.LEFT, Foot.BOTH: Foot.BOTH}

Weight = Foot
"""Which foot carries the weight: L, R or B (both)."""


@dataclass(frozen=True, slots=True)
class Step:
    """One action at one count.

    Attributes:
        at: counts from the start of the part, 0 for count 1.
        move: id of the move in ``figures/moves.toml`` (step, touch, kick, hold ...).
        foot: the foot that moves; None for a hold, a clap or a turn on the standing foot.
        takes_weight: True if this action transfers weight onto ``foot``.
        to: direction or place id: fwd, back, side, cross, behind, together, place, out, in,
            diag-fwd, diag-back, lock-behind, lock-front; "" when it does not matter.
        turn: eighths turned at this count, before the foot is placed; right positive.
        side: "L" or "R" where the action travels to the dancer's left or right against the foot's own
            side (a left foot stepping to the right); "" where ``to`` and ``foot`` say it.
    """

    at: Fraction
    move: str
    foot: Foot | None
    takes_weight: bool
    to: str = ""
    turn: int = 0
    side: str = ""


@dataclass(frozen=True, slots=True)
class Figure:
    """A named figure, or plain steps (id "steps"), danced at one place of a part.

    ``at`` and ``counts`` are in counts from the start of the part. ``lead`` is the first moving foot.
    ``place`` is where the text says it; it takes no part in equality.
    """

    id: str
    at: Fraction
    counts: Fraction
    steps: tuple[Step, ...]
    lead: Foot | None = None
    place: Place | None = field(default=None, compare=False)

    @property
    def turn(self) -> int:
        """Net turn of the figure in eighths."""
        return sum(step.turn for step in self.steps)


@dataclass(frozen=True, slots=True)
class Section:
    """A named stretch of a part, usually eight counts (six in a waltz)."""

    label: str
    at: Fraction
    counts: Fraction
    figures: tuple[Figure, ...]
    heading: str = field(default="", compare=False)
    place: Place | None = field(default=None, compare=False)

    @property
    def steps(self) -> tuple[Step, ...]:
        """All actions of the section in order."""
        return tuple(step for figure in self.figures for step in figure.steps)


@dataclass(frozen=True, slots=True)
class Part:
    """A stretch of choreography that is danced as a whole: the dance itself, part A, a tag, an ending.

    ``kind`` is "main", "part", "tag", "bridge" or "ending".
    """

    label: str
    kind: str
    counts: Fraction
    sections: tuple[Section, ...]
    place: Place | None = field(default=None, compare=False)

    @property
    def figures(self) -> tuple[Figure, ...]:
        """All figures of the part in order."""
        return tuple(figure for section in self.sections for figure in section.figures)

    @property
    def steps(self) -> tuple[Step, ...]:
        """All actions of the part in order."""
        return tuple(step for section in self.sections for step in section.steps)

    @property
    def turn(self) -> int:
        """Net turn of the part in eighths."""
        return sum(step.turn for step in self.steps)

    def steps_before(self, count: Fraction) -> tuple[Step, ...]:
        """The actions danced if the part is cut after ``count`` counts.

        An upbeat ("&1") sounds before its section begins but belongs to it: it is not danced if the cut
        falls between.
        """
        begun = (section for section in self.sections if section.at < count)
        return tuple(step for section in begun for step in section.steps if step.at < count)


@dataclass(frozen=True, slots=True)
class Restart:
    """Wall ``wall`` is cut after ``after_count`` counts and the sequence begins again.

    ``change`` replaces the last steps before the cut (a step change), if the sheet gives one.
    ``stated_facing`` is what the text says, in eighths, or None.
    """

    wall: int
    after_count: Fraction
    change: Part | None = None
    stated_facing: int | None = field(default=None, compare=False)
    place: Place | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Tag:
    """Part ``part`` (a label) is danced after ``after_count`` counts of wall ``after_wall``.

    ``times`` repeats it. ``then_restart`` marks a tag that cuts the wall; ``after_count`` equal to the
    wall's own counts is a tag between walls.
    """

    after_wall: int
    after_count: Fraction
    part: str
    times: int = 1
    then_restart: bool = False
    stated_facing: int | None = field(default=None, compare=False)
    place: Place | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Ending:
    """The finish: on wall ``wall`` after ``after_count`` counts, dance part ``part`` ("" is a pose)."""

    wall: int | None
    after_count: Fraction | None
    part: str = ""
    stated_facing: int | None = field(default=None, compare=False)
    place: Place | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Option:
    """An easier or other way to dance the counts from ``at``: replaces figures of ``part``."""

    part: str
    at: Fraction
    counts: Fraction
    figures: tuple[Figure, ...]
    text: str = ""
    place: Place | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Dance:
    """A whole dance.

    ``parts`` holds the danced parts; ``sequence`` the order of part labels in one wall (or, for a
    phrased dance, in the whole song). ``beats_per_bar`` is 3 for a waltz, else 4.
    Header facts are what the sheet says, None or "" where it does not say.
    """

    title: str
    parts: tuple[Part, ...]
    sequence: tuple[str, ...] = ()
    beats_per_bar: int = 4
    language: str = "en"
    choreographer: str = ""
    date: str = ""
    level: str = ""
    stated_counts: int | None = None
    stated_walls: int | None = None
    music: str = ""
    bpm: float | None = None
    intro_counts: int | None = None
    start_free_foot: Foot = Foot.RIGHT
    restarts: tuple[Restart, ...] = ()
    tags: tuple[Tag, ...] = ()
    ending: Ending | None = None
    options: tuple[Option, ...] = ()

    @property
    def is_phrased(self) -> bool:
        """True if the dance is written in several parts danced in a stated order."""
        return sum(part.kind == "part" for part in self.parts) > 1

    @property
    def main(self) -> Part:
        """The part that one wall dances; for a phrased dance its first part."""
        return next(part for part in self.parts if part.kind in ("main", "part"))

    def part(self, label: str) -> Part:
        """Return the part called ``label``.

        Raises:
            KeyError: no part has that label.
        """
        for part in self.parts:
            if part.label == label:
                return part
        raise KeyError(label)
