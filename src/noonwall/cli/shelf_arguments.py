"""What each action of `noonwall shelf` takes."""

from __future__ import annotations

import argparse
from datetime import date
from pathlib import Path
from typing import get_args

from noonwall.shelf.rows import LEVELS, Kind, Order


def add_action_arguments(made: dict[str, argparse.ArgumentParser]) -> None:
    """Declare what each action takes; ``made`` holds its parser by its name."""
    made["add"].add_argument("paths", type=Path, nargs="+", metavar="FILE|FOLDER", help="sheets and songs")
    _add_find(made["find"])
    made["show"].add_argument("id", type=int, help="number of the dance")
    made["show"].add_argument("--version", type=int, metavar="N", dest="number", help="an older version")
    for name in ("remove", "put-back"):
        made[name].add_argument("id", type=int, help="its number")
        made[name].add_argument(
            "--kind", choices=get_args(Kind), default="dance", help="what it is (a dance)"
        )
    made["restore"].add_argument("id", type=int, help="number of the dance")
    made["restore"].add_argument("number", type=int, metavar="VERSION", help="the version to bring back")
    made["export"].add_argument("folder", type=Path, metavar="FOLDER", help="a new folder")
    made["import"].add_argument("folder", type=Path, metavar="FOLDER", help="what was exported")
    made["renew"].add_argument("--all", action="store_true", help="also those read by this version")
    made["backup"].add_argument("--list", action="store_true", help="list the backups, make none")
    made["backup"].add_argument("--restore", type=Path, metavar="BACKUP", help="put a backup in place")
    _add_class(made["class"])


def _add_find(parser: argparse.ArgumentParser) -> None:
    """Declare what finding takes."""
    parser.add_argument("words", nargs="*", help="beginnings of words, in any case, with or without accents")
    parser.add_argument("--level", action="append", default=[], help=f"one of {', '.join(LEVELS)}")
    parser.add_argument("--language", action="append", default=[], dest="languages", metavar="en|fr",
                        help="language of the sheet")  # fmt: skip
    parser.add_argument("--counts", metavar="N[-M]", type=_span, help="counts of a wall")
    parser.add_argument("--walls", type=int, action="append", default=[], metavar="N", help="number of walls")
    parser.add_argument("--bpm", metavar="N[-M]", type=_span, help="stated tempo")
    parser.add_argument("--uses", action="append", default=[], metavar="FIGURE", help="a figure it uses")
    parser.add_argument("--without", action="append", default=[], metavar="FIGURE", help="one it does not")
    parser.add_argument("--taught", action="store_true", default=None, help="taught to a class")
    parser.add_argument("--untaught", action="store_false", dest="taught", help="never taught")
    parser.add_argument("--class", dest="class_name", metavar="NAME", help="the class of --taught")
    parser.add_argument("--like", type=int, metavar="ID", help="dances with the same steps as this one")
    parser.add_argument("--order", choices=get_args(Order), default="best", help="what comes first")
    parser.add_argument("--page", type=int, default=1, metavar="N", help="which page of fifty")
    parser.add_argument("--json", action="store_true", help="print what is found as JSON")


def _span(told: str) -> tuple[float, float]:
    least, dash, most = told.partition("-")
    try:
        return float(least), float(most if dash else least)
    except ValueError as error:
        raise argparse.ArgumentTypeError(f"{told} is not a number or two, such as 32 or 100-120") from error


def _add_class(parser: argparse.ArgumentParser) -> None:
    """Declare what a class takes."""
    parser.add_argument("name", nargs="?", default="", help="name of the class; none lists all")
    parser.add_argument("--members", type=int, metavar="N", help="how many come")
    parser.add_argument("--taught", type=int, metavar="ID", help="note that a dance was taught")
    parser.add_argument("--on", type=_day, metavar="DATE", help="the day, as 2026-11-25 (today)")
    parser.add_argument(
        "--knows", action="append", default=[], type=_share, metavar="FIGURE=0..1", help="what they know"
    )
    parser.add_argument("--due", action="store_true", help="list the dances due for review")
    parser.add_argument("--next", action="store_true", help="list what to teach next")
    parser.add_argument("--evening", type=_minutes, metavar="MINUTES", help="plan an evening")


def _day(told: str) -> date:
    try:
        return date.fromisoformat(told)
    except ValueError as error:
        raise argparse.ArgumentTypeError(f"{told} is not a date, such as 2026-11-25") from error


def _share(told: str) -> tuple[str, float]:
    figure, _, share = told.partition("=")
    try:
        return figure, float(share)
    except ValueError as error:
        raise argparse.ArgumentTypeError(f"{told} is not FIGURE=0..1, such as vine=0.8") from error


def _minutes(told: str) -> int:
    if not told.isdecimal() or not int(told):
        raise argparse.ArgumentTypeError(f"{told} is not a number of minutes")
    return int(told)
