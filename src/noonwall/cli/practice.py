"""`noonwall practice`: the song slower at its own pitch, with spoken counts and calls."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from rich.console import Console
from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn, TimeRemainingColumn

from noonwall.cli.listen import clock_time
from noonwall.cli.status import CLEAN, WRONG
from noonwall.errors import BrokenFile
from noonwall.pipeline import say
from noonwall.pipeline.practising import (
    FORMATS,
    SAYS,
    TARGETS_LUFS,
    Practice,
    PracticeOrder,
    demo_song,
    practice_fault,
    practice_word,
    practise,
    prove_file,
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("sheet", metavar="SHEET", help="a step sheet, or - for standard input")
    parser.add_argument("song", metavar="SONG", nargs="?", help="a sound file (default: a click)")
    parser.add_argument(
        "--as", dest="languages", metavar="en|fr|en,fr", help="who speaks (default: the sheet's language)"
    )
    parser.add_argument(
        "--speed", default="100", metavar="75,90,100", help="percents of the song's speed (default: 100)"
    )
    usual = next(iter(FORMATS))
    parser.add_argument("--format", choices=tuple(FORMATS), default=usual, help=f"default: {usual}")
    parser.add_argument(
        "--out", type=Path, default=Path("."), metavar="FOLDER", help="where to put the tracks"
    )
    parser.add_argument("--say", choices=tuple(SAYS), default="all", help="counts, calls or all (default)")
    parser.add_argument("--piece", metavar="NAME", help="dance to a piece of the demo band")
    parser.add_argument("--bpm", type=float, metavar="N", help="tempo of the click (default: the sheet's)")
    parser.add_argument("--walls", type=int, metavar="N", help="how many walls to dance to the click")
    parser.add_argument("--voice", default="", metavar="COMMAND", help="speaks: text in, sound file out")
    parser.add_argument(
        "--level", choices=tuple(TARGETS_LUFS), default="music", help="loudness (default: music)"
    )
    parser.add_argument(
        "--corrections", type=Path, metavar="FILE", help="corrections saved from the page of the song"
    )
    parser.add_argument("--workers", type=int, metavar="N", help="processes (default: one for each core)")


def run(given: argparse.Namespace) -> int:
    """Run the command; a dance that is not proved is made and marked, and the status says so.

    Raises:
        BrokenFile: the sheet or the song cannot be read, or the sheet holds no steps.
        NoonwallError: a track cannot be made or written.
    """
    proved = prove_file(given.sheet)
    languages = _languages(given.languages or proved.reading.language)
    speaking = languages[0]
    if proved.dance is None:
        raise BrokenFile(f"{given.sheet}: {say(speaking, 'cli', 'no_steps')}")
    if given.song and given.piece:
        raise practice_fault(speaking, "both")
    order = PracticeOrder(
        given.out,
        "practice" if given.sheet == "-" else Path(given.sheet).stem,
        languages,
        _percents(given.speed, speaking),
        given.format,
        given.level,
        given.say,
        given.bpm,
        given.walls,
        given.voice,
        given.workers,
    )
    song = Path(given.song) if given.song else None
    console = Console(stderr=True)
    columns = (TextColumn("{task.description}"), BarColumn(), TaskProgressColumn(), TimeRemainingColumn())
    with Progress(*columns, console=console, transient=True, disable=not console.is_terminal) as bar:
        task = bar.add_task(practice_word(speaking, "told", "hearing"), total=None)

        def report(stage: str, done: float, total: float) -> None:
            bar.update(task, description=practice_word(speaking, "told", stage), completed=done, total=total)

        try:
            played = demo_song(given.piece, speaking) if given.piece else song
            made = practise(proved, order, played, corrections=given.corrections, progress=report)
        except KeyboardInterrupt:
            print(practice_word(speaking, "told", "stopped"), file=sys.stderr)
            raise
    _tell(made, order, speaking)
    return WRONG if made.is_unproved else CLEAN


def _languages(given: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(tag.strip() for tag in given.split(",") if tag.strip())) or ("en",)


def _percents(given: str, language: str) -> tuple[int, ...]:
    try:
        told = tuple(dict.fromkeys(int(each.strip().rstrip("%")) for each in given.split(",")))
    except ValueError as error:
        raise practice_fault(language, "speeds", given=given) from error
    return told


def _tell(made: Practice, order: PracticeOrder, language: str) -> None:
    """Say what was made, what was left out, and once what loud music does to ears."""

    def tell(name: str, **facts: object) -> None:
        print(practice_word(language, "told", name, **facts))

    if made.click_bpm is not None:
        tell("no_song", bpm=f"{made.click_bpm:.0f}")
    if made.lead_beats:
        tell("lead")
    for track in made.tracks:
        if track.made.is_kept:
            tell("kept", path=track.made.out)
        else:
            length, lufs = clock_time(track.made.seconds), f"{track.made.lufs:.1f}".replace("-", "−")
            tell("made", path=track.made.out, length=length, lufs=lufs)
        if track.laid.dropped:
            words = ", ".join(dict.fromkeys(_words(track.cues.languages, track.language, track.laid.dropped)))
            tell("dropped", percent=track.percent, count=len(track.laid.dropped), words=words)
        if track.cues.left_out:
            tell("left_out", percent=track.percent, count=len(track.cues.left_out))
    standard = practice_word(language, "tag", order.level)
    tell("level", lufs=f"{TARGETS_LUFS[order.level]:g}".replace("-", "−"), standard=standard)
    if made.is_unproved:
        tell("marked")
    tell("caution")


def _words(languages: tuple[str, ...], language: str, cues: tuple[object, ...]) -> list[str]:
    place = languages.index(language)
    return [cue.words[place] for cue in cues]  # type: ignore[attr-defined]
