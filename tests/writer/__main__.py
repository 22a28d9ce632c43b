"""Write many random sheets: `python -m tests.writer --count 100 --seed 1 --out DIR`."""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from .author import write
from .errors import KINDS
from .styles import presets


def main() -> None:
    """Write NNN.txt and NNN.json files."""
    parser = argparse.ArgumentParser(prog="python -m tests.writer", description=__doc__)
    parser.add_argument("--count", type=int, default=100, help="how many sheets")
    parser.add_argument("--seed", type=int, default=1, help="seed of the first sheet; the next has seed + 1")
    parser.add_argument("--out", type=Path, required=True, help="folder for the files")
    parser.add_argument("--language", choices=("en", "fr"))
    parser.add_argument(
        "--style",
        type=int,
        help=f"preset number (en 0-{len(presets('en')) - 1}, fr 0-{len(presets('fr')) - 1})",
    )
    parser.add_argument("--errors", choices=(*KINDS, "none", "any"), default="none")
    parser.add_argument("--damage", action="store_true", help="damage characters and spelling")
    given = parser.parse_args()
    given.out.mkdir(parents=True, exist_ok=True)
    width = max(3, len(str(given.count)))
    for number in range(given.count):
        error = None if given.errors == "none" else given.errors
        written = write(given.seed + number, given.language, error, given.damage, given.style)
        name = f"{number + 1:0{width}}"
        truth = {"id": name, "file": f"{name}.txt"} | written.truth
        (given.out / f"{name}.txt").write_text(written.text, encoding="utf-8")
        (given.out / f"{name}.json").write_text(
            json.dumps(truth, ensure_ascii=False, indent=1), encoding="utf-8"
        )


if __name__ == "__main__":
    main()
