"""`noonwall COMMAND`: load only the file of the command, and turn every trouble into one sentence."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from importlib import import_module
from importlib.util import find_spec
from itertools import pairwise

from noonwall import __version__, pipeline
from noonwall.cli.language import usual_language
from noonwall.cli.status import CLEAN, INTERRUPTED, UNREADABLE
from noonwall.errors import NoonwallError

COMMANDS = {
    "check": "prove step sheets: facts, mistakes and how to mend them",
    "figures": "list the figures, or explain one",
    "rewrite": "write a sheet anew, in English or French",
    "listen": "hear a song: beats, bars, phrases",
    "fit": "lay a dance on a song: walls, restarts, finish",
    "teach": "plan a lesson: pieces, build-up, minutes, script for the camera",
    "film": "make a clip of the floor, danced in time with a song",
    "captions": "make captions, chapters and the click of a run",
    "practice": "make practice tracks: slower, with spoken counts and calls",
    "print": "print the sheet, a cue card or a chart",
    "match": "find songs for a dance, or dances for a song",
    "shelf": "keep dances, songs and classes, and find them again",
    "studio": "open the shelf, the dances and the lessons in a browser",
    "demo": "make an example of everything",
}
"""Every command with its one-line help, in the order of a teacher's work; each is a file of this folder."""


class _Parser(argparse.ArgumentParser):
    """An argument parser whose mistakes end with our own status and one sentence."""

    def error(self, message: str) -> None:  # type: ignore[override]
        self.exit(UNREADABLE, f"{self.prog}: {message}. Try {self.prog} --help.\n")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return the exit status; never shows a traceback."""
    given = list(sys.argv[1:] if arguments is None else arguments)
    try:
        return _run(given)
    except NoonwallError as error:
        return _complain(pipeline.fault_words(error, _language_of(given)))
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        # The reader (head, less) went away: what is still buffered goes nowhere, and no second error follows.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return CLEAN
    except OSError as error:
        where, reason = error.filename or "noonwall", (error.strerror or str(error)).lower()
        return _complain(pipeline.say(_language_of(given), "cli", "system_fault", where=where, reason=reason))
    except RecursionError:
        return _complain(pipeline.say(_language_of(given), "cli", "too_deep"))
    except Exception as error:
        told = f"{type(error).__name__}: {error}"
        return _complain(pipeline.say(_language_of(given), "cli", "own_fault", told=told))


def _language_of(given: list[str]) -> str:
    """Return the language to complain in: that of --as, else the computer's."""
    told = [one for before, one in pairwise(["", *given]) if before == "--as"]
    told += [one.removeprefix("--as=") for one in given if one.startswith("--as=")]
    asked = told[0].split(",")[0].split("-")[0].lower() if told else ""
    return asked if asked in ("en", "fr") else usual_language()


def _complain(sentence: str) -> int:
    print(f"noonwall: {sentence}", file=sys.stderr)
    return UNREADABLE


def _run(given: list[str]) -> int:
    chosen = next((word for word in given if not word.startswith("-")), "")
    parser = _Parser(prog="noonwall", description="Prove line-dance step sheets and fit them to music.")
    parser.add_argument("--version", action="version", version=f"noonwall {__version__}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND")
    for name, summary in COMMANDS.items():
        if find_spec(f"noonwall.cli.{name}") is None:
            continue
        described = summary[0].upper() + summary[1:] + "."
        command = commands.add_parser(name, help=summary, description=described)
        if name == chosen:
            module = import_module(f"noonwall.cli.{name}")
            module.add_arguments(command)
            command.set_defaults(run=module.run)
    known = parser.parse_args(given)
    if not hasattr(known, "run"):
        parser.print_help()
        return CLEAN
    return int(known.run(known))


if __name__ == "__main__":
    sys.exit(main())
