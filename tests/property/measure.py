"""Measure how many dances survive writing and reading: `python -m tests.property.measure`."""

from __future__ import annotations

import argparse
import time
from collections import Counter

from noonwall.dance.model import Dance
from noonwall.text.sheet import read_sheet
from noonwall.text.write import write_sheet
from tests.text.same import same_dance
from tests.writer.author import write as write_randomly

from .dances import random_dance
from .sources import Seeded


def main() -> None:
    """Print how many dances are the same after writing and reading, and print the same again."""
    parser = argparse.ArgumentParser(prog="python -m tests.property.measure", description=__doc__)
    parser.add_argument("--count", type=int, default=500, help="how many dances")
    parser.add_argument("--seed", type=int, default=1, help="seed of the first dance; the next has seed + 1")
    parser.add_argument("--language", choices=("en", "fr", "fr-CA"), default="en", help="written language")
    parser.add_argument(
        "--sheets", choices=("en", "fr"), help="take what the reader makes of random sheets in this language"
    )
    parser.add_argument("--show", type=int, default=0, help="how many failures to show in full")
    given = parser.parse_args()
    same = fixed = shown = total = 0
    kinds: Counter[str] = Counter()
    begun = time.process_time()
    for seed in range(given.seed, given.seed + given.count):
        dance = _dance(seed, given.language, given.sheets)
        if dance is None:
            continue
        total += 1
        text = write_sheet(dance, given.language)
        again = read_sheet(text).dance
        differences = same_dance(dance, again) if again else ["nothing read"]
        same += not differences
        fixed += bool(again) and write_sheet(again, given.language) == text
        if differences:
            kinds[differences[0].split(":")[0]] += 1
            if shown < given.show:
                shown += 1
                print(f"--- seed {seed}\n{text}\n" + "\n".join(differences))
    seconds = time.process_time() - begun
    print(f"{given.language}: {same} of {total} the same, {fixed} print the same again; {seconds:.1f} s")
    for kind, number in kinds.most_common():
        print(f"  {number} {kind}")


def _dance(seed: int, language: str, sheets: str | None) -> Dance | None:
    """Return a random dance, or the one the reader finds in a random sheet (None if it finds none)."""
    if sheets is None:
        return random_dance(Seeded(seed), language[:2])
    return read_sheet(write_randomly(seed, sheets, None, False, None).text).dance


if __name__ == "__main__":
    main()
