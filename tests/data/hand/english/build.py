"""Compute NN.json and NN.events.json from the hand-written events in NN.toml.

Run `python build.py` to write all files, `python build.py --check` to compare with what is stored,
`python build.py --show 07` to print a sheet's events with the facing after each.

An event is written `count foot[turn]`: R or L takes weight, r or l does not, `b` moves on both feet without
a transfer, `-` is a hold. The turn is in eighths, right positive. `&2`, `a2` and `e2` lie 1/2, 1/4 and 3/4
of a count before 2, so `&9` ends an eight-count section.
"""

from __future__ import annotations

import json
import math
import re
import sys
import tomllib
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
BEFORE = {"": Fraction(0), "&": Fraction(1, 2), "a": Fraction(1, 4), "e": Fraction(3, 4)}
EVENT = re.compile(r"([&ae]?)(\d+) ([RLrlb-])([+-]\d+)?$")


@dataclass(frozen=True, slots=True)
class Event:
    """One action: where it falls in its section, which foot, weight or not, turn in eighths."""

    label: str
    place: Fraction
    foot: str
    weight: bool
    turn: int


def parse_events(text: str) -> list[Event]:
    """Read the event notation; raises ValueError for anything else or for places out of order."""
    events: list[Event] = []
    for token in (piece.strip() for piece in re.split(r"[,\n]", text)):
        if not token:
            continue
        match = EVENT.match(token)
        if match is None:
            raise ValueError(f"cannot read event {token!r}")
        before, number, foot, turn = match.groups()
        place = Fraction(int(number)) - BEFORE[before]
        if events and place <= events[-1].place:
            raise ValueError(f"{token!r} does not come after {events[-1].label!r}")
        named = foot.upper() if foot in "RLrl" else {"b": "both", "-": ""}[foot]
        events.append(Event(before + number, place, named, foot in "RL", int(turn or 0)))
    return events


def check_counts(events: list[Event], counts: int, where: str) -> None:
    """Every whole count of a section must hold an event, and none may lie outside."""
    held = {event.place for event in events}
    missing = [number for number in range(1, counts + 1) if Fraction(number) not in held]
    if missing or max(held) >= counts + 1 or min(held) < Fraction(1, 2):
        raise ValueError(f"{where}: counts do not fill 1 to {counts}, missing {missing}")


def dance(events: list[Event], free: str, where: str) -> str:
    """Dance events from a free foot; returns the free foot after, raises ValueError on a wrong foot."""
    for event in events:
        if event.weight:
            if event.foot != free:
                raise ValueError(f"{where} count {event.label}: {event.foot} already carries the weight")
            free = "L" if free == "R" else "R"
    return free


def turned(events: list[Event]) -> int:
    """Sum of the turns in eighths."""
    return sum(event.turn for event in events)


def clock(eighths: int) -> int | float:
    """Clock hour of a facing in eighths from 12:00."""
    hour = (12 + 1.5 * eighths) % 12 or 12
    return int(hour) if hour == int(hour) else hour


def net_degrees(eighths: int) -> int:
    """Turn reduced to -179..180 degrees, clockwise positive."""
    degrees = 45 * eighths % 360
    return degrees - 360 if degrees > 180 else degrees


def changes(events: list[Event]) -> int:
    """Number of weight transfers."""
    return sum(event.weight for event in events)


def read_sections(truth: dict[str, Any]) -> list[tuple[dict[str, Any], list[Event]]]:
    """The sections of a sheet with their events, counts checked."""
    read = []
    for section in truth["section"]:
        events = parse_events(section["events"])
        check_counts(events, section["counts"], f"section {section['label']}")
        read.append((section, events))
    return read


def section_records(truth: dict[str, Any]) -> list[dict[str, Any]]:
    """The `sections` of the case format; facing and free foot start afresh in each part."""
    records: list[dict[str, Any]] = []
    free, facing, part = truth["start"], 0, None
    for section, events in read_sections(truth):
        if section.get("part") != part:
            if part is not None and free != truth["start"]:
                raise ValueError(f"part {part} ends with {free} free")
            part, facing = section.get("part"), 0
        free = dance(events, free, f"section {section['label']}")
        facing += turned(events)
        record = {
            "label": section["label"],
            "counts": section["counts"],
            "weight_changes": changes(events),
            "facing_after": clock(facing),
            "free_foot_after": free,
        }
        records.append({"part": part, **record} if part else record)
    return records


def wall_events(truth: dict[str, Any], after_count: int = 10_000) -> list[Event]:
    """The events of one wall up to a count, placed from its first count.

    Sections that begin after the cut are left out whole: their leading `&1` would fall before it.
    """
    events: list[Event] = []
    start = 0
    for section, own in read_sections(truth):
        if start >= after_count:
            break
        events += [Event(e.label, e.place + start, e.foot, e.weight, e.turn) for e in own]
        start += section["counts"]
    return [event for event in events if event.place < after_count + 1]


