"""The printed lesson plan: what to do in which minute, every piece, what to say, other ways, the script."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from noonwall.outputs.print_words import joined
from noonwall.outputs.printed import TYPST_PAPERS
from noonwall.outputs.printed_data import Made
from noonwall.outputs.typeset import typeset
from noonwall.teach.telling import Told, Words, lesson_texts, lesson_word, worded
from noonwall.teach.values import Drill, Lesson, Piece, Take, Way

HEADS = (
    *(
        "lesson",
        "drills",
        "hardest",
        "cut",
        "piece",
        "counts",
        "true",
        "shown",
        "free",
        "song_says",
        "points",
        "why",
        "watch",
    ),
    *("opening", "changes", "finish", "closing", "ways", "gentle", "seated", "cautions", "left", "remarks"),
    *("script", "take", "camera", "speech", "danced", "new", "what", "time", "made"),
)


def make(lesson: Lesson, kind: str = "pdf", paper: str = "a4") -> Made:
    """Return the plan as a tagged PDF, upright in one language, lying in two side by side.

    Args:
        lesson: the plan; its mark stands on every page if the dance is not proved.
        kind: "pdf".
        paper: "a4", "a5" or "letter".
    """
    plain = _plain(lesson) | {"paper": TYPST_PAPERS[paper]}
    made = typeset("lesson.typ", plain)
    return Made(made.document, made.pages, made.not_shown)


def clock_minutes(seconds: float) -> str:
    """Return a length of time as minutes and seconds: 125 is "2:05"."""
    whole = round(seconds)
    return f"{whole // 60}:{whole % 60:02d}"


def title_words(lesson: Lesson) -> Words:
    """Return the title, or that there is none."""
    if lesson.title:
        return tuple(lesson.title for _ in lesson.languages)
    return lesson_texts(lesson.languages, "opening", "untitled")


def fact_words(lesson: Lesson) -> list[tuple[Words, Words]]:
    """Return the facts of a plan as (value, name): time, class, tempo, pieces, the hardest."""
    tags = lesson.languages

    def same(value: object) -> Words:
        return tuple(str(value) for _ in tags)

    found = [
        (same(clock_minutes(lesson.budget_seconds)), lesson_texts(tags, "plan", "minutes")),
        (same(clock_minutes(lesson.planned_seconds)), lesson_texts(tags, "plan", "planned")),
    ]
    if lesson.class_name:
        found.append((same(lesson.class_name), lesson_texts(tags, "plan", "class")))
    found.append((same(f"{lesson.tempo.bpm:.0f}"), lesson_texts(tags, "plan", "tempo")))
    found.append((same(len(lesson.pieces)), lesson_texts(tags, "plan", "pieces")))
    if lesson.hardest:
        found.append((same(lesson.hardest), lesson_texts(tags, "plan", "hardest")))
    return found


def cost_words(lesson: Lesson) -> Words:
    """Return what the cuts cost beside the sheet's own sections."""
    if lesson.cost_at_sections is None:
        return lesson_texts(lesson.languages, "plan", "cost_alone", cost=lesson.cost)
    return lesson_texts(lesson.languages, "plan", "cost", cost=lesson.cost, sections=lesson.cost_at_sections)


def counts_words(piece: Piece, languages: tuple[str, ...]) -> Words:
    """Return the counts of a piece from 1: "9–16", with its part where that is not the dance itself."""
    counts = f"{piece.at + 1}–{piece.end}" if piece.counts > 1 else str(piece.end)
    if piece.part == "main":
        return tuple(counts for _ in languages)
    return tuple(f"{worded(language, 'part', piece.part)} {counts}" for language in languages)


