"""A danced run as stretches of counts, and every beat of the music as what is danced on it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil

from noonwall.dance.model import Dance, Part, Section, Step, Tag
from noonwall.dance.turns import normal
from noonwall.fit import FinishChange
from noonwall.floor import Moment, RunDanced, WallDanced, dance_steps, mirrored
from noonwall.teach.cue import Beat, BeatKind


@dataclass(frozen=True, slots=True)
class Stretch:
    """A wall, a piece of one, a tag or the ending, as it is danced.

    Attributes:
        kind: "wall", "tag" or "ending".
        wall: number of the wall it lies in.
        part: the part that is danced.
        start, counts: in counts of the run.
        offset: where in ``part`` it begins.
        facing: eighths 0 .. 7 before it.
        moments: what is danced, counts of the run.
        begins_wall: True for the first stretch of its wall.
        cut_after: counts after which its wall is cut by a restart, or None.
        tag_counts: counts of tags in or after its wall.
    """

    kind: BeatKind
    wall: int
    part: Part
    start: Fraction
    counts: Fraction
    offset: Fraction
    facing: int
    moments: tuple[Moment, ...]
    begins_wall: bool = False
    cut_after: Fraction | None = None
    tag_counts: Fraction = Fraction(0)

    @property
    def end(self) -> Fraction:
        """Where it ends, in counts of the run."""
        return self.start + self.counts

    def local(self, count: Fraction) -> Fraction:
        """Return a count of the run as counts from the start of the part; a repeated tag starts anew."""
        at = count - self.start + self.offset
        return at % self.part.counts if self.kind == "tag" and self.part.counts and at >= 0 else at

    def section(self, local: Fraction) -> Section:
        """Return the section that holds a count of the part; a step before the first one belongs to it."""
        begun = [section for section in self.part.sections if section.at <= local]
        return begun[-1] if begun else self.part.sections[0]


@dataclass(frozen=True, slots=True)
class Taught:
    """The sheet's own ending where it is danced: its part, and after how many counts of the last wall."""

    part: Part
    after_count: Fraction
    is_mirrored: bool = False


def stretches_of(
    dance: Dance,
    danced: RunDanced,
    lengths: Sequence[int] | None = None,
    taught: Taught | None = None,
    finish: FinishChange | None = None,
) -> tuple[Stretch, ...]:
    """Return a run in the order danced.

    Args:
        dance: the dance with the restarts and tags of the run (see :func:`noonwall.fit.as_danced`).
        danced: that dance on the floor.
        lengths: counts that the song gives each wall, tags included; by default each wall is danced in full.
        taught: the sheet's ending, danced on the last wall.
        finish: what is changed on the last counts so that the dance ends at the front.
    """
    out: list[Stretch] = []
    start = Fraction(0)
    for index, wall in enumerate(danced.walls):
        length = Fraction(lengths[index]) if lengths else wall.counts + wall.tag_counts
        is_last = index == len(danced.walls) - 1
        limit = min(length, taught.after_count) if is_last and taught else length
        pieces = list(_of_wall(dance, wall, start, limit))
        if is_last and taught:
            pieces.append(_ending(dance, wall, pieces, start + limit, taught))
        elif is_last and lengths:
            # the song is over on its last count: an "&" after it is not danced
            pieces = [_until(piece, start + limit - 1) for piece in pieces]
            pieces = [_finished(piece, finish, start) for piece in pieces] if finish else pieces
        out += pieces
        start += length
    return tuple(out)


def _of_wall(dance: Dance, wall: WallDanced, start: Fraction, limit: Fraction) -> Iterator[Stretch]:
    """Cut a wall where its tags lie, and end it after ``limit`` counts."""
    part = dance.part(wall.part)
    tags: list[Tag] = [] if dance.is_phrased else [t for t in dance.tags if t.after_wall == wall.number]
    told = sorted(tags, key=lambda tag: tag.after_count)
    plan: list[tuple[BeatKind, Part, Fraction, Fraction]] = []
    position = Fraction(0)
    for tag in told:
        until = min(tag.after_count, wall.counts)
        plan.append(("wall", part, position, until - position))
        extra = dance.part(tag.part)
        plan.append(("tag", extra, Fraction(0), extra.counts * tag.times))
        position = until
    plan.append((_kind(part), part, position, wall.counts - position))
    at, facing, is_first = Fraction(0), normal(wall.stance_start.facing), True
    last = max((number for number, row in enumerate(plan) if row[3] > 0), default=0)
    for number, (kind, danced_part, offset, counts) in enumerate(plan):
        counts = min(counts, limit - at)
        if counts <= 0:
            continue
        # an upbeat may sound before its stretch begins, but nothing is lost at either end
        moments = tuple(
            moment._replace(count=moment.count - wall.start + start)
            for moment in wall.moments
            if (number == 0 or moment.count - wall.start >= at)
            and moment.count - wall.start < (at + counts if number < last or at + counts >= limit else limit)
        )
        yield Stretch(
            kind,
            wall.number,
            danced_part,
            start + at,
            counts,
            offset,
            facing,
            moments,
            is_first,
            wall.cut_after,
            wall.tag_counts,
        )
        facing = normal(moments[-1].stance.facing) if moments else facing
        at, is_first = at + counts, False


