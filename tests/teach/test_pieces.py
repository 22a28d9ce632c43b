"""Where a dance is cut: the optimum against exhaustive search, its reasons, and dances with plain cuts."""

from __future__ import annotations

import re
from dataclasses import asdict
from itertools import combinations, pairwise

import pytest
from hypothesis import HealthCheck, given, settings

from noonwall.dance.model import Dance, Foot, Part
from noonwall.teach.knowing import ClassKnows
from noonwall.teach.pieces import LEAST_COUNTS, MOST_COUNTS, CutCosts, Cutting, _cut, _Table, cut_part
from noonwall.teach.spans import danced, spans_of

from .lesson_kit import ROOT, example, random_dances


def cut(dance: Dance, part: Part | None = None, **more: object) -> Cutting:
    chosen = part or dance.main
    return cut_part(chosen, dance.start_free_foot, beats_per_bar=dance.beats_per_bar, **more)  # type: ignore[arg-type]


def cheapest_of_all(dance: Dance, part: Part) -> int:
    """Try every way to cut a part into pieces of 4 to 16 counts."""
    table = _Table(
        *(part, danced(part, dance.start_free_foot), spans_of(part), ClassKnows(), 110.0),
        *(dance.beats_per_bar, frozenset(), CutCosts()),
    )
    total = table.counts
    why = {count: table.why_cut(count) for count in range(1, total + 1)}
    best = None
    for number in range(total // LEAST_COUNTS + 1):
        for inner in combinations(range(LEAST_COUNTS, total - LEAST_COUNTS + 1), number):
            ends = [0, *inner, total]
            if all(min(LEAST_COUNTS, total) <= b - a <= MOST_COUNTS for a, b in pairwise(ends)):
                cost = sum(_cut(table, why, a, b).cost for a, b in pairwise(ends))
                best = cost if best is None else min(best, cost)
    assert best is not None
    return best


@given(dance=random_dances())
@settings(max_examples=12, derandomize=True, suppress_health_check=list(HealthCheck))
def test_no_way_to_cut_is_cheaper(dance: Dance) -> None:
    for part in dance.parts:
        if 0 < part.counts <= 18:
            assert cut(dance, part).cost == cheapest_of_all(dance, part)


@given(dance=random_dances())
@settings(max_examples=40, derandomize=True, suppress_health_check=list(HealthCheck))
def test_every_count_is_in_one_piece(dance: Dance) -> None:
    for part in dance.parts:
        cuts = cut(dance, part).cuts
        assert [one.at for one in cuts] == [0, *(one.end for one in cuts[:-1])]
        assert cuts[-1].end == part.counts
        assert all(min(LEAST_COUNTS, part.counts) <= one.end - one.at <= MOST_COUNTS for one in cuts)


@pytest.mark.parametrize("name", ["lantern-walk", "tide-table", "paper-boats", "mill-pond-waltz", "two-keys"])
def test_no_figure_is_cut_and_the_reasons_are_the_cost(name: str) -> None:
    dance = example(name)
    cutting = cut(dance)
    ends = {one.end for one in cutting.cuts}
    for span in spans_of(dance.main):
        assert not any(span.at < end < span.end for end in ends), span.figure
    assert cutting.cost == sum(reason.cost for one in cutting.cuts for reason in one.why)
    assert cutting.cost_at_sections is not None and cutting.cost <= cutting.cost_at_sections


def test_even_eights_are_learned_in_eights() -> None:
    """Four eights of like difficulty that end on one foot and face a wall: common practice, no source."""
    assert [(one.at, one.end) for one in cut(example("lantern-walk")).cuts] == [
        (0, 8),
        (8, 16),
        (16, 24),
        (24, 32),
    ]


def test_a_sheet_cut_across_its_music_is_learned_otherwise() -> None:
    """The sheet has a heading for each figure; two of them together are what a class can hold."""
    cutting = cut(example("rope-and-pulley"))
    assert [(one.at, one.end) for one in cutting.cuts] == [(0, 8), (8, 16), (16, 24), (24, 32), (32, 40)]
    assert cutting.cost_at_sections is not None and cutting.cost < cutting.cost_at_sections


def test_a_hard_eight_is_halved_if_its_middle_lets_a_learner_stop() -> None:
    dance = example("paper-boats")
    costs = CutCosts(too_hard=400)
    assert (0, 4) in [(one.at, one.end) for one in cut(dance, costs=costs).cuts]


def test_a_restart_is_a_good_place_to_stop() -> None:
    dance = example("tide-table")
    reasons = [reason.id for reason in cut(dance, restarts=frozenset({16})).cuts[1].why]
    assert "restart-here" in reasons


def test_a_waltz_is_learned_in_sixes() -> None:
    cuts = cut(example("mill-pond-waltz")).cuts
    assert [one.end for one in cuts] == [6, 12, 18, 24]
    assert "end-of-six" in [reason.id for reason in cuts[0].why]


def test_a_part_without_counts_has_no_piece() -> None:
    assert cut_part(Part("main", "main", example("tide-table").main.counts * 0, ()), Foot.RIGHT).cuts == ()


def test_the_page_about_lessons_tells_the_costs_as_they_are() -> None:
    page = (ROOT / "docs" / "lessons.md").read_text("utf-8")
    rows = dict(re.findall(r"^\| `(\w+)`: .* \| (-?\d+) \|$", page, re.MULTILINE))
    assert {name: int(points) for name, points in rows.items()} == asdict(CutCosts())
