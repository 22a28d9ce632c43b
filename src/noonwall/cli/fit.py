"""`noonwall fit`: lay the dance of a sheet on a song."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.table import Table
from rich.text import Text

from noonwall.cli.language import usual_language
from noonwall.cli.listen import clock_time
from noonwall.cli.show import MARKS, STYLES, clock_words
from noonwall.cli.status import CLEAN, DOUBTFUL, WRONG
from noonwall.findings import Severity
from noonwall.pipeline import say
from noonwall.pipeline.songs import fit_page, fit_report, fit_song


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("sheet", metavar="SHEET", help="a step sheet, or - for standard input")
    parser.add_argument("song", metavar="SONG", help="a sound file")
    parser.add_argument("--json", action="store_true", help="print the run as JSON")
    parser.add_argument("--page", type=Path, metavar="OUT.html", help="write a page that plays and dances it")
    parser.add_argument("--embed", action="store_true", help="put the song into the page")
    parser.add_argument(
        "--corrections", type=Path, metavar="FILE", help="corrections saved from the page of the song"
    )
    parser.add_argument("--as", dest="language", choices=("en", "fr"), help="speak English or French")


def run(given: argparse.Namespace) -> int:
    """Run the command; the status is that of the worst remark of the song on the sheet."""
    language = given.language or usual_language()
    fitted = fit_song(given.sheet, given.song, given.corrections)
    if given.page:
        fit_page(fitted, given.song, given.page, language, given.embed)
    told = fit_report(fitted, language)
    if given.json:
        print(json.dumps(told, ensure_ascii=False, indent=1))
    else:
        _show(told, language)
    severities = {finding.severity for finding in fitted.findings}
    if Severity.WRONG in severities:
        return WRONG
    return DOUBTFUL if Severity.DOUBTFUL in severities else CLEAN


def _show(told: dict[str, Any], language: str) -> None:
    out = Console(highlight=False)
    out.print(Text(told["title"] or say(language, "cli", "unnamed"), style="bold"))
    out.print(say(language, "fit", "wait", counts=told["intro_counts"], bpm=f"{told['bpm']:.1f}"))
    table = Table(box=None, pad_edge=False, header_style="dim")
    for name in ("wall", "start", "facing", "counts", "change"):
        table.add_column(say(language, "fit", name), justify="left" if name == "change" else "right")
    for wall in told["walls"]:
        facing = clock_words(wall["facing_start"], language)
        label = f"{wall['wall']} {wall['part']}" if wall["part"] not in ("", "main") else str(wall["wall"])
        table.add_row(label, clock_time(wall["start"]), facing, str(wall["counts"]), _change(wall, language))
    out.print(table)
    finish = told["finish"]
    where = clock_words(finish["facing"], language)
    out.print(say(language, "fit", "finish", wall=finish["wall"], count=finish["count"], facing=where))
    for change in finish["changes"][:3]:
        out.print("  " + say(language, "fit", "finish_front", how=_finish_change(change, language)))
    for item in told["why"]:
        on_wall = say(language, "fit", "on_wall", wall=item["wall"]) if item["wall"] else ""
        out.print(Text(f"  – {say(language, 'cost', item['code'])}{on_wall}", style="dim"))
    for finding in told["findings"]:
        severity = Severity(finding["severity"])
        out.print(Text(f"{MARKS[severity]} {finding['message']}", style=STYLES[severity]))


def _change(wall: dict[str, Any], language: str) -> str:
    pieces = []
    if wall["cut_after"]:
        pieces.append(say(language, "fit", "cut", count=wall["cut_after"]))
    if wall["tag_counts"]:
        pieces.append(say(language, "fit", "tagged", count=wall["tag_counts"]))
    if wall["mirrored"]:
        pieces.append(say(language, "fit", "mirrored"))
    return ", ".join(pieces)


def _finish_change(change: dict[str, Any], language: str) -> str:
    if change["kind"] == "pose":
        return say(language, "fit", "pose", count=change["count"], hold=change["hold_counts"])
    turns = [
        say(language, "fit", "turn", count=one["count"], foot=one["foot"], total=one["total"])
        for one in change["turns"]
    ]
    return ", ".join(turns)
