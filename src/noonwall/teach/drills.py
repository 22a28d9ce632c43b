"""The build-up: a piece without counts, with counts, joined to the one before, all so far, then to music."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil

from noonwall.teach.minutes import (
    CLASS_PLAN,
    CLOSE_MINUTES,
    FREE_MINUTES,
    WARM_UP_FROM_SECONDS,
    WARM_UP_MINUTES,
    Exercise,
    say_seconds,
    share_seconds,
    talk_seconds,
)
from noonwall.teach.telling import Told
from noonwall.teach.values import Piece, Tempo

WORDS_SPEED, COUNTS_SPEED, JOIN_SPEED, SO_FAR_SPEED = 50, 75, 75, 90
"""Percent of the music's tempo at which a class dances while it learns (common practice, no source)."""

BACK_IN_PLACE_SECONDS = 4
PROMPT_SECONDS = 3
START_MUSIC_SECONDS = 8
"""Back to the place and ready; "and now with counts"; to start a song (own measures, no source)."""

MOST_WARM_UP_SECONDS = 600
"""A published sample class warms up for 6 to 10 of 60 to 70 minutes (IDEA Health & Fitness); coming to rest
is given no more."""

REVIEW_COUNTS = 8
MOST_REVIEWED = 4
"""Figures that are danced once more before a new dance, eight counts each (own choice, no source)."""


@dataclass(frozen=True, slots=True)
class Talk:
    """What is said around the dance: the remarks of each kind, in every language."""

    opening: tuple[Told, ...]
    changes: tuple[Told, ...]
    options: tuple[Told, ...]
    finish: tuple[Told, ...]
    closing: tuple[Told, ...]


@dataclass(frozen=True, slots=True)
class Whole:
    """The whole dance to music: counts of one round, rounds in the song, counts waited before it.

    ``change_counts`` are those danced to practise a restart or a tag, 0 where there is nothing to practise.
    """

    counts: int
    rounds: int
    wait_counts: int
    change_counts: int = 0


def exercises_of(
    pieces: Sequence[Piece],
    hardest: int,
    languages: tuple[str, ...],
    tempo: Tempo,
    talk: Talk,
    whole: Whole,
    budget_seconds: int,
    known_figures: int,
) -> tuple[Exercise, ...]:
    """Return everything a good lesson of the dance does, in its order.

    Args:
        pieces: in the order of teaching.
        hardest: number of the piece that is first practised alone; 0 for none.
        languages: of the remarks; the slowest tells how long they take.
        tempo: counts a minute and the slow speed.
        talk: what is said around the dance.
        whole: the dance to music.
        budget_seconds: the time at hand, for the shares that are a part of it.
        known_figures: how many figures of the dance the class knows.
    """
    clock = _Clock(tempo.bpm)
    found: list[Exercise] = [_said("opening", say_seconds(languages, talk.opening), 60)]
    if budget_seconds >= WARM_UP_FROM_SECONDS:
        seconds = min(MOST_WARM_UP_SECONDS, share_seconds(budget_seconds, WARM_UP_MINUTES))
        found.append(_said("warm-up", seconds, 40, CLASS_PLAN))
    if known_figures:
        counts = REVIEW_COUNTS * min(known_figures, MOST_REVIEWED)
        seconds = clock.round(counts, COUNTS_SPEED)
        found.append(Exercise("review", (), counts, COUNTS_SPEED, PROMPT_SECONDS, seconds, 1, 2, 1.0, 11))
    if hardest > 1:
        found.append(_alone(next(one for one in pieces if one.number == hardest), clock))
    for piece in pieces:
        found += _piece(piece, pieces, languages, clock)
    if talk.changes:
        found.append(_changes(pieces, languages, talk, whole, clock))
    if talk.options:
        found.append(_said("options", say_seconds(languages, talk.options), 10))
    found += _music(pieces, tempo, whole, clock)
    if talk.finish and pieces:
        last = [piece for piece in pieces if piece.kind == "part"][-1:]
        counts = sum(piece.counts for piece in last)
        numbers = tuple(piece.number for piece in last)
        told = say_seconds(languages, talk.finish)
        seconds = clock.round(counts, COUNTS_SPEED)
        found.append(Exercise("finish", numbers, counts, COUNTS_SPEED, told, seconds, 1, 2, 10.0, 14))
    free = share_seconds(budget_seconds, FREE_MINUTES) // 60
    if free:
        # free dancing takes the whole minutes that the lesson leaves
        found.append(Exercise("free", (), 0, 0, 0, 60, 0, free, 1e-6, 1, False, CLASS_PLAN))
    closing = say_seconds(languages, talk.closing)
    if budget_seconds >= WARM_UP_FROM_SECONDS:
        closing = max(closing, min(MOST_WARM_UP_SECONDS, share_seconds(budget_seconds, CLOSE_MINUTES)))
        found.append(_said("closing", closing, 55, CLASS_PLAN))
    else:
        found.append(_said("closing", closing, 15))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _Clock:
    """Seconds of dancing at a tempo."""

    bpm: float

    def round(self, counts: int, speed: int) -> int:
        """Return whole seconds for one round with a bar of count-in and the way back to the place."""
        return ceil((counts + 4) * 60 / self.bpm * 100 / speed) + BACK_IN_PLACE_SECONDS


