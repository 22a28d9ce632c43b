"""What the studio's lesson page asks for: a plan of minutes in one language, as plain values."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from noonwall.dance.turns import clock
from noonwall.outputs.lesson_sheet import clock_minutes, counts_words
from noonwall.outputs.song_data import as_counted
from noonwall.pipeline.printed_sheet import OnSong
from noonwall.pipeline.studio_dance import proved_text
from noonwall.pipeline.studio_song import SongHeard, fitted
from noonwall.pipeline.teaching import lesson_of
from noonwall.teach.knowing import ClassKnows, class_from
from noonwall.teach.lesson_json import lesson_json
from noonwall.teach.telling import Told, lesson_word
from noonwall.teach.values import Drill, Lesson, Piece

USUAL_MINUTES, FEWEST_MINUTES, MOST_MINUTES = 30, 5, 180


@dataclass(frozen=True, slots=True)
class SongOfLesson:
    """The song of a lesson: what it is called, as heard, and which plan was chosen."""

    name: str
    heard: SongHeard
    plan: int


@dataclass(frozen=True, slots=True)
class LessonShown:
    """A lesson in one language: ``page`` is what its template shows, ``plain`` the lesson for the shelf."""

    page: dict[str, Any]
    plain: dict[str, Any]


def lesson_shown(
    text: str, language: str, minutes: int, knows: ClassKnows, song: SongOfLesson | None
) -> LessonShown:
    """Plan a lesson for the page.

    Args:
        text: the sheet.
        language: "en" or "fr".
        minutes: the time at hand.
        knows: what the class knows.
        song: the dance on a song, None for the dance alone.

    Raises:
        NoonwallError: the text holds no dance.
    """
    lesson = _planned(text, language, minutes, _frozen(knows), song)
    return LessonShown(_page(lesson, language), lesson_json(lesson))


_Known = tuple[str, tuple[tuple[str, float], ...], tuple[str, ...]]


def _frozen(knows: ClassKnows) -> _Known:
    return knows.name, tuple(sorted(knows.figures.items())), knows.dances


@lru_cache(maxsize=32)
def _planned(text: str, language: str, minutes: int, known: _Known, song: SongOfLesson | None) -> Lesson:
    on_song = None
    if song is not None:
        run = fitted(text, song.heard, song.plan)
        on_song = OnSong(song.name, as_counted(song.heard.map, run), run)
    name, figures, dances = known
    knows = ClassKnows(name, dict(figures), dances)
    return lesson_of(proved_text(text), (language,), minutes, knows=knows, on_song=on_song)


def class_knows(
    name: str, kept: Mapping[str, Any], taught: Iterable[tuple[str, tuple[str, ...]]]
) -> ClassKnows:
    """Return what a class of the shelf knows: what its teacher wrote down, else what it was taught.

    Args:
        name: of the class.
        kept: what was written down, in the form of a class file; may be empty.
        taught: (title, figures) of the dances it was taught.

    Raises:
        BrokenFile: what was written down is not in the form of a class file.
    """
    if kept:
        return class_from({"name": name, **kept})
    return ClassKnows(name).with_taught(taught)


def _page(lesson: Lesson, language: str) -> dict[str, Any]:
    return {
        "unproved": lesson.unproved[0] if lesson.unproved else "",
        "budget": clock_minutes(lesson.budget_seconds),
        "planned": clock_minutes(lesson.planned_seconds),
        "share": [round(100 * drill.seconds / max(1, lesson.budget_seconds), 3) for drill in lesson.drills],
        "drills": _drills(lesson, language),
        "pieces": [_piece(piece, language, lesson.hardest) for piece in lesson.pieces],
        "lists": [
            {"name": lesson_word(language, "plan", name), "items": _texts(told)}
            for name, told in (
                ("opening", lesson.opening),
                ("changes", lesson.changes),
                ("finish", lesson.finish),
                ("closing", lesson.closing),
                ("cautions", lesson.cautions),
                ("gentle", [each for one in lesson.gentle for each in one.told]),
                ("seated", lesson.seated),
                ("left", [one.told for one in lesson.left_out]),
                ("remarks", lesson.remarks),
            )
            if told
        ],
        "ways": [
            {
                "told": way.told.texts[0],
                "proof": way.proof.texts[0],
                "lines": [(line.label, line.texts[0]) for line in way.lines],
            }
            for way in lesson.ways
        ],
    }


def _texts(remarks: Iterable[Told]) -> list[str]:
    return [remark.texts[0] for remark in remarks]


def _drills(lesson: Lesson, language: str) -> list[dict[str, Any]]:
    began, shown = 0, []
    for drill in lesson.drills:
        shown.append(_drill(drill, began, language))
        began += drill.seconds
    return shown


def _drill(drill: Drill, began: int, language: str) -> dict[str, Any]:
    return {
        "at": clock_minutes(began),
        "seconds": clock_minutes(drill.seconds),
        "kind": lesson_word(language, "kind", drill.kind),
        "told": drill.told.texts[0],
        "speed": drill.speed,
        "music": drill.with_music,
        "danced": drill.counts > 0,
    }


def _piece(piece: Piece, language: str, hardest: int) -> dict[str, Any]:
    shown = piece.shown
    true = [clock(each) for each in (shown.true_start, shown.true_end) if each is not None]
    return {
        "number": piece.number,
        "count": piece.at + 1 if piece.kind == "part" else 0,
        "counts": counts_words(piece, (language,))[0],
        "figures": piece.figures[0],
        "lines": [(line.label, line.texts[0]) for line in piece.lines],
        "facing": " → ".join(true),
        "why": _texts(piece.why),
        "watch": _texts(piece.watch),
        "new": len(piece.new),
        "hardest": piece.number == hardest,
    }


__all__ = [
    "FEWEST_MINUTES",
    "MOST_MINUTES",
    "USUAL_MINUTES",
    "ClassKnows",
    "LessonShown",
    "SongOfLesson",
    "class_knows",
    "lesson_shown",
]
