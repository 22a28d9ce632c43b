"""Calls and announcements laid in time: all candidates, the best set of them, and what found no time."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from itertools import zip_longest

from noonwall.teach.announce import Announcement, unproved
from noonwall.teach.call_words import Chunk, say_chunks
from noonwall.teach.calls import Called, Phrasing, phrasings, together
from noonwall.teach.cue import Beat, Cue, CueKind
from noonwall.teach.cue_plan import Candidate, choose
from noonwall.teach.cues import COUNT_IN, Speaks, time_of
from noonwall.teach.speech import COMMA_SECONDS

GAP_SECONDS = 0.05
"""A call is over this long before what it calls; own choice. That it is over before the action starts is
Bird, Cueing, ROUNDALAB Reference Manual 1987."""

LEADS = {4: (2, 4), 3: (2, 3)}
"""Beats ahead at which calls may begin, by the beats of a bar: about two beats (Hutchinson, ROUNDALAB
Reference Manual 1987; Crowe, Cueing Workshop, 2007), or one measure where two beats are too short to speak in
(a caller's blog, Learn how to cue round dances, 2018). One lead holds for a whole sheet, so that calls keep
their place in the bar (Kern, Cueing Seminar, ROUNDALAB 1987)."""

UNIT = {4: 2, 3: 3}
"""Calls are for what begins on 1, 3, 5 or 7 of an eight, or on the first count of a waltz bar."""

MOST_TOGETHER = 4
"""Figures that one call may name; no more are remembered at once (own choice)."""

FURTHEST = {4: 4, 3: 6}
"""One call is for figures that begin within a bar, or within two bars of a waltz (own choice)."""

AHEAD_COST = 0.2
"""What it costs, in worth, to say a figure one count further ahead."""

LATE_COST = 3.0
"""What it costs to call two beats ahead where the rest of the sheet is called four ahead."""

OVER_COUNT_IN = 5.0
"""What it costs to speak over the count-in, where a song begins too soon for both."""

EARLIEST = {"wall": (2, 8), "tag": (3, 8), "restart": (3, 8), "finish": (3, 8)}
"""Beats ahead between which an announcement may begin; own choice, so that a class can still react."""


@dataclass(frozen=True, slots=True)
class Item:
    """A thing to be said: a figure, an announcement, or the remark about the sheet (neither)."""

    kind: CueKind
    on: Fraction
    start: int
    phrasings: tuple[Phrasing, ...]
    called: Called | None = None


@dataclass(frozen=True, slots=True)
class Planned:
    """What is said, what is left out, and how many beats ahead calls begin."""

    cues: tuple[Cue, ...]
    left_out: tuple[Cue, ...]
    lead_beats: int


@dataclass(frozen=True, slots=True)
class _Saying:
    """Words for a row of items: chunks of each, seconds in each language, worth."""

    told: tuple[tuple[Chunk, ...], ...]
    seconds: tuple[float, ...]
    worth: float


class _Voice:
    """What is known of how long texts take: of each piece, and of the texts already put together."""

    def __init__(self, languages: Sequence[str], speaks: Speaks) -> None:
        self.languages = languages
        self.speaks = speaks
        self.known: dict[tuple[Chunk, ...], tuple[float, ...]] = {}
        self.joined: dict[tuple[Chunk, ...], float] = {}

    def seconds(self, chunks: tuple[Chunk, ...]) -> tuple[float, ...]:
        if chunks not in self.known:
            told = ((language, say_chunks(chunks, language)) for language in self.languages)
            self.known[chunks] = tuple(self.speaks(language, text) for language, text in told)
        return self.known[chunks]

    def longest(self, saying: _Saying) -> float:
        """Return how long a saying takes: as measured if it was, else the sum of its pieces."""
        summed = max(saying.seconds)
        return self.joined.get(together(saying.told), summed) if self.joined else summed

    def measure(self, saying: _Saying) -> float:
        chunks = together(saying.told)
        self.joined[chunks] = max(self.seconds(chunks))
        return self.joined[chunks]


@dataclass(slots=True)
class _Plan:
    """Everything that candidates are made from."""

    items: Sequence[Item]
    voice: _Voice
    time: Callable[[Fraction | int], float]
    bar: int
    count_in: int
    sayings: dict[tuple[tuple[Phrasing, ...], ...], list[_Saying]]
    has_short: bool = True


def items_of(
    called: Sequence[Called],
    announced: Sequence[Announcement],
    known: Collection[str],
    is_unproved: bool = False,
) -> tuple[Item, ...]:
    """Return all that is to be said, in the order in which it is said."""
    rows = [Item(one.kind, one.on, int(one.on), one.phrasings) for one in announced]
    rows += [Item("call", one.at, one.start, phrasings(one, known), one) for one in called]
    rows.sort(key=lambda item: (item.start, item.called is not None, item.on))
    first = [Item("remark", Fraction(0), 0, unproved())] if is_unproved else []
    return (*first, *rows)


def plan_calls(
    items: Sequence[Item],
    beats: Sequence[Beat],
    languages: Sequence[str],
    speaks: Speaks,
    *,
    swing: float = 0.5,
    beats_per_bar: int = 4,
    lead_beats: int | None = None,
) -> Planned:
    """Return the most telling calls that fit, each over before what it calls, none over another.

    Args:
        items: all that is to be said (see :func:`items_of`).
        beats: of the music.
        languages: all of them must have the time, since all say the same.
        speaks: how many seconds a text takes.
        swing: where "and" sounds in a beat.
        beats_per_bar: of the dance.
        lead_beats: how many beats ahead calls begin; by default that of :data:`LEADS` that says most.
    """
    bar = 3 if beats_per_bar % 3 == 0 else 4
    eight = 6 if bar == 3 else 8
    plan = _Plan(
        items,
        _Voice(languages, speaks),
        lru_cache(maxsize=None)(lambda count: time_of(Fraction(count), beats, swing)),
        bar,
        min(len(COUNT_IN[eight]), max(0, -beats[0].count)) if beats else 0,
        {},
        lead_beats is None,
    )
    if not beats:
        return Planned((), (), lead_beats or LEADS[bar][0])
    leads = (lead_beats,) if lead_beats else LEADS[bar]
    tried = [(*_best(plan, lead), lead) for lead in leads]
    worth = max(row[0] for row in tried)
    _, chosen, sayings, lead = next(row for row in tried if row[0] == worth)
    return Planned(tuple(_cues(plan, chosen, sayings)), tuple(_left_out(plan, chosen, lead)), lead)


def _best(plan: _Plan, lead: int) -> tuple[float, tuple[Candidate, ...], list[_Saying]]:
    """Return the best set for a lead; texts put together are measured, and those too long are given up."""
    while True:
        sayings: list[_Saying] = []
        candidates = list(_candidates(plan, lead, sayings))
        worth, chosen = choose(candidates)
        late = [
            one
            for one in chosen
            if plan.voice.measure(sayings[one.key]) > one.to_seconds - one.from_seconds + 1e-9
        ]
        if not late:
            return worth, chosen, sayings


def _candidates(plan: _Plan, lead: int, sayings: list[_Saying]) -> Iterator[Candidate]:
    for index, item in enumerate(plan.items):
        for start, deadline, cost, ahead in _windows(plan, item, lead):
            if start < 0 or deadline <= start:
                continue
            for last, saying in _sayings(plan, index):
                # told in one breath with a wall, a figure keeps its place in the bar or is half a bar early
                if last > index + 1 and item.called is None and (ahead < lead or (ahead - lead) % 2):
                    continue
                seconds = plan.voice.longest(saying)
                worth = saying.worth - cost - _ahead(plan, index, last)
                if start + seconds <= deadline and worth > 0:
                    sayings.append(saying)
                    yield Candidate(index, last, start, start + seconds, worth, len(sayings) - 1)


def _ahead(plan: _Plan, index: int, last: int) -> float:
    first = plan.items[index].start
    return AHEAD_COST * sum(item.start - first for item in plan.items[index:last])


def _windows(plan: _Plan, item: Item, lead: int) -> Iterator[tuple[float, float, float, int]]:
    """Give when an item may be said: from, over before, what saying it there costs, and beats ahead."""
    time, count_in = plan.time, plan.count_in
    action = min(time(item.start), time(item.on)) - GAP_SECONDS
    if item.kind == "remark":
        yield 0.0, time(-count_in) - GAP_SECONDS, 0.0, 0
        yield 0.0, action, OVER_COUNT_IN, 0
        return
    if item.called and item.called.in_block % UNIT[plan.bar]:
        return
    nearest, furthest = (lead, lead) if item.called else EARLIEST[item.kind]
    if item.start > 0:
        for ahead in range(nearest, furthest + 1):
            over = OVER_COUNT_IN if ahead > item.start else 0.0
            yield time(item.start - ahead), action, AHEAD_COST * ahead + over, ahead
        if item.called and plan.has_short and lead == 4 and item.start >= 2:
            # half a bar later is the same count of the other bars: 1, 3, 5 or 7
            yield time(item.start - 2), action, LATE_COST, 2
        return
    # what comes first is said before the count-in, so that the count-in is heard
    before = time(-count_in) - GAP_SECONDS
    for ahead in range(2, 9 if item.called else 13):
        yield time(-count_in - ahead), before, AHEAD_COST * ahead, ahead + count_in
    yield time(-lead), action, OVER_COUNT_IN, lead


def _sayings(plan: _Plan, index: int) -> Iterator[tuple[int, _Saying]]:
    """Give what may be said of an item, and of a figure with those that follow it in its section."""
    items = plan.items
    last = index + 1
    own = items[index].called
    block = own.block if own else None
    while True:
        key = tuple(item.phrasings for item in items[index:last])
        if key not in plan.sayings:
            before = plan.sayings[key[:-1]] if len(key) > 1 else [_Saying((), (), 0.0)]
            plan.sayings[key] = _extended(plan, before, key[-1])
        for saying in plan.sayings[key]:
            yield last, saying
        following = items[last].called if last < len(items) else None
        if following is None or len(key) >= MOST_TOGETHER:
            return
        if items[last].start - items[index].start >= FURTHEST[plan.bar]:
            return
        # a wall may be told in one breath with the figure that begins it
        if block is None and items[last].start == items[index].start and items[index].kind != "finish":
            block = following.block
        if block is None or following.block != block:
            return
        last += 1


def _extended(plan: _Plan, before: Sequence[_Saying], told: Sequence[Phrasing]) -> list[_Saying]:
    """Return every saying with every phrasing of one more item, without those longer and worth less."""
    found = []
    for saying in before:
        for phrasing in told:
            more = plan.voice.seconds(phrasing.chunks)
            pause = COMMA_SECONDS if saying.told else 0.0
            seconds = tuple(
                a + b + pause for a, b in zip(saying.seconds or (0.0,) * len(more), more, strict=True)
            )
            found.append(_Saying((*saying.told, phrasing.chunks), seconds, saying.worth + phrasing.worth))
    found.sort(key=lambda one: (max(one.seconds), -one.worth))
    kept: list[_Saying] = []
    for one in found:
        if not kept or one.worth > kept[-1].worth:
            kept.append(one)
    return kept


# --- what comes out ----------------------------------------------------------------------------------------


def _cues(plan: _Plan, chosen: Sequence[Candidate], sayings: Sequence[_Saying]) -> Iterator[Cue]:
    for candidate, following in zip_longest(chosen, chosen[1:]):
        end = following.from_seconds if following else float("inf")
        item = plan.items[candidate.first]
        on = plan.time(item.on)
        until = max(candidate.to_seconds, min(end, on - GAP_SECONDS))
        yield _cue(plan, item, together(sayings[candidate.key].told), candidate.from_seconds, until)


def _cue(plan: _Plan, item: Item, chunks: tuple[Chunk, ...], start: float, until: float) -> Cue:
    words = tuple(say_chunks(chunks, language) for language in plan.voice.languages)
    facts = tuple(fact for chunk in chunks for fact in chunk)
    return Cue(item.kind, item.on, plan.time(item.on), start, until, words, facts)


def _left_out(plan: _Plan, chosen: Sequence[Candidate], lead: int) -> Iterator[Cue]:
    said = {index for one in chosen for index in range(one.first, one.last)}
    for index, item in enumerate(plan.items):
        if index in said or not item.phrasings:
            continue
        shortest = min(item.phrasings, key=lambda one: max(plan.voice.seconds(one.chunks)))
        start = plan.time(item.start - lead)
        until = plan.time(item.on) - GAP_SECONDS
        needed = max(plan.voice.seconds(shortest.chunks))
        reason = "no-time" if start < 0 or start + needed > until else "voice-busy"
        cue = _cue(plan, item, shortest.chunks, max(0.0, start), max(0.0, start, until))
        yield replace(cue, reason=reason)
