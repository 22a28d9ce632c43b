"""`noonwall captions`: captions, chapters and the click of a dance on a song."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from noonwall.cli.language import usual_language
from noonwall.cli.status import CLEAN, WRONG
from noonwall.pipeline.captioning import caption_word, make_captions, write_captions


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("sheet", metavar="SHEET", help="a step sheet, or - for standard input")
    parser.add_argument("song", metavar="SONG", nargs="?", help="a sound file (default: an even click)")
    parser.add_argument(
        "--as", dest="languages", type=_languages, metavar="en|fr|en,fr", help="languages (default: yours)"
    )
    parser.add_argument(
        "--out", type=Path, default=Path("."), metavar="FOLDER", help="where to put the files"
    )
    parser.add_argument(
        "--speed", type=_percent, default=1.0, metavar="90", help="percent of the song's speed (default: 100)"
    )
    parser.add_argument("--bpm", type=float, metavar="N", help="tempo of the click (default: the sheet's)")
    parser.add_argument("--walls", type=int, metavar="N", help="how many walls to dance to the click")
    parser.add_argument("--known", default="", metavar="ID,ID", help="figures that the class knows by name")
    parser.add_argument("--lead", type=int, metavar="BEATS", help="how many beats ahead calls begin")
    parser.add_argument(
        "--corrections", type=Path, metavar="FILE", help="corrections saved from the page of the song"
    )


def _languages(given: str) -> tuple[str, ...]:
    tags = tuple(dict.fromkeys(tag.strip() for tag in given.split(",")))
    if not set(tags) <= {"en", "fr", "fr-CA"}:
        raise argparse.ArgumentTypeError(f"{given} is not en, fr, fr-CA, or several with a comma between")
    return tags


def _percent(given: str) -> float:
    try:
        percent = float(given.removesuffix("%"))
    except ValueError:
        percent = 0.0
    if not 25 <= percent <= 200:
        raise argparse.ArgumentTypeError(caption_word(usual_language(), "file", "speed"))
    return percent / 100


def run(given: argparse.Namespace) -> int:
    """Run the command; a dance that is not proved is made and marked, and the status says so.

    Raises:
        BrokenFile: the sheet or the song cannot be read.
        CannotDance: the sheet holds no steps.
        NoonwallError: a file cannot be written.
    """
    languages = given.languages or (usual_language(),)
    made = make_captions(
        given.sheet,
        given.song,
        languages,
        speed=given.speed,
        bpm=given.bpm,
        walls=given.walls,
        known=frozenset(filter(None, (name.strip() for name in given.known.split(",")))),
        lead_beats=given.lead,
        corrections=given.corrections,
    )
    stem = "sheet" if given.sheet == "-" else Path(given.sheet).stem
    speaking = languages[0]
    for path in write_captions(made, given.out, stem):
        kind = "click" if path.suffix == ".mid" else "chapters" if ".chapters." in path.name else "captions"
        what = caption_word(speaking, "file", kind)
        print(caption_word(speaking, "file", "written", what=what, path=path), file=sys.stderr)
    for name, number in (("left_out", made.left_out), ("fast", made.fast)):
        if number:
            key = f"{name}_one" if number == 1 else name
            print(caption_word(speaking, "file", key, n=number), file=sys.stderr)
    if made.is_unproved:
        print(caption_word(speaking, "file", "marked"), file=sys.stderr)
    return WRONG if made.is_unproved else CLEAN
