"""Beats grouped into phrases, and what a correction does to the grouping.

A layout is a list of beats and the beats that start a phrase; bars and eights follow from it, because both
begin anew at every phrase. Corrections are pure: layout in, layout out.
"""

from __future__ import annotations

import itertools
from bisect import bisect_left
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from noonwall.music.faults import cannot_correct

USUAL_PHRASE_COUNTS = {2: 32, 3: 24, 4: 32, 6: 24}
# Counts of an eight by the beats of a bar: two bars of three or four, four of two, one of six.
EIGHT_COUNTS = {2: 8, 3: 6, 4: 8, 6: 6}
CORRECTION_KINDS = ("tap_one", "shift", "halve", "double", "mark_phrase", "odd_phrase")
# A tap further than this from the nearest beat, in beats, means the grid itself lies on the off-beat.
OFF_BEAT_TAP = 0.3
# A marked phrase moves a phrase start this near; further away it cuts a phrase in two.
NEARBY_COUNTS = 4


@dataclass(frozen=True, slots=True)
class Correction:
    """One thing a teacher put right.

    Attributes:
        kind: One of `CORRECTION_KINDS`.
        seconds: Where, for tap_one, mark_phrase and odd_phrase.
        counts: How many, for shift (halves allowed) and odd_phrase (length of that phrase).
    """

    kind: str
    seconds: float | None = None
    counts: float | None = None


@dataclass(frozen=True, slots=True)
class Layout:
    """Beats and the phrases they form.

    Attributes:
        beats: Increasing times in seconds; at least one.
        beats_per_bar: Beats of a bar.
        starts: Beats that start a phrase, by index; the last phrase runs to the last beat.
        intro_phrases: How many of the phrases come before the dance can start.
        end_seconds: No beat lies after this.
    """

    beats: tuple[float, ...]
    beats_per_bar: int
    starts: tuple[int, ...]
    intro_phrases: int
    end_seconds: float

    @property
    def begins(self) -> int:
        """Beat that starts the first phrase after the intro."""
        return self.starts[self.intro_phrases]

    def nearest_beat(self, seconds: float) -> int:
        """Index of the beat nearest to a time."""
        return nearest(self.beats, seconds)

    def phrases(self) -> tuple[tuple[int, int], ...]:
        """(first beat, counts) of every phrase."""
        ends = (*self.starts[1:], len(self.beats))
        return tuple((start, end - start) for start, end in zip(self.starts, ends, strict=True))

    def every(self, step: int, phrases: Iterable[tuple[int, int]]) -> list[int]:
        """Beats every `step` beats, anew at each phrase."""
        return [beat for start, length in phrases for beat in range(start, start + length, step)]


def nearest(times: tuple[float, ...], seconds: float) -> int:
    """Index of the time nearest to another."""
    at = bisect_left(times, seconds)
    near = [index for index in (at - 1, at) if 0 <= index < len(times)]
    return min(near, key=lambda index: abs(times[index] - seconds))


def lay(
    beats: tuple[float, ...], beats_per_bar: int, starts: Iterable[int], begins: int, end_seconds: float
) -> Layout:
    """A layout from phrase starts that may lie outside the piece.

    Args:
        beats: Times in seconds.
        beats_per_bar: Beats of a bar.
        starts: Phrase starts in any order; those outside the piece are dropped, and a stretch of more than
            a bar before the first becomes a phrase of its own (up to a bar is a pickup or count-in).
        begins: The start that ends the intro; the next one inside the piece stands for it.
        end_seconds: Length of the audio.
    """
    inside = sorted({start for start in starts if 0 <= start < len(beats)}) or [
        min(max(begins, 0), len(beats) - 1)
    ]
    if inside[0] > beats_per_bar:
        inside.insert(0, inside[0] % beats_per_bar)
    intro = sum(1 for start in inside if start < begins)
    return Layout(beats, beats_per_bar, tuple(inside), min(intro, len(inside) - 1), end_seconds)


def corrected(layout: Layout, correction: Correction) -> Layout:
    """Apply one correction.

    Raises:
        CannotCorrect: The kind is unknown, or a needed number is missing or impossible.
    """
    if correction.kind not in _APPLY:
        known = ", ".join(CORRECTION_KINDS)
        raise cannot_correct("map.unknown-correction", kind=correction.kind, known=known)
    return _APPLY[correction.kind](layout, correction)


def _again(layout: Layout, starts: Iterable[int], begins: int) -> Layout:
    return lay(layout.beats, layout.beats_per_bar, starts, begins, layout.end_seconds)


def _moved(layout: Layout, by: int) -> Layout:
    """All phrases later by some beats."""
    starts = [start + by for start in layout.starts]
    if starts[0] < 0:
        # What is left of the first phrase keeps its bars.
        starts[0] %= layout.beats_per_bar
    return _again(layout, starts, layout.begins + by)


