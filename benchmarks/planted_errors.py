"""How many planted mistakes are found, and how many clean sheets raise a false alarm.

    python benchmarks/planted_errors.py [--count N] [--first SEED] [--damage] [--misses FILE]

Writes N sheets per kind of mistake and N clean ones with tests.writer, which shares nothing with the
package, proves each and prints a Markdown table. A mistake is caught by a finding "wrong" or "doubtful"
on its very line; a line that is missing stands between two others, so there a finding on the line with
steps above or below counts. "In section" counts findings anywhere in the same section. A mistake is
detectable if the sheet holds evidence of it (a facing note, the walls, a heading). A clean sheet raises a
false alarm by a finding "wrong"; "doubtful" is given beside it.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TextIO

from noonwall.pipeline import Proved, prove, report

sys.path.insert(0, str(Path(__file__).parents[1]))
from tests.text.facts import differences
from tests.writer.author import write
from tests.writer.errors import KINDS

ALARMS = ("wrong", "doubtful")


@dataclass(slots=True)
class Tally:
    """What became of the sheets with one kind of mistake."""

    sheets: int = 0
    detectable: int = 0
    caught: int = 0
    in_section: int = 0
    anywhere: int = 0
    caught_undetectable: int = 0
    codes: Counter[str] = field(default_factory=Counter)

    def row(self, name: str) -> str:
        share = self.caught / self.detectable if self.detectable else 0
        near = self.in_section / self.detectable if self.detectable else 0
        undetectable = f"{self.caught_undetectable} of {self.sheets - self.detectable}"
        return (
            f"| {name} | {self.sheets} | {self.detectable} | {self.caught} ({share:.1%}) |"
            f" {near:.1%} | {undetectable} |"
        )

    def add(self, other: Tally) -> None:
        self.sheets += other.sheets
        self.detectable += other.detectable
        self.caught += other.caught
        self.in_section += other.in_section
        self.anywhere += other.anywhere
        self.caught_undetectable += other.caught_undetectable


def section_lines(proved: Proved, line: int) -> range:
    """Return the lines from the heading above ``line`` up to the heading below it."""
    headings = [each.number for each in proved.reading.account if each.kind in ("heading", "header")]
    above = max((number for number in headings if number <= line), default=1)
    below = min((number for number in headings if number > line), default=len(proved.reading.lines) + 1)
    return range(above, below)


def lines_of_mistake(proved: Proved, planted: dict[str, Any]) -> set[int]:
    """Return the line of a mistake, or for a missing line the lines of steps on both sides of the gap."""
    line: int = planted["line"]
    if planted["kind"] != "dropped_count":
        return {line}
    counted = [each.number for each in proved.reading.account if each.kind == "counted"]
    above = [number for number in counted if number < line][-1:]
    below = [number for number in counted if number >= line][:1]
    return {line, *above, *below}


def shown(text: str, line: int | None) -> str:
    lines = text.splitlines()
    return lines[line - 1].strip() if line and line <= len(lines) else ""


def one_mistake(seed: int, kind: str, args: argparse.Namespace, tally: Tally, misses: TextIO | None) -> None:
    """Prove one sheet with a planted mistake and tell whether it is found."""
    written = write(seed, args.language, kind, args.damage)
    planted = written.truth["planted_errors"][0]
    proved = prove(written.text, with_mends=False)
    found = [row for row in report(proved)["findings"] if row["severity"] in ALARMS]
    tally.sheets += 1
    on_line = any(row["line"] in lines_of_mistake(proved, planted) for row in found)
    if not planted["detectable"]:
        tally.caught_undetectable += on_line
        return
    tally.detectable += 1
    near = any(row["line"] in section_lines(proved, planted["line"]) for row in found)
    tally.caught += on_line
    tally.in_section += on_line or near
    tally.anywhere += bool(found)
    if not on_line and misses:
        where = "near" if near else "elsewhere" if found else "silent"
        print(f"MISS {kind} seed {seed} {written.truth['language']} {where}", file=misses)
        print(f"  line {planted['line']}: {shown(written.text, planted['line'])}", file=misses)
        print(f"  was: {planted['truth']}", file=misses)
        for row in found:
            print(
                f"  found {row['code']} line {row['line']}: {shown(written.text, row['line'])}", file=misses
            )


def one_clean(seed: int, args: argparse.Namespace, misses: TextIO | None) -> dict[str, Any]:
    """Prove a clean sheet and return its alarms and wrong facts."""
    written = write(seed, args.language, None, args.damage)
    said = report(prove(written.text, with_mends=False))
    alarms = [row for row in said["findings"] if row["severity"] in ALARMS]
    wrong_facts = differences(written.truth, said, labels=False)
    if misses:
        for row in alarms:
            print(
                f"{row['severity'].upper()} {row['code']} seed {seed} {written.truth['language']}",
                file=misses,
            )
            print(f"  line {row['line']}: {shown(written.text, row['line'])}", file=misses)
        for fact in wrong_facts:
            print(f"FACT seed {seed} {written.truth['language']}: {fact}", file=misses)
        for gap in said["not_understood"]:
            print(f"GAP seed {seed}: {gap['text']} in: {shown(written.text, gap['line'])}", file=misses)
    return {
        "wrong": any(row["severity"] == "wrong" for row in alarms),
        "doubtful": any(row["severity"] == "doubtful" for row in alarms),
        "facts": bool(wrong_facts),
        "gap": bool(said["not_understood"]),
    }


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--count", type=int, default=100, help="sheets of each kind, and clean ones")
    parser.add_argument("--first", type=int, default=1, help="first seed")
    parser.add_argument("--kind", choices=KINDS, action="append", help="only these kinds (and the clean)")
    parser.add_argument("--language", choices=("en", "fr"), help="by default a quarter are French")
    parser.add_argument("--damage", action="store_true", help="also damage characters and spelling")
    parser.add_argument("--misses", type=Path, help="write every miss and false alarm to this file")
    args = parser.parse_args()
    misses = args.misses.open("w", encoding="utf-8") if args.misses else None
    seeds = range(args.first, args.first + args.count)
    total = Tally()
    print("| mistake | sheets | detectable | caught on its line | in its section | undetectable caught |")
    print("|---|---|---|---|---|---|")
    for kind in args.kind or KINDS:
        tally = Tally()
        for seed in seeds:
            one_mistake(seed, kind, args, tally, misses)
        print(tally.row(kind.replace("_", " ")), flush=True)
        total.add(tally)
    print(total.row("**all**"))
    clean: Counter[str] = Counter()
    for seed in seeds:
        clean.update(name for name, raised in one_clean(seed, args, misses).items() if raised)
    print(f"\nClean sheets: {args.count}. With a false alarm: {clean['wrong']} (wrong), ", end="")
    print(f"{clean['doubtful']} (doubtful). With a fact that differs: {clean['facts']}. ", end="")
    print(f"With words not understood: {clean['gap']}.")


if __name__ == "__main__":
    main()
