"""How a song opens: is it counted in by sticks, and which of its first phrases are the intro?"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from noonwall.music.beatwise import Beatwise
from noonwall.music.passages import Facts
from noonwall.music.weights import INTRO

BODY = slice(0, 16)  # bands below about 600 Hz: silent while only sticks click
STICKS_ALONE = 0.05
MOST_INTRO_PHRASES = 2
SHORT_SHARE = 0.8  # of a usual phrase
BANDS = (slice(0, 6), slice(6, 12), slice(12, 17), slice(17, 22), slice(22, 27), slice(27, 32))
TUNE = slice(12, 24)
FAINT = 0.02


def counted_in(beatwise: Beatwise, bar: int) -> bool:
    """Is the first bar stick clicks alone? That is a count-in, not the intro."""
    body = beatwise.sound[:, BODY].mean(axis=1)
    if body.size < 4 * bar:
        return False
    usual = STICKS_ALONE * float(np.median(body))
    # Without a bass in the intro every bar of it would look so; then it is one.
    return float(body[:bar].mean()) <= usual <= float(body[bar : 2 * bar].mean())


def intro_phrases(beatwise: Beatwise, phrases: list[tuple[int, int]], usual: int) -> tuple[int, float]:
    """How many phrases come before the dance, and how sure that is, 0.5 to 1.

    Short phrases at the start are an intro. A first phrase of the usual length is one if it sounds less than
    the others, or unlike all of them: see `describe`.

    Args:
        beatwise: The piece beat by beat.
        phrases: (first beat, counts) of every phrase.
        usual: Counts of a usual phrase.
    """
    short = 0
    most = min(MOST_INTRO_PHRASES, len(phrases) - 1)
    while short < most and phrases[short][1] < SHORT_SHARE * usual:
        short += 1
    if short or len(phrases) < 3:
        return short, 1.0
    odds = float(np.append(describe(beatwise, [start for start, _ in phrases]), 1.0) @ INTRO)
    return int(odds > 0.0), 1.0 / (1.0 + float(np.exp(-abs(odds))))


def describe(beatwise: Beatwise, starts: list[int]) -> NDArray[np.float64]:
    """What sets the first phrase apart from the others, as 17 log ratios to their median.

    Loudness in six bands and in all; onset strength in five groups; how much sound and chords move, from
    beat to beat and altogether; how far the likest other phrase is.
    """
    ends = [*starts[1:], beatwise.sound.shape[0]]
    spans = [(start, end) for start, end in zip(starts, ends, strict=True) if end - start >= 2]
    sound = _each(beatwise.sound, spans)
    rhythm = _each(beatwise.rhythm, spans).reshape(len(spans), 4, -1).mean(axis=1)
    facts = [_ratio(sound[:, band].mean(axis=1)) for band in BANDS]
    facts.append(_ratio(sound.mean(axis=1)))
    facts += [_ratio(rhythm[:, group]) for group in range(rhythm.shape[1])]
    facts.append(_ratio(np.array([beatwise.sound[a:b, 12:22].std(axis=0).mean() for a, b in spans])))
    facts.append(_ratio(1.0 - np.linalg.norm(_each(beatwise.chroma, spans), axis=1)))
    facts.append(_apart(sound))
    facts.append(
        _ratio(np.array([np.abs(np.diff(beatwise.sound[a:b, TUNE], axis=0)).mean() for a, b in spans]))
    )
    facts.append(_ratio(np.array([np.abs(np.diff(beatwise.chroma[a:b], axis=0)).mean() for a, b in spans])))
    return np.array(facts)


def _each(rows: Facts, spans: list[tuple[int, int]]) -> Facts:
    return np.array([rows[start:end].mean(axis=0) for start, end in spans])


def _ratio(values: NDArray[np.float64]) -> float:
    """Log ratio of the first value to the median of the others; the last, cut by the end, is left out."""
    others = values[1:-1] if values.size > 3 else values[1:]
    return float(np.log((values[0] + FAINT) / (float(np.median(others)) + FAINT)))


def _apart(sound: Facts) -> float:
    """Log ratio of the first phrase's distance to its likest other to that of a usual phrase."""
    others = sound[1:]
    between = np.linalg.norm(others[:, None] - others[None, :], axis=2) + 9.0 * np.eye(len(others))
    nearest = float(np.linalg.norm(others - sound[0], axis=1).min())
    return float(np.log((nearest + FAINT) / (float(np.median(between.min(axis=0))) + FAINT)))
