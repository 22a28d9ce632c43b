"""Published tempo ranges: which rhythms a song may be danced to, and which tempos a dance asks for."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any

from noonwall.dance.model import Dance
from noonwall.errors import BrokenVocabulary

SWUNG_FROM = 0.58
"""From here on "&" sounds swung: halfway between straight (0.5) and triplets (0.67), common practice."""
SLOWER_SHARE = 0.10
FASTER_SHARE = 0.06
"""How far from the sheet's tempo a class follows: slower is easier than faster; own judgement, no source."""


@dataclass(frozen=True, slots=True)
class TempoRange:
    """Counts per minute from ``low`` to ``high``, and the key of its source in ``tempo_ranges.toml``."""

    low: float
    high: float
    source: str

    def holds(self, bpm: float) -> bool:
        """Tell whether ``bpm`` lies in the range, ends included."""
        return self.low <= bpm <= self.high

    def distance(self, bpm: float) -> float:
        """Return how far outside ``bpm`` lies, as a share of the nearest end; 0 inside."""
        if bpm < self.low:
            return (self.low - bpm) / self.low
        return max(0.0, (bpm - self.high) / self.high)


@dataclass(frozen=True, slots=True)
class Rhythm:
    """A rhythm family: beats in its bar, "straight", "swung" or "either", its published ranges."""

    name: str
    bar: int
    feel: str
    ranges: tuple[TempoRange, ...]


@dataclass(frozen=True, slots=True)
class TempoTable:
    """All of ``tempo_ranges.toml``."""

    sources: dict[str, str]
    rhythms: dict[str, Rhythm]
    levels: dict[str, tuple[TempoRange, tuple[str, ...]]]
    waltz_lowest: float


@lru_cache(maxsize=1)
def tempo_table() -> TempoTable:
    """Load and prove the tempo ranges.

    Raises:
        BrokenVocabulary: a range is upside down, or names a source or a feel that is not there.
    """
    text = resources.files(__package__).joinpath("tempo_ranges.toml").read_text("utf-8")
    raw = tomllib.loads(text)
    sources = dict(raw["sources"])
    rhythms = {name: _rhythm(name, entry, sources) for name, entry in raw["rhythms"].items()}
    levels = {
        name: (_range(name, [entry["low"], entry["high"], entry["source"]], sources), tuple(entry["words"]))
        for name, entry in raw["levels"].items()
    }
    return TempoTable(sources, rhythms, levels, float(raw["waltz"]["lowest"]))


def _rhythm(name: str, entry: dict[str, Any], sources: dict[str, str]) -> Rhythm:
    if entry["feel"] not in ("straight", "swung", "either"):
        raise BrokenVocabulary(f"tempo_ranges.toml [{name}]: feel must be straight, swung or either.")
    ranges = tuple(_range(name, values, sources) for values in entry["ranges"])
    return Rhythm(name, int(entry["bar"]), entry["feel"], ranges)


def _range(name: str, values: list[Any], sources: dict[str, str]) -> TempoRange:
    low, high, source = values
    if source not in sources or not 0 < low <= high:
        raise BrokenVocabulary(f"tempo_ranges.toml [{name}]: {values} needs low <= high and a known source.")
    return TempoRange(float(low), float(high), source)


def is_swung(swing: float | None) -> bool | None:
    """Tell whether a "&" at this share of the beat is swung; None if it was not heard."""
    return None if swing is None else swing >= SWUNG_FROM


def classify(bpm: float, beats_per_bar: int, swing: float | None = None) -> list[str]:
    """Return the rhythms that are danced at a tempo, the likeliest first.

    A rhythm is listed if one of its published ranges holds ``bpm``, its bar is that of the song and its
    feel does not contradict what was heard. First come those whose own federation range holds it, then
    those whose narrowest range lies closest around it.

    Args:
        bpm: counts per minute.
        beats_per_bar: 2, 3, 4 or 6; 2 and 4 are told apart by no ear and count as the same.
        swing: where "&" sounds in the beat (0.5 straight, 0.67 triplets), None if not heard.
    """
    swung = is_swung(swing)
    bars = {2: (2, 4), 4: (2, 4), 3: (3,), 6: (3, 6)}.get(beats_per_bar, (beats_per_bar,))
    found: list[tuple[bool, float, str]] = []
    for rhythm in tempo_table().rhythms.values():
        if rhythm.bar not in bars or (
            swung is not None and rhythm.feel == ("straight" if swung else "swung")
        ):
            continue
        holding = [tempo for tempo in rhythm.ranges if tempo.holds(bpm)]
        if holding:
            nearest = min(abs(bpm - (tempo.low + tempo.high) / 2) for tempo in holding)
            found.append((not rhythm.ranges[0].holds(bpm), nearest, rhythm.name))
    return [name for _, _, name in sorted(found)]


def tempo_wanted(dance: Dance) -> TempoRange:
    """Return the tempos that suit a dance: around the sheet's own, else what its level dances in comfort.

    ``source`` is "sheet" or a key of ``tempo_ranges.toml``.
    """
    if dance.bpm:
        return TempoRange(dance.bpm * (1 - SLOWER_SHARE), dance.bpm * (1 + FASTER_SHARE), "sheet")
    table = tempo_table()
    told = dance.level.casefold()
    fitting = [(len(word), tempo) for tempo, words in table.levels.values() for word in words if word in told]
    chosen = max(fitting, key=lambda pair: pair[0])[1] if fitting else table.levels["any"][0]
    if dance.beats_per_bar % 3 == 0:
        return TempoRange(min(table.waltz_lowest, chosen.low), chosen.high, chosen.source)
    return chosen
