"""Dance a whole run: every wall, with its tags, restarts and finish."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from noonwall.dance.model import Dance, Foot, Part, Step, Tag
from noonwall.dance.quarters import scaled
from noonwall.dance.turns import normal
from noonwall.floor.track import Moment, Stance, dance_steps, dance_timed, opening_stance


@dataclass(frozen=True, slots=True)
class WallDanced:
    """One wall of a run.

    ``start`` is in counts from the start of the run, ``counts`` what is danced of it without its tags,
    ``cut_after`` the count of a restart or None, ``tag_counts`` the length of tags in or after it.
    """

    number: int
    part: str
    start: Fraction
    counts: Fraction
    cut_after: Fraction | None
    tag_counts: Fraction
    stance_start: Stance
    stance_end: Stance
    moments: tuple[Moment, ...]
    tag_stances: tuple[tuple[Tag, Stance], ...] = ()


@dataclass(frozen=True, slots=True)
class RunDanced:
    """All walls of a run, in order."""

    walls: tuple[WallDanced, ...]

    @property
    def moments(self) -> tuple[Moment, ...]:
        """All moments of the run, counts from its start."""
        return tuple(moment for wall in self.walls for moment in wall.moments)

    def wall_starts(self) -> dict[int, int]:
        """Return the start facing (0..7 eighths) of each wall by its number; a cut wall counts as one."""
        return {wall.number: normal(wall.stance_start.facing) for wall in self.walls}


def mirrored(step: Step) -> Step:
    """Return the mirror image of a step: other foot, other side, opposite turn."""
    side = {"L": "R", "R": "L"}.get(step.side, "")
    foot = step.foot.other if step.foot else None
    return Step(step.at, step.move, foot, step.takes_weight, step.to, -step.turn, side)


def walls_told(dance: Dance) -> int:
    """Return how many walls the sheet speaks of (at least one round of all walls, at least 4)."""
    told = [restart.wall for restart in dance.restarts] + [tag.after_wall for tag in dance.tags]
    if dance.ending and dance.ending.wall:
        told.append(dance.ending.wall)
    return max([4, *(number + 1 for number in told)])


def dance_run(dance: Dance, walls: int | None = None) -> RunDanced:
    """Dance ``walls`` walls (by default as many as the sheet speaks of) with their tags and restarts.

    A phrased dance takes one wall per part of its sequence. A wall whose free foot is not the one the
    dance starts on is danced mirrored; its tags and step changes are danced as they stand, for their author
    wrote them for that wall. The ending is left out: on which wall it falls is the song's to say (see
    :mod:`noonwall.fit`).
    """
    order = _order(dance, walls)
    stance = opening_stance(dance.start_free_foot)
    clock = Fraction(0)
    done: list[WallDanced] = []
    prepared: dict[int, _Steps] = {}
    for number, part in order:
        steps = prepared.setdefault(id(part), _Steps(part))
        wall = _dance_wall(dance, number, part, steps, stance, clock)
        done.append(wall)
        stance, clock = wall.stance_end, clock + wall.counts + wall.tag_counts
    return RunDanced(tuple(done))


def _order(dance: Dance, walls: int | None) -> list[tuple[int, Part]]:
    if dance.is_phrased and dance.sequence:
        parts = [shortened(dance, entry) for entry in dance.sequence]
        known = [part for part in parts if part is not None]
        return list(enumerate(known[: walls or len(known)], 1))
    return [(number, dance.main) for number in range(1, (walls or walls_told(dance)) + 1)]


def shortened(dance: Dance, entry: str) -> Part | None:
    """Return the part a sequence entry names, cut if it says so ("A:16" is the first 16 counts of A)."""
    label, _, counts = entry.partition(":")
    part = next((p for p in dance.parts if p.label == label), None)
    if part is None or not counts:
        return part
    cut = Fraction(int(counts))
    sections = []
    for section in part.sections:
        if section.at >= cut:
            break
        figures = []
        for figure in section.figures:
            steps = tuple(step for step in figure.steps if step.at < cut)
            if steps:
                figures.append(replace(figure, steps=steps))
        sections.append(replace(section, figures=tuple(figures)))
    return replace(part, counts=cut, sections=tuple(sections))


class _Steps:
    """The steps of a part with their counts in quarters, read off once for all walls of a run."""

    def __init__(self, part: Part) -> None:
        self.part = part
        self.timed: list[_Timed] = []
        self.mirrored: list[_Timed] = []

    def before(self, count: Fraction, is_mirrored: bool) -> list[_Timed]:
        """Return what :meth:`Part.steps_before` does, with the counts in quarters."""
        if not self.timed:
            self.timed = [
                (max(scaled(section.at), scaled(step.at)), scaled(step.at), step)
                for section in self.part.sections
                for step in section.steps
            ]
        if is_mirrored and not self.mirrored:
            self.mirrored = [(begins, at, mirrored(step)) for begins, at, step in self.timed]
        limit = scaled(count)
        return [timed for timed in (self.mirrored if is_mirrored else self.timed) if timed[0] < limit]


_Timed = tuple[int | Fraction, int | Fraction, Step]
"""A step with the quarter from which a wall must last for it to be danced, and the quarter it falls on."""


def _dance_wall(
    dance: Dance, number: int, part: Part, prepared: _Steps, start: Stance, clock: Fraction
) -> WallDanced:
    phrased = dance.is_phrased
    restart = None if phrased else next((r for r in dance.restarts if r.wall == number), None)
    tags = [] if phrased else [t for t in dance.tags if t.after_wall == number]
    cut = restart.after_count if restart else None
    if cut is None:
        cut = next((t.after_count for t in tags if t.then_restart and t.after_count < part.counts), None)
    begins = dance.start_free_foot
    # a part of a phrased dance is danced as it stands: its author wrote it for what goes before it
    mirror = not phrased and begins is not Foot.BOTH and start.free_foot not in (None, begins)
    length = part.counts if cut is None else cut
    steps = prepared.before(length, mirror)
    if restart and restart.change:
        steps = _with_change(steps, restart.change, length)
    pieces: list[Moment] = []
    stance, tag_counts, tag_stances = start, Fraction(0), []
    position = Fraction(0)
    for tag in sorted(tags, key=lambda t: t.after_count):
        until = min(tag.after_count, length)
        first, last = scaled(position), scaled(until)
        # an upbeat sounds before count 1 and belongs to the wall all the same
        timed = [(at, s) for _, at, s in steps if (first <= at or not position) and at < last]
        chunk = dance_timed(timed, stance, scaled(clock + tag_counts))
        pieces += chunk
        stance = chunk[-1].stance if chunk else stance
        tag_stances.append((tag, stance))
        position = until
        extra = dance.part(tag.part)
        for _ in range(tag.times):
            chunk = dance_steps(extra.steps, stance, clock + until + tag_counts)
            pieces += chunk
            stance = chunk[-1].stance if chunk else stance
            tag_counts += extra.counts
    first = scaled(position)
    timed = [(at, s) for _, at, s in steps if at >= first or not position]
    chunk = dance_timed(timed, stance, scaled(clock + tag_counts))
    pieces += chunk
    stance = chunk[-1].stance if chunk else stance
    return WallDanced(
        number, part.label, clock, length, cut, tag_counts, start, stance, tuple(pieces), tuple(tag_stances)
    )


def _with_change(steps: list[_Timed], change: Part, length: Fraction) -> list[_Timed]:
    """Replace the last counts before a restart by the sheet's step change."""
    begin = length - change.counts
    first = scaled(begin)
    kept = [timed for timed in steps if timed[1] < first]
    for s in change.steps:
        moved = Step(s.at + begin, s.move, s.foot, s.takes_weight, s.to, s.turn, s.side)
        kept.append((scaled(moved.at), scaled(moved.at), moved))
    return kept