def _said(kind: str, seconds: int, drop: int, source: str = "") -> Exercise:
    return Exercise(kind, (), 0, 0, seconds, 0, 1, 1, 0.0, drop, False, source)


def _changes(
    pieces: Sequence[Piece], languages: tuple[str, ...], talk: Talk, whole: Whole, clock: _Clock
) -> Exercise:
    """Return how restarts and tags are told, and danced into once where that can be done without the song."""
    told = say_seconds(languages, talk.changes)
    if not whole.change_counts:
        return _said("changes", told, 42)
    seconds = clock.round(whole.change_counts, SO_FAR_SPEED)
    numbers = tuple(piece.number for piece in pieces if piece.kind in ("part", "tag"))
    return Exercise(
        *("changes", numbers, whole.change_counts, SO_FAR_SPEED, told, seconds, 1, 3),
        worth=40.0,
        drop=42,
    )


def _alone(piece: Piece, clock: _Clock) -> Exercise:
    seconds = clock.round(piece.counts, WORDS_SPEED)
    return Exercise(
        *("alone", (piece.number,), piece.counts, WORDS_SPEED, PROMPT_SECONDS, seconds),
        least=2,
        most=5,
        worth=0.8 * piece.work.points,
        drop=13,
    )


def _piece(
    piece: Piece, pieces: Sequence[Piece], languages: tuple[str, ...], clock: _Clock
) -> Iterator[Exercise]:
    """Yield the exercises of one piece; later pieces are left out before earlier ones."""
    number, counts, points = piece.number, piece.counts, piece.work.points
    most = 3 + min(3, len(piece.new))
    drop = 70
    # figures that the class knows are called by their names, not step by step
    known = piece.figure_ids and not piece.new
    spoken = talk_seconds(languages, [piece.figures] if known else [line.texts for line in piece.lines])
    talk = spoken + say_seconds(languages, piece.watch) + PROMPT_SECONDS
    # the words are spoken through in every round, however long they are
    seconds = max(clock.round(counts, WORDS_SPEED), spoken + BACK_IN_PLACE_SECONDS)
    least = 2 if piece.new else 1
    yield Exercise(
        *("words", (number,), counts, WORDS_SPEED, talk, seconds, least, most), worth=1.0 * points, drop=drop
    )
    seconds = clock.round(counts, COUNTS_SPEED)
    yield Exercise(
        *("counts", (number,), counts, COUNTS_SPEED, PROMPT_SECONDS, seconds, 2, most + 1),
        worth=1.5 * points,
        drop=drop - 1,
    )
    if piece.stands_on:
        before = next(one for one in pieces if one.number == piece.stands_on[-1])
        both = before.counts + counts
        seconds = clock.round(both, JOIN_SPEED)
        yield Exercise(
            *("join", (before.number, number), both, JOIN_SPEED, PROMPT_SECONDS, seconds, 1, 4),
            worth=1.2 * points,
            drop=drop - 2,
        )
    if len(piece.stands_on) > 1:
        held = [one for one in pieces if one.number in piece.stands_on] + [piece]
        total = sum(one.counts for one in held)
        seconds = clock.round(total, SO_FAR_SPEED)
        numbers = tuple(one.number for one in held)
        yield Exercise(
            *("so-far", numbers, total, SO_FAR_SPEED, PROMPT_SECONDS, seconds, 1, 3),
            worth=0.8 * points,
            drop=12,
        )


def _music(pieces: Sequence[Piece], tempo: Tempo, whole: Whole, clock: _Clock) -> Iterator[Exercise]:
    """Yield the dance to music, slowly and then as it is."""
    points = sum(piece.work.points for piece in pieces)
    numbers = tuple(piece.number for piece in pieces if piece.kind == "part")
    for kind, speed, worth, drop in (("slow", tempo.slow, 0.6, 20), ("full", 100, 1.0, 65)):
        wait = ceil(whole.wait_counts * 60 / clock.bpm * 100 / speed)
        seconds = ceil(whole.counts * 60 / clock.bpm * 100 / speed)
        if seconds:
            yield Exercise(
                *(kind, numbers, whole.counts, speed, START_MUSIC_SECONDS + wait, seconds, 1),
                most=max(1, whole.rounds),
                worth=worth * points,
                drop=drop,
                with_music=True,
            )
