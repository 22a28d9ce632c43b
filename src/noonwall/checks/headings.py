"""Headings: the turns and figures a heading names against the steps below it.

Headings are shorthand, so silence is never a fault: only what a heading says and its section does not
hold is reported. The steps are right until proved wrong, since a heading is read less carefully.
"""

from __future__ import annotations

from collections.abc import Iterator

from noonwall.checks.proof import Proof
from noonwall.dance.claims import HeadingClaim
from noonwall.dance.model import Section
from noonwall.figures import vocabulary
from noonwall.findings import Finding

GESTURES: dict[str, frozenset[str]] = {
    "touch": frozenset({"touch", "tap", "point", "toe", "heel", "dig"}),
    "scuff": frozenset({"scuff", "brush"}),
    "kick": frozenset({"kick", "flick"}),
    "hitch": frozenset({"hitch", "lift"}),
    "hook": frozenset({"hook"}),
    "stomp": frozenset({"stomp", "stomp-up"}),
}
"""Weightless actions that a heading tells apart; lists after the NTA make brush and scuff one."""

_CLASS = {move: name for name, moves in GESTURES.items() for move in moves}


def check(proof: Proof) -> list[Finding]:
    """Return headings that name a turn or an action which their section does not hold."""
    found: list[Finding] = []
    troubled = {trouble.place.line for trouble in proof.claims.steps}
    troubled |= {trouble.place.line for trouble in proof.claims.counts}
    for claim in proof.claims.headings:
        section = _section(proof, claim)
        if section is None or not section.figures:
            continue
        lines = proof.lines_of(section)
        certain = proof.is_understood(*lines, claim.place.line) and not troubled & lines
        for code, facts in [*_turns(claim, section), *_gestures(claim, section)]:
            place = proof.line_place(claim.place.line)
            found.append(Finding(code, proof.severity(certain), place, section.at, facts, proof.quote(place)))
    return found


def _section(proof: Proof, claim: HeadingClaim) -> Section | None:
    part = next((part for part in proof.dance.parts if part.label == claim.part), None)
    if part is None or claim.section >= len(part.sections):
        return None
    section = part.sections[claim.section]
    return section if section.heading == claim.text else None


def reachable_turns(section: Section) -> set[int]:
    """Return every turn that neighbouring turns of one side in a section add up to, in signed eighths."""
    turns = [step.turn for step in section.steps if step.turn]
    sums: set[int] = set()
    for first in range(len(turns)):
        total = 0
        for turn in turns[first:]:
            if turn * turns[first] < 0:
                break
            total += turn
            sums.add(total)
    return sums


def _turns(claim: HeadingClaim, section: Section) -> Iterator[tuple[str, dict[str, object]]]:
    """Yield the worst contradiction between the turns of a heading and those danced."""
    danced = reachable_turns(section)
    total = sum(step.turn for step in section.steps)
    own = {abs(step.turn) for step in section.steps if step.turn}
    for amount, side in claim.turns:
        size = abs(amount)
        if not size or size > 8:
            continue
        sign = {"R": 1, "L": -1}.get(side, 0)
        facts: dict[str, object] = {"amount": size, "side": side, "total": total}
        if not danced:
            yield "heading.no-turn", facts
            return
        if size not in {abs(turn) for turn in danced}:
            if not side or sign * total >= 0 or len(own) == 1:
                facts["shown"] = min(own, key=lambda each: abs(each - size))
                yield "heading.turn-amount", facts
                return
        elif sign and size * sign not in danced and -size * sign in danced and not _has_side(danced, sign):
            yield "heading.turn-side", facts
            return


def _has_side(danced: set[int], sign: int) -> bool:
    return any(turn * sign > 0 for turn in danced)


def _gestures(claim: HeadingClaim, section: Section) -> Iterator[tuple[str, dict[str, object]]]:
    """Yield a weightless action that the heading names while the steps do another in its stead."""
    danced = {_CLASS[step.move] for step in section.steps if step.move in _CLASS}
    named = {_CLASS[move] for move in claim.moves if move in _CLASS}
    for figure in claim.figures:
        named |= _always(figure)
    missing = sorted(named - danced)
    instead = sorted(danced - named - _maybe(claim))
    if len(missing) == 1 and instead:
        yield "heading.action", {"named": missing[0], "danced": instead[0]}


def _always(figure: str) -> set[str]:
    """Return the actions that every form of a figure holds."""
    known = vocabulary().figures.get(figure)
    if known is None:
        return set()
    forms = [{_CLASS[s.move] for s in form.steps if s.move in _CLASS} for form in known.forms]
    return set.intersection(*forms) if forms else set()


def _maybe(claim: HeadingClaim) -> set[str]:
    """Return the actions that some form of a named figure holds: they need no name of their own."""
    out: set[str] = set()
    for figure in claim.figures:
        known = vocabulary().figures.get(figure)
        for form in known.forms if known else ():
            out |= {_CLASS[s.move] for s in form.steps if s.move in _CLASS}
    return out
