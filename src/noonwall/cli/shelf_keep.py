"""`noonwall shelf add`, `remove`, `put-back`, `restore`, `export`, `import` and `backup`."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from pathlib import Path

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TaskID, TextColumn

from noonwall import __version__
from noonwall.cli.status import CLEAN, UNREADABLE
from noonwall.errors import NoonwallError
from noonwall.pipeline import fault_words
from noonwall.pipeline.shelf_words import shelf_word
from noonwall.pipeline.shelving import is_sound, read_for_shelf, sheets_for_shelf, sheets_in
from noonwall.shelf import Filters, Incoming, Shelf, restore_shelf


def run_add(shelf: Shelf, given: argparse.Namespace) -> int:
    """Add sheets and songs; unreadable only if nothing could be added."""
    sheets, songs = _named(given.paths)
    if not sheets and not songs:
        raise NoonwallError(
            shelf_word(given.language, "add", "nothing", path=", ".join(map(str, given.paths)))
        )
    added = known = troubles = 0
    with _bar() as progress:
        task = progress.add_task(shelf_word(given.language, "add", "reading"), total=len(sheets))
        for one in shelf.take_in(_incoming(sheets, given.language, progress, task)):
            if one.trouble:
                troubles += 1
                print(f"noonwall: {one.trouble}", file=sys.stderr)
                continue
            added, known = added + (not one.is_known), known + one.is_known
            title = shelf.dance(one.dance_id).row.title
            told = "known" if one.is_known else "added"
            print(shelf_word(given.language, "add", told, id=one.dance_id, title=title))
    for path in songs:
        try:
            number = shelf.add_song(path)
        except NoonwallError as error:
            troubles += 1
            print(f"noonwall: {fault_words(error, given.language)}", file=sys.stderr)
            continue
        added += 1
        print(shelf_word(given.language, "add", "song", id=number, title=shelf.song(number).title))
    print(shelf_word(given.language, "add", "done", n=added, known=known, troubles=troubles), file=sys.stderr)
    return CLEAN if added or known else UNREADABLE


def _named(paths: list[Path]) -> tuple[list[Path], list[Path]]:
    """Return the sheets and the songs among files and in folders."""
    sheets: list[Path] = []
    songs: list[Path] = []
    for path in paths:
        if path.is_dir():
            sheets += [one for one in sheets_in(path) if not is_sound(one)]
            songs += sorted(one for one in path.rglob("*") if is_sound(one) and one.is_file())
        else:
            (songs if is_sound(path) else sheets).append(path)
    return sheets, songs


def _incoming(sheets: list[Path], language: str, progress: Progress, task: TaskID) -> Iterator[Incoming]:
    for one in sheets_for_shelf(sheets, language):
        yield Incoming(one.name, one.text, one.facts or {}, one.trouble)
        progress.advance(task)


def _bar() -> Progress:
    console = Console(stderr=True)
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn())
    return Progress(*columns, console=console, transient=True, disable=not console.is_terminal)


def run_renew(shelf: Shelf, given: argparse.Namespace) -> int:
    """Compute the facts of dances anew: a newer noonwall reads better than the one that added them."""
    filters = Filters() if given.all else Filters(stale_for=__version__)
    rows = shelf.find("", filters, "title", per_page=1).total
    found = shelf.find("", filters, "title", per_page=max(rows, 1)).rows
    with _bar() as progress:
        task = progress.add_task(shelf_word(given.language, "add", "reading"), total=rows)
        for row in found:
            dance = shelf.dance(row.id)
            shelf.renew_facts(row.id, dance.version, read_for_shelf(dance.text)[1])
            progress.advance(task)
    print(shelf_word(given.language, "done", "renewed", n=rows))
    return CLEAN


def run_export(shelf: Shelf, given: argparse.Namespace) -> int:
    """Write everything to plain files."""
    written = shelf.export_to(given.folder)
    print(shelf_word(given.language, "done", "exported", n=written, path=given.folder))
    return CLEAN


def run_import(shelf: Shelf, given: argparse.Namespace) -> int:
    """Bring an export back."""
    told = shelf.import_from(given.folder)
    print(
        shelf_word(
            given.language,
            "done",
            "imported",
            dances=told.dances,
            versions=told.versions,
            others=told.others,
        )
    )
    return CLEAN


def run_backup(shelf: Shelf | None, given: argparse.Namespace) -> int:
    """Make a backup, list them, or (without an open shelf) put one in place."""
    if shelf is None:
        before = restore_shelf(given.shelf, given.restore)
        told = str(before) if before else shelf_word(given.language, "done", "nothing_before")
        print(shelf_word(given.language, "done", "replaced", path=given.restore, before=told))
        return CLEAN
    if given.list:
        for path in shelf.backups():
            print(path)
        if not shelf.backups():
            print(shelf_word(given.language, "done", "no_backup"))
        return CLEAN
    print(shelf_word(given.language, "done", "backup", path=shelf.backup()))
    return CLEAN


def run_remove(shelf: Shelf, given: argparse.Namespace) -> int:
    """Take something off the shelf."""
    shelf.remove(given.kind, given.id)
    title = next(one.title for one in shelf.removed() if (one.kind, one.id) == (given.kind, given.id))
    print(shelf_word(given.language, "done", "removed", title=title, id=given.id))
    return CLEAN


def run_put_back(shelf: Shelf, given: argparse.Namespace) -> int:
    """Put back what was removed."""
    titles = {(one.kind, one.id): one.title for one in shelf.removed()}
    shelf.put_back(given.kind, given.id)
    title = titles.get((given.kind, given.id), str(given.id))
    print(shelf_word(given.language, "done", "back", title=title))
    return CLEAN


def run_restore(shelf: Shelf, given: argparse.Namespace) -> int:
    """Make an older version the current one."""
    saved = shelf.restore(given.id, given.number)
    title = shelf.dance(given.id).row.title
    print(shelf_word(given.language, "done", "restored", version=saved.version, title=title))
    return CLEAN
