"""How fast a sheet is read, danced and proved, against the plain cost of cutting the same text into tokens.

    python benchmarks/bench_reading.py [--sheets N] [--batch N] [--every N] [--folder N]

Prints median and 95th percentile in milliseconds of processor time over N fresh sheets of about 32 counts
(the process is warm, no sheet was seen before): reading, dancing, proving without and with mends, and
re.findall on words and signs of the same text, with the ratio. --batch proves that many different sheets
in one process and prints the resident memory as it goes; --folder proves that many files on all cores
with pipeline.prove_folder.
"""

from __future__ import annotations

import argparse
import os
import random
import re
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from statistics import median, quantiles
from typing import Any

from noonwall.floor import dance_run
from noonwall.pipeline import prove, prove_folder
from noonwall.text.sheet import read_sheet

sys.path.insert(0, str(Path(__file__).parents[1]))
from tests.writer.author import write

BAR_MILLISECONDS = 2.0
COUNTS = range(28, 37)


def fresh_sheets(number: int, first: int) -> list[str]:
    """Return ``number`` sheets of 28 to 36 counts in both languages, none seen before in this process."""
    found: list[str] = []
    seed = first
    while len(found) < number:
        written = write(seed)
        seed += 1
        if written.truth["total_counts"] in COUNTS and not written.truth.get("parts"):
            found.append(written.text)
    return found


def timed(work: Callable[[Any], object], things: list[Any]) -> list[float]:
    """Return the milliseconds of processor time that ``work`` takes on each thing."""
    took = []
    for thing in things:
        before = time.process_time_ns()
        work(thing)
        took.append((time.process_time_ns() - before) / 1e6)
    return took


def speed(sheets: int) -> None:
    warm = fresh_sheets(20, 900_001)
    for text in warm:
        prove(text)
    token = re.compile(r"\w+|\S")
    groups = [fresh_sheets(sheets, 910_001 + 20_000 * number) for number in range(3)]
    dances = [dance for text in groups[0] if (dance := read_sheet(text).dance) is not None]
    rows = {
        "read": timed(read_sheet, fresh_sheets(sheets, 990_001)),
        "dance the run": timed(dance_run, dances),
        "read, dance, prove": timed(lambda text: prove(text, with_mends=False), groups[1]),
        "the same with mends": timed(prove, groups[2]),
        "cut into tokens": timed(token.findall, groups[1]),
    }
    plain = median(rows["cut into tokens"])
    print("| work | median ms | 95% ms | times the tokens |")
    print("|---|---|---|---|")
    for name, took in rows.items():
        print(
            f"| {name} | {median(took):.2f} | {quantiles(took, n=20)[-1]:.2f} | {median(took) / plain:.0f} |"
        )
    print(f"\n{sheets} fresh sheets of 28 to 36 counts each; the bar for a proof is {BAR_MILLISECONDS:g} ms.")


def varied(texts: list[str], number: int) -> Iterator[str]:
    """Yield ``number`` texts, no two alike by their titles, so that no cache by whole text can help."""
    rng = random.Random(7)
    for place in range(number):
        yield f"Sheet {place} of {rng.random():.6f}\n" + texts[place % len(texts)]


def resident_megabytes() -> float:
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


def batch(number: int, every: int) -> None:
    texts = fresh_sheets(2000 if number >= 20_000 else 200, 700_001)
    print("| sheets proved | resident MB | sheets a second |")
    print("|---|---|---|")
    begun = time.perf_counter()
    for place, text in enumerate(varied(texts, number), 1):
        prove(text, with_mends=False)
        if place % every == 0:
            rate = place / (time.perf_counter() - begun)
            print(f"| {place} | {resident_megabytes():.1f} | {rate:.0f} |", flush=True)


def folder(number: int) -> None:
    texts = fresh_sheets(200, 600_001)
    with tempfile.TemporaryDirectory() as name:
        paths = []
        for place, text in enumerate(varied(texts, number)):
            path = Path(name) / f"{place:06d}.txt"
            path.write_text(text, "utf-8")
            paths.append(path)
        begun = time.perf_counter()
        troubles = sum(bool(done.trouble) for done in prove_folder(paths))
        took = time.perf_counter() - begun
    print(
        f"\n{number} files on {os.cpu_count()} cores: {number / took:.0f} a second, {troubles} with trouble."
    )


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--sheets", type=int, default=200)
    parser.add_argument("--batch", type=int, default=0, help="prove so many sheets and watch the memory")
    parser.add_argument("--every", type=int, default=5000, help="how often to print the memory")
    parser.add_argument("--folder", type=int, default=0, help="prove so many files on all cores")
    args = parser.parse_args()
    if args.sheets:
        speed(args.sheets)
    if args.batch:
        batch(args.batch, args.every)
    if args.folder:
        folder(args.folder)


if __name__ == "__main__":
    main()
