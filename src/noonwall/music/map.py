"""MusicMap: everything heard in one song, with how sure it is, as one frozen value that can be corrected.

A correction never changes a map: it returns a new one, and notes itself in `corrections`, so that it can be applied
again when the song is heard afresh (`reapply`). Beats, bars, eights and phrases are times in seconds from the start
of the audio; everything else is counted in beats.
"""

from __future__ import annotations

import json
from bisect import bisect_left
from collections.abc import Iterable
from dataclasses import asdict, dataclass, field, replace
from typing import Any

from noonwall.errors import BrokenFile

FORMAT = 1
USUAL_PHRASE_COUNTS = {2: 32, 3: 24, 4: 32, 6: 24}
# A tap further than this from the nearest beat, in beats, means the grid itself lies on the off-beat.
OFF_BEAT_TAP = 0.3
CORRECTION_KINDS = ("tap_one", "shift", "halve", "double", "mark_phrase", "odd_phrase")
CERTAINTY_KEYS = ("bpm", "beats_per_bar", "beats", "bar_starts", "eight_starts", "phrase_starts", "intro_counts",
                  "odd_phrases", "audio_end", "swing")


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
class Alternative:
    """Another way to count the song.

    Attributes:
        kind: "half", "double", "off-beat" or "other".
        bpm: Its tempo.
        first_beat: Its first beat in seconds.
        certainty: How likely it is, 0 to 1.
    """

    kind: str
    bpm: float
    first_beat: float
    certainty: float


@dataclass(frozen=True, slots=True)
class MusicMap:
    """One song, heard.

    Attributes:
        bpm: Beats a minute as a dancer counts; the median where the tempo drifts; 0 if no beat was found.
        beats_per_bar: 2, 3, 4 or 6.
        beats: Every count from the first to the last, in seconds.
        bar_starts: Times of every bar's one.
        eight_starts: Times of every eight (six in a waltz), begun anew at each phrase.
        phrase_starts: Times of every phrase after the intro.
        intro_counts: Counts from the first bar's one to the first phrase.
        odd_phrases: (start in seconds, length in counts) of every phrase that is not of the usual length.
        audio_end: Length of the audio in seconds.
        certainty: 0 to 1 for each name in `CERTAINTY_KEYS`.
        swing: Where the half count sounds, as a share of the beat: 0.5 straight, 0.667 triplets.
        tempo_curve: (seconds, bpm) every eight.
        alternatives: Other readings, likeliest first.
        breaks: (start, end) in seconds of passages without drums after the drums came in.
        band_in: When the whole band plays for the first time, or None.
        vocals_in: When the singing starts, or None where that cannot be told.
        remarks: Sentences for the teacher about what is doubtful.
        corrections: What a teacher put right, oldest first.
        first_one: Index in `beats` of the first bar's one (beats before it are a pickup).
        phrases: (first beat, counts) of every phrase, the intro's own phrases included.
        intro_phrases: How many of `phrases` belong to the intro.
    """

    bpm: float
    beats_per_bar: int
    beats: tuple[float, ...]
    bar_starts: tuple[float, ...]
    eight_starts: tuple[float, ...]
    phrase_starts: tuple[float, ...]
    intro_counts: int
    odd_phrases: tuple[tuple[float, int], ...]
    audio_end: float
    certainty: dict[str, float]
    swing: float = 0.5
    tempo_curve: tuple[tuple[float, float], ...] = ()
    alternatives: tuple[Alternative, ...] = ()
    breaks: tuple[tuple[float, float], ...] = ()
    band_in: float | None = None
    vocals_in: float | None = None
    remarks: tuple[str, ...] = ()
    corrections: tuple[Correction, ...] = field(default=())
    first_one: int = 0
    phrases: tuple[tuple[int, int], ...] = ()
    intro_phrases: int = 0

    def to_json(self) -> str:
        """The map as JSON text by docs/schema/music-map.schema.json."""
        return json.dumps(self.to_dict(), indent=1) + "\n"

    def to_dict(self) -> dict[str, Any]:
        """The map as plain lists and numbers, in the order of the schema."""
        plain: dict[str, Any] = {"format": FORMAT}
        for name in self.__slots__:
            value = getattr(self, name)
            plain[name] = _plain(value)
        return plain

    @staticmethod
    def from_json(text: str) -> MusicMap:
        """Read a map written by `to_json`.

        Raises:
            BrokenFile: The text is not a music map of a known format.
        """
        try:
            plain = json.loads(text)
        except json.JSONDecodeError as error:
            raise BrokenFile(f"This is not a music map: line {error.lineno} is not JSON; listen to the song "
                             "again.") from error
        if not isinstance(plain, dict) or plain.get("format") != FORMAT:
            raise BrokenFile(f"This is not a music map of format {FORMAT}; listen to the song again.")
        try:
            return _from_dict(plain)
        except (KeyError, TypeError, ValueError) as error:
            raise BrokenFile(f"This music map is damaged ({error}); listen to the song again.") from error

    def halved(self) -> MusicMap:
        """Count at half the tempo: every other beat, with the first one kept."""
        return self.corrected(Correction("halve"))

    def doubled(self) -> MusicMap:
        """Count at twice the tempo: a new beat between every two."""
        return self.corrected(Correction("double"))

    def with_one_at(self, seconds: float) -> MusicMap:
        """The teacher tapped a count of one here: the nearest eight moves to it, and all the others with it.

        A tap between two beats moves the beats too (the grid was on the off-beat).
        """
        return self.corrected(Correction("tap_one", seconds=seconds))

    def shifted(self, counts: float) -> MusicMap:
        """Move every one by this many counts, later if positive; halves move the beats."""
        return self.corrected(Correction("shift", counts=counts))

    def with_phrase_at(self, seconds: float) -> MusicMap:
        """A phrase starts here: moves the nearest phrase start within four counts, or cuts the phrase in two."""
        return self.corrected(Correction("mark_phrase", seconds=seconds))

    def with_odd_phrase(self, seconds: float, counts: int) -> MusicMap:
        """The phrase that sounds here has this many counts; everything after it moves."""
        return self.corrected(Correction("odd_phrase", seconds=seconds, counts=counts))

    def corrected(self, correction: Correction) -> MusicMap:
        """Apply one correction and note it.

        Raises:
            ValueError: The kind is unknown, or a needed number is missing or impossible.
        """
        if correction.kind not in _APPLY:
            raise ValueError(f"{correction.kind!r} is no correction; known are {', '.join(CORRECTION_KINDS)}.")
        if not self.beats:
            raise ValueError("No beat was found in this song, so there is nothing to correct.")
        mended = _APPLY[correction.kind](self, correction)
        return replace(mended, corrections=(*self.corrections, correction))

    def nearest_beat(self, seconds: float) -> int:
        """Index of the beat nearest to a time."""
        at = bisect_left(self.beats, seconds)
        near = [index for index in (at - 1, at) if 0 <= index < len(self.beats)]
        return min(near, key=lambda index: abs(self.beats[index] - seconds))


