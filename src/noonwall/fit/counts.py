"""A song as whole counts: everything fit needs to know of the music, in integers.

The fit core never sees seconds. ``count_grid`` turns what was heard (beats, bars, eights and phrases in
seconds) into positions on one line of counts; ``CountGrid.seconds`` turns an answer back into time.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise
from typing import Any, Protocol

from noonwall.errors import BrokenFile
from noonwall.fit.faults import fault

PACES = (Fraction(1, 2), Fraction(1), Fraction(2))
"""Counts per beat that a dancer may choose: half time, as heard, double time."""

USUAL_PHRASE = {2: 32, 3: 24, 4: 32, 6: 24}
"""Counts of a phrase where the song does not show its own: eight bars, 24 counts in 3/4.

H. L. Raper, Dance Dictionary: minor phrase 16 or 24; Crowe, Cueing Workshop, 2007: groups of 8, 16, 32 bars.
"""


class Music(Protocol):
    """What fit reads of a song; a MusicMap offers all of it. Times are seconds from the start."""

    @property
    def bpm(self) -> float:
        """Dancers' counts per minute."""

    @property
    def beats_per_bar(self) -> int:
        """Counts in a bar: 2, 3, 4 or 6."""

    @property
    def beats(self) -> Sequence[float]:
        """Every count."""

    @property
    def bar_starts(self) -> Sequence[float]:
        """The first count of every bar."""

    @property
    def eight_starts(self) -> Sequence[float]:
        """The first count of every eight (of every six in 3/4)."""

    @property
    def phrase_starts(self) -> Sequence[float]:
        """The first count of every phrase."""

    @property
    def intro_counts(self) -> int | None:
        """Counts to wait from the first one; None if it cannot be told."""

    @property
    def odd_phrases(self) -> Sequence[Sequence[float]]:
        """Pairs of start in seconds and length in counts of phrases that are short or long."""

    @property
    def audio_end(self) -> float:
        """Where the music ends."""

    @property
    def swing(self) -> float | None:
        """Where "&" sounds inside the beat (0.5 straight, 0.67 swung); None if it was not heard."""

    @property
    def certainty(self) -> Mapping[str, float]:
        """How sure each field is, 0 to 1, by its name."""


@dataclass(frozen=True, slots=True)
class Song:
    """The fields of a music map that fit reads, without anything heavy behind them; see :class:`Music`."""

    bpm: float
    beats_per_bar: int
    beats: tuple[float, ...]
    bar_starts: tuple[float, ...] = ()
    eight_starts: tuple[float, ...] = ()
    phrase_starts: tuple[float, ...] = ()
    intro_counts: int | None = None
    odd_phrases: tuple[tuple[float, int], ...] = ()
    audio_end: float = 0.0
    swing: float | None = None
    certainty: Mapping[str, float] = field(default_factory=dict)

    @classmethod
    def from_json(cls, data: Mapping[str, Any], name: str = "the music map") -> Song:
        """Read the JSON form of a music map.

        Raises:
            BrokenFile: a needed field is missing or is not what it should be.
        """
        try:
            return cls(
                float(data["bpm"]),
                int(data["beats_per_bar"]),
                tuple(map(float, data["beats"])),
                tuple(map(float, data.get("bar_starts", ()))),
                tuple(map(float, data.get("eight_starts", ()))),
                tuple(map(float, data.get("phrase_starts", ()))),
                None if data.get("intro_counts") is None else int(data["intro_counts"]),
                tuple((float(start), int(counts)) for start, counts in data.get("odd_phrases", ())),
                float(data["audio_end"]),
                swing_ratio(data.get("swing")),
                dict(data.get("certainty", {})),
            )
        except (KeyError, TypeError, ValueError) as error:
            raise fault(BrokenFile, "fit.not-a-map", name=name, reason=error) from error


def swing_ratio(swing: object) -> float | None:
    """Return where "&" sounds in the beat from what a music map says: a ratio, yes/no, a word or nothing."""
    if isinstance(swing, bool):
        return 2 / 3 if swing else 0.5
    if isinstance(swing, str):
        return {"swung": 2 / 3, "swing": 2 / 3, "straight": 0.5}.get(swing)
    if isinstance(swing, int | float):
        return float(swing)
    return None


