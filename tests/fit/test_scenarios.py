"""Runs worked out by hand: see scenarios.toml for the sums."""

from __future__ import annotations

import tomllib
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from noonwall.dance import Restart
from noonwall.fit import fit
from tests.fit.builders import dance, song, walk

SCENARIOS = tomllib.loads((Path(__file__).parents[1] / "data" / "fit" / "scenarios.toml").read_text("utf-8"))[
    "scenario"
]


@pytest.mark.parametrize("case", SCENARIOS, ids=lambda case: case["name"])
def test_scenario(case: dict[str, Any]) -> None:
    counts = case["counts"]
    restarts = tuple(Restart(wall, Fraction(after)) for wall, after in case.get("restarts", ()))
    run = fit(dance(walk(counts, {counts: -2}), restarts=restarts), song(case["phrases"]))
    assert run.wait_counts == case["wait"]
    changed = [[w.wall, w.change, w.cut_after or 0, w.tag_counts] for w in run.walls if w.change]
    assert changed == case["changes"]
    assert [run.finish.wall, run.finish.count, run.finish.facing] == case["finish"]
    assert run.cost == case["cost"], [(item.code, item.wall, item.cost) for item in run.items]
