"""The finish: where the last beat finds the dancers, and the smallest change that turns them to 12:00."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from typing import Any

from noonwall.dance.model import Dance, Ending, Foot
from noonwall.dance.turns import clock_hour, normal
from noonwall.findings import Finding, Severity
from noonwall.fit.counts import CountGrid
from noonwall.fit.wall import RunWall
from noonwall.floor import Moment, dance_run, dance_steps, mirrored, opening_stance

LAST_COUNTS = 4
"""How many counts before the last beat a step may be changed: later walls of a song are danced by habit."""
HALF_TURN = 4
"""The most that one step may turn, in eighths: a half turn; more needs a spin, which is no small change."""


@dataclass(frozen=True, slots=True)
class TurnChange:
    """One step that turns otherwise than taught.

    ``count`` is the dance's own count (1 is the first); ``added`` what is added to its turn and ``total``
    what it then turns, in eighths, right positive.
    """

    count: int
    foot: Foot
    added: int
    total: int


@dataclass(frozen=True, slots=True)
class FinishChange:
    """A way to end at 12:00.

    ``kind`` is "turn" (``turns`` are changed) or "pose" (stop after ``count`` and hold ``hold_counts``).
    ``effort`` orders them, least first; its scale is our own.
    """

    kind: str
    effort: int
    count: int
    turns: tuple[TurnChange, ...] = ()
    hold_counts: int = 0


@dataclass(frozen=True, slots=True)
class Finish:
    """Where the last beat falls: wall, its count from 1 (tags counted on), facing in eighths, seconds."""

    wall: int
    count: int
    facing: int
    at_seconds: float
    changes: tuple[FinishChange, ...] = ()

    @property
    def at_front(self) -> bool:
        """True if the last beat faces 12:00 without any change."""
        return self.facing == 0


@dataclass(frozen=True, slots=True)
class TaughtEnding:
    """The sheet's own ending, danced in this song.

    ``wall`` and ``after_count`` are where it was danced, ``counts`` its length, ``facing`` its last facing in
    eighths; ``counts_left`` is how much music remains after its last count (negative: the song ends first).
    """

    wall: int
    after_count: int
    counts: int
    facing: int
    counts_left: int
    is_last_wall: bool

    @property
    def holds(self) -> bool:
        """True if it ends at 12:00 with the music, on the wall the song ends on."""
        return self.facing == 0 and self.counts_left == 0 and self.is_last_wall


def find_finish(dance: Dance, wall: RunWall, facing: int, grid: CountGrid, best: int = 3) -> Finish:
    """Return the finish on the last wall of a run with the ``best`` smallest changes that end at 12:00.

    Args:
        dance: the dance.
        wall: the last wall; its length tells the last count.
        facing: eighths on the last beat.
        grid: the song, for the time.
        best: how many changes to offer; none are offered at 12:00.
    """
    last = wall.start_count + wall.length - 1
    at_seconds = grid.seconds(last)
    if facing == 0:
        return Finish(wall.wall, wall.length, 0, at_seconds)
    moments = [m for m in wall_moments(dance, wall) if m.count <= wall.length - 1]
    options = [*_turn_changes(moments, facing, wall.length), *_poses(moments, wall.length)]
    options.sort(key=lambda option: (option.effort, -option.count, len(option.turns)))
    return Finish(wall.wall, wall.length, facing, at_seconds, tuple(options[:best]))


def wall_moments(dance: Dance, wall: RunWall) -> tuple[Moment, ...]:
    """Dance the part of a wall from its own start facing; counts are from the start of the wall."""
    part = dance.part(wall.part)
    if wall.change == "stated" and not wall.mirrored:
        here = replace(
            dance,
            restarts=tuple(replace(r, wall=1) for r in dance.restarts if r.wall == wall.wall),
            tags=tuple(replace(t, after_wall=1) for t in dance.tags if t.after_wall == wall.wall),
            ending=None,
        )
        danced = dance_run(here, 1).walls[0].moments
        return tuple(
            m._replace(stance=m.stance._replace(facing=m.stance.facing + wall.facing_start)) for m in danced
        )
    first = dance.start_free_foot
    if dance.is_phrased:
        first = next((step.foot for step in part.steps if step.foot is not None), first)
    steps = part.steps
    if wall.mirrored:
        first, steps = first.other, tuple(mirrored(step) for step in steps)
    return dance_steps(steps, opening_stance(first, wall.facing_start))


def _turn_changes(moments: list[Moment], facing: int, length: int) -> list[FinishChange]:
    """Return single steps, and pairs of steps in a row, whose changed turns end at 12:00."""
    late = [
        m
        for m in moments
        if m.step.foot in (Foot.LEFT, Foot.RIGHT)
        and m.count.denominator == 1
        and m.count >= length - LAST_COUNTS
    ]
    missing = normal(-facing)
    found = []
    for amount in (missing, missing - 8):
        for moment in late:
            found.append(_change([(moment, amount)], length))
        if abs(amount) > 2 and amount % 2 == 0:
            # two quarter turns are easier than one half turn
            for pair in pairwise(late):
                found.append(_change([(moment, amount // 2) for moment in pair], length))
    return [change for change in found if change is not None]


def _change(parts: list[tuple[Moment, int]], length: int) -> FinishChange | None:
    turns, effort = [], 0
    for moment, added in parts:
        foot, total = moment.step.foot, moment.step.turn + added
        if foot is None or abs(total) > HALF_TURN or abs(added) > HALF_TURN:
            return None
        turns.append(TurnChange(int(moment.count) + 1, foot, added, total))
        effort += total * total + abs(added)
        # a foot opens to its own side: right steps turn right and left steps left without crossing
        if total and (total > 0) != (foot is Foot.RIGHT):
            effort += 3
        if not moment.step.takes_weight:
            effort += 2
    effort += 2 * (length - turns[-1].count) + 2 * (len(turns) - 1)
    return FinishChange("turn", effort, turns[-1].count, tuple(turns))


def _poses(moments: list[Moment], length: int) -> list[FinishChange]:
    """Return the latest count within the last eight that faces 12:00: stop there and hold to the end."""
    for count in range(length - 1, max(0, length - 8), -1):
        before = [m for m in moments if m.count <= count - 1]
        if before and normal(before[-1].stance.facing) == 0:
            held = length - count
            return [FinishChange("pose", 4 * held + 1, count, (), held)]
    return []


def check_ending(
    dance: Dance, walls: tuple[RunWall, ...], grid: CountGrid
) -> tuple[TaughtEnding | None, list[Finding]]:
    """Dance the sheet's taught ending in this song and say what does not fit.

    An ending without a wall is danced on the last one; without a count, so that it ends with the music.

    Returns:
        The ending as danced (None if the sheet has none, or it cannot be placed) and findings with codes
        ``fit.ending-other-wall``, ``fit.ending-too-early``, ``fit.ending-too-late``,
        ``fit.ending-not-front``, ``fit.ending-other-facing`` and ``fit.ending-unplaced``.
    """
    ending = dance.ending
    if ending is None or not walls:
        return None, []
    part = next((p for p in dance.parts if p.label == ending.part), None)
    length = int(part.counts) if part else 0
    last = walls[-1]
    asked = ending.wall if ending.wall is not None else last.wall
    wall = next((w for w in walls if w.wall == asked), last)
    after = ending.after_count if ending.after_count is not None else Fraction(wall.length - length)
    unplaced = bool(ending.part and part is None) or after < 0 or after.denominator != 1
    if unplaced:
        facts: dict[str, object] = {"part": ending.part, "after_count": _plain(after)}
        return None, [Finding("fit.ending-unplaced", Severity.DOUBTFUL, ending.place, None, facts)]
    facing = _ending_facing(dance, wall, after)
    left = grid.counts - (wall.start_count + int(after) + length)
    taught = TaughtEnding(wall.wall, int(after), length, facing, left, wall is last and asked == last.wall)
    return taught, _ending_findings(ending, taught, asked, last)


def _ending_facing(dance: Dance, wall: RunWall, after: Fraction) -> int:
    part = next((p for p in dance.parts if dance.ending and p.label == dance.ending.part), None)
    danced = [m for m in wall_moments(dance, wall) if m.count < after]
    if part is None:
        # a pose is struck on the last count itself: an "&" after it is not danced
        danced = [m for m in danced if m.count <= after - 1]
    facing = danced[-1].stance.facing if danced else wall.facing_start
    if part is not None:
        turn = part.turn
        facing += -turn if wall.mirrored else turn
    return normal(facing)


def _ending_findings(ending: Ending, taught: TaughtEnding, asked: int, last: RunWall) -> list[Finding]:
    facts: dict[str, object] = {
        "stated_wall": ending.wall,
        "wall": last.wall,
        "count": last.length,
        "after_count": taught.after_count,
        "ending_counts": taught.counts,
        "facing": taught.facing,
        "counts_left": taught.counts_left,
    }
    found = []
    if asked != last.wall:
        found.append(Finding("fit.ending-other-wall", Severity.WRONG, ending.place, None, facts))
    elif taught.counts_left > 0:
        found.append(Finding("fit.ending-too-early", Severity.DOUBTFUL, ending.place, None, facts))
    elif taught.counts_left < 0:
        found.append(Finding("fit.ending-too-late", Severity.WRONG, ending.place, None, facts))
    if taught.facing:
        found.append(Finding("fit.ending-not-front", Severity.WRONG, ending.place, None, facts))
    if ending.stated_facing is not None and normal(ending.stated_facing) != taught.facing:
        more = {**facts, "stated_facing": normal(ending.stated_facing)}
        found.append(Finding("fit.ending-other-facing", Severity.WRONG, ending.place, None, more))
    return found


def _plain(count: Fraction) -> int | float:
    return int(count) if count.denominator == 1 else float(count)


def finish_json(finish: Finish) -> dict[str, Any]:
    """Return a finish for programs: facing as a clock hour, turns in eighths."""
    return {
        "wall": finish.wall,
        "count": finish.count,
        "facing": clock_hour(finish.facing),
        "at": round(finish.at_seconds, 3),
        "changes": [
            {
                "kind": change.kind,
                "count": change.count,
                "hold_counts": change.hold_counts,
                "turns": [
                    {"count": t.count, "foot": t.foot.value, "added": t.added, "total": t.total}
                    for t in change.turns
                ],
            }
            for change in finish.changes
        ],
    }