def reapply(corrections: Iterable[Correction], heard: MusicMap) -> MusicMap:
    """Apply kept corrections to a map that was heard afresh."""
    for correction in corrections:
        heard = heard.corrected(correction)
    return heard


def _plain(value: Any) -> Any:
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    if isinstance(value, (Correction, Alternative)):
        return asdict(value)
    return value


def _from_dict(plain: dict[str, Any]) -> MusicMap:
    def pairs(name: str, second: type) -> tuple[Any, ...]:
        return tuple((first, second(last)) for first, last in plain[name])

    return MusicMap(
        bpm=float(plain["bpm"]), beats_per_bar=int(plain["beats_per_bar"]), beats=tuple(plain["beats"]),
        bar_starts=tuple(plain["bar_starts"]), eight_starts=tuple(plain["eight_starts"]),
        phrase_starts=tuple(plain["phrase_starts"]), intro_counts=int(plain["intro_counts"]),
        odd_phrases=pairs("odd_phrases", int), audio_end=float(plain["audio_end"]),
        certainty={str(name): float(value) for name, value in plain["certainty"].items()},
        swing=float(plain["swing"]), tempo_curve=pairs("tempo_curve", float),
        alternatives=tuple(Alternative(**item) for item in plain["alternatives"]),
        breaks=pairs("breaks", float), band_in=plain["band_in"], vocals_in=plain["vocals_in"],
        remarks=tuple(plain["remarks"]), corrections=tuple(Correction(**item) for item in plain["corrections"]),
        first_one=int(plain["first_one"]), phrases=pairs("phrases", int), intro_phrases=int(plain["intro_phrases"]),
    )