def cut_wall(truth: dict[str, Any], restart: dict[str, Any]) -> list[Event]:
    """The events danced on a wall that a restart cuts, with its step change put in."""
    events = wall_events(truth, restart["after_count"])
    if (change := restart.get("change")) is not None:
        first, last = Fraction(change["from"]), Fraction(change["to"])
        put = parse_events(change["events"])
        kept = [e for e in events if not first <= e.place < last + 1]
        events = sorted(kept + put, key=lambda e: e.place)
    return events


def walk_walls(truth: dict[str, Any]) -> dict[str, Any]:
    """Tags, restarts, ending and wall starts, found by walking the walls one after another."""
    start, total = truth["start"], sum(s["counts"] for s in truth["section"])
    tags: list[dict[str, Any]] = []
    restarts: list[dict[str, Any]] = []
    ending: dict[str, Any] | None = None
    starts: dict[str, int | float] = {}
    facing, cut_before = 0, False
    for wall in range(1, truth.get("wall_count", 12) + 1):
        starts[f"{wall} (after restart)" if cut_before else str(wall)] = clock(facing)
        if (end := truth.get("ending")) is not None and end["wall"] == wall:
            done = wall_events(truth, end["after_count"])
            last = parse_events(end.get("events", ""))
            dance(last, dance(done, start, "ending"), "ending")
            ending = {
                "wall": wall,
                "after_count": end["after_count"],
                "facing": clock(facing + turned(done) + turned(last)),
            }
        restart = next((r for r in truth.get("restart", []) if r["wall"] == wall), None)
        cut_before = restart is not None
        if restart is not None:
            danced = cut_wall(truth, restart)
            facing += turned(danced)
            record = {"wall": wall, "after_count": restart["after_count"], "facing": clock(facing)}
            if "change" in restart:
                record["step_change"] = {"from": restart["change"]["from"], "to": restart["change"]["to"]}
            restarts.append(record)
        else:
            danced = wall_events(truth)
            facing += turned(danced)
        if dance(danced, start, f"wall {wall}") != start:
            raise ValueError(f"wall {wall} does not end with {start} free")
        for tag in truth.get("tag", []):
            if wall in tag["after_walls"]:
                extra = parse_events(tag["events"])
                check_counts(extra, tag["counts"], "tag")
                if dance(extra, start, "tag") != start:
                    raise ValueError("the tag does not end on the starting foot")
                tags.append(
                    {
                        "after_wall": wall,
                        "after_count": total,
                        "counts": tag["counts"],
                        "weight_changes": changes(extra),
                        "facing": clock(facing),
                    }
                )
                facing += turned(extra)
    return {"tags": tags, "restarts": restarts, "ending": ending, "wall_starts": starts}


def part_records(truth: dict[str, Any]) -> list[dict[str, Any]]:
    """The parts of a phrased dance with their counts, weight changes and turn."""
    records: list[dict[str, Any]] = []
    for name in dict.fromkeys(s["part"] for s in truth["section"]):
        own = [(s, e) for s, e in read_sections(truth) if s["part"] == name]
        flat = [event for _, events in own for event in events]
        records.append(
            {
                "label": name,
                "counts": sum(s["counts"] for s, _ in own),
                "weight_changes": changes(flat),
                "net_turn_degrees": net_degrees(turned(flat)),
                "turn_sum_degrees": 45 * turned(flat),
            }
        )
    return records


def walk_sequence(truth: dict[str, Any]) -> tuple[list[int | float], list[dict[str, Any]]]:
    """Facing at the start of each entry of a phrased dance's sequence, and its tags; `A16` is a cut part."""
    by_part: dict[str, list[Event]] = {}
    lengths: dict[str, int] = {}
    for section, own in read_sections(truth):
        name, start = section["part"], lengths.get(section["part"], 0)
        moved = [Event(e.label, e.place + start, e.foot, e.weight, e.turn) for e in own]
        by_part[name] = by_part.get(name, []) + moved
        lengths[name] = start + section["counts"]
    facings: list[int | float] = []
    tags: list[dict[str, Any]] = []
    facing, free = 0, truth["start"]
    for number, entry in enumerate(truth["sequence"], 1):
        facings.append(clock(facing))
        if entry == "Tag":
            tag = truth["tag"][0]
            danced = parse_events(tag["events"])
            check_counts(danced, tag["counts"], "tag")
            tags.append(
                {
                    "after_entry": number - 1,
                    "counts": tag["counts"],
                    "weight_changes": changes(danced),
                    "facing": clock(facing),
                }
            )
        else:
            cut = int(entry[1:] or lengths[entry[0]])
            danced = [e for e in by_part[entry[0]] if e.place < cut + 1]
        free = dance(danced, free, f"entry {number} ({entry})")
        if free != truth["start"]:
            raise ValueError(f"entry {number} ({entry}) ends with {free} free")
        facing += turned(danced)
    return facings, tags


