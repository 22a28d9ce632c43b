"""A proved dance on a song as a clip: what is shown at every moment, and the file.

Not imported by the rest of the pipeline: pictures and films need heavy libraries.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from pathlib import Path

from noonwall.errors import CannotDance
from noonwall.fit import Run
from noonwall.floor import opening_stance
from noonwall.music import MusicMap
from noonwall.outputs.captions import captions_of, srt, webvtt
from noonwall.outputs.clip import endings_of, make_clip
from noonwall.outputs.clip_data import (
    CAPTIONS,
    FRAME_RATES,
    OVERLAYS,
    SHAPES,
    SHORT_SIDES,
    VIEWS,
    ClipData,
    ClipMade,
    ClipOrder,
)
from noonwall.outputs.clip_words import clip_fault, clip_word
from noonwall.outputs.whole_file import write_whole
from noonwall.pipeline.cueing import cue_sheet, on_song
from noonwall.pipeline.printed_lines import heading_words
from noonwall.pipeline.printed_sheet import unproved_words
from noonwall.pipeline.proving import Proved
from noonwall.pipeline.songs import SongFit, cache_folder, fit_song
from noonwall.words.messages import say


@dataclass(frozen=True, slots=True)
class Filmed:
    """A clip that was made, whether its pictures say that the dance is not proved, and captions beside it."""

    made: ClipMade
    is_marked: bool
    captions: tuple[Path, ...] = ()


def clip_data(
    proved: Proved,
    run: Run,
    music: MusicMap,
    languages: tuple[str, ...],
    known: Collection[str] = frozenset(),
) -> ClipData:
    """Return what a clip of a dance on a song shows.

    Args:
        proved: the sheet; it holds a dance.
        run: the dance on the song.
        music: the song as heard.
        languages: of the calls: "en", "fr" or a region of them.
        known: ids of the figures that the class knows: they are called by name, others by their steps.

    Raises:
        CannotDance: the sheet holds no steps.
    """
    dance = proved.dance
    if dance is None:
        raise CannotDance(say(proved.reading.language, "cli", "no_steps"))
    counted = on_song(dance, run, music)
    names = [
        (part.label, section.at, _names(number, heading_words(section, languages)))
        for part in dance.parts
        for number, section in enumerate(part.sections, 1)
    ]
    return ClipData(
        cue_sheet(proved, languages, run=run, music=music, known=known),
        counted.stretches,
        opening_stance(dance.start_free_foot),
        counted.swing,
        tuple(names),
        unproved_words(proved, languages),
        music.audio_end,
    )


def _names(number: int, names: Sequence[str]) -> tuple[str, ...]:
    return tuple(f"{number} · {name}" if name else str(number) for name in names)


def film(
    fitted: SongFit,
    song: Path,
    path: Path,
    order: ClipOrder,
    *,
    known: Collection[str] = frozenset(),
    workers: int | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Filmed:
    """Film a dance on a song; see :func:`noonwall.outputs.clip.make_clip`.

    Raises:
        NoonwallError: the order cannot be met, or something cannot be written.
    """
    if not fitted.run.walls:
        raise clip_fault(order.languages[0], "no_run")
    data = clip_data(fitted.proved, fitted.run, fitted.song, order.languages, known)
    made = make_clip(data, order, song, path, clip_cache(), workers=workers, progress=progress)
    captions = _captions(data, order, path) if order.captions == "beside" else ()
    return Filmed(made, bool(data.marks), captions)


def _captions(data: ClipData, order: ClipOrder, path: Path) -> tuple[Path, ...]:
    """Write the captions of a clip beside it, WebVTT and SRT for each language."""
    written = []
    for language in order.languages:
        captions = captions_of(data.cues, language, order.speed)
        for ending, text in ((".vtt", webvtt(captions)), (".srt", srt(captions))):
            beside = path.with_name(f"{path.stem}.{language}{ending}")
            write_whole(beside, text.encode("utf-8"))
            written.append(beside)
    return tuple(written)


def clip_cache() -> Path:
    """Return the folder where half-made clips are kept: beside that of the songs, or in NOONWALL_CACHE."""
    named = os.environ.get("NOONWALL_CACHE")
    return (Path(named) if named else cache_folder().parent) / "clips"


__all__ = [
    "CAPTIONS",
    "FRAME_RATES",
    "OVERLAYS",
    "SHAPES",
    "SHORT_SIDES",
    "VIEWS",
    "ClipData",
    "ClipMade",
    "ClipOrder",
    "Filmed",
    "SongFit",
    "clip_cache",
    "clip_data",
    "clip_word",
    "endings_of",
    "film",
    "fit_song",
]
