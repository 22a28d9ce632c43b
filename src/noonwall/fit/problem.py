"""The fitting problem in whole numbers: which walls may follow each other and what each choice costs."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, replace
from math import gcd

from noonwall.fit.costs import CostItem, Costs
from noonwall.fit.counts import CountGrid
from noonwall.fit.outline import Cut, Outline, PartOutline, Shape

INVENTED_TAGS = {2: (2, 4), 3: (3, 6), 4: (2, 4, 8), 6: (6,)}
"""Counts of the tags that fit may invent, by bar length."""


@dataclass(frozen=True, slots=True)
class Option:
    """One way to dance a wall that another wall follows.

    Attributes:
        kind: "straight", "stated", "moved", "cut" or "tag".
        length: counts until the next wall begins.
        turn: net turn in eighths for a wall that is not mirrored.
        other_foot: the next wall begins on the other foot, mirrored if this one was not.
        items: what it costs wherever it stands; ``cost`` is their sum.
        change_turn: turn at the moment of the change, for ``front_cost``.
        front_cost: added if the change does not face 12:00.
        cut_after, tag_counts, tags: what is danced, as in a Run.
        last_weight: the last weight before the cut is changed.
    """

    kind: str
    length: int
    turn: int
    other_foot: bool = False
    items: tuple[CostItem, ...] = ()
    cost: int = 0
    change_turn: int = 0
    front_cost: int = 0
    part: str = ""
    cut_after: int | None = None
    tag_counts: int = 0
    tags: tuple[str, ...] = ()
    last_weight: bool = False


@dataclass(frozen=True, slots=True)
class Tail:
    """One way to dance the last wall, which the song breaks off after ``first`` .. ``last`` counts."""

    beat_turns: tuple[int, ...]
    first: int
    last: int
    shape: Shape | None = None
    items: tuple[CostItem, ...] = ()
    cost: int = 0


@dataclass(frozen=True, slots=True)
class Stage:
    """A place in the order of walls: its ways to go on, its ways to end, and the stage after it.

    ``may_stop``: the dance may be over here, with music left.
    """

    options: tuple[Option, ...]
    tails: tuple[Tail, ...]
    after: int
    may_stop: bool = False


@dataclass(frozen=True, slots=True)
class Problem:
    """All of it: a path leads from a start through stages to the last count of the song.

    Attributes:
        counts: counts of the song.
        wall_costs: what it costs that a wall begins on count t.
        starts: (count, cost) where the dance may begin, at stage 0.
        stages: the order of walls; a plain dance stays in its last stage.
        finish_cost: added if the last beat does not face 12:00.
        idle_cost: for each eight of music left over when the dance stops at a stage that allows it.
        eight: counts of an eight.
    """

    counts: int
    wall_costs: tuple[int, ...]
    starts: tuple[tuple[int, int], ...]
    stages: tuple[Stage, ...]
    finish_cost: int = 0
    idle_cost: int = 0
    eight: int = 8


def build_problem(plan: Outline, grid: CountGrid, costs: Costs, changes: str = "any") -> Problem:
    """State the problem of fitting a dance to a song.

    Args:
        plan: the dance.
        grid: the song.
        costs: what changes cost.
        changes: "any" lets fit invent, move and drop changes; "stated" dances the sheet as written;
            "none" dances straight through.
    """
    stages = _phrased_stages(plan, costs, changes) if plan.is_phrased else _plain_stages(plan, costs, changes)
    begins = starts(plan, grid)
    if changes == "stated":
        # judged as a teacher would begin it: where sheet or music asks, or else with a phrase
        begins = _plain_starts(plan, grid, costs, begins)
    unit = period(plan, grid)
    places = [wall_item(grid, unit, costs, count) for count in range(grid.counts)]
    return Problem(
        grid.counts,
        tuple(item.cost if item else 0 for item in places),
        tuple((at, _total(start_items(plan, grid, costs, at))) for at in begins),
        stages,
        costs.finish_not_front,
        costs.idle_eight,
        plan.eight,
    )


def _total(items: list[CostItem]) -> int:
    return sum(item.cost for item in items)


def period(plan: Outline, grid: CountGrid) -> int:
    """Return the counts at which walls begin of themselves inside phrases of the usual length.

    A 48-count dance begins every 16 counts of a 32-count phrase and is none the worse for it; an 18-count
    dance wanders through the phrase by twos. Short parts of a phrased dance (under 16 counts) do not count.
    """
    lengths = [part.counts for part in plan.parts]
    if plan.is_phrased:
        lengths = [length for length in lengths if length >= 2 * plan.eight] or lengths
    return gcd(grid.usual_phrase, *lengths)


def wall_item(grid: CountGrid, unit: int, costs: Costs, count: int) -> CostItem | None:
    """Return what it costs that a wall begins on ``count``, or None for the start of a phrase."""
    position = bisect_right(grid.phrases, count) - 1
    if position >= 0:
        into = count - grid.phrases[position]
    else:
        into = (count - grid.phrases[0]) % grid.usual_phrase if grid.phrases else 0
    regular = into % unit == 0
    if regular and into >= grid.usual_phrase and position >= 0:
        # the last counts of a long odd phrase are inside it, wherever whole periods would lie
        regular = all(start != grid.phrases[position] for start, _ in grid.odd_phrases)
    if into == 0 or (regular and unit == grid.usual_phrase):
        return None
    facts = {"song_count": count, "counts_into_phrase": into}
    if regular:
        return CostItem("own-period", costs.own_period, 0, facts)
    if _starts_on(grid.eights, count, grid.eight):
        return CostItem("off-phrase", costs.off_phrase, 0, facts)
    if _starts_on(grid.bars, count, grid.beats_per_bar):
        return CostItem("off-eight", costs.off_eight, 0, facts)
    return CostItem("off-bar", costs.off_bar, 0, facts)


def _starts_on(places: tuple[int, ...], count: int, length: int) -> bool:
    """Tell whether a whole eight or bar starts on ``count``, not the stump of one at the end of a phrase."""
    position = bisect_right(places, count) - 1
    if position < 0 or places[position] != count:
        return False
    return position + 1 == len(places) or places[position + 1] - count >= length


def starts(plan: Outline, grid: CountGrid) -> tuple[int, ...]:
    """Return the counts on which the dance may begin: eights and phrases of the opening, and those asked for.

    The opening is the first 96 counts after the first "one", or up to where the music invites the dance,
    whichever is longer, and never the last quarter of the song.
    """
    until = max(grid.first_one + 96, grid.invited or 0)
    until = min(until, grid.counts * 3 // 4)
    found = {at for at in (*grid.eights, *grid.phrases) if at <= until}
    asked = [grid.invited]
    if plan.stated_intro is not None:
        asked.append(grid.first_one + plan.stated_intro)
    found |= {at for at in asked if at is not None and 0 <= at < grid.counts}
    return tuple(sorted(found)) or (min(grid.first_one, grid.counts - 1),)


def _plain_starts(plan: Outline, grid: CountGrid, costs: Costs, begins: tuple[int, ...]) -> tuple[int, ...]:
    unit = period(plan, grid)
    on_phrase = tuple(at for at in begins if wall_item(grid, unit, costs, at) is None)
    asked = asked_start(plan, grid)
    return (asked,) if asked in on_phrase else on_phrase or begins


def asked_start(plan: Outline, grid: CountGrid) -> int | None:
    """Return the count on which the sheet, or else the music, asks the dance to begin, or None."""
    asked = grid.invited if plan.stated_intro is None else grid.first_one + plan.stated_intro
    return asked if asked is not None and 0 <= asked < grid.counts else None


def start_items(plan: Outline, grid: CountGrid, costs: Costs, at: int) -> list[CostItem]:
    """Return what it costs that the dance begins on ``at``, besides what the first wall costs there."""
    wait = at - grid.first_one
    facts = {"wait_counts": wait}
    stated = None if plan.stated_intro is None else grid.first_one + plan.stated_intro
    # a sheet's intro is that of its own song: begun elsewhere, the dance must still suit this song's opening
    asked = max((count for count in (stated, grid.invited) if count is not None), default=None)
    if asked is None:
        asked = grid.first_one + max(costs.usual_waits)
    items = []
    if at != stated:
        if stated is not None:
            items.append(
                CostItem("other-intro", costs.other_intro, 0, {**facts, "stated": plan.stated_intro})
            )
        if grid.invited is not None and at != grid.invited:
            items.append(
                CostItem("uninvited", costs.uninvited, 0, {**facts, "invited": grid.invited - grid.first_one})
            )
        items += _wait_items(wait, plan.eight, costs)
    if at != asked_start(plan, grid) and wall_item(grid, period(plan, grid), costs, at):
        items.append(CostItem("start-inside", costs.start_inside, 0, facts))
    late = max(0, at - asked) // plan.eight
    if late:
        items.append(CostItem("late-start", late * costs.late_eight, 0, {**facts, "late_eights": late}))
    return items


def _wait_items(wait: int, eight: int, costs: Costs) -> list[CostItem]:
    facts = {"wait_counts": wait}
    if wait < eight:
        return [CostItem("no-wait", costs.no_wait, 0, facts)]
    # sixteen and thirty-two are the usual waits of a 4/4 song; two or four sixes are the same thing in 3/4
    usual = {waited // 8 * eight for waited in costs.usual_waits}
    if wait in usual:
        return []
    if wait % eight == 0:
        return [CostItem("rare-wait", costs.rare_wait, 0, facts)]
    return [CostItem("unusual-wait", costs.unusual_wait, 0, facts)]


def _plain_stages(plan: Outline, costs: Costs, changes: str) -> tuple[Stage, ...]:
    """One stage for each wall up to the last that the sheet changes, then one for all others."""
    part = plan.parts[0]
    told = max((wall for shape in plan.stated for wall in shape.walls), default=0)
    stages = []
    for wall in range(1, told + 2):
        own = next((shape for shape in plan.stated if wall in shape.walls), None)
        options: list[Option] = []
        if own is None or changes != "stated":
            options += _options(part, plan, costs, changes, own)
        if own is not None and changes != "none":
            options.append(_shape_option(part, own, "stated", costs))
        stages.append(Stage(tuple(options), _tails(part, costs, own, changes), min(wall, told)))
    return tuple(stages)


def _phrased_stages(plan: Outline, costs: Costs, changes: str) -> tuple[Stage, ...]:
    """One stage for each part in order; after the last the dance may stop or begin its order again."""
    stages = []
    for position, part in enumerate(plan.parts):
        options = tuple(_options(part, plan, costs, changes, None))
        stages.append(Stage(options, _tails(part, costs, None, changes), position + 1))
    again = CostItem("repeated-sequence", costs.repeated_sequence)
    first = stages[0]
    options = tuple(_with_items(option, (again,)) for option in first.options)
    tails = tuple(
        replace(tail, items=(*tail.items, again), cost=tail.cost + again.cost) for tail in first.tails
    )
    # after a repeated first part the order goes on at the second
    stages.append(Stage(options, tails, 1, may_stop=True))
    return tuple(stages)


def _options(part: PartOutline, plan: Outline, costs: Costs, changes: str, own: Shape | None) -> list[Option]:
    """Return all ways to dance a wall other than the one the sheet asks for on it."""
    straight = part.straight
    mirrors = part.mirrors and not plan.is_phrased
    options = [Option("straight", straight.length, straight.turn, mirrors, part=part.label)]
    if changes == "any":
        moved = [shape for shape in plan.stated if shape is not own]
        options += [_shape_option(part, shape, "moved", costs) for shape in moved]
        known = {shape.cut_after for shape in plan.stated if shape.cut_after and not shape.tag_counts}
        options += [
            _cut_option(part, cut, plan, costs, mirrors)
            for cut in part.cuts
            if cut.count not in known and _may_cut(cut, plan)
        ]
        options += [_tag_option(part, counts, plan, costs, mirrors) for counts in _tag_lengths(plan)]
    if own is not None:
        dropped = CostItem("dropped-change", costs.dropped_change, 0, _shape_facts(own))
        options = [_with_items(option, (dropped,)) for option in options]
    return options


def _may_cut(cut: Cut, plan: Outline) -> bool:
    # parts of a phrased dance follow the form of the song, which changes at ends of eights only
    return cut.ends_eight if plan.is_phrased else cut.count >= plan.beats_per_bar


def _tag_lengths(plan: Outline) -> tuple[int, ...]:
    return INVENTED_TAGS.get(plan.beats_per_bar, (plan.beats_per_bar,))


def _cut_option(part: PartOutline, cut: Cut, plan: Outline, costs: Costs, mirrors: bool) -> Option:
    facts = {"after_count": cut.count}
    items = [CostItem("invented-restart", costs.invented_change, 0, facts)]
    if not cut.ends_eight:
        items.append(CostItem("inside-eight", costs.inside_eight, 0, facts))
    if cut.inside_figure:
        items.append(CostItem("inside-figure", costs.inside_figure, 0, facts))
    if cut.count < plan.eight:
        items.append(CostItem("early-cut", costs.early_cut, 0, facts))
    right = cut.right_foot or (mirrors and cut.free_foot is part.straight.free_feet[-1])
    if not right:
        items.append(CostItem("last-weight", costs.last_weight, 0, facts))
    other = right and cut.mirrored and not plan.is_phrased
    return Option(
        "cut",
        cut.count,
        cut.turn,
        other,
        tuple(items),
        _total(items),
        cut.turn,
        costs.not_at_front,
        part.label,
        cut_after=cut.count,
        last_weight=not right,
    )


def _tag_option(part: PartOutline, counts: int, plan: Outline, costs: Costs, mirrors: bool) -> Option:
    facts = {"tag_counts": counts, "tag": "hold" if counts % 2 else "sway"}
    items = [CostItem("invented-tag", costs.invented_change, 0, facts)]
    if counts != plan.beats_per_bar:
        items.append(CostItem("odd-tag", costs.odd_tag, 0, facts))
    turn = part.straight.turn
    return Option(
        "tag",
        part.counts + counts,
        turn,
        mirrors,
        tuple(items),
        _total(items),
        turn,
        costs.not_at_front,
        part.label,
        tag_counts=counts,
        tags=(str(facts["tag"]),),
    )


def _shape_option(part: PartOutline, shape: Shape, kind: str, costs: Costs) -> Option:
    price = costs.stated_change if kind == "stated" else costs.moved_change
    item = CostItem(f"{kind}-change", price, 0, _shape_facts(shape))
    end = shape.free_feet[-1]
    other = end is not None and part.start_foot is not end and part.start_foot.value != "B"
    return Option(
        kind,
        shape.length,
        shape.turn,
        other,
        (item,),
        price,
        shape.turns[min(shape.change_at, shape.length)],
        costs.not_at_front if kind == "moved" else 0,
        part.label,
        shape.cut_after,
        shape.tag_counts,
        shape.tags,
    )


def _shape_facts(shape: Shape) -> dict[str, object]:
    return {"after_count": shape.cut_after, "tag_counts": shape.tag_counts, "stated_walls": list(shape.walls)}


def _tails(part: PartOutline, costs: Costs, own: Shape | None, changes: str) -> tuple[Tail, ...]:
    straight = part.straight
    if own is None:
        return (Tail(straight.beat_turns, 1, straight.length, straight),)
    tails = []
    reached = min(own.change_at, straight.length)
    if reached:
        tails.append(Tail(straight.beat_turns, 1, reached, straight))
    if changes != "stated" and reached < straight.length:
        dropped = CostItem("dropped-change", costs.dropped_change, 0, _shape_facts(own))
        tails.append(
            Tail(straight.beat_turns, reached + 1, straight.length, straight, (dropped,), dropped.cost)
        )
    if changes != "none" and reached < own.length:
        item = CostItem("stated-change", costs.stated_change, 0, _shape_facts(own))
        tails.append(Tail(own.beat_turns, reached + 1, own.length, own, (item,), item.cost))
    return tuple(tails)


def _with_items(option: Option, more: tuple[CostItem, ...]) -> Option:
    return replace(option, items=(*option.items, *more), cost=option.cost + sum(item.cost for item in more))
