"""`noonwall demo`: make an example of everything, and say what was made and where."""

from __future__ import annotations

import argparse
from collections import Counter
from pathlib import Path

from rich.console import Console
from rich.table import Table

from noonwall.cli.language import usual_language
from noonwall.cli.status import CLEAN
from noonwall.pipeline import say
from noonwall.pipeline.demo import make_demo


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("--out", type=Path, default=Path("made"), metavar="FOLDER", help="where to put it")
    parser.add_argument("--as", dest="language", choices=("en", "fr"), help="speak English or French")


def run(given: argparse.Namespace) -> int:
    """Run the command: files are listed as they are made, then counted by kind."""
    language = given.language or usual_language()
    out = Console(highlight=False)
    counts: Counter[str] = Counter()
    first: dict[str, Path] = {}
    with out.status(say(language, "demo", "working")) as status:
        for made in make_demo(given.out, language):
            status.update(str(made.path))
            counts[made.kind] += 1
            first.setdefault(made.kind, made.path)
    table = Table(box=None, pad_edge=False, header_style="dim")
    table.add_column(say(language, "demo", "what"))
    table.add_column(say(language, "demo", "how_many"), justify="right")
    table.add_column(say(language, "demo", "where"), overflow="fold")
    for kind, number in counts.items():
        table.add_row(say(language, "demo", kind), str(number), str(first[kind].relative_to(given.out)))
    out.print(table)
    out.print(say(language, "demo", "next", folder=given.out))
    return CLEAN
