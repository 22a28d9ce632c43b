"""`noonwall shelf`: keep dances, songs and classes, and find them again."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import get_args

from noonwall.cli.language import usual_language
from noonwall.cli.shelf_class import add_class_arguments, run_class
from noonwall.cli.shelf_find import add_find_arguments, run_find, run_show
from noonwall.cli.shelf_keep import run_add, run_backup, run_export, run_import
from noonwall.cli.status import CLEAN
from noonwall.pipeline.shelf_words import shelf_word
from noonwall.shelf import Kind, Shelf, open_shelf

ACTIONS: dict[str, tuple[str, Callable[[Shelf, argparse.Namespace], int]]] = {}
"""Every action with its one-line help and what carries it out; filled at the end of this file."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    _add_usual(parser, None)
    actions = parser.add_subparsers(dest="action", metavar="ACTION", required=True)
    made = {
        name: actions.add_parser(name, help=words, description=words) for name, (words, _) in ACTIONS.items()
    }
    for action in made.values():
        _add_usual(
            action, argparse.SUPPRESS
        )  # what was said before the action stands unless it is said again
    made["add"].add_argument("paths", type=Path, nargs="+", metavar="FILE|FOLDER", help="sheets and songs")
    add_find_arguments(made["find"])
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
    made["backup"].add_argument("--list", action="store_true", help="list the backups, make none")
    made["backup"].add_argument("--restore", type=Path, metavar="BACKUP", help="put a backup in place")
    add_class_arguments(made["class"])


def _add_usual(parser: argparse.ArgumentParser, default: str | None) -> None:
    parser.add_argument("--shelf", metavar="PLACE", default=default, help="a file, or the URL of a database")
    parser.add_argument(
        "--as", dest="language", choices=("en", "fr"), default=default, help="speak English or French"
    )


def run(given: argparse.Namespace) -> int:
    """Run the command and return the exit status.

    Raises:
        NoonwallError: the shelf cannot be opened or written, or something is not on it.
    """
    given.language = given.language or usual_language()
    if given.action == "backup" and given.restore:
        return run_backup(None, given)  # a damaged shelf cannot be opened
    with open_shelf(given.shelf) as shelf:
        return ACTIONS[given.action][1](shelf, given)


def _remove(shelf: Shelf, given: argparse.Namespace) -> int:
    shelf.remove(given.kind, given.id)
    title = next(one.title for one in shelf.removed() if (one.kind, one.id) == (given.kind, given.id))
    print(shelf_word(given.language, "done", "removed", title=title, id=given.id))
    return CLEAN


def _put_back(shelf: Shelf, given: argparse.Namespace) -> int:
    titles = {(one.kind, one.id): one.title for one in shelf.removed()}
    shelf.put_back(given.kind, given.id)
    title = titles.get((given.kind, given.id), str(given.id))
    print(shelf_word(given.language, "done", "back", title=title))
    return CLEAN


def _restore(shelf: Shelf, given: argparse.Namespace) -> int:
    saved = shelf.restore(given.id, given.number)
    title = shelf.dance(given.id).row.title
    print(shelf_word(given.language, "done", "restored", version=saved.version, title=title))
    return CLEAN


ACTIONS.update(
    {
        "add": ("add sheets and songs, or folders of them", run_add),
        "find": ("find dances by words, facts, figures or steps", run_find),
        "show": ("show a dance and its versions", run_show),
        "remove": ("take something off the shelf", _remove),
        "put-back": ("put back what was removed", _put_back),
        "restore": ("make an older version the current one", _restore),
        "export": ("write everything to plain files", run_export),
        "import": ("bring an export back", run_import),
        "backup": ("make a backup, or restore one", run_backup),
        "class": ("classes: what they know, what is due, what comes next", run_class),
    }
)
