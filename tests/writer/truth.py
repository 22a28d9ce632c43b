"""The truth beside a sheet, in the fields of the worked cases."""

from __future__ import annotations

from typing import Any

from .compose import wall_facings
from .floor import State, clock, dance_part, dance_steps, net_degrees, steps_until, walls_of
from .model import Dance, Part
from .sheet import Sheet, tag_facing


def _part_truth(part: Part, free: str) -> dict[str, Any]:
    end = dance_part(part, free)[-1]
    return {
        "label": part.label,
        "counts": part.counts,
        "weight_changes": end.weight_changes,
        "net_turn_degrees": net_degrees(end.facing),
        "turn_sum_degrees": end.facing * 45,
        "free_foot_start": free,
        "free_foot_end": end.free,
    }


def _sections(sheet: Sheet) -> list[dict[str, Any]]:
    dance = sheet.dance
    rows: list[dict[str, Any]] = []
    labels = iter(sheet.labels)
    for part in dance.parts:
        before = 0
        for section, state in zip(part.sections, dance_part(part, dance.start_foot), strict=True):
            row: dict[str, Any] = {
                "label": next(labels),
                "counts": section.counts,
                "weight_changes": state.weight_changes - before,
                "facing_after": clock(state.facing),
                "free_foot_after": state.free,
            }
            if dance.phrased:
                row["part"] = part.label
            rows.append(row)
            before = state.weight_changes
    return rows


def truth_of(sheet: Sheet) -> dict[str, Any]:
    """Everything that a right reading of the sheet finds."""
    dance, said = sheet.dance, sheet.said
    ends = [dance_part(part, dance.start_foot)[-1] for part in dance.parts]
    truth: dict[str, Any] = {
        "language": sheet.style.language,
        "title": dance.title,
        "level": said.level.lower(),
        "meter": dance.meter,
        "total_counts": dance.counts,
        "walls": said.walls if said.walls is not None else walls_of(ends[0].facing),
        "free_foot_start": dance.start_foot,
        "free_foot_end": ends[-1].free,
        "net_turn_degrees_per_wall": net_degrees(ends[0].facing),
        "turn_sum_degrees": ends[0].facing * 45,
    }
    if dance.phrased:
        truth |= {"walls": None, "net_turn_degrees_per_wall": None, "turn_sum_degrees": None}
        truth["parts"] = [
            _part_truth(part, dance.start_foot)
            for part in (*dance.parts, *((dance.tag,) if dance.tag else ()))
        ]
        truth["sequence"] = list(dance.sequence)
    if said.intro is not None:
        truth["intro_counts"] = said.intro
    if said.bpm is not None and any("bpm" in line.tags for line in sheet.lines):
        truth["bpm"] = said.bpm
    truth["sections"] = _sections(sheet)
    truth["total_weight_changes"] = sum(end.weight_changes for end in ends)
    truth["tags"] = _tags(dance)
    truth["restarts"] = _restarts(dance)
    if dance.ending:
        truth["ending"] = {"wall": dance.ending.wall, "after_count": dance.ending.after_count, "facing": 12}
    starts = _wall_starts(dance)
    if starts:
        truth["wall_starts"] = starts
    truth["planted_errors"] = []
    truth["notes"] = []
    truth["style"] = sheet.style.name
    return truth


def _tags(dance: Dance) -> list[dict[str, Any]]:
    if not dance.tag or dance.phrased:
        return []
    changes = dance_part(dance.tag, dance.start_foot)[-1].weight_changes
    return [
        {
            "after_wall": place.wall,
            "after_count": place.after_count,
            "counts": dance.tag.counts,
            "weight_changes": changes,
            "facing": clock(tag_facing(dance, place.wall)),
        }
        for place in dance.tag_places
    ]


def _restarts(dance: Dance) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = []
    for restart in dance.restarts:
        start = wall_facings(dance, restart.wall)[-1]
        cut = dance_steps(State(dance.start_foot), steps_until(dance.parts[0].sections, restart.after_count))
        facing = clock(start + cut.facing)
        row: dict[str, Any] = {"wall": restart.wall, "after_count": restart.after_count, "facing": facing}
        rows.append(row | ({"step_change": True} if restart.changed_foot else {}))
    return rows


def _wall_starts(dance: Dance) -> dict[str, float | int]:
    """Where each wall starts, up to the last wall that the sheet speaks of."""
    named = [place.wall + 1 for place in dance.tag_places] + [restart.wall + 1 for restart in dance.restarts]
    named += [dance.ending.wall] if dance.ending else []
    if not named or dance.phrased:
        return {}
    cut = {restart.wall for restart in dance.restarts}
    facings = wall_facings(dance, max(named))
    return {
        f"{wall} (after restart)" if wall - 1 in cut else str(wall): clock(facing)
        for wall, facing in enumerate(facings, 1)
    }
