"""Kill a process that works on a shelf, again and again, and hold the shelf to all that was acknowledged.

    python benchmarks/crash_shelf.py [--kills N] [--postgres] [--work save|take_in|bring_in|back_up]

Each kill is SIGKILL at a random moment. After every twenty a new shelf is begun, so that opening, filling
and growing are all hit. Prints kills, acknowledgements and losses by kind of work; ends with status 1 if
anything was lost. For PostgreSQL run it as .ci/postgres python benchmarks/crash_shelf.py --postgres.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))
from tests.shelf.conftest import postgres_place
from tests.shelf.crash import WORKS, Acknowledged, check, crash

ROUND = 20


def one_round(name: str, kills: int, is_postgres: bool, chance: random.Random) -> tuple[int, str]:
    """Return how much was acknowledged in one round on a new shelf, and what was lost ("" for nothing)."""
    told = Acknowledged()
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        place, drop = postgres_place() if is_postgres else (folder / "shelf.sqlite", lambda: None)
        try:
            for _ in range(kills):
                crash(place, folder, WORKS[name], chance, told)
            check(place, folder, told)
        except Exception as error:
            return told.acknowledgements, f"{type(error).__name__}: {error}"
        finally:
            drop()
    return told.acknowledgements, ""


def main() -> int:
    """Kill and check."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=1000)
    parser.add_argument("--postgres", action="store_true", help="on the server of .ci/postgres")
    parser.add_argument("--work", choices=WORKS, help="one kind of work only")
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    chance, begun = random.Random(given.seed), time.perf_counter()
    names = [given.work] if given.work else list(WORKS)
    lost: list[str] = []
    for name in names:
        kills = acknowledged = 0
        while kills < given.kills // len(names):
            now = min(ROUND, given.kills // len(names) - kills)
            heard, loss = one_round(name, now, given.postgres, chance)
            kills, acknowledged = kills + now, acknowledged + heard
            if loss:
                lost.append(f"{name}: {loss}")
        print(
            f"{name:<10}{kills:6} kills{acknowledged:9} acknowledged{len(lost):4} losses so far", flush=True
        )
    print(f"{time.perf_counter() - begun:.0f} s")
    for loss in lost:
        print(loss)
    return 1 if lost else 0


if __name__ == "__main__":
    sys.exit(main())
