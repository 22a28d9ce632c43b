"""A proved sheet as plain data, by the published schema, with every sentence in the language asked for."""

from __future__ import annotations

from typing import Any

from noonwall.findings import Finding
from noonwall.pipeline.proving import Proved
from noonwall.words.messages import Spoken, say, speak
from noonwall.words.nearest import nearest_names


def spoken(finding: Finding, language: str) -> Spoken:
    """Return a finding in words of ``language``."""
    return speak(finding, language)


def report(proved: Proved, language: str | None = None) -> dict[str, Any]:
    """Return facts and findings as plain data, by the published schema (docs/schema/report.schema.json).

    Args:
        proved: a proved sheet.
        language: language of the messages; by default that of the sheet.
    """
    told = language or proved.reading.language
    claims = proved.reading.claims
    out: dict[str, Any] = dict(proved.facts)
    out["findings"] = [finding_row(finding, told) for finding in proved.findings]
    out["not_understood"] = [
        {
            "line": gap.place.line,
            "column": gap.place.column,
            "text": gap.text,
            "nearest": list(gap.nearest or nearest_names(gap.text, proved.reading.language)),
        }
        for gap in claims.not_understood
    ]
    out["choices"] = [
        {"code": choice.code, "line": choice.place.line, "column": choice.place.column, "text": choice.text}
        for choice in claims.choices
    ]
    return out


def finding_row(finding: Finding, language: str) -> dict[str, Any]:
    """Return one finding as a row of the report, worded in ``language``."""
    words = speak(finding, language)
    count = None
    if finding.count is not None:
        shown = finding.count + 1
        count = int(shown) if shown.denominator == 1 else float(shown)
    return {
        "code": finding.code,
        "severity": finding.severity.value,
        "line": finding.place.line if finding.place else None,
        "column": finding.place.column if finding.place else None,
        "count": count,
        "says": finding.says,
        "shows": words.shows,
        "mend": finding.mend,
        "message": words.message,
    }


def net_turn_words(degrees: int, language: str) -> str:
    """Return the net turn of a wall as dancers say it: "¼ turn left", "½ turn", "no turn"."""
    name = "net_half_turn" if degrees == 180 else "net_turn"
    return say(language, "cli", name, eighths=degrees // 45)
