"""`noonwall rewrite`: write a sheet anew from the dance it holds, in English or French."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from noonwall.cli.status import CLEAN, DOUBTFUL, WRONG
from noonwall.errors import BrokenFile
from noonwall.findings import Severity
from noonwall.pipeline import prove_file, rewritten, say


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("path", metavar="FILE|-", help="a sheet, or - for standard input")
    parser.add_argument(
        "--as",
        dest="language",
        choices=("en", "fr", "fr-CA"),
        help="language to write (default: the sheet's own)",
    )
    parser.add_argument("--out", type=Path, metavar="FILE", help="write to a file instead of the screen")


def run(given: argparse.Namespace) -> int:
    """Run the command; a sheet with mistakes is written as it was read, and the status says so.

    Raises:
        BrokenFile: the sheet cannot be read, or holds no steps.
    """
    proved = prove_file(given.path)
    language = given.language or proved.reading.language
    if proved.dance is None:
        raise BrokenFile(f"{given.path}: {say(language, 'cli', 'no_steps')}")
    text = rewritten(proved, language)
    if given.out:
        given.out.write_text(text, encoding="utf-8")
    else:
        print(text, end="" if text.endswith("\n") else "\n")
    worst = {Severity.WRONG: WRONG, Severity.DOUBTFUL: DOUBTFUL}.get(proved.worst) if proved.worst else None
    if worst:
        print(f"noonwall: {say(language, 'cli', 'rewritten_doubtfully', path=given.path)}", file=sys.stderr)
    return worst or CLEAN
