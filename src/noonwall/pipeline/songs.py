"""Songs: hear one, lay a dance on it, and find which songs and dances suit each other.

Not imported by the rest of the pipeline: listening needs heavy libraries.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from noonwall import __version__
from noonwall.dance.model import Dance
from noonwall.errors import BrokenFile, CannotDance, NoonwallError
from noonwall.findings import Finding
from noonwall.fit import (
    FolderMatch,
    Match,
    Run,
    check_ending,
    check_stated,
    count_grid,
    fit,
    match_folder,
    outline_of,
    rank_dances,
    run_json,
)
from noonwall.fit.folder import AUDIO_SUFFIXES
from noonwall.music import MusicMap, beat_file, listen, markers, midi_click
from noonwall.pipeline.proving import Proved, prove_file
from noonwall.pipeline.reporting import finding_row
from noonwall.pipeline.song_pages import corrected, write_song_page
from noonwall.text.source import sheets_in
from noonwall.words.messages import say


@dataclass(frozen=True, slots=True)
class SongFit:
    """A dance laid on a song: the sheet, the music map, the run, and what the song says of the sheet."""

    proved: Proved
    song: MusicMap
    run: Run
    findings: tuple[Finding, ...]


def hear(path: Path | str, corrections: Path | None = None) -> MusicMap:
    """Hear a song, with the corrections made on its page if there are any.

    Raises:
        BrokenFile: the file cannot be heard.
    """
    return corrected(listen(path), corrections)


def fit_song(sheet: Path | str, song: Path | str, corrections: Path | None = None) -> SongFit:
    """Lay the dance of a sheet on a song, with the corrections of the song if there are any.

    Raises:
        BrokenFile: the sheet cannot be read, or the song cannot be heard or counted.
        CannotDance: the dance has no steps, or no whole counts.
    """
    proved = prove_file(sheet)
    dance = _dance(proved, sheet)
    heard = corrected(listen(song), corrections)
    run = fit(dance, heard)
    grid = count_grid(heard)
    _, stated = check_stated(dance, outline_of(dance), grid)
    _, ending = check_ending(dance, run.walls, grid)
    return SongFit(proved, heard, run, (*stated, *ending))


def fit_page(fitted: SongFit, song: Path | str, page: Path, language: str, embed: bool = False) -> None:
    """Write a page that plays the song and dances to it.

    Raises:
        NoonwallError: the sound cannot be decoded, or the page cannot be written.
    """
    dance = fitted.proved.dance
    title = dance.title if dance else ""
    write_song_page(
        page, Path(song), fitted.song, language, dance=dance, run=fitted.run, embed=embed, title=title
    )


def fit_report(fitted: SongFit, language: str) -> dict[str, Any]:
    """Return a fit as plain data: the run, and the findings worded in ``language``."""
    rows = [finding_row(finding, language) for finding in fitted.findings]
    return {**run_json(fitted.run), "bpm": fitted.song.bpm, "findings": rows}


def _dance(proved: Proved, sheet: Path | str) -> Dance:
    if proved.dance is None:
        raise CannotDance(f"{sheet}: {say(proved.reading.language, 'cli', 'no_steps')}")
    return proved.dance


def is_song(path: Path) -> bool:
    """True if the name of a file is that of a sound file."""
    return path.suffix.lower() in AUDIO_SUFFIXES


def match_songs(
    sheet: Path | str,
    folder: Path,
    workers: int | None = None,
    cluster: str | None = None,
    progress: Callable[[int, int, str], None] | None = None,
) -> FolderMatch:
    """Rank the songs of a folder for the dance of a sheet; a song once heard is remembered by its content.

    Raises:
        BrokenFile: the sheet cannot be read, or the folder is none.
        CannotDance: the dance has no steps.
    """
    dance = _dance(prove_file(sheet), sheet)
    return match_folder(
        dance,
        folder,
        heard_plainly,
        cache_folder(),
        edition=__version__,
        workers=workers,
        cluster=cluster,
        progress=progress,
    )


def heard_plainly(path: Path) -> Mapping[str, Any]:
    """Hear a song and return its map as plain values (for other processes)."""
    return listen(path).to_dict()


def match_dances(song: Path | str, folder: Path) -> tuple[list[Match], list[str]]:
    """Rank the sheets of a folder for a song; also return a sentence for every sheet that cannot be read.

    Raises:
        BrokenFile: the song cannot be heard, or the folder is none.
    """
    heard = listen(song)
    troubles: list[str] = []
    return rank_dances(heard, _dances(folder, troubles)), troubles


def _dances(folder: Path, troubles: list[str]) -> Iterator[tuple[str, Dance]]:
    for path in sheets_in(folder):
        try:
            yield str(path.relative_to(folder)), _dance(prove_file(path), path.name)
        except NoonwallError as error:
            troubles.append(str(error))


def remark_words(heard: MusicMap, language: str) -> list[str]:
    """Return what is doubtful about a song, in a language; an older map has its sentences alone."""
    if not heard.remark_codes:
        return list(heard.remarks)
    return [say(language, "remark", remark.code, **remark.facts) for remark in heard.remark_codes]


def cache_folder() -> Path:
    """Return the folder where music maps are kept: that of the system for caches.

    ``NOONWALL_CACHE`` names another; else LOCALAPPDATA on Windows, XDG_CACHE_HOME or ~/.cache elsewhere.
    """
    named = os.environ.get("NOONWALL_CACHE")
    if named:
        return Path(named)
    usual = os.environ.get("LOCALAPPDATA" if sys.platform == "win32" else "XDG_CACHE_HOME")
    return (Path(usual) if usual else Path.home() / ".cache") / "noonwall" / "songs"


__all__ = [
    "BrokenFile",
    "FolderMatch",
    "Match",
    "MusicMap",
    "SongFit",
    "beat_file",
    "cache_folder",
    "fit_report",
    "fit_song",
    "hear",
    "is_song",
    "markers",
    "match_dances",
    "match_songs",
    "midi_click",
    "remark_words",
]
