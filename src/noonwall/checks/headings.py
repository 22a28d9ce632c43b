"""Headings: the turns, figures and feet a heading names against the steps below it.

Headings are shorthand, so silence is never a fault: only what a heading says and its section does not
hold is reported. The steps are right until proved wrong, since a heading is read less carefully.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import permutations

from noonwall.checks.proof import Proof
from noonwall.dance.claims import HeadingClaim
from noonwall.dance.model import Section, Step
from noonwall.figures import Form, vocabulary
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

NEAR_COUNTS = 2
"""Turns this far apart at most may be one turn of a heading: a paddle turn moves on every second count."""

Facts = dict[str, object]


def check(proof: Proof) -> list[Finding]:
    """Return headings that name a turn, an action or a foot which their section does not hold."""
    found: list[Finding] = []
    troubled = {trouble.place.line for trouble in proof.claims.steps}
    troubled |= {trouble.place.line for trouble in proof.claims.counts}
    for claim in proof.claims.headings:
        section = _section(proof, claim)
        if section is None or not section.figures:
            continue
        lines = proof.lines_of(section)
        certain = proof.is_understood(*lines, claim.place.line) and not troubled & lines
        place = proof.line_place(claim.place.line)
        leads = proof.leads.get(claim.place.line, ())
        for code, facts in [*_turns(claim, section), *_gestures(claim, section), *_feet(leads, section)]:
            found.append(
                Finding(code, proof.severity(certain), place, section.at, facts, proof.quote(place))
            )
    return found


def _section(proof: Proof, claim: HeadingClaim) -> Section | None:
    part = next((part for part in proof.dance.parts if part.label == claim.part), None)
    if part is None or claim.section >= len(part.sections):
        return None
    section = part.sections[claim.section]
    return section if section.heading == claim.text else None


def turns_danced(section: Section) -> list[tuple[Fraction, int]]:
    """Return the turns of a section as (count, eighths); a named figure turns once, by all it turns."""
    turns: list[tuple[Fraction, int]] = []
    for figure in section.figures:
        if figure.id != "steps" and len({step.turn > 0 for step in figure.steps if step.turn}) == 1:
            turns.append((figure.at, figure.turn))
        else:
            turns += [(step.at, step.turn) for step in figure.steps if step.turn]
    return turns


def fits(said: Sequence[int], danced: Sequence[tuple[Fraction, int]], is_signed: bool) -> bool:
    """Return whether the turns a heading names can be found one after the other among those danced.

    Neighbouring turns to one side may be one turn of the heading, and turns it does not name are passed over.

    Args:
        said: eighths, 0-signed where the heading gives no side (see ``is_signed``).
        danced: (count, eighths) in order.
        is_signed: whether the side must agree where ``said`` is negative or positive; else sizes only.
    """
    if not said:
        return True
    for first in range(len(danced)):
        total = 0
        for last in range(first, len(danced)):
            gap = danced[last][0] - danced[max(first, last - 1)][0]
            if danced[last][1] * danced[first][1] < 0 or gap > NEAR_COUNTS:
                break
            total += danced[last][1]
            same = total == said[0] if is_signed else abs(total) == abs(said[0])
            if same and fits(said[1:], danced[last + 1 :], is_signed):
                return True
    return False


def _turns(claim: HeadingClaim, section: Section) -> Iterator[tuple[str, Facts]]:
    """Yield the worst contradiction between the turns of a heading and those danced."""
    said = [(abs(amount), side) for amount, side in claim.turns if 0 < abs(amount) <= 8][:5]
    danced = turns_danced(section)
    if not said:
        return
    first, side = said[0]
    if not danced:
        yield "heading.no-turn", {"amount": first, "side": side}
        return
    sizes = [amount for amount, _ in said]
    if not _fits_in_any_order(sizes, danced, False):
        amount = next((size for size in sizes if not fits([size], danced, False)), first)
        near = min((abs(turn) for _, turn in danced), key=lambda each: abs(each - amount))
        if near == amount:  # the amounts exist, but fewer of them than the heading names
            near = abs(sum(turn for _, turn in danced))
        yield "heading.turn-amount", {"amount": amount, "shown": near}
        return
    sided = [amount if side == "R" else -amount for amount, side in said if side and amount < 8]
    if not _fits_in_any_order(sided, danced, True):
        wrong = next((turn for turn in sided if not fits([turn], danced, True)), sided[0])
        yield "heading.turn-side", {"amount": abs(wrong), "side": "R" if wrong > 0 else "L"}


def _fits_in_any_order(said: Sequence[int], danced: Sequence[tuple[Fraction, int]], is_signed: bool) -> bool:
    return any(fits(order, danced, is_signed) for order in permutations(said))


def _gestures(claim: HeadingClaim, section: Section) -> Iterator[tuple[str, Facts]]:
    """Yield a weightless action that the heading names while the steps do another in its stead."""
    danced = {_CLASS[step.move] for step in section.steps if step.move in _CLASS}
    named = {_CLASS[move] for move in claim.moves if move in _CLASS}
    optional: set[str] = set()
    for figure in claim.figures:
        forms = [{_CLASS[s.move] for s in form.steps if s.move in _CLASS} for form in _forms(figure)]
        if forms:
            named |= set.intersection(*forms)
            optional |= set.union(*forms)
    missing = sorted(named - danced)
    instead = sorted(danced - named - optional)
    if len(missing) == 1 and instead:
        yield "heading.action", {"named": missing[0], "danced": instead[0]}


def _feet(leads: Sequence[tuple[str, str]], section: Section) -> Iterator[tuple[str, Facts]]:
    """Yield a figure to the side that the heading leads with one foot and the steps with the other."""
    said = Counter(leads)
    for figure in dict.fromkeys(figure for figure, _ in leads):
        if not _goes_aside(figure):
            continue
        danced = {foot: _danced(figure, foot, section.steps) for foot in "LR"}
        for foot, other in (("R", "L"), ("L", "R")):
            named = said[figure, foot]
            if named > danced[foot] and named + said[figure, other] <= danced[foot] + danced[other]:
                yield "heading.foot", {"named": foot, "danced": other}
                return


def _forms(figure: str) -> tuple[Form, ...]:
    known = vocabulary().figures.get(figure)
    return known.forms if known else ()


@lru_cache(maxsize=256)
def _goes_aside(figure: str) -> bool:
    """True if every form begins with a step to the lead's own side, so that foot and side are one word."""
    forms = _forms(figure)
    return bool(forms) and all(form.steps[0].to == "side" and form.steps[0].foot == "R" for form in forms)


