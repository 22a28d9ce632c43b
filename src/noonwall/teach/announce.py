"""What is announced besides figures: walls, tags, restarts, the finish, and that a sheet is not proved."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from noonwall.fit import FinishChange
from noonwall.teach.call_words import Chunk
from noonwall.teach.calls import Phrasing, turn_fact
from noonwall.teach.counted import Stretch
from noonwall.teach.cue import CueKind

WORTH = {
    "remark": 30.0,
    "tag": 15.0,
    "restart": 15.0,
    "finish": 15.0,
    "change": 14.0,
    "wall": 9.0,
    "facing": 4.7,
    "clock": 4.5,
}
"""What an announcement is worth beside :data:`noonwall.teach.calls.WORTH`: a warning outweighs any two
figures. Own scale, no source."""


LONGEST_LABEL = 2
"""Letters of a part that can be said; one with a longer label is called by its number in the run."""


@dataclass(frozen=True, slots=True)
class Announcement:
    """Something announced before count ``on`` of the run, in words from the fullest to the shortest."""

    kind: CueKind
    on: Fraction
    phrasings: tuple[Phrasing, ...]


def announcements(
    stretches: Sequence[Stretch],
    said: Mapping[int, int],
    finish: FinishChange | None,
    *,
    is_phrased: bool = False,
    is_to_end: bool = False,
) -> tuple[Announcement, ...]:
    """Return what is announced in a run, in order of the counts it is about.

    Args:
        stretches: the run.
        said: what is counted on each count of the run.
        finish: the change on the last counts that ends the dance at the front, or None.
        is_phrased: parts are told by their letters instead of walls by their numbers.
        is_to_end: the run ends with the music: its last count is announced.
    """
    out = list(_walls(stretches, is_phrased))
    out += [_tag(stretch) for stretch in stretches if stretch.kind == "tag" and not is_phrased]
    if stretches:
        out += _finish(stretches, said, finish, is_to_end)
    return tuple(sorted(out, key=lambda one: one.on))


def _walls(stretches: Sequence[Stretch], is_phrased: bool) -> Iterator[Announcement]:
    begins = [stretch for stretch in stretches if stretch.begins_wall]
    previous: Stretch | None = None
    for number, stretch in enumerate(begins):
        is_restart = previous is not None and previous.cut_after is not None
        changes = list(_changes(stretch, stretches)) if not is_phrased else []
        name = _name(stretch, is_phrased, number > 0 and number == len(begins) - 1)
        facing: Chunk = (("facing", str(stretch.facing)),)
        clock: Chunk = (("clock", str(stretch.facing)),)
        first: tuple[Chunk, ...] = ((("restart", ""),),) if is_restart else ()
        base = WORTH["restart"] if is_restart else 0.0
        told = [Phrasing(first, base)] if is_restart else []
        if previous is not None:
            told.append(Phrasing((*first, name), base + WORTH["wall"]))
            for where, worth in ((facing, WORTH["facing"]), (clock, WORTH["clock"])):
                told.append(Phrasing((*first, name, where), base + WORTH["wall"] + worth))
        plain = tuple(told)
        for change in changes:
            # the longer words come first and are worth a little more
            told += [
                Phrasing((*row.chunks, *change), row.worth + WORTH["change"] - 0.5 * (change != changes[0]))
                for row in (plain or [Phrasing((name,), WORTH["wall"])])
            ]
        if told:
            kind: CueKind = "restart" if is_restart else "wall"
            yield Announcement(kind, stretch.start, _ordered(told))
        previous = stretch


def _name(stretch: Stretch, is_phrased: bool, is_last: bool) -> Chunk:
    """Return what a wall is called: by its number, or by the letter of its part."""
    label = stretch.part.label.upper()
    if is_phrased and stretch.part.kind in ("tag", "bridge"):
        return (("tag", ""),)
    if is_phrased and label.isalpha() and len(label) <= LONGEST_LABEL:
        return (("part", label),)
    return (("last", ""),) if is_last and not is_phrased else (("wall", str(stretch.wall)),)


def _changes(stretch: Stretch, stretches: Sequence[Stretch]) -> Iterator[tuple[Chunk, ...]]:
    """Give what is unusual about a wall, in words from long to short."""
    tags = [other for other in stretches if other.kind == "tag" and other.wall == stretch.wall]
    if stretch.cut_after is not None and stretch.cut_after.denominator == 1:
        yield ((("restart_after", str(int(stretch.cut_after))),),)
        yield ((("restart_short", str(int(stretch.cut_after))),),)
    elif tags:
        after = tags[0].start - stretch.start
        is_inside = any(o.wall == stretch.wall and o.start >= tags[-1].end for o in stretches)
        yield ((("tag_inside", str(int(after))),) if is_inside else (("tag_coming", ""),),)


def _tag(stretch: Stretch) -> Announcement:
    counts: Chunk = (("tag_counts", str(int(stretch.counts))),)
    told = [Phrasing((counts,), WORTH["tag"] + 2.0), Phrasing(((("tag", ""),),), WORTH["tag"])]
    return Announcement("tag", stretch.start, tuple(told))


def _finish(
    stretches: Sequence[Stretch], said: Mapping[int, int], finish: FinishChange | None, is_to_end: bool
) -> Iterator[Announcement]:
    last = stretches[-1]
    if last.kind == "ending":
        yield Announcement("finish", last.start, (Phrasing(((("ending", ""),),), WORTH["finish"]),))
        return
    start = next(stretch.start for stretch in stretches if stretch.wall == last.wall)
    if finish is not None and finish.kind == "pose":
        on = start + finish.count - 1
        held: Chunk = (("hold_on", str(said[int(on)])),)
        yield Announcement("finish", on, _ordered([Phrasing((held,), WORTH["finish"])]))
    elif finish is not None:
        turns: list[Chunk] = []
        for turn in finish.turns:
            fact = turn_fact(turn.total)
            turns.append((fact,) if fact else (("no_turn", ""),))
            turns.append((("on", str(said[int(start) + turn.count - 1])),))
        on = start + finish.turns[0].count - 1
        lead: Chunk = (("finish", ""),)
        told = [
            Phrasing((lead, *turns), WORTH["finish"] + 4.0),
            Phrasing((lead, *turns[::2]), WORTH["finish"]),
        ]
        yield Announcement("finish", on, _ordered(told))
    elif is_to_end:
        final: Chunk = (("finish_front", ""),)
        facing = last.moments[-1].stance.facing % 8 if last.moments else last.facing
        told = [
            Phrasing((final, (("facing", str(facing)),)), WORTH["finish"]),
            Phrasing((final,), WORTH["finish"] - 4.0),
        ]
        yield Announcement("finish", max(last.start, last.end - 1), _ordered(told))


def unproved() -> tuple[Phrasing, ...]:
    """Return the words that a sheet is not proved."""
    return (
        Phrasing(((("unproved", ""),),), WORTH["remark"]),
        Phrasing(((("unproved_short", ""),),), WORTH["remark"] - 1.0),
    )


def _ordered(told: Sequence[Phrasing]) -> tuple[Phrasing, ...]:
    return tuple(sorted(dict.fromkeys(told), key=lambda one: -one.worth))
