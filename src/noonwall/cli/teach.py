"""`noonwall teach`: a lesson plan, with the teleprompter and the shooting script for the camera."""

from __future__ import annotations

import argparse
import json
import sys
from importlib import import_module
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.table import Table
from rich.text import Text

from noonwall.cli.language import one_or_two_languages
from noonwall.cli.show import clock_words
from noonwall.cli.status import CLEAN, WRONG
from noonwall.errors import BrokenFile
from noonwall.pipeline import say
from noonwall.pipeline.teaching import (
    PAPERS,
    OnSong,
    class_of,
    class_of_plain,
    is_unproved,
    lesson_json,
    lesson_of,
    lesson_word,
    prove_file,
    write_lesson,
)

USUAL_MINUTES = 25.0
MOST_MINUTES = 24 * 60


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("sheet", metavar="SHEET", help="a step sheet, or - for standard input")
    parser.add_argument("song", nargs="?", metavar="SONG", help="a sound file that the dance is taught to")
    parser.add_argument(
        "--minutes", type=_minutes, default=USUAL_MINUTES, metavar="N", help="the time at hand (default: 25)"
    )
    parser.add_argument(
        "--class",
        dest="class_name",
        metavar="FILE|NAME",
        help="a class by its file or by its name on the shelf (default: one that knows nothing)",
    )
    parser.add_argument(
        "--as",
        dest="languages",
        type=one_or_two_languages,
        metavar="en|fr|en,fr",
        help="one language, or two side by side (default: the sheet's own)",
    )
    parser.add_argument("--json", action="store_true", help="print the lesson as JSON")
    parser.add_argument(
        "--out", type=Path, metavar="FOLDER", help="write the plan, the teleprompter and the lesson there"
    )
    parser.add_argument("--paper", choices=PAPERS, default="a4", help="size of the paper (default: a4)")


def _minutes(given: str) -> float:
    try:
        minutes = float(given.replace(",", "."))
    except ValueError:
        minutes = -1.0
    if not 0 <= minutes <= MOST_MINUTES:
        raise argparse.ArgumentTypeError(f"{given} is not a number of minutes from 0 to {MOST_MINUTES}")
    return minutes


def run(given: argparse.Namespace) -> int:
    """Run the command; the lesson of a sheet that is not proved is marked, and the status says so.

    Raises:
        BrokenFile: the sheet, the song or the class cannot be read, or the sheet holds no steps.
        NoonwallError: a file cannot be made or written.
    """
    proved = prove_file(given.sheet)
    languages = given.languages or (proved.reading.language,)
    speaking = languages[0]
    if proved.dance is None:
        raise BrokenFile(f"{given.sheet}: {say(speaking, 'cli', 'no_steps')}")
    knows = _class(given.class_name, speaking) if given.class_name else None
    on_song = None
    if given.song:
        # hearing a song loads heavy libraries: only when there is one
        fitted = import_module("noonwall.pipeline.songs").fit_song(given.sheet, given.song)
        on_song = OnSong(Path(given.song).stem, fitted.song, fitted.run)
    lesson = lesson_of(proved, languages, given.minutes, knows=knows, on_song=on_song)
    told = []
    if given.out:
        stem = "sheet" if given.sheet == "-" else Path(given.sheet).stem
        for file in write_lesson(lesson, given.out, stem, given.paper):
            what = lesson_word(speaking, "file", file.kind)
            told.append(lesson_word(speaking, "file", "written", what=what, path=str(file.path)))
            if file.not_shown:
                codes = ", ".join(f"U+{ord(char):04X}" for text in file.not_shown for char in text)
                told.append(lesson_word(speaking, "plan", "not_shown", codes=codes))
    if given.json:
        print(json.dumps(lesson_json(lesson), ensure_ascii=False, indent=1))
    elif not given.out:
        for language in languages:
            _show(lesson_json(lesson), language)
    marked = is_unproved(proved)
    if marked:
        told.append(lesson_word(speaking, "file", "marked"))
    if told:
        print("\n".join(told), file=sys.stderr)
    return WRONG if marked else CLEAN


def _class(named: str, language: str) -> Any:
    """Return what a class knows: from its file, else from the shelf, if there is one.

    Raises:
        BrokenFile: there is neither such a file nor such a class, or it does not hold what a class knows.
    """
    if Path(named).is_file():
        return class_of(named, language)
    # the shelf is asked only for a name, and not made for the asking
    place = import_module("noonwall.shelf.place").place_of(None)
    if place.file is not None and not place.file.is_file():
        return class_of(named, language)
    shelf = import_module("noonwall.shelf")
    try:
        with shelf.open_shelf() as opened:
            kept = opened.class_named(named)
    except shelf.ShelfError as error:
        if error.code != "shelf.missing":
            raise
        return class_of(named, language)
    taught = [(one.title, one.figures) for one in kept.taught]
    return class_of_plain({**kept.knows, "name": kept.name}, kept.name, language, taught)


# --- in a terminal -----------------------------------------------------------------------------------------