def _half_beat_later(layout: Layout, forward: bool) -> Layout:
    """The beats moved by half a beat."""
    beats = layout.beats
    if len(beats) < 2:
        return layout
    middles = [(left + right) / 2 for left, right in itertools.pairwise(beats)]
    if forward:
        middles.append(beats[-1] + (beats[-1] - beats[-2]) / 2)
    else:
        middles.insert(0, beats[0] - (beats[1] - beats[0]) / 2)
    return replace(layout, beats=tuple(middles))


def _tap_one(layout: Layout, correction: Correction) -> Layout:
    seconds = _number(correction.seconds, "map.needs-seconds")
    at = layout.nearest_beat(seconds)
    left, right = max(at - 1, 0), min(at + 1, len(layout.beats) - 1)
    if left == right:
        return layout
    period = (layout.beats[right] - layout.beats[left]) / (right - left)
    gap = (seconds - layout.beats[at]) / period
    if OFF_BEAT_TAP < abs(gap) < 1.0:
        layout = _half_beat_later(layout, gap > 0)
        at = layout.nearest_beat(seconds)
    eight = EIGHT_COUNTS[layout.beats_per_bar]
    ones = [*layout.every(eight, layout.phrases()), layout.starts[0] - eight]
    by = min((at - one for one in ones), key=abs)
    return _moved(layout, (by + eight // 2) % eight - eight // 2)


def _shift(layout: Layout, correction: Correction) -> Layout:
    counts = _number(correction.counts, "map.needs-counts")
    whole = int(counts // 1)
    if counts - whole >= 0.25:
        layout = _half_beat_later(layout, True)
    return _moved(layout, whole)


def _halve(layout: Layout, _: Correction) -> Layout:
    if len(layout.beats) < 4:
        raise cannot_correct("map.too-few-beats")
    parity = layout.begins % 2
    beats, begins = layout.beats[parity::2], (layout.begins - parity) // 2
    usual = USUAL_PHRASE_COUNTS[layout.beats_per_bar]
    halved = sorted({(start - parity) // 2 for start in layout.starts if start >= parity})
    kept: list[int] = []
    for start, following in zip(halved, [*halved[1:], len(beats)], strict=True):
        # Two halved phrases join again to one of the usual length.
        if not kept or start == begins or following - kept[-1] > usual or start - kept[-1] >= usual:
            kept.append(start)
    return lay(beats, layout.beats_per_bar, kept, begins, layout.end_seconds)


def _double(layout: Layout, _: Correction) -> Layout:
    beats: list[float] = []
    old = layout.beats
    for left, right in itertools.pairwise(old):
        beats += [left, left + (right - left) / 2]
    beats.append(old[-1])
    if len(old) > 1 and old[-1] + (old[-1] - old[-2]) / 2 <= layout.end_seconds:
        beats.append(old[-1] + (old[-1] - old[-2]) / 2)
    usual = USUAL_PHRASE_COUNTS[layout.beats_per_bar]
    starts: list[int] = []
    for start, length in layout.phrases():
        starts += [2 * start + part * usual for part in range(max(1, 2 * length // usual))]
    return lay(tuple(beats), layout.beats_per_bar, starts, 2 * layout.begins, layout.end_seconds)


def _mark_phrase(layout: Layout, correction: Correction) -> Layout:
    beat = layout.nearest_beat(_number(correction.seconds, "map.needs-seconds"))
    starts, begins = list(layout.starts), layout.begins
    near = min(starts, key=lambda start: abs(start - beat))
    if abs(near - beat) <= NEARBY_COUNTS:
        starts[starts.index(near)] = beat
        begins = beat if near == begins else begins
    else:
        starts.append(beat)
    return _again(layout, starts, begins)


def _odd_phrase(layout: Layout, correction: Correction) -> Layout:
    counts = int(_number(correction.counts, "map.needs-counts"))
    if counts < 1:
        raise cannot_correct("map.no-counts")
    beat = layout.nearest_beat(_number(correction.seconds, "map.needs-seconds"))
    phrases = layout.phrases()
    index = max((number for number, (start, _) in enumerate(phrases) if start <= beat), default=0)
    start, length = phrases[index]
    by = counts - length if index + 1 < len(phrases) else 0
    later = [other + by for other in layout.starts[index + 1 :]] or [start + counts]
    begins = layout.begins + (by if layout.begins > start else 0)
    return _again(layout, [*layout.starts[: index + 1], *later], begins)


def _number(value: float | None, code: str) -> float:
    if value is None:
        raise cannot_correct(code)
    return value


_APPLY: dict[str, Callable[[Layout, Correction], Layout]] = {
    "tap_one": _tap_one,
    "shift": _shift,
    "halve": _halve,
    "double": _double,
    "mark_phrase": _mark_phrase,
    "odd_phrase": _odd_phrase,
}
