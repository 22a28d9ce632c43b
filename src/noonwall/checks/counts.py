"""Counts: in a line, between lines, in a section, and against the header."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction

from noonwall.checks.proof import Proof
from noonwall.dance.claims import CountTrouble
from noonwall.dance.model import Section
from noonwall.findings import Finding, Place, Severity

_LABEL = re.compile(r"\W*(\d{1,3})(?:[&ae\s]*(?:[-–—,&à.]|to|and|et)*[\s&ae]*(\d{1,3}))*")
"""The counts that a line begins with: its first number and its last."""

LABEL_CODES = ("counts.label", "counts.gap", "counts.overlap")
LINE_CODES = (
    "counts.rhythm",
    "counts.squeezed",
    "counts.dropped",
    "counts.unused",
    "counts.line",
    "counts.nothing",
)


def check(proof: Proof) -> list[Finding]:
    """Return what does not add up: labels, lines, sections, the total of the header."""
    labels = list(_labels(proof))
    lines = list(_lines(proof))
    sections = list(_sections(proof))
    if not labels and not sections and proof.dance.stated_counts is None:
        sections = list(_cut_off(proof))
    return [*labels, *lines, *sections, *_total(proof, bool(labels or sections))]


def _labels(proof: Proof) -> Iterator[Finding]:
    """A label out of order. Labels after it that only carry its error on are not reported again."""
    last_line, last_shift = -100, 0
    for trouble in proof.claims.counts:
        if trouble.code not in LABEL_CODES:
            continue
        stated, expected = int(trouble.stated or 0), int(trouble.shown or 0)
        line = trouble.place.line
        is_echo = line - last_line <= 4 and last_shift and abs(stated - expected) <= abs(last_shift)
        last_line, last_shift = line, stated - expected
        if is_echo:
            continue
        facts: dict[str, object] = {"label": trouble.text, "stated": stated, "expected": expected}
        place = _label_place(proof, trouble)
        certain = proof.is_understood(line)
        code = "counts.order" if trouble.code == "counts.label" else trouble.code
        yield Finding(code, proof.severity(certain), place, trouble.at, facts, proof.quote(place))


def _label_place(proof: Proof, trouble: CountTrouble) -> Place:
    line = proof.lines[trouble.place.line - 1] if 0 < trouble.place.line <= len(proof.lines) else ""
    start = line.find(trouble.text) if trouble.text else -1
    if start < 0:
        return proof.line_place(trouble.place.line) or trouble.place
    return Place(trouble.place.line, start + 1, start + 1 + len(trouble.text))


def _lines(proof: Proof) -> Iterator[Finding]:
    """More or fewer actions than a line has counts."""
    for trouble in proof.claims.counts:
        if trouble.code not in LINE_CODES:
            continue
        counts, actions = int(trouble.stated or 0), int(trouble.shown or 0)
        understood = proof.is_understood(trouble.place.line)
        if not actions or (trouble.code == "counts.nothing" and not understood):
            continue  # nothing was read here: the words are shown as not understood
        code = "counts.too-many" if actions > counts else "counts.too-few"
        if actions == counts:
            code = "counts.rhythm"
        facts: dict[str, object] = {"counts": counts, "actions": actions}
        severity = proof.severity(understood and actions != counts)
        yield Finding(code, severity, trouble.place, trouble.at, facts, proof.quote(trouble.place))


def _sections(proof: Proof) -> Iterator[Finding]:
    """A section whose last label stops short of the section's end."""
    told = {trouble.place.line for trouble in proof.claims.counts}
    for part in proof.dance.parts:
        for section in part.sections if part.kind in ("main", "part") else ():
            lines = proof.lines_of(section)
            if not lines or told & lines:
                continue
            missing = _missing_at_end(proof, section)
            if not missing:
                continue
            place = proof.line_place(max(lines))
            shown = section.counts - missing
            facts: dict[str, object] = {
                "section": section.label,
                "stated": int(section.counts),
                "shown": int(shown),
            }
            severity = proof.severity(proof.is_understood(*lines))
            yield Finding("counts.section", severity, place, section.at + shown, facts, proof.quote(place))


