"""Prove a sheet: read it, dance it, check it, and try the edits that would mend it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from noonwall.checks import Named, Proof, check_all, proof_of, room_of, settled
from noonwall.dance.model import Dance
from noonwall.findings import Finding, Severity
from noonwall.floor import RunDanced, dance_run
from noonwall.outputs.facts import facts_of
from noonwall.text.reading import Reading
from noonwall.text.sheet import read_sheet
from noonwall.text.source import load_text
from noonwall.text.steps import read_heading
from noonwall.words.edits import edits

MOST_EDITS = 4
"""How many edits of one finding are tried before it is left to the teacher."""

MOST_MENDS = 8
"""How many findings of one sheet are mended by trial; a sheet with more needs a person first."""


@dataclass(frozen=True, slots=True)
class Proved:
    """A sheet that was read, danced and checked. ``run`` is None and ``facts`` empty if it holds no steps."""

    reading: Reading
    run: RunDanced | None
    facts: dict[str, Any]
    findings: tuple[Finding, ...]
    dance: Dance | None = None

    @property
    def worst(self) -> Severity | None:
        """The severity of the worst finding, None if there is none."""
        return min((finding.severity for finding in self.findings), key=lambda each: each.rank, default=None)


def prove(text: str, language: str | None = None, with_mends: bool = True) -> Proved:
    """Read a sheet, dance it and check it.

    Args:
        text: the sheet as it reached the teacher.
        language: "en" or "fr"; by default the words tell.
        with_mends: also look for the smallest edit of each finding; every edit is tried by reading again.
    """
    proved = _proved(text, language)
    if not with_mends or not proved.findings:
        return proved
    return replace(proved, findings=tuple(_mended(text, proved)))


def _proved(text: str, language: str | None) -> Proved:
    reading = read_sheet(text, language)
    if (
        reading.dance is None
        or not reading.dance.parts
        or not any(part.steps for part in reading.dance.parts)
    ):
        return Proved(reading, None, {}, ())
    dance = settled(reading.dance, reading.claims)
    run = dance_run(dance)
    counted = {account.number for account in reading.account if account.kind == "counted"}
    gaps = frozenset(gap.place.line for gap in reading.claims.not_understood) & counted
    proof = proof_of(dance, reading.claims, reading.lines, run, gaps, _leads(reading))
    facts = facts_of(dance, run) | {"room": _room(proof)}
    return Proved(reading, run, facts, tuple(check_all(proof)), dance)


def _room(proof: Proof) -> dict[str, Any]:
    """Return the room that one round needs, in metres rounded to centimetres."""
    room = room_of(proof)
    return {
        "drift_per_wall_metres": [[round(x, 2), round(y, 2)] for x, y in room.drifts],
        "end_metres": [round(metres, 2) for metres in room.end],
        "lane_width_metres": round(room.width, 2),
        "lane_depth_metres": round(room.depth, 2),
    }


def _leads(reading: Reading) -> dict[int, tuple[Named, ...]]:
    """Return, by the line of a heading, the figures and steps it names with their foot and amount of turn."""
    return {
        claim.place.line: tuple(
            Named(draft.verb, draft.foot, draft.amount, draft.turn_side)
            for draft in read_heading(claim.text, reading.language)
            if draft.is_figure or (draft.verb == "step" and draft.foot)
            for _ in range(draft.times)
        )
        for claim in reading.claims.headings
    }


def _mended(text: str, proved: Proved) -> Iterator[Finding]:
    """Give each finding the first edit that makes it go away and brings no other wrong."""
    tried = 0
    for finding in proved.findings:
        options = edits(finding, proved.reading.language) if finding.severity is not Severity.ADVICE else ()
        if options and tried < MOST_MENDS:
            tried += 1
            finding = replace(finding, mend=_proving_edit(proved, finding, options[:MOST_EDITS]))
        yield finding


def _proving_edit(proved: Proved, finding: Finding, options: tuple[str, ...]) -> str:
    place = finding.place
    assert place is not None
    lines = proved.reading.lines
    before = _weight_of(proved.findings)
    for option in options:
        line = lines[place.line - 1]
        if place.end > place.column:
            line = line[: place.column - 1] + option + line[place.end - 1 :]
        else:
            line = option
        edited = "\n".join([*lines[: place.line - 1], line, *lines[place.line :]])
        if _weight_of(_proved(edited, proved.reading.language).findings) < before:
            return option
    return ""


def _weight_of(findings: Iterable[Finding]) -> tuple[int, int]:
    """How much is wrong and doubtful: an edit mends if this becomes less."""
    told = [finding.severity for finding in findings]
    return told.count(Severity.WRONG), told.count(Severity.DOUBTFUL)


def prove_file(path: Path | str, language: str | None = None) -> Proved:
    """Read, dance and check a file of any kind, or standard input ("-").

    Raises:
        BrokenFile: the file cannot be read as text.
    """
    loaded = load_text(path)
    proved = prove(loaded.text, language)
    return replace(proved, findings=(*loaded.notes, *proved.findings))
