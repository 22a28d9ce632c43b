"""The sheet's own restarts and tags against a song: was the dance written for phrases like these?"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from noonwall.dance.model import Dance, Restart, Tag
from noonwall.findings import Finding, Severity
from noonwall.fit.costs import Costs
from noonwall.fit.counts import CountGrid
from noonwall.fit.outline import Outline
from noonwall.fit.problem import period, wall_item
from noonwall.fit.run import stated_run
from noonwall.fit.wall import RunWall

WITHOUT_ODD_PHRASE = {
    "restart": "fit.restart-without-odd-phrase",
    "tag": "fit.tag-without-odd-phrase",
}


@dataclass(frozen=True, slots=True)
class StatedChange:
    """One wall that the sheet changes, as it falls in the song.

    Attributes:
        wall: its number; ``after_count`` the count of its restart or first tag; ``kind`` "restart" or "tag".
        at_count, at_seconds: where in the song the change falls.
        extra_counts: counts the wall gains (tag) or loses (restart, negative).
        odd_phrase: (start, counts) of the odd phrase it falls on, or None.
        distance: counts to the nearest odd phrase, 0 if it falls on one, None if the song has none.
        next_on_phrase: the next wall begins with a phrase of the music (or where its own length puts it).
        would_anyway: it would have begun so without the change too.
    """

    wall: int
    after_count: int
    kind: str
    at_count: int
    at_seconds: float
    extra_counts: int
    odd_phrase: tuple[int, int] | None
    distance: int | None
    next_on_phrase: bool
    would_anyway: bool

    @property
    def serves(self) -> bool:
        """True if the music gives a reason for it: an odd phrase, or a phrase that only the change meets."""
        return self.odd_phrase is not None or (self.next_on_phrase and not self.would_anyway)


def check_stated(
    dance: Dance, plan: Outline, grid: CountGrid, costs: Costs | None = None
) -> tuple[list[StatedChange], list[Finding]]:
    """Dance the sheet as written through the song and judge each of its restarts and tags.

    The dance begins where beginning costs least (see :class:`Costs`).

    Returns:
        The changes that the song reaches, in order, and findings with codes ``fit.no-odd-phrases`` (the song
        has none at all), ``fit.restart-without-odd-phrase``, ``fit.tag-without-odd-phrase``,
        ``fit.change-leaves-phrase`` (it falls on an odd phrase and still the next wall begins inside a
        phrase), ``fit.change-beyond-song``, ``fit.odd-phrase-unanswered`` and ``fit.change-undanceable``.
    """
    table = costs or Costs()
    findings = [_undanceable(change) for change in plan.unusable]
    walls = stated_run(plan, grid, table)
    changes = _changes(plan, grid, walls, table) if plan.stated else []
    sources = {change.wall: _source(dance, change.wall) for change in changes}
    if changes and not grid.odd_phrases and not all(change.serves for change in changes):
        facts: dict[str, object] = {"walls": [change.wall for change in changes]}
        findings.append(Finding("fit.no-odd-phrases", Severity.DOUBTFUL, None, None, facts))
    for change in changes:
        finding = _judge(change, sources[change.wall], grid)
        if finding:
            findings.append(finding)
    findings += _beyond(dance, plan, walls, {change.wall for change in changes})
    if not plan.is_phrased:
        findings += _unanswered(plan, grid, walls, changes, table)
    return changes, findings


def _changes(plan: Outline, grid: CountGrid, walls: tuple[RunWall, ...], costs: Costs) -> list[StatedChange]:
    unit = period(plan, grid)
    straight = plan.parts[0].counts
    found = []
    for wall, following in zip(walls, [*walls[1:], None], strict=True):
        if wall.change != "stated":
            continue
        shape = next(s for s in plan.stated if wall.wall in s.walls)
        at = wall.start_count + shape.change_at
        on, distance = _nearest_odd(grid, wall.start_count, wall.start_count + shape.length)
        then = following.start_count if following else None
        found.append(
            StatedChange(
                wall.wall,
                shape.cut_after if shape.cut_after is not None else shape.change_at,
                "tag" if shape.tag_counts else "restart",
                at,
                grid.seconds(at),
                shape.length - straight,
                on,
                distance,
                then is None or _in_place(grid, unit, costs, then),
                # a change that the song ends with has nothing after it to serve
                then is None or _in_place(grid, unit, costs, wall.start_count + straight),
            )
        )
    return found


def _in_place(grid: CountGrid, unit: int, costs: Costs, count: int) -> bool:
    item = wall_item(grid, unit, costs, min(count, grid.counts - 1))
    return item is None or item.code == "own-period"


def _nearest_odd(grid: CountGrid, start: int, end: int) -> tuple[tuple[int, int] | None, int | None]:
    """Return the odd phrase that the counts ``start`` .. ``end`` share music with, and the distance."""
    best: tuple[tuple[int, int] | None, int | None] = (None, None)
    for at, length in grid.odd_phrases:
        gap = max(0, at - end + 1, start - (at + length) + 1)
        if best[1] is None or gap < best[1]:
            best = ((at, length) if gap == 0 else None, gap)
    return best


def _judge(change: StatedChange, source: Restart | Tag | None, grid: CountGrid) -> Finding | None:
    facts: dict[str, object] = {
        "wall": change.wall,
        "after_count": change.after_count,
        "seconds": round(change.at_seconds, 2),
        "song_count": change.at_count,
        "extra_counts": change.extra_counts,
        "distance": change.distance,
        "kind": change.kind,
    }
    place = source.place if source else None
    count = Fraction(change.after_count)
    if not change.serves:
        code = WITHOUT_ODD_PHRASE[change.kind]
        return Finding(code, Severity.DOUBTFUL, place, count, facts)
    if not change.next_on_phrase:
        if change.odd_phrase:
            start, length = change.odd_phrase
            facts |= {"odd_start_seconds": round(grid.seconds(start), 2), "odd_counts": length}
        return Finding("fit.change-leaves-phrase", Severity.DOUBTFUL, place, count, facts)
    return None


def _beyond(dance: Dance, plan: Outline, walls: tuple[RunWall, ...], reached: set[int]) -> list[Finding]:
    told = sorted({wall for shape in plan.stated for wall in shape.walls} - reached)
    last = walls[-1].wall if walls else 0
    found = []
    for wall in told:
        source = _source(dance, wall)
        facts: dict[str, object] = {"wall": wall, "last_wall": last}
        place = source.place if source else None
        found.append(Finding("fit.change-beyond-song", Severity.ADVICE, place, None, facts))
    return found


def _unanswered(
    plan: Outline,
    grid: CountGrid,
    walls: tuple[RunWall, ...],
    changes: list[StatedChange],
    costs: Costs,
) -> list[Finding]:
    """Return one finding for each odd phrase without a change after which walls begin inside phrases."""
    unit = period(plan, grid)
    answered = {change.odd_phrase for change in changes}
    found = []
    for start, length in grid.odd_phrases:
        # the next wall that begins after the odd phrase shows whether the dance is still with the music
        following = next((w for w in walls if w.start_count >= start + length), None)
        if (start, length) in answered or following is None:
            continue
        if start + length <= walls[0].start_count or _in_place(grid, unit, costs, following.start_count):
            continue
        facts: dict[str, object] = {
            "seconds": round(grid.seconds(start), 2),
            "odd_counts": length,
            "usual_counts": grid.usual_phrase,
            "wall": following.wall,
        }
        found.append(Finding("fit.odd-phrase-unanswered", Severity.DOUBTFUL, None, None, facts))
    return found


def _source(dance: Dance, wall: int) -> Restart | Tag | None:
    restart = next((r for r in dance.restarts if r.wall == wall), None)
    return restart or next((t for t in dance.tags if t.after_wall == wall), None)


def _undanceable(change: Restart | Tag) -> Finding:
    if isinstance(change, Restart):
        facts: dict[str, object] = {"kind": "restart", "wall": change.wall, "part": ""}
    else:
        facts = {"kind": "tag", "wall": change.after_wall, "part": change.part}
    facts["after_count"] = str(change.after_count)
    return Finding("fit.change-undanceable", Severity.WRONG, change.place, change.after_count, facts)
