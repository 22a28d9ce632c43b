"""MusicMap: everything heard in one song, with how sure it is, as one frozen value that can be corrected.

A correction never changes a map: it returns a new one, and notes itself in `corrections`, so that it can be
applied again when the song is heard afresh (`reapply`). Beats, bars, eights and phrases are times in seconds
from the start of the audio; everything else is counted in beats.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import asdict, dataclass, replace
from typing import Any

from noonwall.music.faults import Remark, cannot_correct, map_fault
from noonwall.music.layout import (
    EIGHT_COUNTS,
    USUAL_PHRASE_COUNTS,
    Correction,
    Layout,
    corrected,
    lay,
    nearest,
)

FORMAT = 1
CERTAINTY_KEYS = (
    "bpm",
    "beats_per_bar",
    "beats",
    "bar_starts",
    "eight_starts",
    "phrase_starts",
    "intro_counts",
    "odd_phrases",
    "audio_end",
    "swing",
)


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
        beats_per_bar: Counts of a bar: 2, 3, 4 or 6.
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
        remarks: Sentences for the teacher about what is doubtful, in English.
        corrections: What a teacher put right, oldest first.
        first_one: Index in `beats` of the first bar's one (beats before it are a pickup).
        phrases: (first beat, counts) of every phrase, the intro's own phrases included.
        intro_phrases: How many of `phrases` belong to the intro.
        remark_codes: The remarks as codes with facts, for other languages; a map written by an older
            edition has none.
        time_signature: "4/4", "3/4", "2/4" or "6/8"; six eighths are counted as two or as six a bar. "" in a
            map of an older edition.
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
    corrections: tuple[Correction, ...] = ()
    first_one: int = 0
    phrases: tuple[tuple[int, int], ...] = ()
    intro_phrases: int = 0
    remark_codes: tuple[Remark, ...] = ()
    time_signature: str = ""

    def to_json(self) -> str:
        """The map as JSON text by docs/schema/music-map.schema.json."""
        return json.dumps(self.to_dict(), indent=1) + "\n"

    def to_dict(self) -> dict[str, Any]:
        """The map as plain lists and numbers, in the order of the schema."""
        plain: dict[str, Any] = {"format": FORMAT}
        for name in self.__slots__:
            plain[name] = _plain(getattr(self, name))
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
            raise map_fault("map.not-json", line=error.lineno) from error
        if not isinstance(plain, dict) or plain.get("format") != FORMAT:
            raise map_fault("map.format", format=FORMAT)
        try:
            return _from_dict(plain)
        except (KeyError, TypeError, ValueError) as error:
            raise map_fault("map.damaged", reason=error) from error

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
        """A phrase starts here: moves a phrase start within four counts, or cuts the phrase in two."""
        return self.corrected(Correction("mark_phrase", seconds=seconds))

    def with_odd_phrase(self, seconds: float, counts: int) -> MusicMap:
        """The phrase that sounds here has this many counts; everything after it moves."""
        return self.corrected(Correction("odd_phrase", seconds=seconds, counts=counts))

    def corrected(self, correction: Correction) -> MusicMap:
        """Apply one correction and note it.

        Raises:
            CannotCorrect: The kind is unknown, a needed number is missing or impossible, or the map has no
                beats.
        """
        if not self.beats:
            raise cannot_correct("map.no-beat")
        factor = {"halve": 0.5, "double": 2.0}.get(correction.kind, 1.0)
        mended = laid_out(self, corrected(self.layout(), correction))
        curve = tuple((seconds, bpm * factor) for seconds, bpm in self.tempo_curve)
        return replace(
            mended,
            bpm=self.bpm * factor,
            tempo_curve=curve,
            swing=self.swing if factor == 1.0 else 0.5,
            corrections=(*self.corrections, correction),
        )

    def remarked(self, remarks: tuple[Remark, ...]) -> MusicMap:
        """The same map with these remarks, as codes and as English sentences."""
        sentences = tuple(remark.sentence for remark in remarks)
        return replace(self, remark_codes=remarks, remarks=sentences)

    def layout(self) -> Layout:
        """The beats and phrases alone; at least one beat is needed."""
        starts = [start for start, _ in self.phrases] or [0]
        begins = starts[min(self.intro_phrases, len(starts) - 1)]
        return lay(self.beats, self.beats_per_bar, starts, begins, self.audio_end)

    def nearest_beat(self, seconds: float) -> int:
        """Index of the beat nearest to a time."""
        return nearest(self.beats, seconds)


def reapply(corrections: Iterable[Correction], heard: MusicMap) -> MusicMap:
    """Apply kept corrections to a map that was heard afresh."""
    for correction in corrections:
        heard = heard.corrected(correction)
    return heard


def _plain(value: Any) -> Any:
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    if isinstance(value, (Correction, Alternative, Remark)):
        return asdict(value)
    return value


def _from_dict(plain: dict[str, Any]) -> MusicMap:
    def pairs(name: str, second: type) -> tuple[Any, ...]:
        return tuple((first, second(last)) for first, last in plain[name])

    return MusicMap(
        bpm=float(plain["bpm"]),
        beats_per_bar=int(plain["beats_per_bar"]),
        beats=tuple(plain["beats"]),
        bar_starts=tuple(plain["bar_starts"]),
        eight_starts=tuple(plain["eight_starts"]),
        phrase_starts=tuple(plain["phrase_starts"]),
        intro_counts=int(plain["intro_counts"]),
        odd_phrases=pairs("odd_phrases", int),
        audio_end=float(plain["audio_end"]),
        certainty={str(name): float(value) for name, value in plain["certainty"].items()},
        swing=float(plain["swing"]),
        tempo_curve=pairs("tempo_curve", float),
        alternatives=tuple(Alternative(**item) for item in plain["alternatives"]),
        breaks=pairs("breaks", float),
        band_in=plain["band_in"],
        vocals_in=plain["vocals_in"],
        remarks=tuple(plain["remarks"]),
        corrections=tuple(Correction(**item) for item in plain["corrections"]),
        first_one=int(plain["first_one"]),
        phrases=pairs("phrases", int),
        intro_phrases=int(plain["intro_phrases"]),
        remark_codes=tuple(Remark(**item) for item in plain.get("remark_codes", ())),
        time_signature=str(plain.get("time_signature", "")),
    )


def _usual_here(lengths: list[int], eight: int) -> set[int]:
    """The length that most phrases of a song have, if there is one: it is not odd here.

    The last phrase, often with a last chord on the next one, is a witness for whole eights only.
    """
    inner, last = lengths[:-1], lengths[-1:]
    if len(inner) > 2:
        commonest = max(inner, key=inner.count)
        if 2 * inner.count(commonest) > len(inner):
            return {commonest}
    for length in set(inner):
        votes = inner.count(length) + sum(length in (end, end - 1) for end in last)
        if length % eight == 0 and votes > 1 and 2 * votes > len(lengths):
            return {length}
    return set()


def laid_out(song: MusicMap, layout: Layout) -> MusicMap:
    """A map over a layout: bars, eights, intro and odd phrases follow from it.

    A phrase is odd if it is neither of the usual length (32 counts, 24 in a waltz) nor half or twice that,
    nor the commonest length of this song; the last one is never called odd, because the end cuts it.
    """
    bar, phrases = layout.beats_per_bar, layout.phrases()
    danced = phrases[layout.intro_phrases :]
    usual = USUAL_PHRASE_COUNTS[bar]
    even = {usual // 2, usual, 2 * usual}
    even |= _usual_here([length for _, length in danced], eight=EIGHT_COUNTS[bar])
    odd = [(layout.beats[start], length) for start, length in danced[:-1] if length not in even]
    eight = EIGHT_COUNTS[bar]
    before = [*range(layout.begins - eight, layout.starts[0] - 1, -eight)][::-1]
    eights = before + layout.every(eight, danced)

    def times(indices: Iterable[int]) -> tuple[float, ...]:
        return tuple(layout.beats[index] for index in indices)

    return replace(
        song,
        beats=layout.beats,
        bar_starts=times(layout.every(bar, phrases)),
        eight_starts=times(eights),
        phrase_starts=times(start for start, _ in danced),
        intro_counts=layout.begins - layout.starts[0],
        odd_phrases=tuple(odd),
        first_one=layout.starts[0],
        phrases=phrases,
        intro_phrases=layout.intro_phrases,
    )
