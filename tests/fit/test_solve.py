"""The search against exhaustive search: equal cost, always."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from noonwall.fit.problem import Option, Problem, Stage, Tail
from noonwall.fit.solve import Move, Path, lower_bounds, solve

Plan = tuple[int, tuple[object, ...]]


def every_plan(problem: Problem) -> Iterator[Plan]:
    """Give the cost and the choices of every plan there is, by trying all of them."""

    def onwards(
        at: int, number: int, facing: int, side: int, cost: int, made: tuple[object, ...]
    ) -> Iterator[Plan]:
        stage = problem.stages[number]
        left = problem.counts - at
        if stage.may_stop:
            idle = left // problem.eight * problem.idle_cost
            yield cost + idle + (problem.finish_cost if facing % 8 else 0), (*made, "stop")
        cost += problem.wall_costs[at]
        for index, tail in enumerate(stage.tails):
            if tail.first <= left <= tail.last:
                end = facing + side * tail.beat_turns[left]
                finish = problem.finish_cost if end % 8 else 0
                yield cost + tail.cost + finish, (*made, ("end", index))
        for index, option in enumerate(stage.options):
            if at + option.length < problem.counts:
                aside = (facing + side * option.change_turn) % 8 != 0
                yield from onwards(
                    at + option.length,
                    stage.after,
                    facing + side * option.turn,
                    -side if option.other_foot else side,
                    cost + option.cost + (option.front_cost if aside else 0),
                    (*made, index),
                )

    for start, cost in problem.starts:
        yield from onwards(start, 0, 0, 1, cost, (start,))


def cost_of(problem: Problem, path: Path) -> int:
    """Add up a path step by step, and check that each wall begins where and as the one before it ended."""
    cost = dict(problem.starts)[path.start]
    at, number, facing, mirrored = path.start, 0, 0, False
    for move in path.moves:
        assert (move.start, move.stage, move.facing, move.mirrored) == (at, number, facing, mirrored)
        option = problem.stages[number].options[move.option]
        sign = -1 if mirrored else 1
        cost += problem.wall_costs[at] + option.cost
        cost += option.front_cost if (facing + sign * option.change_turn) % 8 else 0
        facing = (facing + sign * option.turn) % 8
        at, number, mirrored = at + option.length, problem.stages[number].after, mirrored ^ option.other_foot
    left = problem.counts - at
    if path.last is None:
        assert problem.stages[number].may_stop
        cost += problem.idle_cost * (left // problem.eight)
    else:
        assert (path.last.start, path.last.stage, path.last.facing) == (at, number, facing)
        tail = problem.stages[number].tails[path.last.option]
        assert tail.first <= left <= tail.last
        cost += problem.wall_costs[at] + tail.cost
        facing = (facing + (-1 if mirrored else 1) * tail.beat_turns[left]) % 8
    assert facing == path.end_facing
    return cost + (problem.finish_cost if facing else 0)


PRICES = st.integers(0, 9)
TURNS = st.integers(-4, 4)


@st.composite
def options(draw: st.DrawFn) -> Option:
    return Option(
        draw(st.sampled_from(("cut", "straight"))),
        draw(st.integers(1, 6)),
        draw(TURNS),
        draw(st.booleans()),
        cost=draw(PRICES),
        change_turn=draw(TURNS),
        front_cost=draw(st.integers(0, 3)),
    )


@st.composite
def tails(draw: st.DrawFn) -> Tail:
    first = draw(st.sampled_from((1, 1, 1, 2, 4)))
    last = draw(st.integers(first, 8))
    turns = draw(st.lists(TURNS, min_size=last + 1, max_size=last + 1))
    return Tail(tuple(turns), first, last, cost=draw(PRICES))


@st.composite
def problems(draw: st.DrawFn) -> Problem:
    counts = draw(st.integers(1, 12))
    size = draw(st.integers(1, 3))
    stages = tuple(
        Stage(
            tuple(draw(st.lists(options(), min_size=1, max_size=3))),
            tuple(draw(st.lists(tails(), max_size=2) | st.lists(tails(), min_size=1, max_size=2))),
            # any order of stages, also one that comes back: the search must not care
            draw(st.integers(0, size - 1)),
            number > 0 and draw(st.booleans()),
        )
        for number in range(size)
    )
    starts = draw(st.lists(st.integers(0, counts - 1), min_size=1, max_size=3, unique=True))
    return Problem(
        counts,
        tuple(draw(st.lists(PRICES, min_size=counts, max_size=counts))),
        tuple((at, draw(PRICES)) for at in starts),
        stages,
        draw(st.integers(0, 4)),
        draw(st.integers(0, 4)),
        4,
    )


def _option(problem: Problem, move: Move) -> Option:
    return problem.stages[move.stage].options[move.option]


def fewest(problem: Problem, plans: list[Plan], least: list[int]) -> list[int]:
    """Return the fewest changed walls among the plans that cost the least."""
    found = []
    for cost, (_, *choices) in plans:
        number, changed = 0, 0
        for choice in choices:
            if isinstance(choice, int):
                changed += problem.stages[number].options[choice].kind != "straight"
                number = problem.stages[number].after
        if cost in least:
            found.append(changed)
    return [min(found)] if found else []


@settings(max_examples=2000, deadline=None)
@given(problems(), st.integers(1, 6))
def test_the_cheapest_plans_cost_what_exhaustive_search_finds(problem: Problem, best: int) -> None:
    plans = list(every_plan(problem))
    everything = sorted(cost for cost, _ in plans)
    found = solve(problem, best)
    assert [path.cost for path in found] == everything[:best]
    assert len(set(found)) == len(found), "no plan is offered twice"
    changed = [sum(_option(problem, move).kind != "straight" for move in path.moves) for path in found]
    assert changed[:1] == fewest(problem, plans, everything[:1])
    for path in found:
        assert cost_of(problem, path) == path.cost


@settings(max_examples=300, deadline=None)
@given(problems())
def test_the_bound_never_overestimates(problem: Problem) -> None:
    bounds = lower_bounds(problem)
    cheapest: dict[int, int] = {}
    for cost, choices in every_plan(problem):
        start = choices[0]
        assert isinstance(start, int)
        cheapest[start] = min(cheapest.get(start, cost), cost)
    for start, price in problem.starts:
        if start in cheapest:
            assert price + bounds[0][start] <= cheapest[start]


def test_a_song_that_no_plan_fills_gives_no_plan() -> None:
    stage = Stage((Option("straight", 4, 0),), (Tail((0,), 1, 0),), 0)
    assert solve(Problem(8, (0,) * 8, ((0, 0),), (stage,)), 3) == []


@pytest.mark.parametrize("length", [0, -1])
def test_a_wall_must_go_forward(length: int) -> None:
    stage = Stage((Option("straight", length, 0),), (), 0)
    with pytest.raises(ValueError, match="at least one count"):
        solve(Problem(4, (0,) * 4, ((0, 0),), (stage,)))
