"""`noonwall check`: prove a sheet, a folder of sheets, or what comes in on standard input."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path

from noonwall import pipeline
from noonwall.cli.check_folder import check_folder
from noonwall.cli.show import show
from noonwall.cli.status import CLEAN, DOUBTFUL, WRONG
from noonwall.errors import BrokenFile
from noonwall.findings import Severity
from noonwall.pipeline import Proved, prove_file, report, say


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument(
        "path", metavar="FILE|FOLDER|-", help="a sheet, a folder of sheets, or - for standard input"
    )
    parser.add_argument(
        "--json", action="store_true", help="print the report as JSON (docs/schema/report.schema.json)"
    )
    parser.add_argument("--as", dest="language", choices=("en", "fr"), help="speak English or French")
    parser.add_argument("--page", type=Path, metavar="OUT.html", help="write a page to look at")
    parser.add_argument(
        "--strict", action="store_true", help="treat what is doubtful or not understood as wrong"
    )
    parser.add_argument(
        "--workers", type=int, metavar="N", help="processes for a folder (default: one for each core)"
    )


def run(given: argparse.Namespace) -> int:
    """Run the command and return the exit status.

    Raises:
        BrokenFile: the sheet cannot be read, or holds no steps.
    """
    path = Path(given.path)
    if given.path != "-" and path.is_dir():
        return check_folder(path, given)
    proved = prove_file(given.path)
    language = given.language or proved.reading.language
    if proved.dance is None:
        raise BrokenFile(f"{given.path}: {say(language, 'cli', 'no_steps')}")
    if given.json:
        print(json.dumps(report(proved, language), ensure_ascii=False, indent=1))
    else:
        show(proved, language)
    if given.page:
        given.page.write_text(pipeline.page(proved, language), encoding="utf-8")
        print(say(language, "cli", "page_written", path=str(given.page)), file=sys.stderr)
    return status_of(proved, given.strict)


def status_of(proved: Proved, is_strict: bool) -> int:
    """Return the exit status of a proved sheet: the worst finding decides, advice does not count."""
    if is_strict and (proved.worst is Severity.DOUBTFUL or proved.reading.claims.not_understood):
        return WRONG
    return {Severity.WRONG: WRONG, Severity.DOUBTFUL: DOUBTFUL}.get(proved.worst, CLEAN)  # type: ignore[arg-type]
