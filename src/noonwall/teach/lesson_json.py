"""A lesson for programs: plain values by docs/schema/lesson.schema.json."""

from __future__ import annotations

from typing import Any

from noonwall.dance.turns import clock_hour
from noonwall.teach.easier import Swap
from noonwall.teach.telling import Told, Words, told_plain
from noonwall.teach.values import Gentle, LeftOut, Lesson, Line, Piece, Shown, Take, Way


def lesson_json(lesson: Lesson) -> dict[str, Any]:
    """Return a lesson as plain values: texts by language, facings as clock hours, times in seconds."""
    tags = lesson.languages

    def say(remarks: tuple[Told, ...]) -> list[dict[str, Any]]:
        return [told_plain(remark, tags) for remark in remarks]

    return {
        "title": lesson.title,
        "languages": list(tags),
        "unproved": _by_language(lesson.unproved, tags) if lesson.unproved else None,
        "class": lesson.class_name,
        "beats_per_bar": lesson.beats_per_bar,
        "budget_seconds": lesson.budget_seconds,
        "planned_seconds": lesson.planned_seconds,
        "spare_seconds": lesson.spare_seconds,
        "wanted_seconds": lesson.wanted_seconds,
        "tempo": {
            "bpm": round(lesson.tempo.bpm, 2),
            "from": lesson.tempo.source,
            "slow_percent": lesson.tempo.slow,
        },
        "cost": lesson.cost,
        "cost_at_sections": lesson.cost_at_sections,
        "hardest": lesson.hardest,
        "pieces": [_piece(piece, tags) for piece in lesson.pieces],
        "drills": [
            {
                "number": drill.number,
                "kind": drill.kind,
                "pieces": list(drill.pieces),
                "counts": drill.counts,
                "rounds": drill.rounds,
                "speed_percent": drill.speed,
                "with_music": drill.with_music,
                "seconds": drill.seconds,
                "source": drill.source,
                "told": told_plain(drill.told, tags),
            }
            for drill in lesson.drills
        ],
        "left_out": [_left(one, tags) for one in lesson.left_out],
        "ways": [_way(way, tags) for way in lesson.ways],
        "gentle": [_gentle(one, tags) for one in lesson.gentle],
        "seated": say(lesson.seated),
        "cautions": say(lesson.cautions),
        "opening": say(lesson.opening),
        "changes": say(lesson.changes),
        "finish": say(lesson.finish),
        "closing": say(lesson.closing),
        "remarks": say(lesson.remarks),
        "takes": [_take(take) for take in lesson.takes],
    }


def _by_language(words: Words, tags: tuple[str, ...]) -> dict[str, str]:
    return dict(zip(tags, words, strict=True))


def _lines(lines: tuple[Line, ...], tags: tuple[str, ...]) -> list[dict[str, Any]]:
    return [{"counts": line.label, "texts": _by_language(line.texts, tags)} for line in lines]


def _shown(shown: Shown) -> dict[str, Any]:
    return {
        "true_start": _hour(shown.true_start),
        "true_end": _hour(shown.true_end),
        "start": _hour(shown.start),
        "end": _hour(shown.end),
    }


def _hour(facing: int | None) -> int | float | None:
    return None if facing is None else clock_hour(facing)


def _piece(piece: Piece, tags: tuple[str, ...]) -> dict[str, Any]:
    work = piece.work
    return {
        "number": piece.number,
        "kind": piece.kind,
        "part": piece.part,
        "first_count": piece.at + 1,
        "last_count": piece.end,
        "stands_on": list(piece.stands_on),
        "points": work.points,
        "work": {
            "figures": work.figures,
            "new": work.new,
            "off_beat": work.off_beat,
            "turns": work.turns,
            "pace_percent": work.pace_percent,
        },
        "figures": _by_language(piece.figures, tags),
        "figure_ids": list(piece.figure_ids),
        "new": list(piece.new),
        "lines": _lines(piece.lines, tags),
        "facing": _shown(piece.shown),
        "free_foot": piece.free,
        "cost": piece.cost,
        "why": [told_plain(one, tags) for one in piece.why],
        "watch": [told_plain(one, tags) for one in piece.watch],
    }


def _left(one: LeftOut, tags: tuple[str, ...]) -> dict[str, Any]:
    told = told_plain(one.told, tags)
    return {"kind": one.kind, "pieces": list(one.pieces), "seconds": one.seconds, "told": told}


def _way(way: Way, tags: tuple[str, ...]) -> dict[str, Any]:
    return {
        "kind": way.kind,
        "figure": way.swaps[0].figure,
        "instead_of": way.swaps[0].was,
        "places": [_place(swap) for swap in way.swaps],
        "told": told_plain(way.told, tags),
        "lines": _lines(way.lines, tags),
        "proof": told_plain(way.proof, tags),
    }


def _place(swap: Swap) -> dict[str, Any]:
    proof = swap.proof
    return {
        "part": swap.part,
        "first_count": float(swap.at) + 1,
        "counts": float(swap.counts),
        "holds": proof.holds,
        "same_feet": proof.feet,
        "same_weight": proof.weight,
        "same_facing": proof.facing,
        "metres": proof.metres,
        "actions_after": proof.after,
    }


def _gentle(one: Gentle, tags: tuple[str, ...]) -> dict[str, Any]:
    told = [told_plain(remark, tags) for remark in one.told]
    return {"part": one.low.part, "holds": one.low.proof.holds, "told": told}


def _take(take: Take) -> dict[str, Any]:
    return {
        "number": take.number,
        "language": take.language,
        "kind": take.kind,
        "pieces": list(take.pieces),
        "title": take.title,
        "said": list(take.said),
        "counts": take.counts,
        "bpm": take.bpm,
        "camera": take.camera,
        "facing_start": _hour(take.facing_start),
        "facing_end": _hour(take.facing_end),
        "speech_seconds": take.speech_seconds,
        "danced_seconds": take.danced_seconds,
        "seconds": take.seconds,
    }
