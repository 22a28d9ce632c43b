"""What the floor mode plays: every beat and every call of a run, in one language, as plain values."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from typing import Any

from noonwall.dance.model import Dance
from noonwall.outputs.page_words import PageWords
from noonwall.outputs.song_data import as_counted
from noonwall.pipeline.cueing import cue_sheet
from noonwall.pipeline.studio_dance import proved_text
from noonwall.pipeline.studio_song import SongHeard, fitted
from noonwall.pipeline.studio_words import studio_words
from noonwall.teach.cue import Beat, CueSheet

LONGEST_HEADING = 60


@lru_cache(maxsize=32)
def floor_run(text: str, language: str, song: SongHeard | None = None, plan: int = 0) -> dict[str, Any]:
    """Return the run of a dance as the floor mode's script gets it; the caller must not change it.

    ``beats`` are rows (seconds, what is counted, wall, facing in eighths, kind); ``calls`` rows (kind,
    seconds at which it begins to be said, seconds of what it is about, words); ``pieces`` where to begin.

    Args:
        text: the sheet.
        language: of the calls.
        song: the song, None for an even click.
        plan: which plan on the song.

    Raises:
        NoonwallError: the text holds no dance, or the song cannot be counted.
    """
    proved = proved_text(text)
    if song is None:
        sheet = cue_sheet(proved, (language,))
    else:
        run = fitted(text, song, plan)
        sheet = cue_sheet(proved, (language,), run=run, music=as_counted(song.map, run))
    assert proved.dance is not None
    words = studio_words(language)
    return {
        "title": sheet.title,
        "ends": sheet.ends_seconds,
        "eight": 6 if proved.dance.beats_per_bar == 3 else 8,
        "beats": [_beat(beat) for beat in sheet.beats],
        "calls": _calls(sheet),
        "pieces": _pieces(sheet, proved.dance, words),
    }


def _beat(beat: Beat) -> list[object]:
    return [round(beat.seconds, 4), beat.said, beat.wall, beat.facing % 8, beat.kind]


def _calls(sheet: CueSheet) -> list[list[object]]:
    return [
        [cue.kind, round(cue.from_seconds, 4), round(cue.on_seconds, 4), cue.words[0]]
        for cue in sheet.cues
        if cue.kind not in ("count", "count-in")
    ]


def _pieces(sheet: CueSheet, dance: Dance, words: PageWords) -> list[list[object]]:
    """Return (label, wall, seconds) of every place to begin: the sections of every wall, and the tags."""
    starts: dict[tuple[str, Fraction], str] = {}
    for part in dance.parts:
        for number, section in enumerate(part.sections, 1):
            name = section.heading or section.label or str(number)
            starts[part.label, section.at] = name[:LONGEST_HEADING]
    pieces: list[list[object]] = []
    for beat in sheet.beats:
        begun = starts.get((beat.part, beat.at))
        if beat.part and begun is not None:
            label = words.say("run", "wall", n=beat.wall) if beat.kind == "wall" else beat.part
            pieces.append([f"{label} · {begun}", beat.wall, round(beat.seconds, 4)])
    return pieces
