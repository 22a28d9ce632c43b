"""`noonwall film`: a clip of the floor, danced in time with a song."""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from pathlib import Path

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

from noonwall.cli.language import one_or_two_languages
from noonwall.cli.listen import clock_time
from noonwall.cli.status import CLEAN, INTERRUPTED, WRONG
from noonwall.pipeline.filming import (
    CAPTIONS,
    FRAME_RATES,
    OVERLAYS,
    SHAPES,
    SHORT_SIDES,
    VIEWS,
    ClipOrder,
    Filmed,
    SongFit,
    clip_word,
    endings_of,
    film,
    fit_song,
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("sheet", metavar="SHEET", help="a step sheet, or - for standard input")
    parser.add_argument("song", metavar="SONG", help="a sound file")
    parser.add_argument(
        "--as",
        dest="languages",
        type=one_or_two_languages,
        metavar="en|fr|en,fr",
        help="one language, or two side by side (default: the sheet's own)",
    )
    parser.add_argument("--view", choices=VIEWS, help="default: above; for an overlay follow")
    parser.add_argument("--shape", choices=SHAPES, default="landscape", help="default: landscape")
    parser.add_argument("--size", choices=tuple(SHORT_SIDES), default="720p", help="default: 720p")
    parser.add_argument("--fps", type=int, choices=FRAME_RATES, default=30, help="pictures a second (30)")
    parser.add_argument(
        "--captions",
        choices=CAPTIONS,
        default="burned",
        help="calls in the picture, as files beside it, or nowhere (default: burned)",
    )
    parser.add_argument(
        "--overlay",
        choices=[name for name in OVERLAYS if name],
        help="only feet, number and calls, to lay over a film of your own",
    )
    parser.add_argument(
        "--speed", type=float, default=100.0, metavar="PERCENT", help="slower or faster (default: 100)"
    )
    parser.add_argument(
        "--corrections", type=Path, metavar="FILE", help="corrections saved from the page of the song"
    )
    parser.add_argument("--workers", type=int, metavar="N", help="processes (default: one for each core)")
    parser.add_argument("--out", type=Path, metavar="FILE", help="where to write it")


def run(given: argparse.Namespace) -> int:
    """Run the command; a dance that is not proved is filmed and marked, and the status says so.

    Raises:
        BrokenFile: the sheet or the song cannot be read.
        NoonwallError: the clip cannot be made or written.
    """
    fitted = fit_song(given.sheet, given.song, given.corrections)
    languages = given.languages or (fitted.proved.reading.language,)
    order = ClipOrder(
        SHORT_SIDES[given.size],
        given.fps,
        given.shape,
        given.view or ("follow" if given.overlay else "above"),
        given.captions,
        given.overlay or "",
        "",
        given.speed / 100,
        languages,
    )
    out = given.out or Path(f"{_stem(given.sheet)}-clip.{endings_of(order)[0]}")
    order = replace(order, ending=out.suffix.lower().lstrip("."))
    try:
        filmed = _film_with_bar(given, fitted, out, order)
    except KeyboardInterrupt:
        print(clip_word(languages[0], "made", "stopped"), file=sys.stderr)
        return INTERRUPTED
    _tell(filmed, order)
    return WRONG if filmed.is_marked else CLEAN


def _stem(sheet: str) -> str:
    return "sheet" if sheet == "-" else Path(sheet).stem


def _film_with_bar(given: argparse.Namespace, fitted: SongFit, out: Path, order: ClipOrder) -> Filmed:
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    screen = Console(stderr=True)
    with Progress(*columns, console=screen, transient=True, disable=not screen.is_terminal) as bar:
        task = bar.add_task(clip_word(order.languages[0], "made", "working"), total=None)

        def show(done: int, total: int) -> None:
            name = "joining" if done == total else "working"
            words = clip_word(order.languages[0], "made", name)
            bar.update(task, completed=done, total=total, description=words)

        return film(fitted, Path(given.song), out, order, workers=given.workers, progress=show)


def _tell(filmed: Filmed, order: ClipOrder) -> None:
    language, made = order.languages[0], filmed.made
    width, height = order.size
    length = clock_time(made.frames / order.fps)
    told = [
        clip_word(
            language,
            "made",
            "written",
            path=made.path,
            length=length,
            width=width,
            height=height,
            fps=order.fps,
        )
    ]
    if filmed.captions:
        names = ", ".join(str(beside) for beside in filmed.captions)
        told.append(clip_word(language, "made", "captions", path=names))
    if made.reused:
        told.append(clip_word(language, "made", "reused", n=made.reused, total=made.pieces))
    if made.not_shown:
        codes = ", ".join(f"U+{ord(char):04X}" for char in made.not_shown)
        told.append(clip_word(language, "made", "not_shown", codes=codes))
    if filmed.is_marked:
        told.append(clip_word(language, "made", "marked"))
    print("\n".join(told), file=sys.stderr)
