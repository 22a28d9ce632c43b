"""Prove a folder of sheets on all cores, with a progress bar and a summary."""

from __future__ import annotations

import argparse
import json
from collections import Counter
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn
from rich.table import Table

from noonwall.cli.language import usual_language
from noonwall.cli.status import CLEAN, DOUBTFUL, UNREADABLE, WRONG
from noonwall.errors import BrokenFile
from noonwall.pipeline import FileProved, prove_folder, say, sheets_in

MOST_ROWS = 40
"""Rows of the summary; a folder of thousands is summed up, and --json tells everything."""


def check_folder(folder: Path, given: argparse.Namespace) -> int:
    """Prove every sheet of a folder; with ``--json`` print one report a line (JSON Lines), else a summary.

    Returns:
        the worst status of all sheets that could be read; UNREADABLE only if none could.

    Raises:
        BrokenFile: the folder holds no sheets.
    """
    language = given.language or usual_language()
    paths = list(sheets_in(folder))
    if not paths:
        raise BrokenFile(say(language, "cli", "no_sheets", path=str(folder)))
    counts: Counter[str] = Counter()
    rows: list[tuple[str, str, dict[str, Any]]] = []
    # Only a summary of each report is kept, so that memory stays flat over a hundred thousand sheets.
    with _progress(given.json) as progress:
        task = progress.add_task(say(language, "cli", "proving"), total=len(paths))
        for one in prove_folder(paths, given.workers, given.language if given.json else language):
            verdict = _verdict(one, given.strict)
            counts[verdict] += 1
            progress.advance(task)
            name = str(one.path.relative_to(folder))
            if given.json:
                row = {"file": name, "status": verdict} | (
                    {"trouble": one.trouble} if one.trouble else one.report
                )
                print(json.dumps(row, ensure_ascii=False))
            elif verdict != "clean":
                rows.append((name, verdict, _worst(one)))
    if not given.json:
        _summary(rows, counts, len(paths), language)
    return _status(counts)


def _progress(is_quiet: bool) -> Progress:
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    console = Console(stderr=True)
    return Progress(*columns, console=console, transient=True, disable=is_quiet or not console.is_terminal)


def _verdict(one: FileProved, is_strict: bool) -> str:
    if one.trouble:
        return "unreadable"
    told = {finding["severity"] for finding in one.report["findings"]}
    if "wrong" in told or (is_strict and ("doubtful" in told or one.report["not_understood"])):
        return "wrong"
    return "doubtful" if "doubtful" in told or one.report["not_understood"] else "clean"


def _worst(one: FileProved) -> dict[str, Any]:
    if one.trouble:
        return {"message": one.trouble, "line": None}
    order = ("wrong", "doubtful", "advice")
    found = sorted(one.report["findings"], key=lambda row: order.index(row["severity"]))
    return {key: found[0][key] for key in ("message", "line")} if found else {"message": "", "line": None}


def _summary(
    rows: list[tuple[str, str, dict[str, Any]]], counts: Counter[str], total: int, language: str
) -> None:
    out = Console(highlight=False)
    table = Table(box=None, pad_edge=False, header_style="dim")
    for name in (say(language, "cli", "file"), "", ""):
        table.add_column(name, overflow="fold")
    styles = {"wrong": "bold red", "doubtful": "bold yellow", "unreadable": "bold magenta"}
    severity = {"unreadable": say(language, "cli", "unreadable")}
    rows.sort(key=lambda row: (list(styles).index(row[1]), row[0]))
    for name, verdict, worst in rows[:MOST_ROWS]:
        word = severity.get(verdict) or say(language, "severity", verdict)
        place = f"{say(language, 'cli', 'line', line=worst['line'])}: " if worst["line"] else ""
        table.add_row(name, f"[{styles[verdict]}]{word}[/]", place + worst["message"].replace("[", "\\["))
    if rows:
        out.print(table)
    if len(rows) > MOST_ROWS:
        out.print(say(language, "cli", "more_unknown", n=len(rows) - MOST_ROWS), style="dim")
    numbers = {name: counts[name] for name in ("clean", "doubtful", "wrong", "unreadable")}
    out.print(say(language, "cli", "proved", n=total, **numbers), style="bold")


def _status(counts: Counter[str]) -> int:
    if counts["wrong"]:
        return WRONG
    if counts["doubtful"]:
        return DOUBTFUL
    return CLEAN if counts["clean"] else UNREADABLE
