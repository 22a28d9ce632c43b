"""What of a dance matters to a song: lengths, facings, free feet and the places where it may be cut.

All facings are unwound eighths (right positive) relative to the start of the wall; all places are whole
counts from it. The floor dances everything here, so that fit and floor cannot disagree.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from noonwall.dance.model import Dance, Foot, Part, Restart, Tag
from noonwall.errors import CannotDance
from noonwall.fit.faults import fault
from noonwall.floor import Moment, Stance, dance_part, dance_run, opening_stance, shortened


@dataclass(frozen=True, slots=True)
class Shape:
    """One way to dance a wall: straight through, or with what the sheet changes on it.

    Attributes:
        part: label of the part.
        length: counts with tags, without what a restart cuts off.
        turns: net turn after n counts, n = 0 .. length.
        beat_turns: net turn after the actions on count n itself, but before its "&".
        free_feet: the free foot after n counts; None where both feet carry weight.
        change_at: the first count that differs from dancing straight through; ``length`` if none does.
        cut_after: counts danced before a restart, or None.
        tag_counts: counts of tags.
        tags: labels of the tags danced.
        walls: the walls on which the sheet asks for it; empty for the straight shape.
    """

    part: str
    length: int
    turns: tuple[int, ...]
    beat_turns: tuple[int, ...]
    free_feet: tuple[Foot | None, ...]
    change_at: int
    cut_after: int | None = None
    tag_counts: int = 0
    tags: tuple[str, ...] = ()
    walls: tuple[int, ...] = ()

    @property
    def turn(self) -> int:
        """Net turn of the whole shape in eighths."""
        return self.turns[-1]


@dataclass(frozen=True, slots=True)
class Cut:
    """A whole count after which a wall may be broken off.

    ``right_foot``: the foot that begins the next wall is free (or both are). If not, the last weight must
    be changed, or the next wall is danced ``mirrored``.
    """

    count: int
    turn: int
    free_foot: Foot | None
    right_foot: bool
    ends_eight: bool
    inside_figure: bool

    @property
    def mirrored(self) -> bool:
        """True if the next wall would start on the other foot when nothing is changed."""
        return not self.right_foot


@dataclass(frozen=True, slots=True)
class PartOutline:
    """One part: its shape danced straight through and the places where it can be cut."""

    straight: Shape
    start_foot: Foot
    cuts: tuple[Cut, ...]

    @property
    def label(self) -> str:
        """The label of the part."""
        return self.straight.part

    @property
    def counts(self) -> int:
        """Counts of the part danced straight through."""
        return self.straight.length

    @property
    def mirrors(self) -> bool:
        """True if the part ends with the other foot free, so that the next wall is its mirror image."""
        end = self.straight.free_feet[-1]
        return end is not None and self.start_foot is not Foot.BOTH and end is not self.start_foot


@dataclass(frozen=True, slots=True)
class Outline:
    """A dance as fit sees it.

    ``parts`` are the walls in order: one for a plain dance, the sequence for a phrased one.
    ``stated`` are the shapes of walls that the sheet changes; ``unusable`` the restarts and tags of the
    sheet that cannot be danced as written (beyond the end of the wall, between counts, a tag without text).
    """

    title: str
    parts: tuple[PartOutline, ...]
    is_phrased: bool
    beats_per_bar: int
    eight: int
    stated_intro: int | None
    stated: tuple[Shape, ...] = ()
    unusable: tuple[Restart | Tag, ...] = ()


def outline_of(dance: Dance) -> Outline:
    """Return the outline of ``dance``.

    Raises:
        CannotDance: a part has no steps, or its counts are not whole.
    """
    phrased = dance.is_phrased and bool(dance.sequence)
    eight = 6 if dance.beats_per_bar % 3 == 0 else 8
    labels = dance.sequence if phrased else (dance.main.label,)
    # an entry of a sequence may be a part cut short, "A:16"; the floor passes over one that names no part
    parts = {label: shortened(dance, label) for label in dict.fromkeys(labels)}
    known = {label: part_outline(dance, part, eight, phrased) for label, part in parts.items() if part}
    labels = tuple(label for label in labels if label in known)
    stated, unusable = ((), ()) if phrased else _stated_shapes(dance, known[labels[0]].straight)
    return Outline(
        dance.title,
        tuple(known[label] for label in labels),
        phrased,
        dance.beats_per_bar,
        eight,
        dance.intro_counts,
        stated,
        unusable,
    )


def part_outline(dance: Dance, part: Part, eight: int, phrased: bool) -> PartOutline:
    """Dance one part once and return its outline.

    In a phrased dance each part starts on the foot of its own first step, and a cut is on the right foot if
    it leaves free what the end of the part leaves free, since the next part goes on from there.
    """
    length = whole(part.counts, part.label)
    if not part.steps or length < 1:
        raise fault(CannotDance, "fit.no-steps", part=part.label)
    start_foot = _lead(part, dance.start_free_foot) if phrased else dance.start_free_foot
    track = dance_part(part, opening_stance(start_foot))
    straight = shape_of(part.label, track.start, track.moments, length)
    wanted = straight.free_feet[-1] if phrased else start_foot
    ends = {int(end) for section in part.sections if (end := section.at + section.counts).denominator == 1}
    inside = _inside_figures(part, length)
    cuts = tuple(
        Cut(
            count,
            straight.turns[count],
            foot,
            foot is None or wanted in (None, Foot.BOTH) or foot is wanted,
            count in ends or count % eight == 0,
            count in inside,
        )
        for count in range(1, length)
        for foot in (straight.free_feet[count],)
    )
    return PartOutline(straight, start_foot, cuts)


def whole(counts: Fraction, label: str) -> int:
    """Return ``counts`` as an integer.

    Raises:
        CannotDance: they are not whole; a wall between two beats cannot be laid on a song.
    """
    if counts.denominator != 1:
        raise fault(CannotDance, "fit.broken-count", part=label, counts=f"{float(counts):g}")
    return int(counts)


def shape_of(label: str, start: Stance, moments: Sequence[Moment], length: int) -> Shape:
    """Return the straight shape of a danced stretch of ``length`` counts that begins at count 0."""
    turns, beats, feet = [], [0], []
    stance, position = start, 0
    for count in range(length + 1):
        while position < len(moments) and moments[position].count < count:
            stance = moments[position].stance
            position += 1
        turns.append(stance.facing - start.facing)
        feet.append(stance.free_foot)
        # the last beat of a song sounds on the count itself: what lies on its "&" is not danced any more
        on_beat, ahead = stance, position
        while ahead < len(moments) and moments[ahead].count <= count:
            on_beat = moments[ahead].stance
            ahead += 1
        beats.append(on_beat.facing - start.facing)
    return Shape(label, length, tuple(turns), tuple(beats[: length + 1]), tuple(feet), length)


def _lead(part: Part, otherwise: Foot) -> Foot:
    first = next((step.foot for step in part.steps if step.foot is not None), None)
    return otherwise if first is None else first


def _inside_figures(part: Part, length: int) -> frozenset[int]:
    return frozenset(
        count
        for figure in part.figures
        if figure.id != "steps"
        for count in range(int(figure.at) + 1, min(length, int(figure.at + figure.counts) + 1))
        if figure.at < count < figure.at + figure.counts
    )


def _stated_shapes(dance: Dance, straight: Shape) -> tuple[tuple[Shape, ...], tuple[Restart | Tag, ...]]:
    """Dance every wall that the sheet changes; equal shapes of several walls become one."""
    shapes: dict[Shape, list[int]] = {}
    unusable: list[Restart | Tag] = []
    walls = {r.wall for r in dance.restarts} | {t.after_wall for t in dance.tags}
    for wall in sorted(walls):
        restarts = [r for r in dance.restarts if r.wall == wall]
        tags = [t for t in dance.tags if t.after_wall == wall]
        told: list[Restart | Tag] = [*restarts, *tags]
        broken = [change for change in told if not _usable(dance, change, straight.length)]
        if broken:
            unusable += broken
            restarts = [r for r in restarts if r not in broken]
            tags = [t for t in tags if t not in broken]
        if restarts or tags:
            shape = _changed_shape(dance, restarts, tags)
            shapes.setdefault(shape, []).append(wall)
    stated = tuple(replace(shape, walls=tuple(numbers)) for shape, numbers in shapes.items())
    return stated, tuple(unusable)


def _usable(dance: Dance, change: Restart | Tag, length: int) -> bool:
    place = change.after_count
    if place.denominator != 1 or not 0 <= place <= length:
        return False
    if isinstance(change, Restart):
        return 0 < place < length
    return any(
        part.label == change.part and part.counts.denominator == 1 and part.counts > 0 for part in dance.parts
    )


def _changed_shape(dance: Dance, restarts: Iterable[Restart], tags: Iterable[Tag]) -> Shape:
    here = replace(
        dance,
        restarts=tuple(replace(r, wall=1) for r in restarts),
        tags=tuple(replace(t, after_wall=1) for t in tags),
        ending=None,
    )
    wall = dance_run(here, 1).walls[0]
    length = int(wall.counts + wall.tag_counts)
    shape = shape_of(wall.part, wall.stance_start, wall.moments, length)
    change_at = min(
        [int(r.after_count - (r.change.counts if r.change else 0)) for r in here.restarts]
        + [int(t.after_count) for t in here.tags]
    )
    return replace(
        shape,
        change_at=change_at,
        cut_after=None if wall.cut_after is None else int(wall.cut_after),
        tag_counts=int(wall.tag_counts),
        tags=tuple(t.part for t in sorted(here.tags, key=lambda t: t.after_count) for _ in range(t.times)),
    )
