"""Print a proved sheet in a terminal: facts, sections, and every finding beside its line."""

from __future__ import annotations

from typing import Any

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from noonwall.findings import Finding, Place, Severity
from noonwall.pipeline import Proved, nearest_names, net_turn_words, say, spoken

STYLES = {Severity.WRONG: "bold red", Severity.DOUBTFUL: "bold yellow", Severity.ADVICE: "cyan"}
MARKS = {Severity.WRONG: "✗", Severity.DOUBTFUL: "?", Severity.ADVICE: "·"}

MOST_UNKNOWN = 12
"""How many stretches that were not understood are shown; a recipe would fill screens."""


def show(proved: Proved, language: str, console: Console | None = None) -> None:
    """Print facts, section table, findings and what was not understood, in ``language``."""
    out = console or Console(highlight=False)
    _title(out, proved.facts, language)
    out.print(_sections(proved.facts, language))
    _walls(out, proved.facts, language)
    for finding in proved.findings:
        out.print(_finding(finding, proved.reading.lines, language, out.width))
    _unknown(out, proved, language)
    chosen = len(proved.reading.claims.choices)
    if chosen:
        out.print(Text(say(language, "cli", "chosen", n=chosen), style="dim"))
    out.print(_verdict(proved, language))


def _title(out: Console, facts: dict[str, Any], language: str) -> None:
    out.print(Text(facts["title"] or say(language, "cli", "unnamed"), style="bold"))
    foot = facts["free_foot_start"]
    pieces = [f"{facts['total_counts']} {say(language, 'cli', 'counts')}"]
    if facts["walls"]:
        pieces.append(f"{facts['walls']} {say(language, 'cli', 'walls' if facts['walls'] > 1 else 'wall')}")
    pieces += [facts["meter"], facts["level"]]
    pieces.append(f"{say(language, 'cli', 'starts')} {say(language, 'foot', foot)}")
    if facts["net_turn_degrees_per_wall"] is not None:
        turn = net_turn_words(facts["net_turn_degrees_per_wall"], language)
        pieces.append(f"{turn} {say(language, 'cli', 'per_wall')}")
    out.print(Text(" · ".join(piece for piece in pieces if piece)))


def _sections(facts: dict[str, Any], language: str) -> Table:
    table = Table(box=None, pad_edge=False, header_style="dim")
    for name in ("section", "count_column", "changes", "facing", "free"):
        table.add_column(say(language, "cli", name), justify="left" if name == "section" else "right")
    for row in facts["sections"]:
        label = f"{row['part']} {row['label']}" if "part" in row else row["label"]
        cells = (label, row["counts"], row["weight_changes"], clock_words(row["facing_after"], language))
        table.add_row(*(str(cell) for cell in cells), _foot(row["free_foot_after"], language))
    return table


def clock_words(hour: float | None, language: str) -> str:
    """Return a clock hour of the facts (12, 1.5, 3 ...) as it is written: "1:30", in French "1h30"."""
    if hour is None:
        return ""
    return say(language, "clock", "half" if hour % 1 else "whole", hour=int(hour))


def _foot(foot: str, language: str) -> str:
    return say(language, "cli", "both") if foot == "B" else say(language, "foot", foot)


def _walls(out: Console, facts: dict[str, Any], language: str) -> None:
    for restart in facts["restarts"]:
        facing = clock_words(restart["facing"], language)
        out.print(
            say(
                language,
                "cli",
                "restart_line",
                wall=restart["wall"],
                count=restart["after_count"],
                facing=facing,
            )
        )
    for tag in facts["tags"]:
        facing = clock_words(tag["facing"], language)
        out.print(
            say(language, "cli", "tag_line", counts=tag["counts"], wall=tag["after_wall"], facing=facing)
        )


def _excerpt(line: str, place: Place, width: int) -> tuple[str, int, int]:
    """Return a line cut to ``width`` around a place, and from where to where in it the place reaches."""
    shown = line.expandtabs(1)
    first, last = place.column - 1, (place.end if place.end > place.column else len(shown) + 1) - 1
    if len(shown) <= width:
        return shown, first, min(last, len(shown))
    start = max(0, min(first - 12, len(shown) - width + 2))
    cut = ("…" if start else "") + shown[start:]
    first, last = first - start + bool(start), last - start + bool(start)
    if len(cut) > width:
        cut = cut[: width - 1] + "…"
    return cut, first, min(last, len(cut))


def _finding(finding: Finding, lines: tuple[str, ...], language: str, width: int) -> Padding:
    """A finding: its title and place, the line with a caret under the words meant, why, and the mend."""
    words = spoken(finding, language)
    style = STYLES[finding.severity]
    text = Text(f"{MARKS[finding.severity]} {words.title}", style=style)
    place = finding.place
    if place is not None:
        text.append(f"  {say(language, 'cli', 'line', line=place.line)}", style="dim")
        if 0 < place.line <= len(lines):
            line, first, last = _excerpt(lines[place.line - 1], place, width - 4)
            text.append(f"\n  {line}", style="default not bold")
            text.append("\n  " + " " * first + "^" * max(1, last - first), style)
    text.append(f"\n  {words.shows}", style="default not bold")
    if words.mend_text:
        text.append(f"\n  {words.mend_text}", style="green not bold")
    return Padding(text, (1, 0, 0, 0))


def _unknown(out: Console, proved: Proved, language: str) -> None:
    gaps = proved.reading.claims.not_understood
    if not gaps:
        return
    out.print(Text(f"\n{say(language, 'cli', 'unknown')}", style="bold magenta"))
    for gap in gaps[:MOST_UNKNOWN]:
        text = Text(f"  {say(language, 'cli', 'line', line=gap.place.line)}: ", style="dim")
        text.append(gap.text, style="default")
        names = list(gap.nearest or nearest_names(gap.text, proved.reading.language))
        if names:
            text.append(f"  {say(language, 'cli', 'nearest', names=names)}", style="dim")
        out.print(text)
    if len(gaps) > MOST_UNKNOWN:
        out.print(Text(f"  {say(language, 'cli', 'more_unknown', n=len(gaps) - MOST_UNKNOWN)}", style="dim"))


def _verdict(proved: Proved, language: str) -> Text:
    told = [finding.severity for finding in proved.findings]
    if Severity.WRONG not in told and Severity.DOUBTFUL not in told:
        gaps = len(proved.reading.claims.not_understood)
        if gaps:
            return Text("\n" + say(language, "cli", "clean_but", n=gaps), style="bold magenta")
        return Text("\n" + say(language, "cli", "clean"), style="bold green")
    numbers = {severity.value: told.count(severity) for severity in Severity}
    return Text("\n" + say(language, "cli", "some", **numbers), style="bold")
