"""Values of the random-dance writer: steps, figure forms, dances. Independent of the package under test.

Counts are fractions measured from the start of a section, turns are eighths with clockwise positive.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cache, cached_property

OTHER = {"R": "L", "L": "R", "": ""}

#: Actions that carry no weight; everything else moves the weight onto the foot that is named.
#: Source: the weight list of the worked cases' README (touch, heel, kick, hitch, scuff, hold, clap, drag).
WEIGHTLESS = frozenset(
    [
        "touch",
        "touchf",
        "touchb",
        "point",
        "heel",
        "heelx",
        "kick",
        "kickd",
        "hitch",
        "hook",
        "flick",
        "scuff",
        "brush",
        "stompup",
        "hold",
        "clap",
        "drag",
        "toef",
        "toeb",
        "toex",
        "toes",
        "heelf",
        "splits",
        "splitsin",
        "fan",
        "fanin",
        "swivelh",
        "swivelt",
        "swivelc",
        "bounce",
        "bump",
        "bumpaway",
        "toein",
        "heelin",
        "spiral",
        "sweep",
        "pressup",
    ]
)
#: Figures danced on two feet need the feet side by side; these last actions leave them so.
SIDE_BY_SIDE = frozenset(["beside", "touch", "stomp", "stompup", "in", "place"])


@dataclass(frozen=True, slots=True)
class Step:
    """One action: when, which foot, what, and how much turn is made on it."""

    at: Fraction
    foot: str
    act: str
    turn: int = 0
    span: int = 1

    @property
    def weight(self) -> bool:
        """Whether the action moves the weight onto `foot`."""
        return self.act not in WEIGHTLESS

    def mirrored(self) -> Step:
        """The same action on the other foot, turning the other way."""
        return replace(self, foot=OTHER[self.foot], turn=-self.turn)


@dataclass(frozen=True, eq=False)
class Form:
    """A figure written for a right-foot lead, with its names in both languages."""

    key: str
    counts: int
    level: int
    steps: tuple[Step, ...]
    english: tuple[str, ...]
    heading: tuple[str, ...]
    french: tuple[str, ...]
    together: bool = False
    rarity: float = 1.0
    rhythm: str = ""

    @cached_property
    def turn(self) -> int:
        """Plain sum of the turns, right-foot lead, in eighths."""
        return sum(step.turn for step in self.steps)

    @cached_property
    def pickup(self) -> bool:
        """Whether the figure begins on the "&" before its first count."""
        return self.steps[0].at < 0

    @cached_property
    def syncopated(self) -> bool:
        """Whether any action falls between whole counts."""
        return any(step.at.denominator > 1 for step in self.steps)


@cache
def _placed(form: Form, lead: str, start: int) -> tuple[Step, ...]:
    made = form.steps if lead == "R" else tuple(step.mirrored() for step in form.steps)
    return tuple(replace(step, at=step.at + start) for step in made)


@dataclass(frozen=True, slots=True)
class Use:
    """A figure placed in a section: which foot leads and where it starts."""

    form: Form
    lead: str
    start: int

    @property
    def steps(self) -> tuple[Step, ...]:
        """Actions with counts from the start of the section."""
        return _placed(self.form, self.lead, self.start)


@dataclass(frozen=True, slots=True)
class Section:
    """Eight counts in 4/4; six or twelve in 3/4."""

    counts: int
    uses: tuple[Use, ...]

    @property
    def steps(self) -> tuple[Step, ...]:
        """All actions in order of time."""
        return tuple(step for use in self.uses for step in use.steps)


@dataclass(frozen=True, slots=True)
class Part:
    """The whole dance, or a lettered part of a phrased dance, or a tag."""

    label: str
    sections: tuple[Section, ...]

    @property
    def counts(self) -> int:
        """Number of counts."""
        return sum(section.counts for section in self.sections)


@dataclass(frozen=True, slots=True)
class TagPlace:
    """A tag danced after a wall."""

    wall: int
    after_count: int


@dataclass(frozen=True, slots=True)
class Restart:
    """A wall cut after `after_count` counts."""

    wall: int
    after_count: int
    #: The foot of the touch before the cut that becomes a step, or "" where nothing changes.
    changed_foot: str = ""


@dataclass(frozen=True, slots=True)
class Ending:
    """The last wall: stop after `after_count`, then `turn` more eighths to the front."""

    wall: int
    after_count: int
    turn: int


@dataclass(frozen=True, slots=True)
class Dance:
    """A random dance, true by construction."""

    title: str
    meter: str
    rhythm: str
    level: int
    parts: tuple[Part, ...]
    start_foot: str
    tag: Part | None = None
    tag_places: tuple[TagPlace, ...] = ()
    restarts: tuple[Restart, ...] = ()
    ending: Ending | None = None
    sequence: tuple[str, ...] = ()
    intro_counts: int | None = None
    bpm: int | None = None
    notes: tuple[str, ...] = field(default_factory=tuple)

    @property
    def phrased(self) -> bool:
        """Whether the dance has lettered parts."""
        return bool(self.sequence)

    @property
    def counts(self) -> int:
        """Counts of all parts, each once, tags left out."""
        return sum(part.counts for part in self.parts)


_OFFSETS = {"&": Fraction(1, 2), "e": Fraction(1, 4), "a": Fraction(3, 4)}


def read_beats(beats: str) -> tuple[list[Fraction], int]:
    """Turn "1 & 2" into places from 0 and the number of counts; a leading "&" lies before 0."""
    places: list[Fraction] = []
    number = 0
    for token in beats.split():
        if token in _OFFSETS:
            places.append(number - 1 + _OFFSETS[token])
        else:
            number = int(token)
            places.append(Fraction(number - 1))
    return places, number


def read_steps(beats: str, steps: str, counts: int = 0) -> tuple[tuple[Step, ...], int]:
    """Read "R.side L.behind R.fwd+2 L.drag*2" against "1 2 3 4"."""
    places, last = read_beats(beats)
    made = []
    words = steps.split()
    if len(places) != len(words):
        raise ValueError(f"{beats!r} has {len(places)} beats but {steps!r} has {len(words)} steps")
    for place, word in zip(places, words, strict=True):
        foot, act = word.split(".")
        span = 1
        if "*" in act:
            act, _, length = act.partition("*")
            span = int(length)
        turn = 0
        for sign in "+-":
            if sign in act:
                act, _, amount = act.partition(sign)
                turn = int(sign + amount)
        made.append(Step(place, foot.replace("B", ""), act, turn, span))
    return tuple(made), max(counts, last, *(int(step.at) + step.span for step in made))


def form(
    key: str,
    level: int,
    beats: str,
    steps: str,
    english: str = "",
    heading: str = "",
    french: str = "",
    *,
    together: bool = False,
    rarity: float = 1.0,
    rhythm: str = "",
) -> Form:
    """Build a figure form from its compact spelling; names are separated by "|"."""
    made, counts = read_steps(beats, steps)

    def split(names: str) -> tuple[str, ...]:
        return tuple(name.strip() for name in names.split("|") if name.strip())

    return Form(
        key, counts, level, made, split(english), split(heading), split(french), together, rarity, rhythm
    )
