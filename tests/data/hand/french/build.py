"""Compute NN.json, the truth of each hand-written sheet, from the events in NN.toml.

An event is written `count foot turn @facing`, without spaces inside: `4R-2@9` is count 4, weight onto the
right foot, a quarter turn left, and the sheet says 9:00 there. Capital R/L takes weight, small r/l does not,
`b` is both feet without a transfer, `-` is a pause. `&` is the half after the count before it, `e` and `a`
the quarters. Turns are eighths, right positive. Counts run from 1 in every section.

Run `python build.py` in this folder: it rewrites every JSON file and stops at the first contradiction.
"""

from __future__ import annotations

import json
import math
import re
import sys
import tomllib
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
TOKEN = re.compile(r"(\d+|[&ea])([RLrlb-])([+-]\d+)?(?:@([\d.]+))?")
PARTIAL = re.compile(r"([A-Z]+?)(\d+)?")
FRACTIONS = {"&": Fraction(1, 2), "e": Fraction(1, 4), "a": Fraction(3, 4)}
OTHER = {"R": "L", "L": "R"}
Table = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Event:
    """One action: count from the start of its part, foot, weight, turn in eighths, facing the sheet names."""

    count: Fraction
    foot: str
    weight: bool
    turn: int
    said_facing: float | None


def parse(text: str, offset: int = 0) -> list[Event]:
    """Turn an event string into events; `offset` counts lie before it. Raises ValueError on a bad token."""
    events = []
    base = Fraction(0)
    for token in text.split():
        match = TOKEN.fullmatch(token)
        if match is None:
            raise ValueError(f"bad event {token!r}: write it like 4R-2@9")
        label, foot, turn, said = match.groups()
        base = Fraction(label) if label.isdigit() else base
        count = base if label.isdigit() else base + FRACTIONS[label]
        events.append(
            Event(count + offset, foot.upper(), foot in "RL", int(turn or 0), float(said) if said else None)
        )
    return events


def clock(eighths: int) -> int | float:
    """Clock hour of a facing in eighths from 12:00."""
    hour = (eighths % 8) * 1.5 or 12.0
    return int(hour) if hour == int(hour) else hour


def degrees(eighths: int) -> int:
    """Net turn in degrees between -179 and 180."""
    net = eighths % 8 * 45
    return net - 360 if net > 180 else net


def dance(events: list[Event], free: str, facing: int, where: str) -> tuple[str, int]:
    """Dance the events; return free foot and facing. Raises ValueError on a foot or facing that cannot be."""
    for event in events:
        if event.weight:
            if event.foot != free:
                raise ValueError(f"{where}: count {event.count} steps on {event.foot}, which carries weight")
            free = OTHER[free]
        facing += event.turn
        if event.said_facing is not None and event.said_facing != clock(facing):
            raise ValueError(f"{where}: count {event.count} faces {clock(facing)}, sheet {event.said_facing}")
    return free, facing


def until(events: list[Event], count: int) -> list[Event]:
    """The events of the first `count` counts."""
    return [event for event in events if event.count < count + 1]


def unsaid(events: list[Event]) -> list[Event]:
    """The events without the sheet's facings, which hold on the first wall only."""
    return [replace(event, said_facing=None) for event in events]


def weights(events: list[Event]) -> int:
    """Transfers of weight onto a foot."""
    return sum(event.weight for event in events)


def read_sections(sections: list[Table], start: str, where: str) -> tuple[list[Event], list[Table]]:
    """Join the sections of one part: all events and the JSON rows. Raises ValueError on a missing count."""
    joined: list[Event] = []
    rows = []
    free, facing, offset = start, 0, 0
    for section in sections:
        own = parse(section["events"], offset)
        whole = {int(event.count) - offset for event in own if event.count.denominator == 1}
        if whole != set(range(1, section["counts"] + 1)):
            raise ValueError(f"{where} {section['label']}: counts {sorted(whole)}")
        free, facing = dance(own, free, facing, f"{where} {section['label']}")
        rows.append(
            {
                "label": section["label"],
                "counts": section["counts"],
                "weight_changes": weights(own),
                "facing_after": clock(facing),
                "free_foot_after": free,
            }
        )
        joined += own
        offset += section["counts"]
    return joined, rows


