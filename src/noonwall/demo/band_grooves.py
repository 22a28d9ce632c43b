"""Reads the groove table `grooves.toml` into records."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import resources
from typing import Any


@dataclass(frozen=True, slots=True)
class Groove:
    """Patterns of one genre; see the head of `grooves.toml` for the letters.

    Attributes:
        beats_per_bar: counts in a bar.
        steps: pattern steps in a count.
        tempo_bpm: lowest and highest tempo it suits, counts a minute.
        swings: places of the half count it may be played with; the first is the usual one.
        tempo_also: factors of the tempo that a listener could count as well.
        bar_also: other bar lengths that a listener could count as well.
    """

    name: str
    beats_per_bar: int
    steps: int
    tempo_bpm: tuple[float, float]
    swings: tuple[float, ...]
    drums: Mapping[str, str]
    lift: Mapping[str, str]
    bass: str
    chords: str
    chord_voices: tuple[str, ...]
    tempo_also: tuple[float, ...]
    bar_also: tuple[int, ...]

    def lines(self, lifted: bool) -> dict[str, str]:
        """Drum voice to pattern, with the chorus changes if `lifted`."""
        return {**self.drums, **self.lift} if lifted else dict(self.drums)


def _groove(name: str, table: Mapping[str, Any]) -> Groove:
    low, high = table["tempo"]
    groove = Groove(
        name=name,
        beats_per_bar=table["bar"],
        steps=table["steps"],
        tempo_bpm=(float(low), float(high)),
        swings=tuple(table["swings"]),
        drums=table["drums"],
        lift=table["lift"],
        bass=table["bass"],
        chords=table["chords"],
        chord_voices=tuple(table["chord_voices"]),
        tempo_also=tuple(table.get("tempo_also", ())),
        bar_also=tuple(table.get("bar_also", ())),
    )
    bar = groove.beats_per_bar * groove.steps
    for pattern in (*groove.drums.values(), *groove.lift.values(), groove.bass, groove.chords):
        if len(pattern) % bar:
            raise ValueError(f"groove {name}: pattern {pattern!r} is not a whole number of {bar}-step bars")
    return groove


def _load() -> dict[str, Groove]:
    text = resources.files("noonwall.demo").joinpath("grooves.toml").read_text(encoding="utf-8")
    return {name: _groove(name, table) for name, table in tomllib.loads(text).items()}


GROOVES: dict[str, Groove] = _load()
