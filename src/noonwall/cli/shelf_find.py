"""`noonwall shelf find` and `show`."""

from __future__ import annotations

import argparse
import json
import sys
from dataclasses import asdict
from typing import get_args

from rich.console import Console
from rich.table import Table

from noonwall.cli.status import CLEAN
from noonwall.errors import NoonwallError
from noonwall.pipeline import figures_like
from noonwall.pipeline.shelf_words import figure_name, shelf_word, why_alike
from noonwall.shelf import LEVELS, DanceRow, Filters, Found, Order, Shelf

MOST_NEAREST = 5


def add_find_arguments(parser: argparse.ArgumentParser) -> None:
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


def run_find(shelf: Shelf, given: argparse.Namespace) -> int:
    """Find dances and print them as a table or as JSON."""
    if given.like is not None:
        return _like(shelf, given)
    class_id = shelf.class_named(given.class_name).id if given.class_name else None
    filters = Filters(
        levels=tuple(given.level),
        languages=tuple(given.languages),
        walls=tuple(given.walls),
        counts_from=given.counts and given.counts[0],
        counts_to=given.counts and given.counts[1],
        bpm_from=given.bpm and given.bpm[0],
        bpm_to=given.bpm and given.bpm[1],
        figures=tuple(_figure(one, given.language) for one in given.uses),
        without_figures=tuple(_figure(one, given.language) for one in given.without),
        taught=True if class_id is not None and given.taught is None else given.taught,
        class_id=class_id,
    )
    found = shelf.find(" ".join(given.words), filters, given.order, given.page)
    if given.json:
        rows = [asdict(row) for row in found.rows]
        print(
            json.dumps(
                {"total": found.total, "page": found.page, "dances": rows}, ensure_ascii=False, indent=1
            )
        )
    else:
        _show_rows(found, given.language)
    return CLEAN


def _figure(asked: str, language: str) -> str:
    """Return the id of the figure that is called so, or whose name begins so.

    Raises:
        NoonwallError: no figure is; those with the nearest names are told, never taken.
    """
    known = figures_like(asked, language)
    begun = asked.lower()
    called = [one.id for one in known if any(name.lower().startswith(begun) for name in (one.id, *one.names))]
    if called:
        return called[0]
    nearest = ", ".join(one.id for one in known[:MOST_NEAREST])
    raise NoonwallError(shelf_word(language, "find", "no_figure", asked=asked, nearest=nearest or "-"))


def _show_rows(found: Found[DanceRow], language: str) -> None:
    if not found.total:
        print(shelf_word(language, "find", "none"))
        return
    table = Table(box=None, pad_edge=False, header_style="dim")
    table.add_column("", justify="right")
    for name in ("title", "level"):
        table.add_column(shelf_word(language, "find", name))
    for name in ("counts", "walls", "bpm"):
        table.add_column(shelf_word(language, "find", name), justify="right")
    table.add_column(shelf_word(language, "find", "taught"))
    for row in found.rows:
        numbers = ("" if value is None else f"{value:g}" for value in (row.counts, row.walls, row.bpm))
        table.add_row(str(row.id), row.title, row.level, *numbers, row.last_taught)
    Console(highlight=False, markup=False).print(table)
    told = shelf_word(language, "find", "found", n=found.total)
    if found.pages > 1:
        told += ", " + shelf_word(language, "find", "page", page=found.page, pages=found.pages)
    print(told, file=sys.stderr)


def _like(shelf: Shelf, given: argparse.Namespace) -> int:
    found = shelf.dances_like(given.like)
    if given.json:
        rows = [{**asdict(one), "message": why_alike(one, given.language)} for one in found]
        print(json.dumps({"dances": rows}, ensure_ascii=False, indent=1))
        return CLEAN
    for one in found:
        print(f"{one.row.id:>5}  {100 * one.score:3.0f}%  {one.row.title}: {why_alike(one, given.language)}")
    if not found:
        print(shelf_word(given.language, "find", "none"))
    return CLEAN


def run_show(shelf: Shelf, given: argparse.Namespace) -> int:
    """Show a dance: its text, what is known of it, its versions."""
    language, dance = given.language, shelf.dance(given.id)
    if given.number is not None:
        print(shelf.version(given.id, given.number).text)
        return CLEAN
    print(dance.text.rstrip("\n") + "\n")
    row = dance.row
    if row.figures:
        names = ", ".join(figure_name(one, language) for one in row.figures)
        print(shelf_word(language, "show", "figures", figures=names))
    if row.times_taught:
        print(shelf_word(language, "show", "taught", times=row.times_taught, day=row.last_taught))
    else:
        print(shelf_word(language, "show", "never"))
    for version in shelf.versions(given.id):
        told = shelf_word(language, "show", "version", number=version.number, moment=version.saved_at)
        marks = [shelf_word(language, "show", "current")] if version.number == dance.version else []
        marks += [shelf_word(language, "show", "aside")] if version.is_aside else []
        print(", ".join([told, *marks]))
    if dance.removed_at:
        print(shelf_word(language, "show", "removed", id=given.id))
    return CLEAN