def usual_phrase_counts(beats_per_bar: int, phrases: Iterable[tuple[int, int]]) -> set[int]:
    """Phrase lengths that are not odd: 32 counts (or 16 and 64, its half and double); 24 and 48 in a waltz."""
    usual = USUAL_PHRASE_COUNTS[beats_per_bar]
    half = usual // 2
    return {half, usual, 2 * usual}


def laid_out(song: MusicMap, phrases: list[tuple[int, int]], intro_phrases: int) -> MusicMap:
    """The same beats under other phrases: bars, eights, intro and odd phrases follow from them.

    Args:
        song: Map whose `beats` and `beats_per_bar` hold.
        phrases: (first beat, counts) in order, without gaps, the last one possibly cut by the end.
        intro_phrases: How many of them come before the dance can start.
    """
    bar, count = song.beats_per_bar, len(song.beats)
    phrases = [(start, min(length, count - start)) for start, length in phrases if start < count and length > 0]
    first = phrases[0][0] if phrases else 0
    intro_phrases = min(intro_phrases, max(len(phrases) - 1, 0))
    begins = phrases[intro_phrases][0] if phrases else first
    usual = usual_phrase_counts(bar, phrases)
    danced = phrases[intro_phrases:]
    odd = [(song.beats[start], length) for start, length in danced[:-1] if length not in usual]
    bars = [beat for start, length in phrases for beat in range(start, start + length, bar)]
    eights = [beat for start, length in danced for beat in range(start, start + length, 2 * bar)]
    eights = [*range(begins - 2 * bar, -1, -2 * bar)][::-1] + eights
    return replace(
        song, bar_starts=_times(song, bars), eight_starts=_times(song, eights),
        phrase_starts=_times(song, [start for start, _ in danced]), intro_counts=begins - first,
        odd_phrases=tuple(odd), first_one=first, phrases=tuple(phrases), intro_phrases=intro_phrases)


def _times(song: MusicMap, indices: Iterable[int]) -> tuple[float, ...]:
    return tuple(song.beats[index] for index in indices if 0 <= index < len(song.beats))


def _moved(song: MusicMap, by: int) -> MusicMap:
    """All phrases later by some beats; the gap before the first becomes pickup or intro."""
    bar = song.beats_per_bar
    phrases = [(start + by, length) for start, length in song.phrases]
    intro = song.intro_phrases
    if phrases[0][0] < 0:
        start, length = phrases[0]
        phrases[0] = (start % bar, length + start - start % bar)
        if phrases[0][1] <= 0:
            phrases.pop(0)
    elif phrases[0][0] >= bar:
        lead = phrases[0][0] - phrases[0][0] % bar
        phrases.insert(0, (phrases[0][0] % bar, lead))
        intro += 1
    last_start, last_length = phrases[-1]
    phrases[-1] = (last_start, max(last_length, len(song.beats) - last_start))
    return laid_out(song, phrases, intro)


def _half_beat(song: MusicMap, forward: bool) -> MusicMap:
    """The beats moved by half a beat."""
    beats = list(song.beats)
    if len(beats) < 2:
        return song
    middles = [(left + right) / 2 for left, right in zip(beats, beats[1:], strict=False)]
    if forward:
        middles.append(beats[-1] + (beats[-1] - beats[-2]) / 2)
    else:
        middles.insert(0, beats[0] - (beats[1] - beats[0]) / 2)
    return laid_out(replace(song, beats=tuple(middles)), list(song.phrases), song.intro_phrases)


