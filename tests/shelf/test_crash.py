"""kill -9 at any moment loses nothing acknowledged; a thousand times in benchmarks/crash_shelf.py."""

from __future__ import annotations

import random
import sys
from pathlib import Path

import pytest

from noonwall.shelf import open_shelf
from tests.shelf.conftest import Place
from tests.shelf.crash import WORKS, Acknowledged, check, crash
from tests.shelf.kit import facts

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="Windows has no kill -9")
KILLS = 5


@pytest.mark.parametrize("work", WORKS)
def test_nothing_acknowledged_is_lost(place: Place, tmp_path: Path, work: str) -> None:
    told, chance = Acknowledged(), random.Random(work)
    for _ in range(KILLS):
        crash(place, tmp_path, WORKS[work], chance, told)
    assert told.acknowledgements >= KILLS
    check(place, tmp_path, told)


def test_the_check_sees_a_loss(place: Place, tmp_path: Path) -> None:
    with open_shelf(place, backups=tmp_path / "backups") as shelf:
        shelf.add_dance("here", facts("Here"))
    told = Acknowledged()
    told.hear("text 1 1 here")
    check(place, tmp_path, told)
    told.hear("text 2 1 gone")
    with pytest.raises(AssertionError):
        check(place, tmp_path, told)
