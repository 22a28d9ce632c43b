"""What a shelf gives back: frozen values. Moments are ISO 8601 in UTC, days too; no id comes again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Generic, Literal, TypeVar

Kind = Literal["dance", "song", "run", "lesson", "class", "taught"]
"""What can lie on a shelf, be removed and be put back."""

Order = Literal["best", "title", "added", "changed", "level", "tempo", "counts", "taught"]
"""``added``, ``changed`` and ``taught`` begin with the latest; ``best`` with titles that hold the words."""

LEVELS = (
    *("absolute-beginner", "easy-beginner", "beginner", "high-beginner", "beginner-improver", "improver"),
    *("improver-intermediate", "easy-intermediate", "intermediate", "intermediate-advanced", "advanced"),
)
"""Canonical ids of levels from easy to hard (those of words/en/writing.toml); a level not here sorts last."""

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Facts:
    """What other stages computed of a dance: what it is found by. All is derived, the text alone is true.

    Attributes:
        title: the dance's title; "" if the sheet has none.
        language: "en" or "fr".
        level: canonical id of the stated level, "" if none is stated.
        counts: counts of one wall (of all parts, for a phrased dance); None if there are no steps.
        walls: number of walls; None for a phrased dance or where it is unknown.
        bpm: stated tempo in beats a minute, None if none is stated.
        meter: "4/4" or "3/4".
        choreographer: as the sheet says.
        figures: ids of the figures it uses, each once.
        names: names of these figures in every language, only to be searched.
        shape: the steps, one (gram, lead) for every four counts that begin on a count: equal grams are
            equal steps, whichever foot they begin with; lead is that foot ("L" or "R").
        wrong, doubtful, unread: how many findings of each severity, and pieces of text not understood.
        edition: the version of noonwall that computed this.
    """

    title: str = ""
    language: str = "en"
    level: str = ""
    counts: float | None = None
    walls: int | None = None
    bpm: float | None = None
    meter: str = "4/4"
    choreographer: str = ""
    figures: tuple[str, ...] = ()
    names: tuple[str, ...] = ()
    shape: tuple[tuple[int, str], ...] = ()
    wrong: int = 0
    doubtful: int = 0
    unread: int = 0
    edition: str = ""


@dataclass(frozen=True, slots=True)
class DanceRow:
    """A dance as lists show it, by the facts of its current version.

    ``times_taught`` counts lessons of all classes, ``last_taught`` is the day of the latest ("" if never).
    """

    id: int
    title: str
    language: str
    level: str
    counts: float | None
    walls: int | None
    bpm: float | None
    meter: str
    choreographer: str
    figures: tuple[str, ...]
    wrong: int
    doubtful: int
    unread: int
    version: int
    added_at: str
    changed_at: str
    times_taught: int = 0
    last_taught: str = ""


@dataclass(frozen=True, slots=True)
class Dance:
    """A dance with the text of its current version; ``removed_at`` is "" unless it was removed."""

    row: DanceRow
    text: str
    facts: Facts
    uid: str
    removed_at: str = ""

    @property
    def id(self) -> int:
        """The dance's number on this shelf."""
        return self.row.id

    @property
    def version(self) -> int:
        """The number of the current version."""
        return self.row.version


@dataclass(frozen=True, slots=True)
class Version:
    """One kept version of a dance's text.

    ``based_on`` is the version it was made from, 0 for the first. ``is_aside`` marks one that was saved while
    somebody else had saved before: it is kept and not current.
    """

    dance_id: int
    number: int
    saved_at: str
    based_on: int
    is_aside: bool
    text: str
    facts: Facts


@dataclass(frozen=True, slots=True)
class Saved:
    """The save was kept and is current; ``is_new`` is false if the text was the current one already."""

    dance_id: int
    version: int
    is_new: bool = True


@dataclass(frozen=True, slots=True)
class Conflict:
    """Somebody saved another version meanwhile: both are kept, and theirs is current.

    ``kept`` is the number of the version just saved; ``current`` the one that stands; ``base`` the one both
    were made from (0 if unknown). To settle it, show both, and save the answer with ``based_on=current``.
    """

    dance_id: int
    kept: int
    current: int
    base: int


