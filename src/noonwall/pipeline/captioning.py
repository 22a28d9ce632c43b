"""A cue sheet as files: captions, chapters, and the click of the run.

Not imported by the rest of the pipeline: it loads a library for MIDI.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Any

from noonwall.errors import CannotDance, NoonwallError
from noonwall.outputs.caption_words import caption_word
from noonwall.outputs.captions import captions_of, srt, webvtt
from noonwall.outputs.chapters import chapters_of, chapters_text, chapters_webvtt
from noonwall.outputs.faults import fault
from noonwall.outputs.run_click import run_click
from noonwall.outputs.whole_file import write_whole
from noonwall.pipeline.cueing import cue_sheet
from noonwall.pipeline.printed_sheet import unproved_words
from noonwall.pipeline.proving import Proved, prove_file
from noonwall.teach.cue import CueSheet
from noonwall.teach.speech import estimate_seconds


@dataclass(frozen=True, slots=True)
class CaptionFiles:
    """What was made: each file's ending with its content, and what is to be said about it.

    Attributes:
        files: content by the end of the name, such as ".fr.vtt".
        left_out: calls that found no time.
        fast: captions, in all languages, shorter than the guidance on reading asks for.
        is_unproved: the first caption says that the dance is not proved.
    """

    files: Mapping[str, bytes]
    left_out: int
    fast: int
    is_unproved: bool


def caption_files(
    sheet: CueSheet, beats_per_bar: int = 4, speed: float = 1.0, is_unproved: bool = False
) -> CaptionFiles:
    """Return captions (WebVTT, SRT), chapters (WebVTT, plain list) and the click (MIDI) of a cue sheet.

    Args:
        sheet: all that is said in a run.
        beats_per_bar: of the dance.
        speed: of the track they are for: 0.9 is nine tenths of the song's own speed.
        is_unproved: only handed on.
    """
    files: dict[str, str] = {}
    fast = 0
    chapters = chapters_of(sheet, speed)
    for place, language in enumerate(sheet.languages):
        captions = captions_of(sheet, language, speed)
        fast += sum(not caption.is_readable for caption in captions)
        files[f".{language}.vtt"] = webvtt(captions)
        files[f".{language}.srt"] = srt(captions)
        files[f".chapters.{language}.vtt"] = chapters_webvtt(chapters, sheet.ends_seconds / speed, place)
        files[f".chapters.{language}.txt"] = chapters_text(chapters, place)
    made = {ending: text.encode("utf-8") for ending, text in files.items()}
    made[".click.mid"] = run_click(sheet, chapters, 3 if beats_per_bar % 3 == 0 else 4, speed)
    return CaptionFiles(made, len(sheet.left_out), fast, is_unproved)


def make_captions(
    sheet: Path | str,
    song: Path | str | None,
    languages: tuple[str, ...],
    *,
    speed: float = 1.0,
    bpm: float | None = None,
    walls: int | None = None,
    known: frozenset[str] = frozenset(),
    lead_beats: int | None = None,
    corrections: Path | None = None,
) -> CaptionFiles:
    """Return the captions, chapters and click of a sheet on a song, or to a click of its own.

    Raises:
        BrokenFile: the sheet or the song cannot be read.
        CannotDance: the sheet holds no steps, or the song has no place for it.
    """

    def seconds_at_full_speed(language: str, text: str) -> float:
        # a slowed track leaves more time for the same beats
        return estimate_seconds(language, text) * speed

    told: dict[str, Any] = {"known": known, "lead_beats": lead_beats, "speaks": seconds_at_full_speed}
    if song is None:
        proved = prove_file(sheet)
        cues = cue_sheet(proved, languages, bpm=bpm, walls=walls, **told)
    else:
        # hearing a song loads heavy libraries: only when there is one
        fitted = import_module("noonwall.pipeline.songs").fit_song(sheet, song, corrections)
        proved = fitted.proved
        cues = cue_sheet(proved, languages, run=fitted.run, music=fitted.song, **told)
    if proved.dance is None:
        raise fault(CannotDance, "dance.nothing-to-write")
    return caption_files(cues, proved.dance.beats_per_bar, speed, _is_unproved(proved))


def _is_unproved(proved: Proved) -> bool:
    return bool(unproved_words(proved, ("en",)))


def write_captions(made: CaptionFiles, folder: Path, stem: str) -> tuple[Path, ...]:
    """Write what was made into a folder, each file whole or not at all, and return their paths.

    Raises:
        NoonwallError: the folder is not there or cannot be written, or the disk is full.
    """
    if not folder.is_dir():
        raise fault(NoonwallError, "write.no-folder", folder=folder)
    paths = []
    for ending, content in made.files.items():
        path = folder / f"{stem}{ending}"
        write_whole(path, content)
        paths.append(path)
    return tuple(paths)


__all__ = [
    "CaptionFiles",
    "NoonwallError",
    "caption_files",
    "caption_word",
    "make_captions",
    "prove_file",
    "write_captions",
]
