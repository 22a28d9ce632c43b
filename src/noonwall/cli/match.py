"""`noonwall match`: rank the songs of a folder for a dance, or the dances of a folder for a song."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn
from rich.table import Table

from noonwall.cli.language import usual_language
from noonwall.cli.status import CLEAN, UNREADABLE
from noonwall.pipeline import say
from noonwall.pipeline.songs import Match, is_song, match_dances, match_songs

MOST_ROWS = 30


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument(
        "one", metavar="SHEET|SONG", help="the dance to find songs for, or the song to find dances for"
    )
    parser.add_argument("folder", type=Path, metavar="FOLDER", help="the songs, or the sheets")
    parser.add_argument("--json", action="store_true", help="print the ranks as JSON")
    parser.add_argument("--as", dest="language", choices=("en", "fr"), help="speak English or French")
    parser.add_argument("--workers", type=int, metavar="N", help="processes (default: one for each core)")
    parser.add_argument("--cluster", metavar="ADDRESS", help="a Dask scheduler to work on instead")


def run(given: argparse.Namespace) -> int:
    """Run the command; unreadable only if nothing in the folder could be ranked."""
    language = given.language or usual_language()
    matches: Sequence[Match]
    if is_song(Path(given.one)):
        matches, troubles = match_dances(given.one, given.folder)
    else:
        matches, troubles = _songs(given, language)
    if given.json:
        rows = [_row(match, language) for match in matches]
        print(json.dumps({"matches": rows, "unreadable": troubles}, ensure_ascii=False, indent=1))
    else:
        _show(matches, language)
        for trouble in troubles:
            print(f"noonwall: {trouble}", file=sys.stderr)
    return CLEAN if matches else UNREADABLE


def _songs(given: argparse.Namespace, language: str) -> tuple[Sequence[Match], list[str]]:
    console = Console(stderr=True)
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn())
    with Progress(*columns, console=console, transient=True, disable=not console.is_terminal) as progress:
        task = progress.add_task(say(language, "song", "hearing"), total=None)

        def report(done: int, total: int, name: str) -> None:
            progress.update(task, completed=done, total=total)

        found = match_songs(given.one, given.folder, given.workers, given.cluster, report)
    return found.matches, [sentence for _, sentence in found.unheard]


def _row(match: Match, language: str) -> dict[str, Any]:
    return {
        "name": match.name,
        "score": round(match.score, 1),
        "bpm": round(match.bpm, 1),
        "changes": match.changes,
        "wait_counts": match.wait_counts,
        "reasons": [
            {"code": reason.code, "share": round(reason.share, 3), "facts": reason.facts}
            for reason in match.reasons
        ],
        "message": why(match, language),
    }


def why(match: Match, language: str) -> str:
    """Return the reasons of a rank in a line, the most telling first."""
    return "; ".join(
        say(language, "match", r.code.removeprefix("match."), **r.facts) for r in match.reasons[:3]
    )


def _show(matches: Sequence[Match], language: str) -> None:
    table = Table(box=None, pad_edge=False, header_style="dim")
    table.add_column("", justify="right")
    table.add_column("")
    table.add_column(say(language, "song", "bpm"), justify="right")
    table.add_column(say(language, "song", "why"))
    for match in matches[:MOST_ROWS]:
        bpm = f"{match.bpm:.0f}" if match.bpm else ""
        table.add_row(f"{match.score:.0f}", match.name, bpm, why(match, language))
    Console(highlight=False).print(table)
