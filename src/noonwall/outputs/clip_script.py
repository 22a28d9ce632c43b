"""What a clip says at any second: the count, the calls, the wall, the section, and what is announced."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import NamedTuple

from noonwall.outputs.clip_data import ClipData
from noonwall.outputs.clip_motion import Beats, Motion
from noonwall.outputs.clip_words import clip_word
from noonwall.outputs.film import count_label
from noonwall.teach.counted import Stretch
from noonwall.teach.cue import Beat, Cue

Words = tuple[str, ...]

NOTICES = ("wall", "tag", "restart", "finish")
NOTICE_BEATS = 2
"""An announcement stays this many beats after what it announces has come."""

LEAST_NOTICE_SECONDS = 2.0
"""Shorter than this no line of a caption should stand (common practice of subtitling, no source)."""


class Said(NamedTuple):
    """What stands in the picture at a moment; texts are one for each language shown.

    Attributes:
        count: the number, 0 where nothing is counted.
        between: "&", "e" or "a" while a step between two counts is danced, else "".
        is_lead: True if the number is counted in, before the dance.
        wall: what is danced: "Wall 3", "Wall 3 + tag".
        section: name of the section.
        now: the call for what is danced.
        then: the call after it, and ``then_on`` the count it is for.
        notice: what is announced.
        facing: eighths 0 .. 7.
        waits: counts until the first one, 0 from then on.
        is_over: True after the last count.
    """

    count: int  # type: ignore[assignment]  # a tuple's own method of that name is never needed
    between: str
    is_lead: bool
    wall: Words
    section: Words
    now: Words
    then: Words
    then_on: str
    notice: Words
    facing: int
    waits: int
    is_over: bool


@dataclass(frozen=True, slots=True)
class Script:
    """All that a clip says, ready to be asked by time."""

    data: ClipData
    languages: tuple[str, ...]
    places: tuple[int, ...]
    beats: Beats
    motion: Motion
    calls: tuple[Cue, ...]
    call_times: tuple[float, ...]
    notices: tuple[tuple[float, float, Cue], ...]
    names: dict[tuple[str, Fraction], Words]

    @classmethod
    def of(cls, data: ClipData, languages: tuple[str, ...], beats: Beats, motion: Motion) -> Script:
        """Return the script of a clip in some languages; ``beats`` bears its speed."""
        sheet = data.cues
        places = tuple(_place(sheet.languages, language) for language in languages)
        # what there was no time to say can still be read
        called = [cue for cue in (*sheet.cues, *sheet.left_out) if cue.kind == "call"]
        told = [cue for cue in sheet.cues if cue.kind in NOTICES]
        calls = tuple(sorted((*called, *_as_elsewhere(called, told, data)), key=lambda cue: cue.on))
        times = tuple(beats.time(float(cue.on)) for cue in calls)
        notices = tuple(_notices(sheet.cues, beats))
        names = {(part, at): tuple(words[p] for p in places) for part, at, words in data.sections}
        return cls(data, languages, places, beats, motion, calls, times, notices, names)

    def said(self, seconds: float) -> Said:
        """Return what is said at a time of the clip."""
        index = self.beats.index(seconds)
        beat = self.beats.beats[index] if index >= 0 else None
        count = self.beats.count(seconds)
        stance = self.motion.index(count)
        stretch = self._stretch(beat)
        is_danced = stretch is not None
        call = bisect_right(self.call_times, seconds + 1e-6) - 1
        first = self.beats.beats[index + 1].count if beat is None and self.beats.beats else 0
        waits = max(0, -(beat.count if beat else first - 1))
        is_over = beat is not None and beat.kind == "after"
        then = self.calls[call + 1] if call + 1 < len(self.calls) and not is_over else None
        return Said(
            beat.said if beat and (beat.said or not waits) else self._counted_in(beat),
            self._between(beat, stance),
            waits > 0,
            self._wall(stretch),
            self._section(stretch, beat),
            self._words(self.calls[call]) if call >= 0 and is_danced else (),
            self._words(then) if then else (),
            self._on(then) if then else "",
            self._notice(seconds),
            self.motion.stances[stance].facing % 8,
            waits,
            is_over,
        )

    def texts(self) -> list[str]:
        """Return every text that the picture may hold, for the look at missing letters."""
        cues = [word for cue in (*self.calls, *(cue for _, _, cue in self.notices)) for word in cue.words]
        return [self.data.cues.title, *self.data.marks, *cues, *(w for ws in self.names.values() for w in ws)]

    def _counted_in(self, beat: Beat | None) -> int:
        """Return the number of the count-in on a beat before the dance, 0 if nothing is counted yet."""
        if beat is None:
            return 0
        on = Fraction(beat.count)
        cue = next((c for c in self.data.cues.cues if c.kind == "count-in" and c.on == on), None)
        told = dict(cue.facts).get("count", "") if cue else ""
        return int(told) if told.isdigit() else 0

    def _between(self, beat: Beat | None, stance: int) -> str:
        danced = self.motion.counts[stance]
        if beat is None or beat.said == 0 or not beat.count < danced < beat.count + 1:
            return ""
        return count_label(Fraction(danced).limit_denominator(12))

    def _stretch(self, beat: Beat | None) -> Stretch | None:
        if beat is None:
            return None
        return next((s for s in self.data.stretches if s.start <= beat.count < s.end), None)

    def _wall(self, stretch: Stretch | None) -> Words:
        if stretch is None:
            return ()
        said = []
        for language in self.languages:
            wall = clip_word(language, "picture", "wall", n=stretch.wall)
            if stretch.part.kind == "part":
                wall += f" · {stretch.part.label}"
            if stretch.kind in ("tag", "ending"):
                wall += f" · {clip_word(language, 'picture', stretch.kind)}"
            said.append(wall)
        return tuple(said)

    def _section(self, stretch: Stretch | None, beat: Beat | None) -> Words:
        if stretch is None or beat is None or not stretch.part.sections:
            return ()
        section = stretch.section(stretch.local(Fraction(beat.count)))
        return self.names.get((stretch.part.label, section.at), ())

    def _words(self, cue: Cue) -> Words:
        told = (cue.words[place] for place in self.places)
        return tuple(text[:1].upper() + text[1:] for text in told)

    def _on(self, cue: Cue) -> str:
        """Return the number on which a call is for, with "&" where it is between two."""
        whole = cue.on.numerator // cue.on.denominator
        index = whole - self.beats.beats[0].count
        said = self.beats.beats[index].said if 0 <= index < len(self.beats.beats) else 0
        if not said:
            return ""
        return str(said) + (count_label(cue.on - whole) if cue.on != whole else "")

    def _notice(self, seconds: float) -> Words:
        for start, end, cue in reversed(self.notices):
            if start <= seconds < end:
                return self._words(cue)
        return ()


def _as_elsewhere(called: list[Cue], told: list[Cue], data: ClipData) -> list[Cue]:
    """Return calls for counts at which only a wall or a tag is announced, with the words of another wall."""
    words = {_where(cue.on, data): cue.words for cue in reversed(called)}
    words.pop(None, None)
    taken = {cue.on for cue in called}
    found = []
    for cue in told:
        known = words.get(_where(cue.on, data))
        if known and cue.on not in taken:
            taken.add(cue.on)
            found.append(replace(cue, kind="call", words=known))
    return found


def _where(on: Fraction, data: ClipData) -> tuple[str, Fraction] | None:
    """Return the part and the count in it that a count of the run is."""
    stretch = next((stretch for stretch in data.stretches if stretch.start <= on < stretch.end), None)
    return (stretch.part.label, stretch.local(on)) if stretch else None


def _notices(cues: tuple[Cue, ...], beats: Beats) -> list[tuple[float, float, Cue]]:
    found = []
    for cue in cues:
        if cue.kind in NOTICES:
            start = cue.from_seconds / beats.speed
            end = max(beats.time(float(cue.on) + NOTICE_BEATS), start + LEAST_NOTICE_SECONDS)
            found.append((start, end, cue))
    return found


def _place(known: tuple[str, ...], language: str) -> int:
    """Return where a language stands in a cue sheet; one of its regions is as good."""
    primaries = [one.split("-")[0] for one in known]
    return known.index(language) if language in known else primaries.index(language.split("-")[0])