@dataclass(frozen=True, slots=True)
class Filters:
    """What a search is narrowed to; every field that is empty or None narrows nothing.

    Attributes:
        levels, languages, meters, walls: any of these.
        counts_from, counts_to, bpm_from, bpm_to: ends included; a dance that states no tempo is left out.
        figures: uses all of these figures.
        without_figures: uses none of these.
        taught: True for dances taught to a class, False for those that were not.
        class_id: the class that ``taught`` asks about; any class by default.
        clean: True for dances without a finding that is wrong and without unread text, False for the others.
        stale_for: only dances whose facts were computed by another edition than this.
    """

    levels: tuple[str, ...] = ()
    languages: tuple[str, ...] = ()
    meters: tuple[str, ...] = ()
    walls: tuple[int, ...] = ()
    counts_from: float | None = None
    counts_to: float | None = None
    bpm_from: float | None = None
    bpm_to: float | None = None
    figures: tuple[str, ...] = ()
    without_figures: tuple[str, ...] = ()
    taught: bool | None = None
    class_id: int | None = None
    clean: bool | None = None
    stale_for: str = ""


@dataclass(frozen=True, slots=True)
class Found(Generic[T]):
    """One page of a search: its rows, and how many there are on all pages."""

    rows: tuple[T, ...]
    total: int
    page: int = 1
    per_page: int = 50

    @property
    def pages(self) -> int:
        """How many pages there are; at least 1."""
        return max(1, -(-self.total // self.per_page))


@dataclass(frozen=True, slots=True)
class Alike:
    """A dance like another one.

    Attributes:
        row: the other dance.
        score: share of both dances' steps that they have in common, 0 to 1.
        shared_counts: counts of the dance asked about that are also danced in this one.
        counts: counts of the dance asked about that were compared.
        is_mirrored: most of the shared steps begin with the other foot.
        figures: figures that both use.
    """

    row: DanceRow
    score: float
    shared_counts: int
    counts: int
    is_mirrored: bool
    figures: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Song:
    """A song by its content; the sound itself stays where it is.

    ``places`` are paths where it was seen, latest first. ``map`` is the music map as heard, without
    corrections; ``corrections`` are the teacher's, in the form of the map's own list, kept through every new
    hearing. ``edition`` is the version that heard it.
    """

    id: int
    uid: str
    sha256: str
    bytes: int
    title: str
    artist: str
    bpm: float | None
    map: Mapping[str, Any] | None
    corrections: tuple[Mapping[str, Any], ...]
    edition: str
    places: tuple[str, ...]
    added_at: str
    changed_at: str
    removed_at: str = ""


@dataclass(frozen=True, slots=True)
class RunKept:
    """A dance laid on a song: ``run`` is the run's own JSON."""

    id: int
    uid: str
    dance_id: int
    version: int
    song_id: int
    run: Mapping[str, Any]
    added_at: str
    removed_at: str = ""


@dataclass(frozen=True, slots=True)
class Lesson:
    """A lesson plan as plain data, for a dance, perhaps on a run and for a class."""

    id: int
    uid: str
    dance_id: int
    version: int
    run_id: int | None
    class_id: int | None
    title: str
    plan: Mapping[str, Any]
    added_at: str
    changed_at: str
    removed_at: str = ""


@dataclass(frozen=True, slots=True)
class Taught:
    """A dance taught to a class on a day."""

    id: int
    uid: str
    class_id: int
    dance_id: int
    version: int
    day: str
    title: str
    figures: tuple[str, ...]
    notes: str = ""


@dataclass(frozen=True, slots=True)
class ClassKept:
    """A class: its name, how many come (None if unknown), what it knows, what it was taught, oldest first.

    ``knows`` is plain data in the form of a class file (docs/schema/class.schema.json); the shelf does not
    look inside.
    """

    id: int
    uid: str
    name: str
    members: int | None
    notes: str
    knows: Mapping[str, Any]
    taught: tuple[Taught, ...]
    added_at: str
    changed_at: str
    removed_at: str = ""


@dataclass(frozen=True, slots=True)
class Removed:
    """Something that was removed and can be put back."""

    kind: Kind
    id: int
    title: str
    removed_at: str


@dataclass(frozen=True, slots=True)
class Incoming:
    """One sheet on its way to the shelf: its text and facts, or in ``trouble`` why it has none."""

    name: str
    text: str = ""
    facts: Mapping[str, Any] = field(default_factory=dict)
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class TakenIn:
    """What became of one sheet: the dance it now is, or in ``trouble`` why it is none.

    ``is_known`` marks a text that was on the shelf already and was not taken twice.
    """

    name: str
    dance_id: int = 0
    is_known: bool = False
    trouble: str = ""