@dataclass(frozen=True, slots=True)
class CountGrid:
    """A song as counts 0 .. ``counts`` - 1.

    Attributes:
        times: start of each count, seconds.
        end_seconds: where the music ends, not before the last count.
        beats_per_bar: counts in a bar.
        bars, eights, phrases: counts on which one starts, ascending.
        odd_phrases: (count it starts on, its length in counts).
        usual_phrase: the usual length of a phrase in counts.
        first_one: the first count that is a "one"; waiting is counted from here.
        invited: where the music asks the dance to begin, or None.
    """

    times: tuple[float, ...]
    end_seconds: float
    beats_per_bar: int
    bars: tuple[int, ...]
    eights: tuple[int, ...]
    phrases: tuple[int, ...]
    odd_phrases: tuple[tuple[int, int], ...]
    usual_phrase: int
    first_one: int
    invited: int | None = None

    @property
    def counts(self) -> int:
        """How many counts the song has."""
        return len(self.times)

    @property
    def eight(self) -> int:
        """Counts in an eight: 6 in a waltz, else 8."""
        return 6 if self.beats_per_bar % 3 == 0 else 8

    def seconds(self, count: int) -> float:
        """Return when ``count`` starts, seconds; past the last count, the end of the last one."""
        if count < len(self.times):
            return self.times[max(count, 0)]
        step = self.times[-1] - self.times[-2] if len(self.times) > 1 else 0.0
        return min(self.times[-1] + step, max(self.end_seconds, self.times[-1]))


def count_grid(music: Music, pace: Fraction = Fraction(1)) -> CountGrid:
    """Lay a song out as whole counts.

    Beats after the end of the audio are left out. A start that lies more than half a beat from every beat
    is left out as well.

    Args:
        music: what was heard.
        pace: dancers' counts per heard beat: 1/2 halves a fast song, 2 doubles a slow one.

    Raises:
        BrokenFile: the song has fewer than two beats, or its beats do not go forward.
    """
    if pace not in PACES:
        raise ValueError("pace must be 1/2, 1 or 2")
    beats = [beat for beat in music.beats if beat <= music.audio_end + 1e-6]
    if len(beats) < 2:
        raise fault(BrokenFile, "fit.no-beats")
    if any(later <= earlier for earlier, later in pairwise(beats)):
        raise fault(BrokenFile, "fit.beats-back")
    first_bar = music.bar_starts[0] if music.bar_starts else beats[0]
    times = _paced(beats, pace, first_bar)
    bars, eights, phrases = (
        _indexes(times, starts) for starts in (music.bar_starts, music.eight_starts, music.phrase_starts)
    )
    if pace != 1 and phrases:
        eight = 6 if music.beats_per_bar % 3 == 0 else 8
        bars = _spaced(phrases, music.beats_per_bar, len(times))
        eights = _spaced(phrases, eight, len(times))
    odd = []
    for start, length in music.odd_phrases:
        at = _indexes(times, (start,))
        if at:
            odd.append((at[0], int(length * pace)))
    usual = _usual_phrase(phrases, odd, music.beats_per_bar)
    first_one = min((starts[0] for starts in (bars, eights, phrases) if starts), default=0)
    invited = None if music.intro_counts is None else first_one + int(music.intro_counts * pace)
    if invited is not None and not 0 <= invited < len(times):
        invited = None
    return CountGrid(
        tuple(times),
        music.audio_end,
        music.beats_per_bar,
        bars,
        eights or bars,
        phrases or eights or bars,
        tuple(odd),
        usual,
        first_one,
        invited,
    )


def _paced(beats: list[float], pace: Fraction, first_bar: float) -> list[float]:
    if pace == 1:
        return beats
    if pace == 2:
        halves = [(earlier + later) / 2 for earlier, later in pairwise(beats)]
        return sorted([*beats, *halves])
    # keep the beat that is a "one", drop the ones between
    offset = (_nearest(beats, first_bar)) % 2
    return beats[offset::2]


def _nearest(times: Sequence[float], moment: float) -> int:
    right = bisect_left(times, moment)
    if right == 0:
        return 0
    if right == len(times):
        return right - 1
    return right if times[right] - moment < moment - times[right - 1] else right - 1


def _indexes(times: Sequence[float], moments: Sequence[float]) -> tuple[int, ...]:
    found = set()
    for moment in moments:
        index = _nearest(times, moment)
        neighbour = times[index + 1] if index + 1 < len(times) else times[index - 1]
        if abs(times[index] - moment) <= abs(neighbour - times[index]) / 2:
            found.add(index)
    return tuple(sorted(found))


def _spaced(phrases: Sequence[int], step: int, counts: int) -> tuple[int, ...]:
    """Return every ``step`` counts from each phrase start on, and back from the first one."""
    places = set(range(phrases[0] % step, phrases[0], step))
    for start, end in pairwise((*phrases, counts)):
        places |= set(range(start, end, step))
    return tuple(sorted(places))


def _usual_phrase(phrases: Sequence[int], odd: Sequence[tuple[int, int]], beats_per_bar: int) -> int:
    """Return the commonest phrase length among the phrases that are not odd."""
    odd_starts = {start for start, _ in odd}
    lengths = [later - earlier for earlier, later in pairwise(phrases) if earlier not in odd_starts]
    if not lengths:
        return USUAL_PHRASE.get(beats_per_bar, 32)
    tally = Counter(lengths)
    return max(tally, key=lambda length: (tally[length], length))
