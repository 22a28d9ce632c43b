"""Hold what a report says of a dance against the truth of a case, fact by fact."""

from __future__ import annotations

import re
import unicodedata
from typing import Any

#: Facts of the whole dance that are compared one to one. A truth that leaves one out says nothing of it.
PLAIN = (
    "title",
    "level",
    "meter",
    "total_counts",
    "walls",
    "free_foot_start",
    "free_foot_end",
    "net_turn_degrees_per_wall",
    "turn_sum_degrees",
    "intro_counts",
    "bpm",
    "total_weight_changes",
)
SECTION = ("label", "counts", "weight_changes", "facing_after", "free_foot_after")
TAG = ("after_wall", "after_count", "counts", "weight_changes", "facing")
RESTART = ("wall", "after_count", "facing")
ENDING = ("wall", "after_count", "facing", "counts")
PART = ("label", "counts", "weight_changes", "net_turn_degrees", "turn_sum_degrees", "free_foot_end")


def differences(truth: dict[str, Any], found: dict[str, Any], labels: bool = True) -> list[str]:
    """Return every fact in which a report differs from the truth: "place: true value against value found".

    Without ``labels`` names of sections are not compared: where a sheet names none, a name is a convention.
    """
    if "total_counts" not in found:
        return ["the whole sheet: nothing was read"]
    out: list[str] = []
    for name in PLAIN:
        if name in truth:
            _differ(out, name, plain(name, truth[name]), plain(name, found.get(name)))
    fields = SECTION if labels else SECTION[1:]
    _rows(out, "section", truth["sections"], found["sections"], fields)
    if not truth.get("parts"):
        _rows(out, "tag", truth.get("tags", []), found["tags"], TAG)
        _rows(out, "restart", truth.get("restarts", []), found["restarts"], RESTART)
        for wall, facing in truth.get("wall_starts", {}).items():
            # a truth may list more walls than the sheet speaks of: those may be left out, not wrong
            if wall in found["wall_starts"] or int(wall.split()[0]) <= last_wall_told(truth) + 1:
                _differ(out, f"wall {wall}", facing, found["wall_starts"].get(wall))
    if truth.get("ending"):
        for name in ENDING:
            if name in truth["ending"]:
                _differ(out, f"ending {name}", truth["ending"][name], (found.get("ending") or {}).get(name))
    if truth.get("parts"):
        _parts(out, truth, found)
    return out


def last_wall_told(truth: dict[str, Any]) -> int:
    """Return the last wall that tags, restarts and the ending name."""
    told = [tag["after_wall"] for tag in truth.get("tags", [])]
    told += [restart["wall"] for restart in truth.get("restarts", [])]
    ending = truth.get("ending") or {}
    return max([0, *told, (ending.get("wall") or 1) - 1])


def plain(name: str, value: Any) -> Any:
    """Take away what is a matter of printing: capitals and accents of a title, the wording of a label."""
    if isinstance(value, str) and name in ("title", "level"):
        bare = "".join(c for c in unicodedata.normalize("NFD", value) if not unicodedata.combining(c))
        return re.sub(r"[\W_]+", " ", bare).strip().lower()
    if isinstance(value, str) and name == "label":
        words = re.sub(r"[\W_]+", " ", value.lower()).strip()
        return re.sub(r"^(?:section|sect|sec|part|partie|s)\s*(?=[\divx]+$)", "", words)
    return value


def _parts(out: list[str], truth: dict[str, Any], found: dict[str, Any]) -> None:
    lettered = [row for row in truth["parts"] if row["label"] in {part["label"] for part in found["parts"]}]
    missing = [
        row["label"]
        for row in truth["parts"]
        if row not in lettered and not re.match("(?i)tag|bridge|end|pont|fin", row["label"])
    ]
    if missing:
        out.append(f"parts: {missing} are missing")
    kept = [part for part in found["parts"] if part["label"] in {row["label"] for row in lettered}]
    _rows(out, "part", lettered, kept, PART)
    if truth.get("sequence"):
        _differ(out, "sequence", _letters(truth["sequence"]), _letters(found.get("sequence", [])))
    if truth.get("sequence_facings"):
        _differ(out, "sequence facings", truth["sequence_facings"], found.get("sequence_facings"))


def _letters(sequence: list[str]) -> list[str]:
    return [str(label).lower().replace(" ", "") for label in sequence]


def _rows(
    out: list[str],
    name: str,
    true: list[dict[str, Any]],
    found: list[dict[str, Any]],
    fields: tuple[str, ...],
) -> None:
    if len(true) != len(found):
        out.append(f"{name}s: {len(true)} against {len(found)}")
    for number, (first, second) in enumerate(zip(true, found, strict=False), 1):
        for one in fields:
            if one in first:
                _differ(out, f"{name} {number} {one}", plain(one, first[one]), plain(one, second.get(one)))


def _differ(out: list[str], place: str, true: Any, found: Any) -> None:
    if true != found:
        out.append(f"{place}: {true!r} against {found!r}")


def remarks(report: dict[str, Any], *severities: str) -> list[tuple[int | None, str, str]]:
    """Return (line, code, severity) of the findings of these severities, all of them if none is named."""
    return [
        (row["line"], row["code"], row["severity"])
        for row in report["findings"]
        if not severities or row["severity"] in severities
    ]