def _missing_at_end(proof: Proof, section: Section) -> int:
    """Return how many counts at the end of a section no step and no label reaches.

    A long last action ("drag for 2 counts") ends early too, but the label of its line then reaches the end.
    """
    last = section.figures[-1]
    danced = max((figure.at + figure.counts for figure in section.figures), default=section.at)
    missing = section.at + section.counts - danced
    if missing < 1 or last.place is None or not 0 < last.place.line <= len(proof.lines):
        return 0
    label = _LABEL.match(proof.lines[last.place.line - 1])
    if label is None:
        return 0
    reached = int(label[2] or label[1])
    ends = {int(section.counts), int(section.at + section.counts)}
    short = [end - reached for end in ends if end >= reached]
    return int(missing) if short and min(short) == missing else 0


def _cut_off(proof: Proof) -> Iterator[Finding]:
    """The only section that ends within a bar while all others are whole phrases; no total speaks for it."""
    bar = proof.dance.beats_per_bar
    whole = 6 if bar == 3 else 8
    sections = [s for p in proof.dance.parts if p.kind in ("main", "part") for s in p.sections]
    odd = [section for section in sections if section.counts % whole]
    if len(odd) != 1 or len(sections) < 3 or odd[0].counts % bar == 0 or odd[0].counts > whole:
        return
    lines = proof.lines_of(odd[0])
    if lines:
        place = proof.line_place(max(lines))
        facts: dict[str, object] = {"section": odd[0].label, "stated": whole, "shown": int(odd[0].counts)}
        at = odd[0].at + odd[0].counts
        yield Finding("counts.section", Severity.DOUBTFUL, place, at, facts, proof.quote(place))


def _total(proof: Proof, is_explained: bool) -> Iterator[Finding]:
    """The header's number of counts against the sum of the sections."""
    dance = proof.dance
    stated = dance.stated_counts
    mains = [part for part in dance.parts if part.kind in ("main", "part")]
    total = sum((part.counts for part in mains), Fraction(0))
    if stated is None or stated == total or is_explained:
        return
    odd = _odd_section(proof, float(stated - total))
    place = proof.line_place(proof.claims.header_lines.get("counts", 0))
    shown = int(total) if total.denominator == 1 else float(total)
    facts: dict[str, object] = {"stated": stated, "shown": shown}
    # Some authors of phrased dances add the tags, or a part as often as the song has it.
    certain = not (dance.is_phrased and stated > total) and all(proof.part_is_understood(p) for p in mains)
    if odd is not None and odd.place is not None and stated > total:
        facts |= {"section": odd.label, "counts": int(odd.counts)}
        spot = proof.line_place(max(proof.lines_of(odd), default=odd.place.line))
        yield Finding("counts.short-section", proof.severity(certain), spot, odd.at, facts, proof.quote(spot))
        return
    severity = proof.severity(certain) if place else Severity.DOUBTFUL
    yield Finding("counts.total", severity, place, None, facts, proof.quote(place))


def _odd_section(proof: Proof, missing: float) -> Section | None:
    """Return the only section that falls short while all others are whole, or None.

    It is no whole phrase, or it is shorter than all others by just what the dance lacks.
    """
    usual = 6 if proof.dance.beats_per_bar == 3 else 8
    sections = [s for p in proof.dance.parts if p.kind in ("main", "part") for s in p.sections]
    odd = [section for section in sections if section.counts % usual]
    if len(odd) == 1 < len(sections):
        return odd[0]
    lengths = [section.counts for section in sections]
    short = [section for section in sections if section.counts + missing == max(lengths)]
    alone = len(short) == 1 and lengths.count(max(lengths)) == len(sections) - 1 > 1
    return short[0] if alone and not odd else None
