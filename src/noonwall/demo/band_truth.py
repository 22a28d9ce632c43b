"""The exact truth of a plan: the clock of its counts and everything a listener should find."""

from __future__ import annotations

from typing import Any

import numpy as np

from noonwall.demo.band_plan import Bar, Plan, lay_bars
from noonwall.demo.band_score import Clock, make_clock

COUNTS_AFTER_END = 6
RITARD_STRETCH = 0.6  # the last count of a ritard is this much longer than a plain one
FADE_COUNTS = 24
HEARD_GAIN = 0.03  # beats faded below about -30 dB are no longer claimed


def total_counts(plan: Plan) -> int:
    """Counts from the first bar's one to the end of the last bar."""
    return sum(phrase.counts for phrase in plan.phrases)


def plan_clock(plan: Plan) -> Clock:
    """Seconds of every count: steady, or drifting, and slowing at the end of a ritard.

    A drift is a slow wave of pace over the song whose relative size is at most `plan.drift`.
    """
    end = total_counts(plan)
    counts = np.arange(-plan.pickup_counts, end + COUNTS_AFTER_END, dtype=np.float64)
    periods = np.full(counts.size, 60.0 / plan.bpm)
    if plan.drift:
        phase = 2.0 * np.pi * np.random.default_rng([plan.seed, 2]).random(2)
        wave = 0.7 * np.sin(2.0 * np.pi * counts / 170.0 + phase[0]) + 0.3 * np.sin(counts / 9.0 + phase[1])
        periods *= 1.0 + plan.drift * wave
    if plan.ending == "ritard":
        slow = 2 * plan.groove.beats_per_bar
        progress = np.clip((counts - (end - slow) + 1.0) / slow, 0.0, 1.0)
        periods *= 1.0 + RITARD_STRETCH * progress
    return make_clock(periods, first=-plan.pickup_counts, start_seconds=plan.silence_seconds)


def fade_span(plan: Plan, clock: Clock) -> tuple[float, float] | None:
    """Start and end in seconds of the fade, or None if the song does not fade."""
    if plan.ending != "fade":
        return None
    end = total_counts(plan)
    return float(clock.seconds(end - FADE_COUNTS)), float(clock.seconds(end))


def fade_gain(seconds: np.ndarray, span: tuple[float, float]) -> np.ndarray:
    """Gain of a fade at times in seconds: 1 before it, falling smoothly to 0 at its end."""
    left = np.clip((span[1] - seconds) / (span[1] - span[0]), 0.0, 1.0)
    return np.asarray(left**1.5)


def _eight_counts(plan: Plan, starts: list[int], intro: int) -> list[int]:
    """First count of each eight (two bars of a waltz): anew at each phrase, counted back in the intro."""
    width = 6 if plan.groove.beats_per_bar == 3 else 8
    eights = list(range(intro % width, intro, width))
    for start, following in zip(starts, [*starts[1:], total_counts(plan)], strict=True):
        eights.extend(range(start, following, width))
    return eights


def _breaks(plan: Plan, bars: list[Bar]) -> list[tuple[int, int]]:
    """Count spans without drums after the drums have come in."""
    spans: list[tuple[int, int]] = []
    playing = False
    for bar in bars:
        silent = "drums" not in bar.phrase.layers or bar.index in bar.phrase.silent_drum_bars
        playing = playing or not silent
        if silent and playing:
            start = spans.pop()[0] if spans and spans[-1][1] == bar.start else bar.start
            spans.append((start, bar.start + bar.counts))
    return spans


def _first_with(bars: list[Bar], layer: str) -> int | None:
    return next((bar.start for bar in bars if layer in bar.phrase.layers), None)


def truth_of(plan: Plan) -> dict[str, Any]:
    """What is exactly true of the song, ready for JSON; times in seconds from the start of the audio.

    Returns:
        bpm, beats_per_bar, swing; beats (every count from the pickup to the last chord), bar_starts,
        eight_starts (two bars in a waltz; anew at each phrase; in the intro counted back from its end),
        phrase_starts (after the intro), intro_counts (from the first bar's one, pickup not counted),
        pickup_counts, odd_phrases [[start, counts]] (whole length of the phrase in counts),
        phrases [[start, counts, section]] with the intro, breaks [[start, end]], drums_in, melody_in,
        ending, steady, bpm_also and beats_per_bar_also (other grids that sound as right).
        `audio_end` is added by the renderer.
    """
    bars = lay_bars(plan)
    clock = plan_clock(plan)
    end = total_counts(plan)
    starts = [bar.start for bar in bars if bar.index == 0]
    intro = next(
        (start for start, phrase in zip(starts, plan.phrases, strict=True) if phrase.section != "intro"), end
    )
    phrase_counts = [start for start in starts if start >= intro]
    final = [end] if plan.ending in ("hit", "ritard") else []
    span = fade_span(plan, clock)

    def seconds(counts: list[int]) -> list[float]:
        times = clock.seconds(counts) if counts else np.zeros(0)
        if span is not None:
            times = times[fade_gain(times, span) > HEARD_GAIN]
        return [round(float(time), 6) for time in times]

    def moment(count: int | None) -> float | None:
        return None if count is None else round(float(clock.seconds(count)), 6)

    return {
        "title": plan.title,
        "groove": plan.groove.name,
        "bpm": plan.bpm,
        "bpm_also": [round(plan.bpm * factor, 4) for factor in plan.groove.tempo_also],
        "beats_per_bar": plan.groove.beats_per_bar,
        "beats_per_bar_also": list(plan.groove.bar_also),
        "swing": plan.swing,
        "steady": plan.drift == 0.0,
        "beats": seconds([*range(-plan.pickup_counts, end), *final]),
        "bar_starts": seconds([*(bar.start for bar in bars), *final]),
        "eight_starts": seconds(_eight_counts(plan, phrase_counts, intro)),
        "phrase_starts": seconds(phrase_counts),
        "phrase_counts": plan.phrase_counts,
        "intro_counts": intro,
        "pickup_counts": plan.pickup_counts,
        "odd_phrases": [
            [moment(start), phrase.counts]
            for start, phrase in zip(starts, plan.phrases, strict=True)
            if phrase.odd
        ],
        "phrases": [
            [moment(start), phrase.counts, phrase.section]
            for start, phrase in zip(starts, plan.phrases, strict=True)
        ],
        "breaks": [[moment(start), moment(stop)] for start, stop in _breaks(plan, bars)],
        "drums_in": moment(_first_with(bars, "drums")),
        "melody_in": moment(_first_with(bars, "melody")),
        "ending": plan.ending,
        "seed": plan.seed,
    }
