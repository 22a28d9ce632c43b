"""What is counted while a run is danced: the count-in, the numbers, and what is said between them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction

from noonwall.teach.call_words import call_table, primary_of
from noonwall.teach.counted import Stretch
from noonwall.teach.cue import Beat, Cue, CueKind

Speaks = Callable[[str, str], float]
"""Given a language and a text, how many seconds it takes to say it."""

COUNT_IN = {8: (5, 6, 7, 8), 6: (4, 5, 6)}
"""What is counted before the first count: one bar, as the trade does; common practice, no source."""


def time_of(count: Fraction, beats: Sequence[Beat], swing: float = 0.5) -> float:
    """Return when a count of the run sounds, seconds; "and" lies where the music swings it.

    Args:
        count: from the first count danced; before the first and after the last beat it is carried on evenly.
        beats: of the music.
        swing: where "and" sounds in a beat, 0.5 straight. Other parts of a beat keep their written place.
    """
    whole = count.numerator // count.denominator
    part = float(count - whole)
    if count - whole == Fraction(1, 2):
        part = swing
    here = _seconds(whole, beats)
    return here + part * (_seconds(whole + 1, beats) - here) if part else here


def _seconds(count: int, beats: Sequence[Beat]) -> float:
    index = count - beats[0].count
    if 0 <= index < len(beats):
        return beats[index].seconds
    if len(beats) < 2:
        return beats[0].seconds
    near, far = (beats[0], beats[1]) if index < 0 else (beats[-1], beats[-2])
    step = abs(near.seconds - far.seconds)
    return near.seconds + (count - near.count) * step


def count_in_cues(beats: Sequence[Beat], languages: Sequence[str], eight: int) -> Iterator[Cue]:
    """Give the count-in on the beats before the first count; as many of its numbers as there are beats."""
    numbers = COUNT_IN[eight]
    for number, at in zip(numbers, range(-len(numbers), 0), strict=True):
        if at >= beats[0].count:
            yield _counted("count-in", Fraction(at), str(number), beats, languages, 0.5)


def count_cues(
    beats: Sequence[Beat],
    stretches: Sequence[Stretch],
    languages: Sequence[str],
    speaks: Speaks,
    swing: float = 0.5,
) -> Iterator[Cue]:
    """Give a count for every danced beat, and "and" where something is danced between two and time allows."""
    between = {m.count for s in stretches for m in s.moments if m.count.denominator in (2, 4)}
    wanted = sorted({Fraction(beat.count) for beat in beats if beat.said} | between)
    said = {beat.count: beat.said for beat in beats}
    last = max((beat.count for beat in beats if beat.said), default=0)
    for number, count in enumerate(wanted):
        if count.denominator == 1:
            yield _counted("count", count, str(said[int(count)]), beats, languages, swing)
        elif beats[0].count <= count < last + 1:
            name = f"+{(count - count.numerator // count.denominator).numerator * 4 // count.denominator}"
            cue = _counted("count", count, name, beats, languages, swing)
            after = wanted[number + 1] if number + 1 < len(wanted) else count + Fraction(1, 4)
            after = min(after, Fraction(count.numerator // count.denominator + 1))
            free = time_of(after, beats, swing) - cue.on_seconds
            longest = max(speaks(language, word) for language, word in zip(languages, cue.words, strict=True))
            if longest <= free:
                yield cue


def _counted(
    kind: CueKind,
    count: Fraction,
    number: str,
    beats: Sequence[Beat],
    languages: Sequence[str],
    swing: float,
) -> Cue:
    """Return the cue of a number ("1" .. "8") or of a word between ("+2" is "and"), on its beat."""
    seconds = time_of(count, beats, swing)
    section, key = ("between", number[1:]) if number.startswith("+") else ("numbers", number)
    words = tuple(call_table(primary_of(language))[section][key] for language in languages)
    until = time_of(count + Fraction(1, 2), beats, swing) if section == "numbers" else seconds
    until = max(until, time_of(Fraction(count.numerator // count.denominator + 1), beats, swing))
    return Cue(kind, count, seconds, seconds, until, words, (("count", number),))
