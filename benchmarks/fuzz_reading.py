"""Look for texts that break the reader or hold it up, guided by coverage.

    pip install atheris
    python benchmarks/fuzz_reading.py [--minutes N] [--found FOLDER] [--seeds FOLDER ...]

Mutates the example sheets (and any folder of .txt given) with atheris, proves each text and keeps going:
every distinct exception (type and place) and every text that takes over a second of processor time is
written to FOLDER with a line on the terminal. The package is slower than usual here, because its coverage
is watched. Exits with 1 if anything was found. atheris needs Linux or macOS; it is no dependency of the
package.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
import traceback
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["noonwall"]):
    from noonwall.pipeline import prove, report

SLOW_SECONDS = 1.0
ROOT = Path(__file__).parents[1]


class Watch:
    """Proves one text after another and keeps what broke."""

    def __init__(self, folder: Path, minutes: float) -> None:
        self.folder = folder
        self.until = time.monotonic() + 60 * minutes
        self.kinds: set[str] = set()
        self.runs = 0
        self.danced = 0
        self.slowest = 0.0

    def one(self, data: bytes) -> None:
        """Prove a text made of any bytes; stop the fuzzing when the time is over."""
        if time.monotonic() > self.until:
            self.close()
        text = data.decode("utf-8", errors="replace")
        self.runs += 1
        before = time.process_time()
        try:
            said = report(prove(text))
            self.danced += "total_counts" in said
        except Exception as error:
            place = traceback.extract_tb(error.__traceback__)[-1]
            self.keep(f"{type(error).__name__} {Path(place.filename).name}:{place.lineno}", str(error), data)
        took = time.process_time() - before
        self.slowest = max(self.slowest, took)
        if took > SLOW_SECONDS:
            self.keep(f"slow {len(data) // 1000} kB", f"{took:.1f} s", data)

    def keep(self, kind: str, told: str, data: bytes) -> None:
        if kind in self.kinds:
            return
        self.kinds.add(kind)
        path = self.folder / f"{len(self.kinds):02d}.txt"
        path.write_bytes(data)
        print(f"FOUND {kind}: {told} -> {path.name}", flush=True)

    def close(self) -> None:
        told = f"{self.runs} texts, {self.danced} of them danced; slowest {self.slowest:.2f} s"
        print(f"{told}; {len(self.kinds)} found")
        sys.stdout.flush()
        # libFuzzer installs its own exit handlers: leave at once
        os._exit(bool(self.kinds))


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--minutes", type=float, default=10)
    parser.add_argument("--found", type=Path, default=Path("fuzz-found"))
    parser.add_argument("--seeds", type=Path, nargs="*", default=[])
    args = parser.parse_args()
    args.found.mkdir(parents=True, exist_ok=True)
    corpus = Path(tempfile.mkdtemp())
    folders = [ROOT / "examples", ROOT / "tests" / "data" / "text" / "cases", *args.seeds]
    for number, path in enumerate(path for folder in folders for path in sorted(folder.glob("*.txt"))):
        (corpus / f"{number:04d}").write_bytes(path.read_bytes())
    watch = Watch(args.found, args.minutes)
    # libFuzzer's own report of slow units counts waiting for other programs too: ours is by processor time
    options = ["-max_len=4096", "-verbosity=0", "-report_slow_units=600", f"-artifact_prefix={args.found}/"]
    atheris.Setup(["fuzz_reading", str(corpus), *options], watch.one)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
