"""The demo's lesson: everything that is made to teach one dance on one song."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from noonwall.outputs.clip_data import ClipOrder
from noonwall.outputs.whole_file import write_whole
from noonwall.pipeline.captioning import caption_files, write_captions
from noonwall.pipeline.cueing import cue_sheet
from noonwall.pipeline.filming import film
from noonwall.pipeline.practising import PracticeOrder, practise
from noonwall.pipeline.printed_sheet import OnSong, unproved_words
from noonwall.pipeline.printing import Order, make_print
from noonwall.pipeline.songs import SongFit
from noonwall.pipeline.teaching import lesson_of, write_lesson

LANGUAGES = ("en", "fr")
MINUTES = 25.0
PERCENTS = (75, 100)


@dataclass(frozen=True, slots=True)
class Made:
    """One file that was made: what it is (an id worded in messages.toml) and where."""

    kind: str
    path: Path


def taught(folder: Path, name: str, fitted: SongFit, sound: Path, title: str) -> Iterator[Made]:
    """Make the lesson, tracks, captions, chart and clip of a dance on a song, in both languages.

    Args:
        folder: where; it is there.
        name: what the files' names begin with.
        fitted: the dance on the song.
        sound: the song.
        title: what the song is called.

    Raises:
        NoonwallError: something cannot be made or written.
    """
    proved, on_song = fitted.proved, OnSong(title, fitted.song, fitted.run)
    lesson = lesson_of(proved, LANGUAGES, MINUTES, on_song=on_song)
    for file in write_lesson(lesson, folder, name):
        yield Made(f"lesson_{file.kind}", file.path)
    chart = folder / f"{name}-chart.pdf"
    write_whole(chart, make_print(Order("chart", "pdf", LANGUAGES), proved, on_song).content)
    yield Made("chart", chart)
    cues = cue_sheet(proved, LANGUAGES, run=fitted.run, music=fitted.song)
    marked = bool(unproved_words(proved, ("en",)))
    for path in write_captions(caption_files(cues, fitted.song.beats_per_bar, 1.0, marked), folder, name):
        yield Made("run_click" if path.suffix == ".mid" else "captions", path)
    for track in practise(proved, PracticeOrder(folder, name, LANGUAGES, PERCENTS), sound).tracks:
        yield Made("practice", track.made.out)
    clip = folder / f"{name}-clip.mp4"
    yield Made("clip", film(fitted, sound, clip, ClipOrder(languages=LANGUAGES)).made.path)