def agree(named: float | None, found: float, where: str) -> None:
    """Raise ValueError when the sheet names another facing than the one danced."""
    if named is not None and named != found:
        raise ValueError(f"{where}: sheet {named}, danced {found}")


def said(rule: Table, walls: str, wall: int) -> float | None:
    """The facing the sheet names for this rule on this wall, if it names one."""
    return rule["said"][rule[walls].index(wall)] if "said" in rule else None


def restart_row(rule: Table, wall: int, events: list[Event], start: str) -> tuple[Table, int]:
    """One restart: its JSON row without facing, and the turn danced before it."""
    danced = until(events, rule["after_count"])
    row: Table = {"wall": wall, "after_count": rule["after_count"]}
    if "change" in rule:
        change = parse(rule["change"])
        danced = [event for event in danced if event.count < change[0].count] + change
        row["step_change"] = {
            "counts": f"{change[0].count}-{rule['after_count']}",
            "weight_changes": weights(change),
        }
    free, turned = dance(unsaid(danced), start, 0, "restart")
    if free != start:
        raise ValueError(f"restart on wall {wall}: {free} is free, the dance starts on {start}")
    return row, turned


def run_walls(sheet: Table, events: list[Event], counts: int) -> Table:
    """Dance wall after wall with tags, restarts and ending; return the fields that depend on the wall."""
    start, last = sheet["start"], sheet.get("walls_danced", 0)
    net = sum(event.turn for event in events)
    tags: list[Table] = []
    restarts: list[Table] = []
    starts: dict[str, int | float] = {}
    out: Table = {"tags": tags, "restarts": restarts}
    facing, suffix = 0, ""
    for wall in range(1, last + 1):
        starts[f"{wall}{suffix}"] = clock(facing)
        wall_start, facing, suffix = facing, facing + net, ""
        for rule in (r for r in sheet.get("restarts", []) if wall in r["walls"]):
            row, turned = restart_row(rule, wall, events, start)
            facing, suffix = wall_start + turned, " (after restart)"
            agree(said(rule, "walls", wall), clock(facing), f"restart on wall {wall}")
            restarts.append({**row, "facing": clock(facing)})
        if (ending := sheet.get("ending")) and ending["wall"] == wall:
            danced = until(events, ending["after_count"]) + parse(ending.get("events", ""))
            last_facing = clock(wall_start + sum(event.turn for event in danced))
            agree(ending.get("said"), last_facing, "ending")
            out["ending"] = {"wall": wall, "after_count": ending["after_count"], "facing": last_facing}
        for tag in (t for t in sheet.get("tags", []) if wall in t["after_walls"]):
            agree(said(tag, "after_walls", wall), clock(facing), f"tag after wall {wall}")
            own = parse(tag["events"])
            row = {"after_wall": wall, "after_count": counts, "counts": tag["counts"]}
            tags.append({**row, "weight_changes": weights(own), "facing": clock(facing)})
            free, facing = dance(own, start, facing, f"tag after wall {wall}")
            if free != start:
                raise ValueError(f"tag after wall {wall}: {free} is free")
    if starts:
        out["wall_starts"] = starts
    return out


