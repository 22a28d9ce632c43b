"""Dance + song -> Run: which wall begins when, what is cut or added, how it ends, what else was possible."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from noonwall.dance.model import Dance
from noonwall.dance.turns import clock_hour
from noonwall.errors import CannotDance
from noonwall.fit.costs import CostItem, Costs
from noonwall.fit.counts import CountGrid, Music, count_grid
from noonwall.fit.faults import fault
from noonwall.fit.finish import Finish, find_finish, finish_json
from noonwall.fit.outline import Outline, outline_of
from noonwall.fit.problem import Option, Problem, Tail, build_problem, period, start_items, wall_item
from noonwall.fit.solve import Path, solve
from noonwall.fit.wall import RunWall


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another plan and why it loses.

    ``kind`` is "runner-up", "straight" (no change at all) or "stated" (as the sheet says).
    ``more`` are the cost items the best plan does not have, ``spared`` those that only the best plan has.
    """

    kind: str
    cost: int
    start_count: int
    wait_counts: int
    walls: tuple[RunWall, ...]
    items: tuple[CostItem, ...]
    more: tuple[CostItem, ...]
    spared: tuple[CostItem, ...]


@dataclass(frozen=True, slots=True)
class Run:
    """A dance laid on a song.

    ``wait_counts`` are counted from the first "one" of the song; ``idle_counts`` is music left after a
    phrased dance is over. ``items`` are the reasons for ``cost``.
    """

    title: str
    walls: tuple[RunWall, ...]
    wait_counts: int
    start_count: int
    finish: Finish
    cost: int
    items: tuple[CostItem, ...]
    alternatives: tuple[Alternative, ...] = ()
    idle_counts: int = 0

    @property
    def changes(self) -> int:
        """How many walls are cut or have a tag."""
        return sum(bool(wall.change) for wall in self.walls)


def fit(
    dance: Dance,
    music: Music,
    *,
    costs: Costs | None = None,
    runners_up: int = 4,
    pace: Fraction = Fraction(1),
) -> Run:
    """Fit a dance to a song.

    Args:
        dance: the dance; its steps must be complete enough to have whole counts.
        music: what was heard; times in seconds.
        costs: the table that is minimised.
        runners_up: how many other plans to explain, besides "straight" and "stated".
        pace: dancers' counts per heard beat (1/2, 1 or 2).

    Raises:
        CannotDance: the dance has no steps or no whole counts.
        BrokenFile: the song has no usable beats.
    """
    return fit_grid(dance, outline_of(dance), count_grid(music, pace), costs or Costs(), runners_up)


def fit_grid(dance: Dance, plan: Outline, grid: CountGrid, costs: Costs, runners_up: int = 4) -> Run:
    """Fit an outline to a count grid; see :func:`fit`."""
    problem = build_problem(plan, grid, costs)
    paths = solve(problem, 1 + runners_up)
    if not paths:
        raise fault(CannotDance, "fit.no-start", title=plan.title)
    walls, items = describe(problem, paths[0], plan, grid, costs)
    others = [_alternative("runner-up", problem, path, plan, grid, costs, items) for path in paths[1:]]
    if runners_up:
        others += _set_plans(plan, grid, costs, walls, items)
    best = paths[0]
    idle = 0 if best.last else grid.counts - walls[-1].start_count - walls[-1].length
    return Run(
        plan.title,
        walls,
        best.start - grid.first_one,
        best.start,
        find_finish(dance, walls[-1], best.end_facing, grid),
        best.cost,
        items,
        tuple(others),
        idle,
    )


def stated_run(plan: Outline, grid: CountGrid, costs: Costs) -> tuple[RunWall, ...]:
    """Return the walls as the sheet says, begun where that costs least; empty if they cannot be danced."""
    problem = build_problem(plan, grid, costs, "stated")
    paths = solve(problem)
    return describe(problem, paths[0], plan, grid, costs)[0] if paths else ()


def _set_plans(
    plan: Outline, grid: CountGrid, costs: Costs, best_walls: tuple[RunWall, ...], items: tuple[CostItem, ...]
) -> list[Alternative]:
    """Return the plans a teacher always asks about, unless they are the best one."""
    wanted = ["straight"] if any(wall.change for wall in best_walls) else []
    if plan.stated:
        wanted.append("stated")
    found = []
    for kind in wanted:
        problem = build_problem(plan, grid, costs, "none" if kind == "straight" else "stated")
        for path in solve(problem):
            other = _alternative(kind, problem, path, plan, grid, costs, items)
            if other.walls != best_walls:
                found.append(other)
    return found


def _alternative(
    kind: str,
    problem: Problem,
    path: Path,
    plan: Outline,
    grid: CountGrid,
    costs: Costs,
    best_items: tuple[CostItem, ...],
) -> Alternative:
    walls, items = describe(problem, path, plan, grid, costs)
    return Alternative(
        kind,
        path.cost,
        path.start,
        path.start - grid.first_one,
        walls,
        items,
        _without(items, best_items),
        _without(best_items, items),
    )


