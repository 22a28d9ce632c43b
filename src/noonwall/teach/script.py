"""The shooting script: a demonstration to the song, then the whole lesson in one language after the other."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from noonwall.teach.drills import COUNTS_SPEED, JOIN_SPEED, SO_FAR_SPEED
from noonwall.teach.minutes import speech_seconds
from noonwall.teach.telling import Told, lesson_word, lesson_words
from noonwall.teach.values import Lesson, Line, Piece, Take

BREATH_SECONDS = 1.5
"""Before and after what is said or danced in a take, so that it can be cut (own choice, no source)."""

MOST_WAYS = 2
"""Easier ways shown on film; the plan holds them all."""


@dataclass(frozen=True, slots=True)
class Danced:
    """What is danced in a take: pieces, counts and their tempo."""

    pieces: tuple[Piece, ...]
    counts: int
    bpm: float

    @property
    def seconds(self) -> float:
        """How long it lasts."""
        return self.counts * 60 / self.bpm if self.counts else 0.0


def takes_of(
    lesson: Lesson, closing: Sequence[Told], demonstration_seconds: float, demonstration_counts: int
) -> tuple[Take, ...]:
    """Return every take in the order of filming.

    Args:
        lesson: the plan; all its pieces are filmed, whatever one class has time for.
        closing: the last words for those who saw the whole of it.
        demonstration_seconds: how long the whole dance lasts to its music.
        demonstration_counts: its counts, the wait before it included.
    """
    takes: list[Take] = []
    main = tuple(piece for piece in lesson.pieces if piece.kind == "part")
    if main:
        language = lesson.languages[0]
        title = lesson_word(language, "take", "demonstration")
        spent = round(demonstration_seconds, 1)
        takes.append(
            Take(
                *(1, "", "demonstration", tuple(piece.number for piece in main), title, ()),
                *(demonstration_counts, lesson.tempo.bpm, "behind", main[0].shown.true_start, None),
                *(0.0, spent, round(spent + 2 * BREATH_SECONDS, 1)),
            )
        )
    for number, language in enumerate(lesson.languages):
        for kind, said, danced in _spoken(lesson, closing, number):
            takes.append(_take(len(takes) + 1, language, kind, said, danced))
    return tuple(takes)


def _take(number: int, language: str, kind: str, said: Sequence[str], danced: Danced | None) -> Take:
    speech = speech_seconds(language, said)
    pieces = danced.pieces if danced else ()
    spent = danced.seconds if danced else 0.0
    numbers = tuple(piece.number for piece in pieces)
    title = lesson_word(
        language, "take", kind, piece=numbers[-1] if numbers else "", before=numbers[0] if numbers else ""
    )
    return Take(
        *(number, language, kind, numbers, title, tuple(said)),
        *(danced.counts if danced else 0, round(danced.bpm, 1) if danced and danced.counts else 0.0),
        *("behind" if danced else "front",),
        *(pieces[0].shown.true_start if pieces else None, pieces[-1].shown.true_end if pieces else None),
        *(round(speech, 1), round(spent, 1), round(speech + spent + 2 * BREATH_SECONDS, 1)),
    )


def _spoken(
    lesson: Lesson, closing: Sequence[Told], number: int
) -> Iterator[tuple[str, list[str], Danced | None]]:
    """Yield kind, words and dancing of every take in one language."""
    yield "opening", _texts(lesson.opening, number), None
    if lesson.cautions:
        yield "cautions", _texts(lesson.cautions, number), None
    for piece in lesson.pieces:
        yield "words", _of_piece(lesson, piece, number), Danced((piece,), 0, lesson.tempo.bpm)
        slow = lesson.tempo.bpm * COUNTS_SPEED / 100
        yield (
            "counts",
            [_say(lesson, number, "count_in")],
            Danced((piece,), piece.counts + lesson.beats_per_bar, slow),
        )
        if piece.stands_on:
            before = lesson.piece(piece.stands_on[-1])
            both = before.counts + piece.counts + lesson.beats_per_bar
            bpm = lesson.tempo.bpm * JOIN_SPEED / 100
            yield "join", [_say(lesson, number, "joined")], Danced((before, piece), both, bpm)
    main = tuple(piece for piece in lesson.pieces if piece.kind == "part")
    if len(main) > 1:
        counts = sum(piece.counts for piece in main) + lesson.beats_per_bar
        bpm = lesson.tempo.bpm * SO_FAR_SPEED / 100
        yield "whole", [_say(lesson, number, "whole")], Danced(main, counts, bpm)
    for way in [way for way in lesson.ways if way.kind in ("easier", "sheet")][:MOST_WAYS]:
        language = lesson.languages[number]
        said = [read_aloud(language, way.told.texts[number]), *_lines(language, way.lines, number)]
        slow = lesson.tempo.bpm * COUNTS_SPEED / 100
        yield "option", said, Danced((), int(way.swaps[0].counts) + lesson.beats_per_bar, slow)
    if lesson.changes:
        yield "changes", _texts(lesson.changes, number), None
    if lesson.finish:
        yield "finish", _texts(lesson.finish, number), None
    yield "closing", _texts(closing, number), None


def read_aloud(language: str, text: str) -> str:
    """Return a text of the sheet as it is read aloud: "R" as "right", "3&4" as "3 and 4"."""
    for short, full in lesson_words(language)["spoken"].items():
        edge = r"\b" if short.isalpha() else ""
        text = re.sub(f"{edge}{re.escape(short)}{edge}", full, text)
    return " ".join(text.split())


def _texts(remarks: Sequence[Told], number: int) -> list[str]:
    return [remark.texts[number] for remark in remarks if remark.texts[number]]


def _say(lesson: Lesson, number: int, key: str) -> str:
    return lesson_word(lesson.languages[number], "take", f"say_{key}")


def _of_piece(lesson: Lesson, piece: Piece, number: int) -> list[str]:
    """Return what is said of a piece while it is shown: its name, its lines, what to mind."""
    language = lesson.languages[number]
    names = read_aloud(language, piece.figures[number])
    said = [lesson_word(language, "take", "say_piece", piece=piece.number, figures=names)]
    said += _lines(language, piece.lines, number)
    return [*said, *(read_aloud(language, text) for text in _texts(piece.watch, number))]


def _lines(language: str, lines: Sequence[Line], number: int) -> list[str]:
    return [
        lesson_word(
            language,
            "take",
            "say_line",
            counts=read_aloud(language, line.label),
            words=read_aloud(language, line.texts[number]),
        )
        for line in lines
    ]
