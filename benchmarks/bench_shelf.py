"""How fast a shelf of many dances is filled, opened and searched.

    python benchmarks/bench_shelf.py [--dances N] [--sheets N] [--seed N] [--rounds N] [--place FILE|URL]
                                     [--fill-only]

The texts are sheets of tests/writer, --sheets different ones given new titles; the facts are drawn, not read:
reading 100,000 sheets would take longer than all that is measured here. Steps are drawn as four-count pieces,
a few of them far commoner than the rest, as in real dances. Prints milliseconds over searches that are all
different: median and 95th percentile of wall time, and median processor time of this process (on PostgreSQL
the server works, not this process).
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from statistics import median, quantiles
from typing import Any

from noonwall.shelf import LEVELS, Filters, Incoming, Shelf, open_shelf

sys.path.insert(0, str(Path(__file__).parents[1]))
from tests.writer.author import write

FIGURES = [f"figure-{number}" for number in range(200)]
NAMES = [(f"name of figure {number}", f"nom de figure {number}") for number in range(200)]
FIRST = (
    "Harbour Lantern Slipway Ferry Quai Marée Été Cœur Moulin Rivage Brise Étoile Copper Willow Juniper"
).split()
LAST = "Walk Waltz Stroll Lights Shuffle Valse Danse Pas Nuit Jour Morning Evening Bridge Pont Lueur".split()
PIECES = 2_000
ROUNDS = 60


def drawn(number: int, texts: list[str], chance: random.Random) -> Incoming:
    """Return a dance whose facts are drawn."""
    title = f"{chance.choice(FIRST)} {chance.choice(LAST)} {number}"
    figures = sorted({min(int(chance.expovariate(0.03)), 199) for _ in range(6)})
    # piece 0 is in about every sixth dance, the rarest in one of thousands
    pieces = [min(int(chance.paretovariate(0.6)) - 1, PIECES * chance.randrange(1, 40)) for _ in range(8)]
    shape = [
        (((before * 31 + after) * 4 + at) if at else before, chance.choice("RL"))
        for before, after in zip(pieces, [*pieces[1:], pieces[0]], strict=True)
        for at in range(4)
    ]
    facts: dict[str, Any] = {
        "title": title,
        "language": chance.choice(["en", "en", "en", "fr"]),
        "level": chance.choice(LEVELS),
        "counts": chance.choice([32, 32, 48, 64]),
        "walls": chance.choice([1, 2, 4, 4]),
        "bpm": float(chance.randrange(80, 180)),
        "figures": [FIGURES[one] for one in figures],
        "names": [name for one in figures for name in NAMES[one]],
        "shape": shape,
        "edition": "bench",
    }
    return Incoming(title, f"{title}\n{texts[number % len(texts)]}", facts)


def time_rounds(what: str, act: Callable[[int], object], rounds: int) -> None:
    """Print how long something takes, in milliseconds."""
    spent, worked = [], []
    for turn in range(rounds):
        begun, working = time.perf_counter(), time.process_time()
        act(turn)
        spent.append(1000 * (time.perf_counter() - begun))
        worked.append(1000 * (time.process_time() - working))
    print(f"{what:<46}{median(spent):8.1f}{quantiles(spent, n=20)[-1]:8.1f}{median(worked):10.1f}")


def searches(shelf: Shelf, total: int, rounds: int, chance: random.Random) -> None:
    """Time all that a page of the shelf asks for."""
    print(f"{'milliseconds':<46}{'median':>8}{'95 %':>8}{'processor':>10}")
    rare = [f"{chance.choice(FIRST)} {chance.choice(LAST)} {chance.randrange(total)}" for _ in range(ROUNDS)]
    common = [
        f"{chance.choice(FIRST)} {chance.choice(['right', 'step', 'droit', 'pas'])}" for _ in range(ROUNDS)
    ]

    def timed(what: str, act: Callable[[int], object]) -> None:
        time_rounds(what, act, rounds)

    timed("the first page, all dances by title", lambda turn: shelf.find(order="title"))
    timed("a page in the middle", lambda turn: shelf.find(order="title", page=total // 100 - turn))
    timed("all dances by level", lambda turn: shelf.find(order="level", page=1 + turn))
    timed("all dances, latest taught first", lambda turn: shelf.find(order="taught", page=1 + turn))
    timed("a title typed whole", lambda turn: shelf.find(rare[turn]))
    timed("its first three letters", lambda turn: shelf.find(rare[turn][:3]))
    timed("its first letter", lambda turn: shelf.find(rare[turn][:1]))
    timed("a word of a title and one of most sheets", lambda turn: shelf.find(common[turn]))
    timed("a word of nearly every sheet", lambda turn: shelf.find("step"))
    one = Filters(levels=("beginner",), walls=(4,), bpm_from=100, bpm_to=120)
    timed("level, walls and tempo", lambda turn: shelf.find("", one, "tempo", page=1 + turn % 5))
    timed("two figures", lambda turn: shelf.find("", Filters(figures=(FIGURES[turn], FIGURES[turn + 1]))))
    timed("words, a figure, never taught", lambda turn: shelf.find(
        rare[turn][:4], Filters(figures=(FIGURES[turn],), taught=False)))  # fmt: skip
    timed("dances like this one", lambda turn: shelf.dances_like(1 + (turn * 7919) % total))
    timed("figures with their numbers of dances", lambda turn: shelf.figures_used())
    timed("one dance", lambda turn: shelf.dance(1 + (turn * 7919) % total))
    text, facts = shelf.dance(1).text, shelf.dance(1).facts
    first = shelf.dance(1).version
    timed(
        "a save",
        lambda turn: shelf.save_version(1, f"{text}\n{chance.random()}", facts, based_on=first + turn),
    )


def main() -> None:
    """Fill a shelf and time it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--dances", type=int, default=10_000)
    parser.add_argument("--sheets", type=int, default=1_000)
    parser.add_argument(
        "--seed", type=int, default=1, help="another seed adds other dances to the same --place"
    )
    parser.add_argument("--fill-only", action="store_true", help="add the dances and search nothing")
    parser.add_argument("--rounds", type=int, default=ROUNDS, help="how often each search is timed (3 to 60)")
    parser.add_argument("--place", help="a file or URL; by default a file that is thrown away")
    given = parser.parse_args()
    chance = random.Random(given.seed)
    texts = [write(seed).text for seed in range(given.sheets)]
    with tempfile.TemporaryDirectory() as folder:
        place = given.place or Path(folder) / "shelf.sqlite"
        with open_shelf(place, backups=Path(folder) / "backups") as shelf:
            begun = time.perf_counter()
            sheets: Iterator[Incoming] = (drawn(n, texts, chance) for n in range(given.dances))
            added = sum(1 for _ in shelf.take_in(sheets))
            total = shelf.find(per_page=1).total
            who = shelf.add_class("Tuesday")
            for dance in range(1, min(total, 200)):
                shelf.teach(who, dance, f"2026-{1 + dance % 12:02}-{1 + dance % 28:02}")
            print(f"{added} dances kept in {time.perf_counter() - begun:.1f} s; there are {total}")
            if shelf.place.file:
                print(f"{shelf.place.file.stat().st_size / 1e6:.0f} MB")
        if given.fill_only:
            return
        begun = time.perf_counter()
        with open_shelf(place, backups=Path(folder) / "backups") as shelf:
            print(f"opened in {1000 * (time.perf_counter() - begun):.1f} ms")
            searches(shelf, total, given.rounds, chance)
            begun = time.perf_counter()
            shelf.backup()
            print(f"a backup took {time.perf_counter() - begun:.2f} s")


if __name__ == "__main__":
    main()