def _without(items: tuple[CostItem, ...], others: tuple[CostItem, ...]) -> tuple[CostItem, ...]:
    """Return the items that the other plan does not have, each as often as it has more of it."""
    spare = Counter(item.key for item in others)
    left = []
    for item in items:
        if spare[item.key]:
            spare[item.key] -= 1
        else:
            left.append(item)
    return tuple(left)


def describe(
    problem: Problem, path: Path, plan: Outline, grid: CountGrid, costs: Costs
) -> tuple[tuple[RunWall, ...], tuple[CostItem, ...]]:
    """Return the walls of a path and every reason for its cost; the items sum to ``path.cost``."""
    unit = period(plan, grid)
    walls: list[RunWall] = []
    items = list(start_items(plan, grid, costs, path.start))
    moves = [*path.moves, *([path.last] if path.last else [])]
    for number, move in enumerate(moves, 1):
        place = wall_item(grid, unit, costs, move.start)
        if place:
            items.append(replace(place, wall=number))
        stage = problem.stages[move.stage]
        sign = -1 if move.mirrored else 1
        if path.last is move:
            tail = stage.tails[move.option]
            items += [replace(item, wall=number) for item in tail.items]
            walls.append(_last_wall(number, move.start, move.facing, move.mirrored, tail, path, grid))
            continue
        option = stage.options[move.option]
        items += [replace(item, wall=number) for item in option.items]
        at_change = (move.facing + sign * option.change_turn) % 8
        if option.front_cost and at_change:
            items.append(CostItem("not-at-front", option.front_cost, number, {"facing": at_change}))
        walls.append(_wall(number, move.start, move.facing, move.mirrored, option, grid))
    if path.last is None:
        left = grid.counts - walls[-1].start_count - walls[-1].length
        idle = costs.idle_eight * (left // problem.eight)
        if idle:
            items.append(CostItem("idle-music", idle, 0, {"counts": left}))
    if path.end_facing:
        items.append(
            CostItem("finish-not-front", costs.finish_not_front, len(walls), {"facing": path.end_facing})
        )
    return tuple(walls), tuple(items)


def _wall(number: int, start: int, facing: int, mirrored: bool, option: Option, grid: CountGrid) -> RunWall:
    sign = -1 if mirrored else 1
    return RunWall(
        number,
        option.part,
        grid.seconds(start),
        grid.seconds(start + option.length),
        start,
        facing,
        (facing + sign * option.turn) % 8,
        option.length - option.tag_counts,
        option.cut_after,
        option.tag_counts,
        option.tags,
        "" if option.kind == "straight" else option.kind,
        option.last_weight,
        mirrored,
    )


def _last_wall(
    number: int, start: int, facing: int, mirrored: bool, tail: Tail, path: Path, grid: CountGrid
) -> RunWall:
    left = grid.counts - start
    shape = tail.shape
    tags: tuple[str, ...] = ()
    tag_counts, change = 0, ""
    if shape is not None and left > shape.change_at and shape.tag_counts:
        # the song may end inside the tag, or after it inside the rest of the wall
        tags, change = shape.tags, "stated"
        tag_counts = min(left - shape.change_at, shape.tag_counts)
    elif shape is not None and left > shape.change_at:
        change = "stated"
    return RunWall(
        number,
        shape.part if shape else "",
        grid.seconds(start),
        grid.seconds(grid.counts),
        start,
        facing,
        path.end_facing,
        left - tag_counts,
        None,
        tag_counts,
        tags,
        change,
        False,
        mirrored,
    )


def run_json(run: Run) -> dict[str, Any]:
    """Return a run for programs: plain values, facings as clock hours (12, 1.5, 3 ...), times in seconds."""
    return {
        "title": run.title,
        "intro_counts": run.wait_counts,
        "cost": run.cost,
        "walls": [_wall_json(wall) for wall in run.walls],
        "finish": finish_json(run.finish),
        "why": [_item_json(item) for item in run.items],
        "idle_counts": run.idle_counts,
        "alternatives": [
            {
                "kind": other.kind,
                "cost": other.cost,
                "intro_counts": other.wait_counts,
                "walls": [_wall_json(wall) for wall in other.walls],
                "more": [_item_json(item) for item in other.more],
                "spared": [_item_json(item) for item in other.spared],
            }
            for other in run.alternatives
        ],
    }


def _wall_json(wall: RunWall) -> dict[str, Any]:
    return {
        "wall": wall.wall,
        "part": wall.part,
        "start": round(wall.start_seconds, 3),
        "end": round(wall.end_seconds, 3),
        "facing_start": clock_hour(wall.facing_start),
        "facing_end": clock_hour(wall.facing_end),
        "counts": wall.counts,
        "cut_after": wall.cut_after,
        "tag_counts": wall.tag_counts,
        "tags": list(wall.tags),
        "change": wall.change,
        "last_weight": wall.last_weight,
        "mirrored": wall.mirrored,
    }


def _item_json(item: CostItem) -> dict[str, Any]:
    return {"code": item.code, "cost": item.cost, "wall": item.wall, "facts": dict(item.facts)}
