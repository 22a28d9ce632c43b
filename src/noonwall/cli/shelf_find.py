"""`noonwall shelf find` and `show`."""

from __future__ import annotations

import argparse
import json
import sys
from dataclasses import asdict

from rich.console import Console
from rich.table import Table

from noonwall import pipeline
from noonwall.cli.status import CLEAN
from noonwall.errors import NoonwallError
from noonwall.pipeline.shelf_words import figure_name, shelf_word, why_alike
from noonwall.shelf import DanceRow, Filters, Found, Shelf

MOST_NEAREST = 5


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
    known = pipeline.figures_like(asked, language)
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
