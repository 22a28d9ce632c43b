"""Compare two dances in what is danced and stated, not in how figures are grouped or sections named."""

from __future__ import annotations

import re

from noonwall.dance.model import Dance, Foot, Part, Step
from noonwall.text.write_header import level_id, month_number


def same_dance(a: Dance, b: Dance) -> list[str]:
    """Return every difference between two dances, one sentence each; an empty list if they are the same."""
    out: list[str] = []
    _differ(out, "title", a.title, b.title)
    _differ(out, "choreographer", a.choreographer, b.choreographer)
    if not (_date_within(a, b) or _date_within(b, a)):
        _differ(out, "date", _date(a.date), _date(b.date))
    _differ(out, "level", level_id(a.level, a.language), level_id(b.level, b.language))
    for name in ("stated_counts", "stated_walls", "music", "bpm", "intro_counts", "beats_per_bar"):
        _differ(out, name, getattr(a, name), getattr(b, name))
    _differ(out, "start foot", a.start_free_foot, b.start_free_foot)
    _differ(out, "sequence", a.sequence, b.sequence)
    _differ(out, "restarts", [_restart(r) for r in a.restarts], [_restart(r) for r in b.restarts])
    _differ(out, "tags", _tags(a), _tags(b))
    _differ(out, "ending", _ending(a), _ending(b))
    _differ(out, "parts", [(p.label, p.kind) for p in a.parts], [(p.label, p.kind) for p in b.parts])
    for first, second in zip(a.parts, b.parts, strict=False):
        _parts(out, first, second)
    return out


def _differ(out: list[str], name: str, a: object, b: object) -> None:
    if a != b:
        out.append(f"{name}: {a!r} against {b!r}")


def _date_within(without: Dance, dated: Dance) -> bool:
    """True if a date that one dance lacks stands in what it says of its choreographer."""
    return not without.date and bool(dated.date) and dated.date in without.choreographer


def _date(date: str) -> tuple[str, ...]:
    words = re.findall(r"\w+", date)
    return tuple(str(month_number(word) or word) for word in words)


def _restart(restart: object) -> tuple[object, ...]:
    change = restart.change  # type: ignore[attr-defined]
    steps = [step_key(step) for step in change.steps] if change else None
    return (restart.wall, restart.after_count, steps)  # type: ignore[attr-defined]


def _tags(dance: Dance) -> list[tuple[object, ...]]:
    return sorted((t.after_wall, t.after_count, t.part, t.times, t.then_restart) for t in dance.tags)


def _ending(dance: Dance) -> tuple[object, ...] | None:
    ending = dance.ending
    return (ending.wall, ending.after_count, ending.part) if ending else None


def _parts(out: list[str], a: Part, b: Part) -> None:
    where = f"part {a.label}"
    _differ(out, f"{where} counts", a.counts, b.counts)
    _differ(
        out,
        f"{where} sections",
        [(s.at, s.counts) for s in a.sections],
        [(s.at, s.counts) for s in b.sections],
    )
    first, second = [step_key(s) for s in a.steps], [step_key(s) for s in b.steps]
    if first != second:
        for one, two in zip(first, second, strict=False):
            if one != two:
                out.append(f"{where} step: {one} against {two}")
                break
        if len(first) != len(second):
            out.append(f"{where}: {len(first)} steps against {len(second)}")


def step_key(step: Step) -> tuple[object, ...]:
    """Return what is danced: count, move, foot, weight, place, turn, side."""
    side = "" if isinstance(step.foot, Foot) and step.side == step.foot.value else step.side
    return (
        str(step.at),
        step.move,
        step.foot and step.foot.value,
        step.takes_weight,
        step.to,
        step.turn,
        side,
    )
