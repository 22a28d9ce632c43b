"""How long printing takes: `python benchmarks/bench_printing.py`; the bar for a sheet is 0.5 s.

Each figure is measured in a fresh interpreter (the first of its kind) and again warm (the median of five).
Timed is the way from the proved dance to the bytes, by the processor's clock: other work does not
show in it.
"""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import time
from pathlib import Path

SHEETS = Path(__file__).parents[1] / "tests" / "data" / "hand"
JOBS = [
    ("sheet", "pdf", name, languages)
    for name in ("english/dev/01", "english/dev/10", "french/dev/06")
    for languages in ("en", "en,fr")
] + [
    ("sheet", "html", "english/dev/10", "en,fr"),
    ("sheet", "docx", "english/dev/10", "en,fr"),
    ("card", "pdf", "english/dev/10", "en"),
    ("chart", "pdf", "english/dev/10", "en"),
]


def measure(kind: str, form: str, name: str, languages: str) -> dict[str, float]:
    """Return milliseconds: the first time and the median of five more."""
    from noonwall.pipeline.printing import Order, make_print, prove_file

    proved = prove_file(SHEETS / f"{name}.txt")
    times = []
    for _ in range(6):
        began = time.process_time()
        make_print(Order(kind, form, tuple(languages.split(","))), proved)
        times.append(1000 * (time.process_time() - began))
    return {"first": times[0], "warm": statistics.median(times[1:])}


def main() -> None:
    if len(sys.argv) > 1:
        print(json.dumps(measure(*sys.argv[1:])))
        return
    print(f"{'what':<14}{'sheet':<18}{'languages':<11}{'first ms':>9}{'warm ms':>9}")
    for kind, form, name, languages in JOBS:
        command = [sys.executable, __file__, kind, form, name, languages]
        done = subprocess.run(command, capture_output=True, text=True, check=True)
        told = json.loads(done.stdout)
        row = f"{kind + ' ' + form:<14}{name:<18}{languages:<11}"
        print(f"{row}{told['first']:>9.0f}{told['warm']:>9.0f}")


if __name__ == "__main__":
    main()