def _danced(figure: str, lead: str, steps: Sequence[Step]) -> int:
    """Return how often a figure is danced with ``lead``, found by the feet and places of its steps."""
    patterns = {_pattern(form, lead) for form in _forms(figure)}
    shortest = min(len(pattern) for pattern in patterns)
    heads = {pattern[:shortest] for pattern in patterns}
    walked = [(step.foot.value if step.foot else "-", step.to) for step in steps]
    times, at = 0, 0
    while at <= len(walked) - shortest:
        if any(_alike(walked[at : at + shortest], head) for head in heads):
            times, at = times + 1, at + shortest
        else:
            at += 1
    return times


def _pattern(form: Form, lead: str) -> tuple[tuple[str, str], ...]:
    swap = {"R": "L", "L": "R"} if lead == "L" else {}
    return tuple((swap.get(step.foot, step.foot), "" if step.open_place else step.to) for step in form.steps)


def _alike(walked: Sequence[tuple[str, str]], pattern: Sequence[tuple[str, str]]) -> bool:
    return all(
        foot == wanted and (not to or to == place or turned_place(to, place))
        for (foot, place), (wanted, to) in zip(walked, pattern, strict=True)
    )


def turned_place(to: str, place: str) -> bool:
    """A quarter turn on the last step of a vine or chassé makes "to the side" into "forward" or "back"."""
    return to == "side" and place in ("fwd", "back")
