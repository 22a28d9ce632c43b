"""The facts of a proved dance as plain data, in the names of the published JSON Schema."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import Any

from noonwall.dance.model import Dance, Foot, Part, Step
from noonwall.dance.turns import clock_hour, signed_degrees, walls_of
from noonwall.floor import RunDanced, Stance, dance_run, opening_stance


def number(value: Fraction) -> int | float:
    """Return a count as a plain number: an int where it is whole."""
    return int(value) if value.denominator == 1 else float(value)


def _free(weight: Foot) -> str:
    return "B" if weight is Foot.BOTH else weight.other.value


def _weight_after(steps: Iterable[Step], weight: Foot) -> Foot:
    """Return the foot that carries the weight after some steps: what the floor shows, without the places."""
    for step in steps:
        if step.takes_weight and step.foot is not None:
            weight = step.foot
    return weight


def _sections(part: Part, weight: Foot, with_part: bool) -> list[dict[str, Any]]:
    """Return a row for each section of a part that begins with ``weight`` on a foot, facing 12:00."""
    rows = []
    facing = 0
    for section in part.sections:
        steps = section.steps
        weight = _weight_after(steps, weight)
        facing += sum([step.turn for step in steps])
        row: dict[str, Any] = {
            "label": section.label,
            "counts": number(section.counts),
            "weight_changes": sum([step.takes_weight for step in steps]),
            "facing_after": clock_hour(facing),
            "free_foot_after": _free(weight),
        }
        if with_part:
            row = {"part": part.label, **row}
        rows.append(row)
    return rows


def facts_of(dance: Dance, run: RunDanced | None = None) -> dict[str, Any]:
    """Return the facts of a dance.

    Angles are degrees, clockwise positive; facings are clock hours with 12 as the start of the wall (of the
    part, for a phrased dance); counts are from 1; feet are "L", "R" or "B" where both carry weight.
    """
    mains = [part for part in dance.parts if part.kind in ("main", "part")]
    phrased = dance.is_phrased
    start = opening_stance(dance.start_free_foot)
    begins = {part.label: _start_of(part, start).weight for part in mains}
    ends = {part.label: _weight_after(part.steps, begins[part.label]) for part in mains}
    total = sum((part.counts for part in mains), Fraction(0))
    main = mains[0]
    run = run or dance_run(dance)
    sections = [row for part in mains for row in _sections(part, begins[part.label], phrased)]
    facts: dict[str, Any] = {
        "title": dance.title,
        "language": dance.language,
        "level": dance.level,
        "meter": "3/4" if dance.beats_per_bar == 3 else "4/4",
        "total_counts": number(total),
        "walls": dance.stated_walls or (None if phrased else walls_of(main.turn)),
        "net_turn_degrees_per_wall": None if phrased else signed_degrees(main.turn),
        "turn_sum_degrees": None if phrased else main.turn * 45,
        "free_foot_start": dance.start_free_foot.value,
        "free_foot_end": _free(ends[(mains[-1] if phrased else main).label]),
        "intro_counts": dance.intro_counts,
        "bpm": dance.bpm,
        "sections": sections,
        "total_weight_changes": sum(row["weight_changes"] for row in sections),
    }
    if phrased:
        facts["parts"] = [
            {
                "label": part.label,
                "counts": number(part.counts),
                "weight_changes": sum(step.takes_weight for step in part.steps),
                "net_turn_degrees": signed_degrees(part.turn),
                "turn_sum_degrees": part.turn * 45,
                "free_foot_end": _free(ends[part.label]),
            }
            for part in mains
        ]
        facts["sequence"] = [_spoken(label) for label in dance.sequence]
        facts["sequence_facings"] = [clock_hour(wall.stance_start.facing) for wall in run.walls]
    facts |= _walls(dance, run)
    return facts


def _spoken(label: str) -> str:
    if label.startswith("tag"):
        return "Tag" + (label[3:] if label != "tag1" else "")
    return label.replace(":", "") if ":" in label else label.capitalize() if label == "ending" else label


def _start_of(part: Part, start: Stance) -> Stance:
    """A part begins on the foot its first step uses, facing 12:00."""
    for step in part.steps:
        if step.foot in (Foot.LEFT, Foot.RIGHT):
            return opening_stance(step.foot) if step.move not in ("bump", "sway", "swivel") else start
        if step.foot is Foot.BOTH and step.takes_weight:
            break
    return start


def _walls(dance: Dance, run: RunDanced) -> dict[str, Any]:
    by_number = {wall.number: wall for wall in run.walls}
    tags: list[dict[str, Any]] = []
    for tag in dance.tags:
        wall = by_number.get(tag.after_wall)
        stance = next((s for t, s in wall.tag_stances if t == tag), None) if wall else None
        part = dance.part(tag.part)
        told: dict[str, Any] = {
            "after_wall": tag.after_wall,
            "after_count": number(tag.after_count),
            "counts": number(part.counts),
            "weight_changes": sum(s.takes_weight for s in part.steps),
            "facing": clock_hour(stance.facing) if stance else None,
        }
        tags += [told] * tag.times  # a tag danced twice is told twice
    restarts = []
    for restart in dance.restarts:
        wall = by_number.get(restart.wall)
        row: dict[str, Any] = {"wall": restart.wall, "after_count": number(restart.after_count)}
        row["facing"] = clock_hour(wall.stance_end.facing) if wall else None
        if restart.change:
            row["step_change"] = {
                "counts": number(restart.change.counts),
                "weight_changes": sum(s.takes_weight for s in restart.change.steps),
            }
        restarts.append(row)
    if dance.is_phrased:
        tags = _phrased_tags(dance, run)
    facts: dict[str, Any] = {"tags": tags, "restarts": restarts}
    if dance.ending is not None:
        facts["ending"] = _ending(dance, by_number)
    if not dance.is_phrased:
        cut = {restart.wall for restart in dance.restarts}
        facts["wall_starts"] = {
            f"{number} (after restart)" if number - 1 in cut else str(number): clock_hour(facing)
            for number, facing in run.wall_starts().items()
        }
    return facts


def _phrased_tags(dance: Dance, run: RunDanced) -> list[dict[str, Any]]:
    """Tags of a phrased dance stand in its sequence: say after which entry each is danced."""
    rows = []
    for wall in run.walls:
        part = dance.part(wall.part)
        if part.kind in ("tag", "bridge"):
            rows.append(
                {
                    "after_entry": wall.number - 1,
                    "counts": number(part.counts),
                    "weight_changes": sum(step.takes_weight for step in part.steps),
                    "facing": clock_hour(wall.stance_start.facing),
                }
            )
    return rows


def _ending(dance: Dance, by_number: dict[int, Any]) -> dict[str, Any]:
    ending = dance.ending
    assert ending is not None
    wall = by_number.get(ending.wall or 0)
    row: dict[str, Any] = {"wall": ending.wall, "after_count": None, "facing": None}
    if ending.after_count is not None:
        row["after_count"] = number(ending.after_count)
    if wall is not None:
        at = wall.start + (ending.after_count if ending.after_count is not None else wall.counts)
        stance = wall.stance_start
        for moment in wall.moments:
            if moment.count >= at:
                break
            stance = moment.stance
        facing = stance.facing
        if ending.part:
            facing += dance.part(ending.part).turn
        row["facing"] = clock_hour(facing)
    if ending.part:
        row["counts"] = number(dance.part(ending.part).counts)
    return row
