"""The lesson as frozen values: what every output and the studio read."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from noonwall.teach.difficulty import Work
from noonwall.teach.easier import Swap
from noonwall.teach.gentle import LowImpact
from noonwall.teach.telling import Told, Words

DrillKind = Literal[
    "opening", "warm-up", "review", "alone", "words", "counts", "join", "so-far", "changes", "options",
    "slow", "full", "free", "finish", "closing",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Line:
    """A counted line of the sheet: its counts ("3&4") and its words in each language."""

    label: str
    texts: Words


@dataclass(frozen=True, slots=True)
class Shown:
    """Which way to face, in eighths 0 .. 7.

    ``true_start`` and ``true_end`` are on the wall where the piece is first danced, None where that is the
    song's to say. ``start`` and ``end`` are for showing: the class learns every piece from the front.
    """

    true_start: int | None
    true_end: int | None
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece to learn.

    Attributes:
        number: from 1, in the order of teaching.
        kind: "part" (of the dance), "tag" or "ending".
        part: label of its part.
        at, end: counts from the start of the part.
        stands_on: numbers of the pieces that must be known before it is joined on; a piece alone needs none.
        work: how much it asks.
        figures: names of its figures, in each language.
        figure_ids: their ids, each once.
        new: ids of those the class does not know yet.
        lines: its counted lines.
        shown: which way to face.
        free: foot that is free at its start: "R", "L" or "B".
        why: reasons for its size and its end; ``cost`` their sum.
        watch: what to watch for.
    """

    number: int
    kind: str
    part: str
    at: int
    end: int
    stands_on: tuple[int, ...]
    work: Work
    figures: Words
    figure_ids: tuple[str, ...]
    new: tuple[str, ...]
    lines: tuple[Line, ...]
    shown: Shown
    free: str
    cost: int
    why: tuple[Told, ...]
    watch: tuple[Told, ...]

    @property
    def counts(self) -> int:
        """How long it is."""
        return self.end - self.at


@dataclass(frozen=True, slots=True)
class Drill:
    """One step of the lesson.

    Attributes:
        number: from 1.
        kind: what is done.
        pieces: numbers of the pieces danced.
        counts: counts of one round, 0 where nothing is danced.
        rounds: how often.
        speed: part of the music's tempo at which it is danced, as a percentage; 0 where nothing is danced.
        with_music: False while the teacher counts or speaks.
        seconds: how long it takes, talk and returning to places included.
        told: what to do, in each language.
        source: id of the published plan its share of the time is from, "" for our own.
    """

    number: int
    kind: DrillKind
    pieces: tuple[int, ...]
    counts: int
    rounds: int
    speed: int
    with_music: bool
    seconds: int
    told: Told
    source: str = ""


@dataclass(frozen=True, slots=True)
class LeftOut:
    """Something there was no time for, and the seconds that it would have needed."""

    kind: str
    pieces: tuple[int, ...]
    seconds: int
    told: Told


@dataclass(frozen=True, slots=True)
class Way:
    """Another way to dance some counts: ``swaps`` hold each place with its proof, ``lines`` the steps of the
    first in each language."""

    kind: str
    swaps: tuple[Swap, ...]
    told: Told
    lines: tuple[Line, ...]
    proof: Told


@dataclass(frozen=True, slots=True)
class Gentle:
    """The same part with less load: the changes, and whether the floor shows that it ends as written."""

    low: LowImpact
    told: tuple[Told, ...]


@dataclass(frozen=True, slots=True)
class Take:
    """One shot for the camera.

    Attributes:
        number: from 1.
        language: what is spoken, "" for none.
        kind: "demonstration", "opening", "cautions", "words", "counts", "join", "whole", "option", "changes",
            "finish" or "closing".
        pieces: what is danced.
        title: what it is called, in its language (in the first where nothing is spoken).
        said: paragraphs to read from the teleprompter.
        counts: danced in it, count-in included; 0 for talk alone.
        bpm: counts a minute at which they are danced.
        camera: "front" (the teacher looks into it) or "behind" (she turns her back, left stays left).
        facing_start, facing_end: true facings in eighths, None where nothing is danced or the song decides.
        speech_seconds: how long a clear voice takes.
        danced_seconds: how long the counts take.
        seconds: both, with a breath before and after.
    """

    number: int
    language: str
    kind: str
    pieces: tuple[int, ...]
    title: str
    said: tuple[str, ...]
    counts: int
    bpm: float
    camera: str
    facing_start: int | None
    facing_end: int | None
    speech_seconds: float
    danced_seconds: float
    seconds: float


@dataclass(frozen=True, slots=True)
class Tempo:
    """Counts a minute and where they are from: "song", "sheet" or "assumed"; ``slow`` is the slow speed in
    percent."""

    bpm: float
    source: str
    slow: int


@dataclass(frozen=True, slots=True)
class Lesson:
    """A plan for one lesson; every text is there in each of ``languages``.

    ``beats_per_bar`` is 3 for a waltz, counted in sixes, else 4. ``budget_seconds`` is the time at hand,
    ``planned_seconds`` never more; ``wanted_seconds`` what the whole plan would take at the least, with
    nothing left out. ``cost`` is that of the cuts, ``cost_at_sections`` that of cutting where the sheet does
    (None if that is no way to learn it).
    """

    title: str
    languages: tuple[str, ...]
    class_name: str
    budget_seconds: int
    beats_per_bar: int
    tempo: Tempo
    pieces: tuple[Piece, ...]
    cost: int
    cost_at_sections: int | None
    hardest: int
    drills: tuple[Drill, ...]
    left_out: tuple[LeftOut, ...]
    wanted_seconds: int
    ways: tuple[Way, ...]
    gentle: tuple[Gentle, ...]
    seated: tuple[Told, ...]
    cautions: tuple[Told, ...]
    opening: tuple[Told, ...]
    changes: tuple[Told, ...]
    finish: tuple[Told, ...]
    closing: tuple[Told, ...]
    remarks: tuple[Told, ...]
    takes: tuple[Take, ...] = ()
    unproved: Words = ()

    @property
    def eight(self) -> int:
        """What is counted before it begins anew: 8, or 6 in a waltz."""
        return 6 if self.beats_per_bar == 3 else 8

    @property
    def planned_seconds(self) -> int:
        """How long the drills take together."""
        return sum(drill.seconds for drill in self.drills)

    @property
    def spare_seconds(self) -> int:
        """What is left of the time."""
        return self.budget_seconds - self.planned_seconds

    def piece(self, number: int) -> Piece:
        """Return a piece by its number.

        Raises:
            KeyError: no piece has that number.
        """
        for piece in self.pieces:
            if piece.number == number:
                return piece
        raise KeyError(number)
