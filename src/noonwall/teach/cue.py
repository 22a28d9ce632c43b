"""Cue, Beat, CueSheet: what is counted and said at every moment of a run, as frozen values.

Everything that speaks or shows (practice track, clip, captions, floor mode) reads this one value, so that all
of them say the same at the same moment. Times are seconds from the start of the audio at full speed; a slower
track divides them by its speed.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

CueKind = Literal["count-in", "count", "call", "wall", "tag", "restart", "finish", "remark"]
BeatKind = Literal["intro", "wall", "tag", "ending", "after"]


@dataclass(frozen=True, slots=True)
class Beat:
    """One beat of the music.

    Attributes:
        count: counts from the first count danced: 0 is the first, -1 the beat before it.
        seconds: when it sounds.
        said: what a teacher counts on it: 1 .. 8 (1 .. 6 in a waltz, fewer in a short section); 0: nothing.
        kind: where in the run it lies.
        wall: number of the wall, 0 before and after the dance.
        part: label of the part danced, "" outside the dance.
        at: counts from the start of that part.
        facing: eighths 0 .. 7 from 12:00 after what is danced on it.
    """

    count: int
    seconds: float
    said: int
    kind: BeatKind
    wall: int = 0
    part: str = ""
    at: Fraction = Fraction(0)
    facing: int = 0


@dataclass(frozen=True, slots=True)
class Cue:
    """Something said once.

    A count is said on its beat: ``from_seconds`` is the beat and the onset must be there. A call is said
    before what it calls: it starts at ``from_seconds`` and is over before ``until_seconds``, which is never
    after ``on_seconds``.

    Counts and everything else may overlap: count words (kinds "count-in" and "count") are one voice, what is
    called another. A track with one voice drops the counts that fall under a call.

    Attributes:
        kind: what it is; "remark" is something about the sheet itself, such as that it is not proved.
        on: counts of the run of what it is about (see :attr:`Beat.count`); halves for "and".
        on_seconds: when that sounds.
        from_seconds: when the saying begins.
        until_seconds: when it must be over.
        words: one text for each of :attr:`CueSheet.languages`; all say the same.
        facts: what it says, without words: ids and numbers that every language must say. The check that both
            languages say the same compares the texts with these.
        reason: why it was left out, for those of :attr:`CueSheet.left_out`: "no-time" (even its shortest
            words are longer than the beats there are) or "voice-busy" (something more telling is said then).
    """

    kind: CueKind
    on: Fraction
    on_seconds: float
    from_seconds: float
    until_seconds: float
    words: tuple[str, ...]
    facts: tuple[tuple[str, str], ...] = ()
    reason: str = ""


@dataclass(frozen=True, slots=True)
class CueSheet:
    """All that is counted and said in one run.

    Attributes:
        title: the dance.
        languages: BCP 47 tags.
        beats: every beat of the music in order.
        cues: in order of ``from_seconds``; calls of one language never overlap.
        left_out: calls for which there was no time, with the count of the run they were for.
        ends_seconds: where the audio ends.
    """

    title: str
    languages: tuple[str, ...]
    beats: tuple[Beat, ...]
    cues: tuple[Cue, ...]
    left_out: tuple[Cue, ...] = ()
    ends_seconds: float = 0.0