def _show(lesson: dict[str, Any], language: str) -> None:
    """Print a lesson in one of its languages."""
    out = Console(highlight=False)
    out.print(Text(lesson["title"] or say(language, "cli", "unnamed"), style="bold"))
    if lesson["unproved"]:
        out.print(Text(lesson["unproved"][language], style="bold red"))
    out.print(Text(_facts(lesson, language)))
    _remarks(out, lesson["remarks"], language, "yellow", "! ")
    _chapter(out, language, "drills")
    out.print(_drills(lesson, language))
    if lesson["left_out"]:
        _chapter(out, language, "left")
        _remarks(out, [one["told"] for one in lesson["left_out"]], language)
    _chapter(out, language, "cut")
    out.print(_pieces(lesson, language))
    for piece in lesson["pieces"]:
        why = "; ".join(one["texts"][language] for one in piece["why"])
        out.print(Text(f"{piece['number']}  {why}", style="dim"))
        _remarks(out, piece["watch"], language, "", f"   {lesson_word(language, 'plan', 'watch')}: ")
    _ways(out, lesson, language)
    for name in ("opening", "changes", "finish", "closing", "cautions"):
        if lesson[name]:
            _chapter(out, language, name)
            _remarks(out, lesson[name], language)
    _chapter(out, language, "script")
    seconds = sum(take["seconds"] for take in lesson["takes"] if take["language"] in ("", language))
    total = {"language": lesson_word(language, "names", language.split("-")[0]), "time": _time(seconds)}
    out.print(Text(lesson_word(language, "plan", "total", **total)))
    out.print(_takes(lesson, language))


def _facts(lesson: dict[str, Any], language: str) -> str:
    def name(key: str) -> str:
        return lesson_word(language, "plan", key)

    told = [
        f"{_time(lesson['budget_seconds'])} {name('minutes')}",
        f"{_time(lesson['planned_seconds'])} {name('planned')}",
        f"{lesson['tempo']['bpm']:.0f} {name('tempo')}",
        f"{len(lesson['pieces'])} {name('pieces')}",
        f"{name('hardest')}: {lesson['hardest']}" if lesson["hardest"] else "",
        f"{name('class')}: {lesson['class']}" if lesson["class"] else "",
    ]
    return " · ".join(one for one in told if one)


def _chapter(out: Console, language: str, name: str) -> None:
    out.print()
    out.print(Text(lesson_word(language, "plan", name), style="bold"))


def _remarks(
    out: Console, remarks: list[dict[str, Any]], language: str, style: str = "", mark: str = "– "
) -> None:
    for remark in remarks:
        out.print(Text(f"{mark}{remark['texts'][language]}", style=style))


def _drills(lesson: dict[str, Any], language: str) -> Table:
    table = Table(box=None, pad_edge=False, header_style="dim")
    for name in ("at", "", "what", "counts", "time"):
        text = lesson_word(language, "plan", name) if name else ""
        table.add_column(text, justify="left" if name in ("", "what") else "right")
    began = 0
    for drill in lesson["drills"]:
        danced = f"{drill['rounds']} × {drill['counts']}" if drill["counts"] else ""
        shared = "*" if drill["source"] else ""
        kind = lesson_word(language, "kind", drill["kind"])
        told = Text(drill["told"]["texts"][language])
        table.add_row(_time(began), kind, told, danced, f"{_time(drill['seconds'])}{shared}")
        began += drill["seconds"]
    return table


def _pieces(lesson: dict[str, Any], language: str) -> Table:
    table = Table(box=None, pad_edge=False, header_style="dim")
    for name in ("piece", "counts", "", "true", "shown", "points"):
        text = lesson_word(language, "plan", name) if name else ""
        table.add_column(text, justify="left" if name == "" else "right")
    for piece in lesson["pieces"]:
        facing = piece["facing"]
        part = "" if piece["part"] == "main" else f"{piece['part']} "
        table.add_row(
            str(piece["number"]),
            f"{part}{piece['first_count']}–{piece['last_count']}",
            Text(piece["figures"][language]),
            _facings(facing["true_start"], facing["true_end"], language),
            _facings(facing["start"], facing["end"], language),
            str(piece["points"]),
        )
    return table


def _takes(lesson: dict[str, Any], language: str) -> Table:
    table = Table(box=None, pad_edge=False, header_style="dim")
    for name in ("take", "", "danced", "camera", "time"):
        text = lesson_word(language, "plan", name) if name else ""
        table.add_column(text, justify="left" if name in ("", "camera") else "right")
    for take in lesson["takes"]:
        if take["language"] in ("", language):
            danced = f"{take['counts']} × {take['bpm']:.0f}" if take["counts"] else ""
            camera = lesson_word(language, "plan", take["camera"])
            table.add_row(str(take["number"]), Text(take["title"]), danced, camera, _time(take["seconds"]))
    return table


def _facings(start: float | None, end: float | None, language: str) -> str:
    if start is None or end is None:
        return lesson_word(language, "plan", "song_says")
    return f"{clock_words(start, language)} → {clock_words(end, language)}"


def _ways(out: Console, lesson: dict[str, Any], language: str) -> None:
    if lesson["ways"]:
        _chapter(out, language, "ways")
    for way in lesson["ways"]:
        out.print(Text(way["told"]["texts"][language]))
        for line in way["lines"]:
            out.print(Text(f"   {line['counts']}  {line['texts'][language]}"))
        out.print(Text(f"   {way['proof']['texts'][language]}", style="dim"))


def _time(seconds: float) -> str:
    whole = round(seconds)
    return f"{whole // 60}:{whole % 60:02d}"
