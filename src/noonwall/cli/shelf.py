"""`noonwall shelf`: keep dances, songs and classes, and find them again."""

from __future__ import annotations

import argparse
from importlib import import_module

from noonwall.cli.language import usual_language
from noonwall.cli.shelf_arguments import add_action_arguments
from noonwall.shelf import open_shelf

ACTIONS = {
    "add": ("add sheets and songs, or folders of them", "shelf_keep"),
    "find": ("find dances by words, facts, figures or steps", "shelf_find"),
    "show": ("show a dance and its versions", "shelf_find"),
    "remove": ("take something off the shelf", "shelf_keep"),
    "put-back": ("put back what was removed", "shelf_keep"),
    "restore": ("make an older version the current one", "shelf_keep"),
    "export": ("write everything to plain files", "shelf_keep"),
    "import": ("bring an export back", "shelf_keep"),
    "backup": ("make a backup, or restore one", "shelf_keep"),
    "renew": ("read every sheet anew with this noonwall", "shelf_keep"),
    "class": ("classes: what they know, what is due, what comes next", "shelf_class"),
}
"""Every action with its one-line help and the file that carries it out; only that one is loaded."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    _add_usual(parser, None)
    actions = parser.add_subparsers(dest="action", metavar="ACTION", required=True)
    made = {
        name: actions.add_parser(name, help=words, description=words) for name, (words, _) in ACTIONS.items()
    }
    for action in made.values():
        # what was said before the action stands unless it is said again
        _add_usual(action, argparse.SUPPRESS)
    add_action_arguments(made)


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
    module = import_module(f"noonwall.cli.{ACTIONS[given.action][1]}")
    carry_out = getattr(module, f"run_{given.action.replace('-', '_')}")
    if given.action == "backup" and given.restore:
        return int(carry_out(None, given))  # a damaged shelf cannot be opened
    with open_shelf(given.shelf) as shelf:
        return int(carry_out(shelf, given))