def _tap_one(song: MusicMap, correction: Correction) -> MusicMap:
    seconds = _number(correction.seconds, "a time in seconds")
    nearest = song.nearest_beat(seconds)
    period = 60.0 / song.bpm
    gap = (seconds - song.beats[nearest]) / period
    if OFF_BEAT_TAP < abs(gap) < 1.0:
        song = _half_beat(song, gap > 0)
        nearest = song.nearest_beat(seconds)
    eight = 2 * song.beats_per_bar
    eights = [song.nearest_beat(time) for time in song.eight_starts]
    by = min((nearest - start for start in eights), key=abs, default=0)
    by = (by + eight // 2) % eight - eight // 2
    return _moved(song, by)


def _shift(song: MusicMap, correction: Correction) -> MusicMap:
    counts = _number(correction.counts, "a number of counts")
    whole = int(counts // 1)
    if counts - whole >= 0.25:
        song = _half_beat(song, True)
    return _moved(song, whole)


def _halve(song: MusicMap, _: Correction) -> MusicMap:
    parity = song.phrases[song.intro_phrases][0] % 2
    begins = song.phrases[song.intro_phrases][0]
    beats = song.beats[parity::2]
    phrases = [((start - parity) // 2, 0) for start, _ in song.phrases]
    starts = _regrouped([start for start, _ in phrases], len(beats), USUAL_PHRASE_COUNTS[song.beats_per_bar],
                        (begins - parity) // 2)
    curve = tuple((seconds, bpm / 2) for seconds, bpm in song.tempo_curve)
    slower = replace(song, beats=beats, bpm=song.bpm / 2, tempo_curve=curve, swing=0.5)
    return laid_out(slower, *_with_intro(slower, starts, (begins - parity) // 2))


def _double(song: MusicMap, _: Correction) -> MusicMap:
    beats: list[float] = []
    for left, right in zip(song.beats, song.beats[1:], strict=False):
        beats += [left, left + (right - left) / 2]
    beats += [song.beats[-1], song.beats[-1] + 30.0 / song.bpm]
    beats = [beat for beat in beats if beat <= song.audio_end]
    usual = USUAL_PHRASE_COUNTS[song.beats_per_bar]
    starts: list[int] = []
    for start, length in song.phrases:
        last = max(1, 2 * length // usual)
        starts += [2 * start + part * usual for part in range(last)]
    curve = tuple((seconds, bpm * 2) for seconds, bpm in song.tempo_curve)
    faster = replace(song, beats=tuple(beats), bpm=song.bpm * 2, tempo_curve=curve, swing=0.5)
    return laid_out(faster, *_with_intro(faster, starts, 2 * song.phrases[song.intro_phrases][0]))


def _regrouped(starts: list[int], count: int, usual: int, begins: int) -> list[int]:
    """Phrase starts thinned out so that halved phrases join to the usual length again; `begins` always stays."""
    kept: list[int] = []
    for start in sorted(set(starts)):
        following = next((other for other in sorted(starts) if other > start), count)
        if not kept or start == begins or following - kept[-1] > usual or start - kept[-1] >= usual:
            kept.append(start)
    return kept


def _with_intro(song: MusicMap, starts: list[int], begins: int) -> tuple[list[tuple[int, int]], int]:
    ends = [*starts[1:], len(song.beats)]
    phrases = [(start, end - start) for start, end in zip(starts, ends, strict=True)]
    return phrases, sum(1 for start in starts if start < begins)


def _mark_phrase(song: MusicMap, correction: Correction) -> MusicMap:
    beat = song.nearest_beat(_number(correction.seconds, "a time in seconds"))
    starts = [start for start, _ in song.phrases]
    nearest = min(starts, key=lambda start: abs(start - beat))
    begins = song.phrases[song.intro_phrases][0]
    if abs(nearest - beat) <= 4:
        starts[starts.index(nearest)] = beat
        begins = beat if nearest == begins else begins
    else:
        starts = sorted([*starts, beat])
    return laid_out(song, *_with_intro(song, starts, begins))


def _odd_phrase(song: MusicMap, correction: Correction) -> MusicMap:
    counts = int(_number(correction.counts, "a number of counts"))
    if counts < 1:
        raise ValueError("A phrase has at least one count.")
    beat = song.nearest_beat(_number(correction.seconds, "a time in seconds"))
    index = max((number for number, (start, _) in enumerate(song.phrases) if start <= beat), default=0)
    start, length = song.phrases[index]
    phrases = [*song.phrases[:index], (start, counts)]
    phrases += [(later + counts - length, size) for later, size in song.phrases[index + 1:]]
    last_start, last_length = phrases[-1]
    if index < len(phrases) - 1:
        phrases[-1] = (last_start, max(last_length, len(song.beats) - last_start))
    return laid_out(song, phrases, song.intro_phrases)


def _number(value: float | None, what: str) -> float:
    if value is None:
        raise ValueError(f"This correction needs {what}.")
    return value


_APPLY = {"tap_one": _tap_one, "shift": _shift, "halve": _halve, "double": _double, "mark_phrase": _mark_phrase,
          "odd_phrase": _odd_phrase}