def planted(truth: dict[str, Any], text: str) -> list[dict[str, Any]]:
    """The planted errors; the line is found by a piece of text that must occur on one line only."""
    records = []
    for error in truth.get("error", []):
        lines = [n for n, line in enumerate(text.splitlines(), 1) if error["find"] in line]
        if len(lines) != 1:
            raise ValueError(f"{error['find']!r} is on {len(lines)} lines")
        records.append({"line": lines[0], **{k: error[k] for k in ("kind", "text_says", "truth", "why")}})
    return records


def build_case(path: Path) -> dict[str, Any]:
    """The case record of one TOML file, in the format of the worked reading cases."""
    truth = tomllib.loads(path.read_text(encoding="utf-8"))
    text = path.with_suffix(".txt").read_text(encoding="utf-8")
    sections, flat = section_records(truth), wall_events(truth)
    phrased = "sequence" in truth
    turn = turned(flat)
    if not phrased and 8 // math.gcd(8, turn) != truth["walls"]:
        raise ValueError(f"{path.name}: {turn} eighths do not make {truth['walls']} walls")
    if sections[-1]["free_foot_after"] != truth["start"]:
        raise ValueError(f"{path.name}: the end does not free the starting foot")
    case: dict[str, Any] = {
        "id": path.stem,
        "file": path.with_suffix(".txt").name,
        "language": "en",
        "title": truth["title"],
        "level": truth["level"],
        "meter": truth["meter"],
        "total_counts": sum(s["counts"] for s in sections),
        "walls": truth["walls"],
        "free_foot_start": truth["start"],
        "free_foot_end": sections[-1]["free_foot_after"],
        "net_turn_degrees_per_wall": None if phrased else net_degrees(turn),
        "turn_sum_degrees": None if phrased else 45 * turn,
    }
    case |= {name: truth[key] for key, name in (("intro", "intro_counts"), ("bpm", "bpm")) if key in truth}
    case |= {"sections": sections, "total_weight_changes": changes(flat)}
    if phrased:
        facings, tags = walk_sequence(truth)
        case |= {
            "parts": part_records(truth),
            "sequence": truth["sequence"],
            "sequence_facings": facings,
            "tags": tags,
            "restarts": [],
        }
    else:
        walked = walk_walls(truth)
        case |= {"tags": walked["tags"], "restarts": walked["restarts"]}
        case |= {"ending": walked["ending"]} if walked["ending"] else {}
        case |= {"wall_starts": walked["wall_starts"]} if "wall_count" in truth else {}
    return case | {"planted_errors": planted(truth, text), "notes": truth.get("notes", [])}


def event_text(path: Path) -> str:
    """All events of a sheet as JSON, one section to a line: [count, foot, weight, turn in eighths]."""
    truth = tomllib.loads(path.read_text(encoding="utf-8"))
    rows = [
        json.dumps(
            {
                "part": s.get("part"),
                "label": s["label"],
                "events": [[e.label, e.foot, e.weight, e.turn] for e in events],
            },
            ensure_ascii=False,
        )
        for s, events in read_sections(truth)
    ]
    return "[\n" + ",\n".join(rows) + "\n]\n"


def show(path: Path) -> None:
    """Print the text and, section by section, events with the facing after each turn."""
    print(path.with_suffix(".txt").read_text(encoding="utf-8"))
    truth = tomllib.loads(path.read_text(encoding="utf-8"))
    facing, part = 0, None
    for section, events in read_sections(truth):
        facing = facing if section.get("part") == part else 0
        part, words = section.get("part"), []
        for event in events:
            facing += event.turn
            mark = f"({clock(facing)})" if event.turn else ""
            words.append(f"{event.label}:{event.foot if event.weight else event.foot.lower() or '_'}{mark}")
        print(f"{part or ''}{section['label']:>8} | {' '.join(words)} | {clock(facing)}")
    case = build_case(path)
    for key in (
        "net_turn_degrees_per_wall",
        "turn_sum_degrees",
        "tags",
        "restarts",
        "ending",
        "wall_starts",
        "parts",
        "sequence",
        "sequence_facings",
        "planted_errors",
    ):
        if case.get(key):
            print(f"{key}: {case[key]}")


def main() -> int:
    """Write, check or show; returns 1 if a stored file differs."""
    stale = []
    for path in sorted(HERE.glob("*/*.toml")):
        if "--show" in sys.argv:
            if path.stem in sys.argv:
                show(path)
            continue
        try:
            outputs = {
                ".json": json.dumps(build_case(path), ensure_ascii=False, indent=1) + "\n",
                ".events.json": event_text(path),
            }
        except (ValueError, KeyError, tomllib.TOMLDecodeError) as problem:
            print(f"{path.parent.name}/{path.name}: {problem!r}")
            stale.append(path)
            continue
        for suffix, content in outputs.items():
            target = path.with_name(path.stem + suffix)
            if "--check" not in sys.argv:
                target.write_text(content, encoding="utf-8")
            elif target.read_text(encoding="utf-8") != content:
                print(f"{target.name} differs")
                stale.append(target)
    return 1 if stale else 0


if __name__ == "__main__":
    raise SystemExit(main())
