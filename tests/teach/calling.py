"""Sheets, songs and words that the tests of calling share; all invented."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from pathlib import Path

from noonwall.dance.model import Dance
from noonwall.fit import Song
from noonwall.pipeline.proving import Proved, prove, prove_file
from noonwall.teach.cue import Cue, CueSheet

ROOT = Path(__file__).parents[2]
DATA = ROOT / "tests" / "data" / "teach"
LANGUAGES = ("en", "fr")
COUNTED = ("count", "count-in")
SHEETS = sorted((ROOT / "examples").glob("*.txt"))

EIGHT = """HARBOUR HALL WARM-UP
Count: 8   Walls: 4   Level: Beginner
Section 1: Vine, walks, turn
1-4 Step right to right side, step left behind right, step right to right side, touch left beside right
5-6 Walk forward left, walk forward right
7-8 Turn 1/4 left stepping left forward, scuff right forward
"""


@lru_cache(maxsize=32)
def proved_sheet(path: Path) -> Proved:
    """Return an example sheet, proved once."""
    return prove_file(path)


@lru_cache(maxsize=1)
def _any_proved() -> Proved:
    return prove(EIGHT, "en", with_mends=False)


def proved_of(dance: Dance) -> Proved:
    """Return a dance as if a faultless sheet held it."""
    return replace(_any_proved(), dance=dance, findings=())


def song(
    bpm: float = 120.0,
    counts: int = 200,
    beats_per_bar: int = 4,
    intro: int = 32,
    swing: float = 0.5,
    first: float = 0.3,
    phrases: tuple[int, ...] = (),
) -> Song:
    """Return a song as heard, with even beats and phrases of 32 (24 in a waltz) or as told."""
    step = 60.0 / bpm
    beats = tuple(first + index * step for index in range(sum(phrases) or counts))
    eight, usual = (6, 24) if beats_per_bar == 3 else (8, 32)
    starts, at = [], 0
    for length in phrases or (usual,) * (len(beats) // usual + 1):
        starts.append((at, length))
        at += length
    starts = [row for row in starts if row[0] < len(beats)]
    inner = [(a + k, k) for a, length in starts for k in range(length) if a + k < len(beats)]
    return Song(
        bpm,
        beats_per_bar,
        beats,
        tuple(beats[at] for at, k in inner if k % beats_per_bar == 0),
        tuple(beats[at] for at, k in inner if k % eight == 0),
        tuple(beats[at] for at, _ in starts),
        intro,
        tuple((beats[at], length) for at, length in starts if length != usual and at + length <= len(beats)),
        beats[-1] + step,
        swing,
        {},
    )


def by_words(language: str, text: str) -> float:
    """Return 0.25 seconds for each word: a measure that a person can follow."""
    assert language in LANGUAGES
    return 0.25 * len(text.split())


def called(sheet: CueSheet) -> list[Cue]:
    """Return everything that is said but the numbers."""
    return [cue for cue in sheet.cues if cue.kind not in COUNTED]
