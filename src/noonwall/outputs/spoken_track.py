"""Where every text of a cue sheet lies on a track of some speed."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from noonwall.outputs.click import Click
from noonwall.outputs.mixing import Placed
from noonwall.outputs.sound_file import TRACK_RATE_HZ
from noonwall.outputs.spoken import BEAT_AFTER_SOUND_MS, Speaker
from noonwall.teach.cue import Cue, CueSheet

COUNTED = ("count-in", "count")
"""Kinds of cues whose onset meets a beat; all others are over before what they are about."""

UNDER_GAIN = 0.4
"""How loud a count is while a call is spoken on it: 8 dB less, so that the call is understood and the count
still felt. Own choice, no source."""

BREATH_SECONDS = 0.02
"""Silence between two texts, at least, so that the second has an onset of its own."""

LEAD_SECONDS = 0.35
"""Silence before a count-in that begins the track: players need a moment before they sound."""


@dataclass(frozen=True, slots=True)
class LeadIn:
    """What is put before the song so that there is a count-in: a click and the numbers.

    ``seconds`` is how much earlier the track begins than the song, at full speed; ``beats`` when the added
    beats sound, on the song's own clock (below 0 is before it).
    """

    seconds: float
    beats: tuple[float, ...]
    cues: tuple[Cue, ...]


@dataclass(frozen=True, slots=True)
class Laid:
    """The voice of one track.

    Attributes:
        placed: the texts in order.
        spoken: the cues they say, in the same order.
        dropped: cues that are too long for the time they have, however fast they are said.
        under: counts said more quietly, because a call is spoken on them.
    """

    placed: tuple[Placed, ...]
    spoken: tuple[Cue, ...]
    dropped: tuple[Cue, ...]
    under: tuple[Cue, ...]


def lead_in(sheet: CueSheet) -> LeadIn:
    """Return what must come before the music for a full count-in; nothing if the intro is long enough."""
    first = next((number for number, beat in enumerate(sheet.beats) if beat.count == 0), None)
    counted_in = [cue for cue in sheet.cues if cue.kind == "count-in"]
    by_number = {dict(cue.facts).get("count", ""): cue for cue in sheet.cues if cue.kind in COUNTED}
    numbers = [str(number) for number in ((4, 5, 6) if _is_waltz(sheet) else (5, 6, 7, 8))]
    if first is None or len(counted_in) >= len(numbers) or not set(numbers) <= set(by_number):
        return LeadIn(0.0, (), ())
    start = sheet.beats[first].seconds
    near = [beat.seconds for beat in sheet.beats[first : first + 9]]
    period = (near[-1] - near[0]) / (len(near) - 1) if len(near) > 1 else 0.5
    missing = len(numbers) - len(counted_in)
    begins = counted_in[0].from_seconds if counted_in else start
    beats = tuple(begins - period * back for back in range(missing, 0, -1))
    made = tuple(
        replace(
            by_number[number],
            kind="count-in",
            on=by_number[number].on * 0 - (len(numbers) - place),
            on_seconds=seconds,
            from_seconds=seconds,
            until_seconds=seconds + period,
        )
        for place, (number, seconds) in enumerate(zip(numbers[:missing], beats, strict=True))
    )
    return LeadIn(max(0.0, LEAD_SECONDS - beats[0]), beats, made)


def _is_waltz(sheet: CueSheet) -> bool:
    return max((beat.said for beat in sheet.beats), default=0) == 6


def lay_voice(
    sheet: CueSheet,
    language: str,
    speed: float,
    speaker: Speaker,
    lead: LeadIn,
    *,
    counter: Speaker | None = None,
    kinds: frozenset[str] | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Laid:
    """Lay every text of a cue sheet on a track.

    A text that does not fit is said faster, and left out if that is not enough. No two calls and no two
    counts sound at once; a count on which a call is spoken is said more quietly, unless it counts in.

    Args:
        sheet: what is said, at full speed.
        language: one of the sheet's.
        speed: of the track; 0.75 is a quarter slower.
        speaker: calls.
        lead: what comes before the music.
        counter: counts; by default it is the one who calls.
        kinds: kinds of cues that are said; None says all.
        progress: told how many texts of how many are done.

    Raises:
        NoonwallError: the voice failed or does not speak the language.
    """
    wanted = [cue for cue in (*lead.cues, *sheet.cues) if kinds is None or cue.kind in kinds]
    wanted.sort(key=lambda cue: cue.from_seconds)
    layer = _Layer(speaker, counter or speaker, language, sheet.languages.index(language), speed, lead)
    calls = list(_with_limits([cue for cue in wanted if cue.kind not in COUNTED]))
    for done, (cue, until) in enumerate(calls):
        if progress:
            progress(done, len(wanted))
        layer.call(cue, until)
    counts = [cue for cue in wanted if cue.kind in COUNTED]
    for done, (cue, until) in enumerate(_with_limits(counts), len(calls)):
        if progress:
            progress(done, len(wanted))
        layer.count(cue, until)
    laid = sorted(layer.laid, key=lambda each: each[0].at)
    return Laid(
        tuple(each for each, _ in laid),
        tuple(cue for _, cue in laid),
        tuple(layer.dropped),
        tuple(layer.under),
    )


class _Layer:
    """Lays one text after the other: first all calls, then all counts."""

    def __init__(
        self, speaker: Speaker, counter: Speaker, language: str, place: int, speed: float, lead: LeadIn
    ) -> None:
        self.laid: list[tuple[Placed, Cue]] = []
        self.dropped: list[Cue] = []
        self.under: list[Cue] = []
        self._busy: list[tuple[int, int]] = []
        self._speaker, self._counter = speaker, counter
        self._language, self._place, self._speed, self._lead = language, place, speed, lead

    def call(self, cue: Cue, until: float) -> None:
        """Lay a call: it begins at its time and is over before ``until``."""
        room = (until - cue.from_seconds) / self._speed - BREATH_SECONDS
        spoken = self._speaker.fit(cue.words[self._place], self._language, room)
        if spoken is None:
            self.dropped.append(cue)
            return
        placed = Placed(_sample(cue.from_seconds, self._speed, self._lead), spoken)
        self._busy.append((placed.at, placed.end))
        self.laid.append((placed, cue))

    def count(self, cue: Cue, until: float) -> None:
        """Lay a count on its beat; it is over before the next, and quiet under a call."""
        room = (until - cue.from_seconds) / self._speed - BEAT_AFTER_SOUND_MS / 1000 - BREATH_SECONDS
        spoken = self._counter.fit(cue.words[self._place], self._language, room, on_beat=True)
        if spoken is None:
            self.dropped.append(cue)
            return
        placed = Placed(_sample(cue.from_seconds, self._speed, self._lead) - spoken.onset, spoken)
        met = any(start < placed.end and placed.at < stop for start, stop in self._busy)
        if met and cue.kind == "count":
            placed = replace(placed, gain=UNDER_GAIN)
            self.under.append(cue)
        self.laid.append((placed, cue))


def _with_limits(cues: Sequence[Cue]) -> Iterator[tuple[Cue, float]]:
    """Give each cue with the time by which it must be over: its own, or the start of the next of its sort."""
    for cue, following in pairwise([*cues, None]):
        assert cue is not None
        own = cue.until_seconds if cue.until_seconds > cue.from_seconds else cue.from_seconds + 2.0
        yield cue, own if following is None else min(own, following.from_seconds)


def _sample(seconds: float, speed: float, lead: LeadIn) -> int:
    return round((seconds + lead.seconds) / speed * TRACK_RATE_HZ)


def song_offset(speed: float, lead: LeadIn) -> int:
    """Return the sample of the track at which the song begins."""
    return _sample(0.0, speed, lead)


def lead_clicks(speed: float, lead: LeadIn) -> tuple[Click, ...]:
    """Return the clicks under an added count-in."""
    return tuple(Click(_sample(seconds, speed, lead), False) for seconds in lead.beats)


def beat_clicks(sheet: CueSheet, speed: float) -> tuple[Click, ...]:
    """Return a click on every beat of a sheet without a song."""
    eight = 6 if _is_waltz(sheet) else 8
    return tuple(
        Click(
            round(beat.seconds / speed * TRACK_RATE_HZ),
            beat.said == 1 or (beat.said == 0 and beat.count % eight == 0),
        )
        for beat in sheet.beats
    )
