"""Compute NN.json and NN.events.json from NN.toml with the tool of the English sheets, which it extends.

`python build.py` writes, `--check` compares, `--show 07` prints text and events with the facing after each.
Beyond the English notation: `language`, a missing `walls`, `header_walls` (a header that is wrong), and
`after_count` in a tag: a bridge inside a wall, or a tag danced before a restart at that count.
"""

from __future__ import annotations

import importlib.util
import json
import math
import sys
import tomllib
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
SPEC = importlib.util.spec_from_file_location("english_build", HERE.parent / "english" / "build.py")
assert SPEC is not None and SPEC.loader is not None
base = importlib.util.module_from_spec(SPEC)
sys.modules["english_build"] = base
SPEC.loader.exec_module(base)


def wall_tags(truth: dict[str, Any], wall: int, danced: list[Any], facing: int) -> tuple[list[Any], int]:
    """Tags of one wall as records, and the eighths they turn; raises ValueError if a tag changes the lead."""
    total = sum(section["counts"] for section in truth["section"])
    records, turned = [], 0
    for tag in truth.get("tag", []):
        if wall not in tag["after_walls"]:
            continue
        after = tag.get("after_count", total)
        before = [event for event in danced if event.place < after + 1]
        extra = base.parse_events(tag["events"])
        base.check_counts(extra, tag["counts"], "tag")
        free = base.dance(before, truth["start"], f"wall {wall} up to its tag")
        if base.dance(extra, free, "tag") != free:
            raise ValueError("the tag does not give back the foot it took")
        records.append(
            {
                "after_wall": wall,
                "after_count": after,
                "counts": tag["counts"],
                "weight_changes": base.changes(extra),
                "facing": base.clock(facing + base.turned(before) + turned),
            }
        )
        turned += base.turned(extra)
    return records, turned


def finish(truth: dict[str, Any], facing: int) -> dict[str, Any]:
    """The ending's record, danced from the facing at the start of its wall."""
    end = truth["ending"]
    done = base.wall_events(truth, end["after_count"])
    last = base.parse_events(end.get("events", ""))
    base.dance(last, base.dance(done, truth["start"], "ending"), "ending")
    turn = base.turned(done) + base.turned(last)
    return {"wall": end["wall"], "after_count": end["after_count"], "facing": base.clock(facing + turn)}


def walk_walls(truth: dict[str, Any]) -> dict[str, Any]:
    """Tags, restarts, ending and wall starts, found by walking the walls one after another."""
    walked: dict[str, Any] = {"tags": [], "restarts": [], "wall_starts": {}}
    facing, cut_before = 0, False
    for wall in range(1, truth.get("wall_count", 12) + 1):
        name = f"{wall} (after restart)" if cut_before else str(wall)
        walked["wall_starts"][name] = base.clock(facing)
        if truth.get("ending", {}).get("wall") == wall:
            walked["ending"] = finish(truth, facing)
        restart = next((r for r in truth.get("restart", []) if r["wall"] == wall), None)
        cut_before = restart is not None
        danced = base.cut_wall(truth, restart) if restart else base.wall_events(truth)
        if base.dance(danced, truth["start"], f"wall {wall}") != truth["start"]:
            raise ValueError(f"wall {wall} does not end with {truth['start']} free")
        tags, turned = wall_tags(truth, wall, danced, facing)
        walked["tags"] += tags
        facing += base.turned(danced) + turned
        if restart:
            record = {"wall": wall, "after_count": restart["after_count"], "facing": base.clock(facing)}
            if "change" in restart:
                record["step_change"] = {key: restart["change"][key] for key in ("from", "to")}
            walked["restarts"].append(record)
    return walked


def build_case(path: Path) -> dict[str, Any]:
    """The case record of one TOML file, in the format of the worked reading cases."""
    truth = tomllib.loads(path.read_text(encoding="utf-8"))
    text = path.with_suffix(".txt").read_text(encoding="utf-8")
    sections, flat = base.section_records(truth), base.wall_events(truth)
    phrased, turn = "sequence" in truth, base.turned(flat)
    if not phrased and 8 // math.gcd(8, turn) != truth["walls"]:
        raise ValueError(f"{turn} eighths do not make {truth['walls']} walls")
    if sections[-1]["free_foot_after"] != truth["start"]:
        raise ValueError("the end does not free the starting foot")
    case: dict[str, Any] = {
        "id": path.stem,
        "file": path.with_suffix(".txt").name,
        "language": truth.get("language", "en"),
        "title": truth["title"],
        "level": truth["level"],
        "meter": truth["meter"],
        "total_counts": sum(section["counts"] for section in sections),
        "walls": truth.get("header_walls", truth.get("walls")),
        "free_foot_start": truth["start"],
        "free_foot_end": sections[-1]["free_foot_after"],
        "net_turn_degrees_per_wall": None if phrased else base.net_degrees(turn),
        "turn_sum_degrees": None if phrased else 45 * turn,
    }
    case |= {name: truth[key] for key, name in (("intro", "intro_counts"), ("bpm", "bpm")) if key in truth}
    case |= {"sections": sections, "total_weight_changes": base.changes(flat)}
    if phrased:
        facings, tags = base.walk_sequence(truth)
        case |= {"parts": base.part_records(truth), "sequence": truth["sequence"]}
        case |= {"sequence_facings": facings, "tags": tags, "restarts": []}
    else:
        walked = walk_walls(truth)
        starts = walked.pop("wall_starts")
        case |= walked | ({"wall_starts": starts} if "wall_count" in truth else {})
    return case | {"planted_errors": base.planted(truth, text), "notes": truth.get("notes", [])}


def show(path: Path) -> None:
    """Print the text, then every event with the facing after each turn, then what was computed."""
    base.build_case = build_case
    base.show(path)


def main() -> int:
    """Write, check or show; returns 1 if a file is wrong or differs."""
    stale = []
    for path in sorted(HERE.glob("*.toml")):
        if "--show" in sys.argv:
            if path.stem in sys.argv:
                show(path)
            continue
        try:
            case = json.dumps(build_case(path), ensure_ascii=False, indent=1) + "\n"
            outputs = {".json": case, ".events.json": base.event_text(path)}
        except (ValueError, KeyError, tomllib.TOMLDecodeError) as problem:
            print(f"{path.name}: {problem!r}")
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
