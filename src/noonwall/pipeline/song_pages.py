"""A song, heard and perhaps danced to, as a page; and corrections made on that page, put back on the song."""

from __future__ import annotations

import json
from pathlib import Path

from noonwall.dance.model import Dance
from noonwall.errors import BrokenFile
from noonwall.fit import Run, as_danced
from noonwall.floor import dance_run
from noonwall.music import Correction, MusicMap, reapply
from noonwall.outputs.faults import fault
from noonwall.outputs.film import Wording, film_of_run
from noonwall.outputs.page_data import Film
from noonwall.outputs.song_audio import audio_for_page
from noonwall.outputs.song_page import song_page
from noonwall.outputs.whole_file import write_whole
from noonwall.pipeline.paging import StepWords


def write_song_page(
    page: Path,
    sound: Path,
    heard: MusicMap,
    language: str,
    *,
    dance: Dance | None = None,
    run: Run | None = None,
    embed: bool = False,
    title: str = "",
) -> None:
    """Write a page that plays a song and shows it, with a dance laid on it if there is one.

    Args:
        page: where to write it.
        sound: the sound file; the page refers to it unless ``embed`` puts it in.
        heard: the song as heard.
        language: "en" or "fr".
        dance: the dance of ``run``.
        run: the dance laid on the song, None for the song alone.
        embed: put the sound into the page.
        title: the page's title; by default the file's name.

    Raises:
        BrokenFile: the sound cannot be decoded or is too large to be put in.
        NoonwallError: the page cannot be written.
    """
    film: Film | None = None
    if dance is not None and run is not None:
        danced = as_danced(dance, run)
        words = StepWords(language)
        film = film_of_run(
            danced, dance_run(danced, len(run.walls)), Wording(words.step, words.figure, language)
        )
    audio = audio_for_page(sound, embed=embed, page_folder=page.resolve().parent, title=title)
    write_whole(page, song_page(heard, audio, run, film, language).encode("utf-8"))


def corrected(heard: MusicMap, corrections: Path | None) -> MusicMap:
    """Return a song with the corrections of a file made on its page, or as heard if there is none.

    Raises:
        BrokenFile: the file is not a list of corrections.
    """
    if corrections is None:
        return heard
    try:
        rows = json.loads(corrections.read_text(encoding="utf-8"))
        return reapply([Correction(**row) for row in rows], heard)
    except (OSError, ValueError, TypeError) as error:
        raise fault(BrokenFile, "page.no-corrections", name=corrections, reason=error) from error
