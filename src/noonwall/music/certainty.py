"""Readings in, the chosen one out, with how sure it is and what else it might be."""

from __future__ import annotations

import numpy as np
from scipy.ndimage import gaussian_filter1d

from noonwall.music.counting import Reading
from noonwall.music.faults import Remark
from noonwall.music.map import Alternative, MusicMap
from noonwall.music.onsets import Onsets
from noonwall.music.pulse import Times

SHARPNESS = 0.8
DOUBTFUL = 0.6
# Measured on songs, noise, syllables at random and free playing; see docs/measured-listening.md.
FEWEST_MET, ENOUGH_MET = 0.42, 0.65
FAINTEST, CLEAREST = 1.2, 1.6


def choose(readings: list[Reading], onsets: Onsets) -> tuple[Reading, tuple[Alternative, ...]]:
    """The likeliest reading, and others a teacher may prefer, likeliest first."""
    chosen = readings[0]
    chances = _chances(readings)
    alternatives: list[Alternative] = []
    for reading, chance in zip(readings[1:], chances[1:], strict=True):
        ratio = reading.bpm / chosen.bpm
        kind = _kind(ratio)
        if any(_same_tempo(other.bpm, reading.bpm) and other.kind == kind for other in alternatives):
            continue
        if kind == "off-beat" and _phase_gap(reading, chosen) < 0.3:
            continue
        first = float(reading.seconds_at(np.ceil(reading.beat_number_at(np.zeros(1))))[0])
        alternatives.append(
            Alternative(kind, round(reading.bpm, 3), round(first, 4), round(float(chance), 3))
        )
        if len(alternatives) == 4:
            break
    return chosen, tuple(alternatives)


def _chances(readings: list[Reading]) -> np.ndarray:
    scores = SHARPNESS * np.array([reading.score for reading in readings])
    weights = np.exp(scores - scores.max())
    result: np.ndarray = weights / weights.sum()
    return result


def _kind(ratio: float) -> str:
    for name, value in (("half", 0.5), ("double", 2.0), ("off-beat", 1.0)):
        if abs(ratio / value - 1.0) < 0.02:
            return name
    return "other"


def _same_tempo(first: float, second: float) -> bool:
    return abs(first / second - 1.0) < 0.02


def _phase_gap(reading: Reading, other: Reading) -> float:
    """How far apart the beats of two readings of one tempo lie, in beats, 0 to 0.5."""
    middle = other.seconds_at(np.arange(32, 64, dtype=np.float64))
    place = reading.beat_number_at(middle) % 1.0
    return float(np.median(np.minimum(place, 1.0 - place)))


def beat_certainty(
    readings: list[Reading], chosen: Reading, times: Times, onsets: Onsets
) -> dict[str, float]:
    """How sure the tempo ("bpm") and the "beats" are, and whether there is a "pulse" at all."""
    chances = _chances(readings)
    tempo = sum(
        float(chance)
        for reading, chance in zip(readings, chances, strict=True)
        if _same_tempo(reading.bpm, chosen.bpm)
    )
    same = sum(
        float(chance)
        for reading, chance in zip(readings, chances, strict=True)
        if _same_tempo(reading.bpm, chosen.bpm) and _phase_gap(reading, chosen) < 0.08
    )
    pulse = pulse_strength(times, onsets)
    return {"bpm": min(1.0, tempo) * pulse, "beats": min(1.0, same) * pulse, "pulse": pulse}


def pulse_strength(times: Times, onsets: Onsets) -> float:
    """0 to 1: is there a pulse at all?

    Two plain questions: how many beats meet more than the mean onset strength (four of five in danceable
    music, one in three in speech or free playing, half in noise), and how much more they meet on average.
    """
    if times.size < 9:
        return 0.0
    smooth = gaussian_filter1d(onsets.total, 2.0)
    met = smooth[onsets.frame_at(times)] / max(float(smooth.mean()), 1e-9)
    kept = np.clip((float((met > 1.0).mean()) - FEWEST_MET) / (ENOUGH_MET - FEWEST_MET), 0.0, 1.0)
    clear = np.clip((float(met.mean()) - FAINTEST) / (CLEAREST - FAINTEST), 0.0, 1.0)
    return float(kept * clear)


def doubts(song: MusicMap, chosen: Reading) -> tuple[Remark, ...]:
    """What a teacher should check by ear."""
    remarks: list[Remark] = []
    if song.certainty["beats"] < DOUBTFUL:
        others = ", ".join(f"{other.bpm:.1f} ({other.kind})" for other in song.alternatives[:2])
        remarks.append(Remark("song.beat-doubtful", {"bpm": f"{song.bpm:.1f}", "others": others}))
    elif song.certainty["bar_starts"] < DOUBTFUL:
        remarks.append(Remark("song.one-doubtful"))
    elif song.certainty["phrase_starts"] < DOUBTFUL:
        remarks.append(Remark("song.phrases-doubtful"))
    if chosen.pulse.drifting:
        remarks.append(Remark("song.drifts"))
    return tuple(remarks)
