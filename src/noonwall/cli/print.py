"""`noonwall print`: a sheet to hand out, a cue card for the floor, a chart of the whole run."""

from __future__ import annotations

import argparse
import sys
from importlib import import_module
from pathlib import Path

from noonwall.cli.language import one_or_two_languages
from noonwall.cli.status import CLEAN, WRONG
from noonwall.errors import BrokenFile
from noonwall.pipeline import say
from noonwall.pipeline.printing import (
    KINDS,
    PAPERS,
    OnSong,
    Order,
    is_unproved,
    make_print,
    print_word,
    prove_file,
    write_whole,
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("sheet", metavar="SHEET", help="a step sheet, or - for standard input")
    parser.add_argument("--song", metavar="SONG", help="a sound file: say how the dance goes to it")
    parser.add_argument(
        "--kind", choices=tuple(KINDS), default="sheet", help="what to print (default: sheet)"
    )
    parser.add_argument(
        "--as",
        dest="languages",
        type=one_or_two_languages,
        metavar="en|fr|en,fr",
        help="one language, or two side by side (default: the sheet's own)",
    )
    parser.add_argument(
        "--format", choices=("pdf", "html", "docx", "svg"), help="default: as --out ends, else pdf"
    )
    parser.add_argument("--paper", choices=PAPERS, default="a4", help="size of the paper (default: a4)")
    parser.add_argument("--out", type=Path, metavar="FILE", help="where to write it")


def run(given: argparse.Namespace) -> int:
    """Run the command; a sheet that is not proved is printed and marked, and the status says so.

    Raises:
        BrokenFile: the sheet or the song cannot be read, or the sheet holds no steps.
        NoonwallError: the file cannot be made or written.
    """
    proved = prove_file(given.sheet)
    languages = given.languages or (proved.reading.language,)
    speaking = languages[0]
    if proved.dance is None:
        raise BrokenFile(f"{given.sheet}: {say(speaking, 'cli', 'no_steps')}")
    kind = given.format or _ending(given.out, given.kind)
    out = given.out or _beside(given.sheet, given.kind, kind)
    on_song = None
    if given.song:
        # hearing a song loads heavy libraries: only when there is one
        fitted = import_module("noonwall.pipeline.songs").fit_song(given.sheet, given.song)
        on_song = OnSong(Path(given.song).stem, fitted.song, fitted.run)
    made = make_print(Order(given.kind, kind, languages, given.paper), proved, on_song)
    write_whole(out, made.content)
    told = [
        print_word(speaking, "file", "written", what=print_word(speaking, "file", given.kind), path=str(out))
    ]
    if made.not_shown:
        codes = ", ".join(f"U+{ord(char):04X}" for text in made.not_shown for char in text)
        told.append(print_word(speaking, "file", "not_shown", codes=codes))
    marked = is_unproved(proved)
    if marked:
        told.append(print_word(speaking, "file", "marked"))
    print("\n".join(told), file=sys.stderr)
    return WRONG if marked else CLEAN


def _ending(out: Path | None, kind: str) -> str:
    """Return the format that the name of a file asks for, else the usual one of the kind."""
    asked = out.suffix.lower().lstrip(".") if out else ""
    return asked if asked in KINDS[kind] else KINDS[kind][0]


def _beside(sheet: str, kind: str, form: str) -> Path:
    """Return a name in this folder: that of the sheet with what it is."""
    stem = "sheet" if sheet == "-" else Path(sheet).stem
    return Path(f"{stem}-{kind}.{form}")