def _plain(lesson: Lesson) -> dict[str, Any]:
    tags = lesson.languages
    return {
        "title": joined(title_words(lesson)),
        "languages": tags,
        "unproved": lesson.unproved,
        "heads": {name: lesson_texts(tags, "plan", name) for name in HEADS},
        "facts": [{"value": value, "name": name} for value, name in fact_words(lesson)],
        "remarks": _texts(lesson.remarks),
        "drills": list(_drills(lesson)),
        "pieces": [_piece(piece, lesson) for piece in lesson.pieces],
        "cost": cost_words(lesson),
        "said": list(_lists(lesson, ("opening", "changes", "finish", "closing"))),
        "cared": list(_lists(lesson, ("cautions", "gentle", "seated"))),
        "ways": [_way(way) for way in lesson.ways],
        "left": _texts(one.told for one in lesson.left_out),
        "takes": [_take(take, lesson) for take in lesson.takes],
        "totals": [_total(lesson, language) for language in tags],
        "stand_in": lesson_texts(tags[:1], "plan", "not_shown", codes="{codes}")[0],
    }


def _texts(remarks: Iterable[Told]) -> list[Words]:
    return [remark.texts for remark in remarks]


def _lists(lesson: Lesson, names: Sequence[str]) -> Iterable[dict[str, Any]]:
    """Yield the lists of remarks that are not empty, each with its heading."""
    held: dict[str, Sequence[Told]] = {
        "opening": lesson.opening,
        "changes": lesson.changes,
        "finish": lesson.finish,
        "closing": lesson.closing,
        "cautions": lesson.cautions,
        "gentle": [remark for one in lesson.gentle for remark in one.told],
        "seated": lesson.seated,
    }
    for name in names:
        if held[name]:
            yield {"head": lesson_texts(lesson.languages, "plan", name), "items": _texts(held[name])}


def _drills(lesson: Lesson) -> Iterable[dict[str, Any]]:
    began = 0
    for drill in lesson.drills:
        yield {
            "at": clock_minutes(began),
            "kind": lesson_texts(lesson.languages, "kind", drill.kind),
            "told": drill.told.texts,
            "seconds": clock_minutes(drill.seconds),
            "danced": _danced(drill),
            "music": drill.with_music,
            "shared": bool(drill.source),
        }
        began += drill.seconds


def _danced(drill: Drill) -> str:
    return f"{drill.rounds} × {drill.counts}" if drill.counts else ""


def _piece(piece: Piece, lesson: Lesson) -> dict[str, Any]:
    return {
        "number": piece.number,
        "counts": counts_words(piece, lesson.languages),
        "figures": piece.figures,
        "points": piece.work.points,
        "new": len(piece.new),
        "hardest": piece.number == lesson.hardest and len(lesson.pieces) > 1,
        "true": [piece.shown.true_start, piece.shown.true_end],
        "shown": [piece.shown.start, piece.shown.end],
        "free": tuple(lesson_word(tag, "foot", piece.free) for tag in lesson.languages),
        "rows": [{"label": line.label, "texts": line.texts} for line in piece.lines],
        "watch": _texts(piece.watch),
        "why": tuple(
            "; ".join(one.texts[number] for one in piece.why) for number in range(len(lesson.languages))
        ),
    }


def _way(way: Way) -> dict[str, Any]:
    return {
        "kind": way.kind,
        "told": way.told.texts,
        "rows": [{"label": line.label, "texts": line.texts} for line in way.lines],
        "proof": way.proof.texts,
        "holds": all(swap.proof.holds for swap in way.swaps),
    }


def _take(take: Take, lesson: Lesson) -> dict[str, Any]:
    language = take.language or lesson.languages[0]
    danced = f"{take.counts} × {take.bpm:.0f}" if take.counts else ""
    return {
        "number": take.number,
        "language": take.language,
        "lang": language,
        "title": take.title,
        "said": " ".join(take.said),
        "danced": danced,
        "camera": lesson_word(language, "plan", take.camera),
        "facings": [take.facing_start, take.facing_end],
        "seconds": clock_minutes(take.seconds),
    }


def _total(lesson: Lesson, language: str) -> str:
    seconds = sum(take.seconds for take in lesson.takes if take.language in ("", language))
    name = lesson_word(language, "names", language.split("-")[0])
    return lesson_word(language, "plan", "total", language=name, time=clock_minutes(seconds))