def phrased(sheet: Table, where: str) -> Table:
    """The JSON fields of a dance in parts: sections, parts, sequence and where each part starts."""
    names = list(dict.fromkeys(section["part"] for section in sheet["sections"]))
    parts: dict[str, list[Event]] = {}
    sections: list[Table] = []
    rows: list[Table] = []
    for name in names:
        own = [section for section in sheet["sections"] if section["part"] == name]
        events, part_rows = read_sections(own, sheet["start"], f"{where} {name}")
        net = sum(event.turn for event in events)
        parts[name] = events
        if name != "TAG":
            sections += [{"part": name, **row} for row in part_rows]
        rows.append(
            {
                "label": name,
                "counts": sum(row["counts"] for row in part_rows),
                "weight_changes": weights(events),
                "net_turn_degrees": degrees(net),
                "turn_sum_degrees": net * 45,
                "free_foot_end": part_rows[-1]["free_foot_after"],
            }
        )
    facing = 0
    facings = []
    for item in sheet["sequence"]:
        name, cut = PARTIAL.fullmatch(item).groups()  # type: ignore[union-attr]
        facings.append(clock(facing))
        events = until(parts[name], int(cut)) if cut else parts[name]
        free, facing = dance(unsaid(events), sheet["start"], facing, item)
        if free != sheet["start"]:
            raise ValueError(f"{where} {item}: {free} is free at the end")
    lettered = [row for row in rows if row["label"] != "TAG"]
    return {
        "total_counts": sum(row["counts"] for row in lettered),
        "sections": sections,
        "total_weight_changes": sum(row["weight_changes"] for row in lettered),
        "tags": [],
        "restarts": [],
        "parts": rows,
        "sequence": sheet["sequence"],
        "sequence_facings": facings,
    }


def walled(sheet: Table, where: str) -> Table:
    """The JSON fields of a dance of one part."""
    events, rows = read_sections(sheet["sections"], sheet["start"], where)
    net = sum(event.turn for event in events)
    if rows[-1]["free_foot_after"] != sheet["start"]:
        raise ValueError(f"{where}: ends with {rows[-1]['free_foot_after']} free")
    if sheet["walls"] != 8 // math.gcd(8, net):
        raise ValueError(f"{where}: net turn {net} eighths, header {sheet['walls']} walls")
    counts = sum(row["counts"] for row in rows)
    return {
        "total_counts": counts,
        "free_foot_end": rows[-1]["free_foot_after"],
        "net_turn_degrees_per_wall": degrees(net),
        "turn_sum_degrees": net * 45,
        "sections": rows,
        "total_weight_changes": weights(events),
        **run_walls(sheet, events, counts),
    }


def planted(errors: list[Table], lines: list[str], where: str) -> list[Table]:
    """Replace each error's `find` by the number of its line. Raises ValueError if not found once."""
    rows = []
    for error in errors:
        found = [number for number, line in enumerate(lines, 1) if error["find"] in line]
        if len(found) != 1:
            raise ValueError(f"{where}: {error['find']!r} is on lines {found}")
        rows.append({"line": found[0], **{key: value for key, value in error.items() if key != "find"}})
    return rows


def build(path: Path) -> Table:
    """The truth of one sheet."""
    sheet = tomllib.loads(path.read_text(encoding="utf-8"))
    where = f"{path.parent.name}/{path.stem}"
    lines = path.with_suffix(".txt").read_text(encoding="utf-8").splitlines()
    fields = phrased(sheet, where) if "sequence" in sheet else walled(sheet, where)
    truth: Table = {"id": path.stem, "file": f"{path.stem}.txt", "language": "fr"}
    truth |= {key: sheet[key] for key in ("title", "level")} | {"meter": sheet.get("meter", "4/4")}
    truth |= {"total_counts": fields.pop("total_counts"), "walls": sheet["walls"]}
    truth |= {"free_foot_start": sheet["start"]}
    for key in ("free_foot_end", "net_turn_degrees_per_wall", "turn_sum_degrees"):
        if key in fields:
            truth[key] = fields.pop(key)
    truth |= {key: sheet[key] for key in ("intro_counts", "bpm") if key in sheet}
    truth |= fields
    truth["planted_errors"] = planted(sheet.get("errors", []), lines, where)
    truth["notes"] = sheet.get("notes", [])
    return truth


def main() -> None:
    """Write every JSON file; a contradiction ends the run with one line."""
    try:
        for path in sorted(HERE.glob("*/[0-9][0-9].toml")):
            text = json.dumps(build(path), ensure_ascii=False, indent=1)
            path.with_suffix(".json").write_text(text + "\n", encoding="utf-8")
    except (ValueError, KeyError) as problem:
        sys.exit(f"{path.parent.name}/{path.stem}: {problem}")


if __name__ == "__main__":
    main()
