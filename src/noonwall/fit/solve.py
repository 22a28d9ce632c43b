"""Exact search for the cheapest plans of a :class:`Problem`.

1. Forward: on which counts can a wall begin at each stage (bit sets).
2. Backward dynamic programme: the least that the rest of the song can cost from each of these places if
   facing did not matter. It never overestimates.
3. Best-first search over (count, stage, facing, mirrored) with that bound. A path leaves the queue in the
   order of its cost, so the first to reach the end is the optimum and the next are the runners-up.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from heapq import heappop, heappush
from operator import add
from typing import Any

from noonwall.fit.problem import Problem, Stage

INFINITE = 1 << 40
FINE = 1 << 12
"""Parts of a point while searching; each changed wall takes one, so that the fewest changes win a draw."""


@dataclass(frozen=True, slots=True)
class Move:
    """One wall of a path: its stage, the index of its option, where it begins and which way it faces."""

    stage: int
    option: int
    start: int
    facing: int
    mirrored: bool


@dataclass(frozen=True, slots=True)
class Path:
    """A whole plan.

    ``moves`` are the walls that another wall (or idle music) follows. The last wall begins at ``start`` of
    ``last`` and takes tail ``last.option``; ``last`` is None if the dance stopped with music left.
    """

    cost: int
    start: int
    moves: tuple[Move, ...]
    last: Move | None
    end_facing: int


@dataclass(frozen=True, slots=True)
class _End:
    parent: _Node | None
    last: Move | None
    facing: int


# the search makes tens of thousands of these, and plain tuples are made several times faster than objects
_State = tuple[int, int, int, bool]
"""Count, stage, facing, mirrored."""
_Node = tuple[Any, int, _State]
"""The node before (or None), the index of the option taken, the state it was taken in."""
_Entry = tuple[int, int, int, int, _State, "_Node | _End | None"]
"""Estimate, minus the count reached, running number, paid so far, state, how one got there."""
_Choice = tuple[int, int, int, int, int, bool, int]
"""Length, cost, turn, turn at the change, cost of changing off the front, other foot, index."""


def solve(problem: Problem, best: int = 1) -> list[Path]:
    """Return the ``best`` cheapest plans, cheapest first; fewer if there are no more.

    Equal plans are not repeated: two plans differ in their start, in a wall's option or in the last wall.
    Of plans that cost the same, the one with fewer changed walls comes first.

    Raises:
        ValueError: the problem has no counts, or an option that does not go forward.
    """
    if problem.counts < 1 or any(o.length < 1 for stage in problem.stages for o in stage.options):
        raise ValueError("a fitting problem needs counts, and options of at least one count")
    problem = _with_changes_counted(problem)
    bounds = lower_bounds(problem)
    queue: list[_Entry] = []
    order = 0
    for start, cost in problem.starts:
        bound = bounds[0][start]
        if bound < INFINITE:
            paid = cost + problem.wall_costs[start]
            heappush(queue, (cost + bound, -start, order, paid, (start, 0, 0, False), None))
            order += 1
    seen: dict[_State, int] = {}
    found: list[Path] = []
    ceiling = _Ceiling(best)
    choices = [_choices(stage) for stage in problem.stages]
    while queue and len(found) < best:
        estimate, _, _, paid, state, node = heappop(queue)
        if isinstance(node, _End):
            found.append(_path(estimate // FINE, node))
            continue
        times = seen.get(state, 0)
        if times >= best:
            continue
        seen[state] = times + 1
        order = _end_here(problem, queue, order, ceiling, paid, state, node)
        after = problem.stages[state[1]].after
        ahead = (choices[state[1]], bounds[after], after)
        order = _go_on(problem, ahead, queue, order, ceiling.limit, paid, state, node)
    return found


def _with_changes_counted(problem: Problem) -> Problem:
    """Return the problem in fine points, with one more for each option that changes a wall."""
    stages = tuple(
        replace(
            stage,
            options=tuple(
                replace(o, cost=o.cost * FINE + (o.kind != "straight"), front_cost=o.front_cost * FINE)
                for o in stage.options
            ),
            tails=tuple(replace(tail, cost=tail.cost * FINE) for tail in stage.tails),
        )
        for stage in problem.stages
    )
    return replace(
        problem,
        wall_costs=tuple(cost * FINE for cost in problem.wall_costs),
        starts=tuple((at, cost * FINE) for at, cost in problem.starts),
        stages=stages,
        finish_cost=problem.finish_cost * FINE,
        idle_cost=problem.idle_cost * FINE,
    )


class _Ceiling:
    """The cost of the ``best``-th cheapest complete plan so far: dearer paths need no place in the queue."""

    def __init__(self, best: int) -> None:
        self.best = best
        self.costs: list[int] = []
        self.limit = INFINITE

    def note(self, cost: int) -> None:
        heappush(self.costs, -cost)
        if len(self.costs) > self.best:
            heappop(self.costs)
        if len(self.costs) == self.best:
            self.limit = -self.costs[0]


def _choices(stage: Stage) -> list[_Choice]:
    return sorted(
        (o.length, o.cost, o.turn, o.change_turn, o.front_cost, o.other_foot, index)
        for index, o in enumerate(stage.options)
    )


def _go_on(
    problem: Problem,
    ahead: tuple[list[_Choice], list[int], int],
    queue: list[_Entry],
    order: int,
    limit: int,
    paid: int,
    state: _State,
    parent: _Node | None,
) -> int:
    """Put every wall that may follow ``state`` into the queue; return the next running number."""
    choices, bounds, after = ahead
    at, _, facing, is_mirrored = state
    sign = -1 if is_mirrored else 1
    counts, wall_costs = problem.counts, problem.wall_costs
    for length, price, turn, change_turn, front_cost, other_foot, index in choices:
        then = at + length
        if then >= counts:
            break
        estimate = paid + price + bounds[then]
        # as many complete plans are known that cost no more: this one cannot improve on them
        if estimate >= limit:
            continue
        cost = paid + price
        if front_cost and (facing + sign * change_turn) % 8:
            cost += front_cost
            estimate += front_cost
            if estimate >= limit:
                continue
        then_state = (then, after, (facing + sign * turn) % 8, is_mirrored ^ other_foot)
        child = (parent, index, state)
        heappush(queue, (estimate, -then, order, cost + wall_costs[then], then_state, child))
        order += 1
    return order


def _end_here(
    problem: Problem,
    queue: list[_Entry],
    order: int,
    ceiling: _Ceiling,
    paid: int,
    state: _State,
    parent: _Node | None,
) -> int:
    """Put every way to end the dance from ``state`` into the queue; return the next running number."""
    at, number, facing, is_mirrored = state
    stage = problem.stages[number]
    left = problem.counts - at
    ends: list[tuple[int, _End]] = []
    for index, tail in enumerate(stage.tails):
        if tail.first <= left <= tail.last:
            end_facing = (facing + (-1 if is_mirrored else 1) * tail.beat_turns[left]) % 8
            cost = paid + tail.cost + (problem.finish_cost if end_facing else 0)
            ends.append((cost, _End(parent, Move(number, index, at, facing, is_mirrored), end_facing)))
    if stage.may_stop:
        # no wall begins here, so where it lies in the music costs nothing
        cost = paid - problem.wall_costs[at] + problem.idle_cost * (left // problem.eight)
        cost += problem.finish_cost if facing else 0
        ends.append((cost, _End(parent, None, facing)))
    for cost, end in ends:
        if cost < ceiling.limit:
            ceiling.note(cost)
            heappush(queue, (cost, -problem.counts, order, cost, state, end))
            order += 1
    return order


def _path(cost: int, end: _End) -> Path:
    moves: list[Move] = []
    node = end.parent
    while node is not None:
        node, index, (at, stage, facing, is_mirrored) = node
        moves.append(Move(stage, index, at, facing, is_mirrored))
    moves.reverse()
    first = moves[0] if moves else end.last
    # the dance cannot stop before its first wall, so there is always one
    assert first is not None
    return Path(cost, first.start, tuple(moves), end.last, end.facing)


def lower_bounds(problem: Problem) -> list[list[int]]:
    """Return for each stage and count the least cost from a wall that begins there to the end of the song.

    Facing is left out of it: no change and no finish costs for not facing 12:00. ``INFINITE`` marks places
    that no path reaches or leaves.
    """
    counts = problem.counts
    longest = max((option.length for stage in problem.stages for option in stage.options), default=1)
    bounds = [[INFINITE] * (counts + longest + 1) for _ in problem.stages]
    reach = reachable(problem)
    tables = [_price_list(stage) for stage in problem.stages]
    tails = [_tail_prices(stage) for stage in problem.stages]
    wall_costs = problem.wall_costs
    for at in range(counts - 1, -1, -1):
        left = counts - at
        bit = 1 << at
        for number, stage in enumerate(problem.stages):
            if not reach[number] & bit:
                continue
            shortest, prices = tables[number]
            ahead = at + shortest
            least = INFINITE
            if prices and ahead < counts:
                least = min(map(add, prices, bounds[stage.after][ahead : ahead + len(prices)]))
            ending = tails[number].get(left, INFINITE)
            least = wall_costs[at] + min(least, ending)
            if stage.may_stop:
                least = min(least, problem.idle_cost * (left // problem.eight))
            bounds[number][at] = min(least, INFINITE)
    return bounds


def reachable(problem: Problem) -> list[int]:
    """Return for each stage a bit set of the counts on which a wall may begin there."""
    inside = (1 << problem.counts) - 1
    reach = [0] * len(problem.stages)
    fresh = [0] * len(problem.stages)
    for start, _ in problem.starts:
        fresh[0] |= 1 << start
    lengths = [sorted({option.length for option in stage.options}) for stage in problem.stages]
    pending = [0]
    while pending:
        number = pending.pop()
        new, fresh[number] = fresh[number] & ~reach[number], 0
        if not new:
            continue
        reach[number] |= new
        after = problem.stages[number].after
        for length in lengths[number]:
            fresh[after] |= (new << length) & inside
        pending.append(after)
    return reach


def _price_list(stage: Stage) -> tuple[int, list[int]]:
    """Return the shortest option's length and the least cost for it and each longer length."""
    if not stage.options:
        return 0, []
    shortest = min(option.length for option in stage.options)
    longest = max(option.length for option in stage.options)
    prices = [INFINITE] * (longest - shortest + 1)
    for option in stage.options:
        prices[option.length - shortest] = min(prices[option.length - shortest], option.cost)
    return shortest, prices


def _tail_prices(stage: Stage) -> dict[int, int]:
    prices: dict[int, int] = {}
    for tail in stage.tails:
        for left in range(tail.first, tail.last + 1):
            prices[left] = min(prices.get(left, INFINITE), tail.cost)
    return prices
