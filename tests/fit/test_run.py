"""Runs as a whole: phrased dances, mirrored walls, runners-up, JSON, speed of import."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import replace
from fractions import Fraction

import pytest

from noonwall.dance import Foot, Restart, Tag
from noonwall.errors import BrokenFile
from noonwall.fit import COST_CODES, Costs, as_danced, fit, run_json
from noonwall.floor import dance_run
from tests.fit.builders import dance, part, song, walk


def test_a_phrased_dance_follows_its_order_and_stops_with_the_song() -> None:
    first, second = walk(32, {32: 4}, "A", "part"), walk(16, label="B", kind="part")
    danced = dance(first, second, sequence=("A", "B", "A"))
    run = fit(danced, song([16, 32, 16, 32]))
    assert [(wall.part, wall.counts, wall.facing_start) for wall in run.walls] == [
        ("A", 32, 0),
        ("B", 16, 4),
        ("A", 32, 4),
    ]
    assert (run.cost, run.idle_counts, run.finish.facing) == (0, 0, 0)


def test_a_phrased_dance_may_cut_a_part_at_the_end_of_an_eight() -> None:
    first, second = walk(32, label="A", kind="part"), walk(32, label="B", kind="part")
    danced = dance(first, second, sequence=("A", "B") * 7)
    run = fit(danced, song([16, 32, 32, 32, 24, *[32] * 10]))
    assert [(w.wall, w.part, w.cut_after) for w in run.walls if w.change] == [(4, "B", 24)]


def test_music_left_after_a_phrased_dance_is_said() -> None:
    danced = dance(walk(32, label="A", kind="part"), walk(32, label="B", kind="part"), sequence=("A", "B"))
    run = fit(danced, song([16, 32, 32, 16]))
    assert run.idle_counts == 16
    assert [item.code for item in run.items] == ["idle-music"]
    assert [wall.part for wall in run.walls] == ["A", "B"]


def test_a_phrased_dance_begins_again_in_a_long_song() -> None:
    danced = dance(walk(32, label="A", kind="part"), walk(32, label="B", kind="part"), sequence=("A", "B"))
    run = fit(danced, song([16, *[32] * 8]))
    assert "".join(wall.part for wall in run.walls) == "ABABABAB"
    assert [item.code for item in run.items] == ["repeated-sequence"] * 3


def test_a_dance_that_ends_on_its_other_foot_is_danced_mirrored() -> None:
    odd = dance(part("main", "RLRLRLRLRLRLRLR-", {16: 2}))
    run = fit(odd, song([16, 16, 16, 16, 16]))
    assert [wall.mirrored for wall in run.walls] == [False, True, False, True]
    assert [wall.facing_start for wall in run.walls] == [0, 2, 0, 2]


def test_an_invented_tag_of_a_mirrored_dance_begins_on_the_free_foot() -> None:
    odd = dance(part("main", "RL" * 15 + "R-"))
    run = fit(odd, song([16, 32, 32, 36, *[32] * 8]))
    assert [(wall.wall, wall.change, wall.tag_counts) for wall in run.walls if wall.change] == [(3, "tag", 4)]
    floor = dance_run(as_danced(odd, run), len(run.walls))
    tag = [moment for moment in floor.walls[2].moments if moment.step.move == "sway"]
    assert [moment.step.foot for moment in tag] == [Foot.LEFT, Foot.RIGHT] * 2
    assert floor.walls[3].stance_start.free_foot is Foot.LEFT


def test_a_cut_on_the_wrong_foot_changes_the_last_weight() -> None:
    # 23 steps in the first 24 counts leave the left foot free, 30 in all the right one
    danced = dance(part("main", "-" + "RL" * 11 + "R" + "LRLRLRL-"))
    run = fit(danced, song([16, 32, 32, 32, 24, *[32] * 8]))
    cut = next(wall for wall in run.walls if wall.change)
    assert (cut.cut_after, cut.last_weight) == (24, True)
    floor = dance_run(as_danced(danced, run), len(run.walls))
    after = floor.walls[cut.wall]
    assert after.stance_start.free_foot is Foot.RIGHT
    assert not any(moment.problem for moment in floor.walls[cut.wall - 1].moments)


def test_runners_up_come_in_order_and_the_set_plans_are_there() -> None:
    danced = dance(walk(32, {32: -2}), restarts=(Restart(2, Fraction(16)),))
    run = fit(danced, song([16, 32, 32, 32, 36, *[32] * 6]), runners_up=4)
    kinds = [other.kind for other in run.alternatives]
    assert kinds == ["runner-up"] * 4 + ["straight", "stated"]
    costs = [other.cost for other in run.alternatives[:4]]
    assert costs == sorted(costs) and run.cost <= costs[0]
    straight, stated = run.alternatives[4:]
    assert not any(wall.change for wall in straight.walls)
    assert [wall.wall for wall in stated.walls if wall.change] == [2]


def test_the_sheets_intro_is_kept_unless_the_music_speaks_against_it() -> None:
    danced = dance(walk(32), intro_counts=32)
    assert fit(danced, song([16, 16, *[32] * 4], intro_phrases=1)).wait_counts == 32
    # 20 counts in, the class would be off the music for the whole song
    danced = dance(walk(32), intro_counts=20)
    run = fit(danced, song([16, *[32] * 8]))
    assert run.wait_counts == 16
    assert "other-intro" in [item.code for item in run.items]


def test_costs_can_be_changed() -> None:
    music, danced = song([16, 32, 36, 32, 32]), dance(walk(32))
    assert fit(danced, music).changes == 0
    assert fit(danced, music, costs=replace(Costs(), invented_change=5)).changes == 1


def test_json_is_plain_and_complete() -> None:
    tag = part("Tag", "RLRL", kind="tag")
    danced = dance(walk(32, {32: 3}), tag, tags=(Tag(1, Fraction(32), "Tag"),))
    data = json.loads(json.dumps(run_json(fit(danced, song([16, 36, *[32] * 6])))))
    wall = data["walls"][0]
    assert {key: wall[key] for key in ("wall", "start", "end", "facing_start", "facing_end", "counts")} == {
        "wall": 1,
        "start": 8.0,
        "end": 26.0,
        "facing_start": 12,
        "facing_end": 4.5,
        "counts": 32,
    }
    assert (wall["cut_after"], wall["tag_counts"]) == (None, 4)
    assert data["finish"]["wall"] == 7
    codes = {item["code"] for other in data["alternatives"] for item in other["more"]}
    assert codes and codes <= set(COST_CODES)


def test_a_song_without_beats_is_refused() -> None:
    with pytest.raises(BrokenFile, match="no beats to count"):
        fit(dance(walk(32)), replace(song([16, 32]), beats=()))


def test_no_heavy_library_is_loaded() -> None:
    heavy = ("numpy", "scipy", "dask", "distributed")
    script = f"import noonwall.fit, sys; print([name for name in {heavy} if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