def _kind(part: Part) -> BeatKind:
    return "tag" if part.kind in ("tag", "bridge") else "ending" if part.kind == "ending" else "wall"


def _ending(
    dance: Dance, wall: WallDanced, before: Sequence[Stretch], start: Fraction, taught: Taught
) -> Stretch:
    moments = [moment for piece in before for moment in piece.moments]
    stance = moments[-1].stance if moments else wall.stance_start
    steps: tuple[Step, ...] = taught.part.steps
    if taught.is_mirrored:
        steps = tuple(mirrored(step) for step in steps)
    danced = dance_steps(steps, stance, start)
    return Stretch(
        "ending",
        wall.number,
        taught.part,
        start,
        taught.part.counts,
        Fraction(0),
        normal(stance.facing),
        tuple(danced),
        not before,
    )


def _until(piece: Stretch, last: Fraction) -> Stretch:
    """Return a stretch without what is danced after count ``last``."""
    return replace(piece, moments=tuple(moment for moment in piece.moments if moment.count <= last))


def _finished(piece: Stretch, change: FinishChange, wall_start: Fraction) -> Stretch:
    """Return a stretch of the last wall with its finish: turns added, or what follows the pose left out."""
    pending = {wall_start + turn.count - 1: turn.added for turn in change.turns}
    moments: list[Moment] = []
    more = 0
    for moment in piece.moments:
        if change.kind == "pose" and moment.count > wall_start + change.count - 1:
            break
        added = pending.pop(moment.count, 0)
        more += added
        step = replace(moment.step, turn=moment.step.turn + added) if added else moment.step
        stance = moment.stance._replace(facing=moment.stance.facing + more)
        moments.append(moment._replace(step=step, stance=stance))
    return replace(piece, moments=tuple(moments))


# --- beats -------------------------------------------------------------------------------------------------


def eight_of(beats_per_bar: int) -> int:
    """Return how far a teacher counts before beginning anew: 6 in a waltz, else 8."""
    return 6 if beats_per_bar % 3 == 0 else 8


def said_on(stretch: Stretch, count: Fraction, eight: int) -> int:
    """Return what is counted on a whole count: 1 .. ``eight``, anew in each section."""
    local = stretch.local(count)
    section = stretch.section(local) if stretch.part.sections else None
    return int(local - (section.at if section else 0)) % eight + 1


def beats_of(
    stretches: Sequence[Stretch], times: Sequence[float], first: int, beats_per_bar: int
) -> tuple[Beat, ...]:
    """Return every beat of the music with what is danced on it.

    Args:
        stretches: the run.
        times: when each beat sounds, seconds.
        first: index in ``times`` of the first count danced.
        beats_per_bar: of the dance; 3 is counted in sixes.
    """
    eight = eight_of(beats_per_bar)
    out = []
    moments = [moment for stretch in stretches for moment in stretch.moments]
    queue, facing = list(reversed(moments)), stretches[0].facing if stretches else 0
    spans = [(s.start, s.start + ceil(s.counts), s) for s in stretches]
    begun = 0
    for index, seconds in enumerate(times):
        count = Fraction(index - first)
        while begun < len(spans) and spans[begun][1] <= count:
            begun += 1
        here = spans[begun][2] if begun < len(spans) and spans[begun][0] <= count else None
        if here is None:
            kind: BeatKind = "intro" if count < 0 else "after"
            out.append(Beat(int(count), seconds, 0, kind, facing=facing))
            continue
        while queue and queue[-1].count < count + 1:
            facing = normal(queue.pop().stance.facing)
        out.append(
            Beat(
                int(count),
                seconds,
                said_on(here, count, eight),
                here.kind,
                here.wall,
                here.part.label,
                here.local(count),
                facing,
            )
        )
    return tuple(out)


def click_times(bpm: float, before: int, counts: int) -> tuple[float, ...]:
    """Return even beats from 0 seconds on: ``before`` of them before the first count danced."""
    return tuple(index * 60.0 / bpm for index in range(before + counts))


__all__ = [
    "Stretch",
    "Taught",
    "beats_of",
    "click_times",
    "eight_of",
    "said_on",
    "stretches_of",
]
