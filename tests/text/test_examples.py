"""The sheets under examples/ check clean, and are as varied as their list says."""

from __future__ import annotations

from pathlib import Path

import pytest

from noonwall.pipeline import prove_file, report
from tests.text.facts import remarks

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.txt"))
#: Language, counts, walls and turn of a wall, as their author meant them.
MEANT: dict[str, tuple[str, int, int | None, int | None]] = {
    "la-bouee-rouge": ("fr", 32, 2, -180),
    "lantern-walk": ("en", 32, 4, -90),
    "le-bal-des-patineurs": ("fr", 32, 4, -270),
    "mill-pond-waltz": ("en", 24, 4, -90),
    "paper-boats": ("en", 48, 2, -180),
    "quai-des-lanternes": ("fr", 32, 4, 90),
    "rope-and-pulley": ("en", 40, 4, -90),
    "tide-table": ("en", 32, 2, -180),
    "two-keys": ("en", 48, 1, None),
    "valse-du-moulin": ("fr", 24, 2, -180),
}
# paper-boats turns -180 -360 +180 +180 in all -180; le-bal-des-patineurs -90 -180


def test_every_example_is_listed() -> None:
    assert [path.stem for path in EXAMPLES] == list(MEANT)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_an_example_checks_clean(path: Path) -> None:
    found = report(prove_file(path))
    assert remarks(found, "wrong", "doubtful") == []
    assert found["not_understood"] == []


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_an_example_is_read_as_meant(path: Path) -> None:
    found = report(prove_file(path))
    language, counts, walls, turn = MEANT[path.stem]
    assert (found["language"], found["total_counts"], found["walls"]) == (language, counts, walls)
    assert found["turn_sum_degrees"] == turn
    assert found["free_foot_start"] == found["free_foot_end"]


def test_the_examples_show_a_waltz_a_phrased_dance_and_a_whole_run() -> None:
    found = {path.stem: report(prove_file(path)) for path in EXAMPLES}
    assert {name for name, one in found.items() if one["meter"] == "3/4"} == {
        "mill-pond-waltz",
        "valse-du-moulin",
    }
    assert found["two-keys"]["sequence"] == list("AABAABBA")
    tide = found["tide-table"]
    assert [(row["wall"], row["after_count"], row["facing"]) for row in tide["restarts"]] == [(3, 16, 6)]
    assert [(row["after_wall"], row["counts"], row["facing"]) for row in tide["tags"]] == [(5, 4, 6)]
    assert (tide["ending"]["wall"], tide["ending"]["after_count"], tide["ending"]["facing"]) == (8, 8, 12)
    buoy = found["la-bouee-rouge"]
    assert [(row["wall"], row["facing"]) for row in buoy["restarts"]] == [(5, 6)]
    assert [(row["after_wall"], row["facing"]) for row in buoy["tags"]] == [(2, 12)]
