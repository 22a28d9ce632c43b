"""Headings: the turns, figures and feet a heading names against the steps below it.

Headings are shorthand, so silence is never a fault: only what a heading says and its section does not
hold is reported. The steps are right until proved wrong, since a heading is read less carefully.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise, permutations

from noonwall.checks.proof import HEADING_ORDER, HEADING_SIDE, Named, Proof
from noonwall.dance.claims import HeadingClaim
from noonwall.dance.model import Foot, Section, Step
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

TURN_CODES = ("heading.turn-amount", "heading.turn-side", "heading.no-turn")

Facts = dict[str, object]


@dataclass(frozen=True, slots=True)
class _Print:
    """What is compared of one step: foot, place ("" is any), count from the first step, weight."""

    foot: str
    to: str
    tick: Fraction
    weight: str


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
        named = proof.named.get(claim.place.line, ())
        said = [
            *_turns(claim, section, _two_sided(named)),
            *_gestures(claim, section),
            *_feet(named, section),
            *_dragged(claim, named, section),
        ]
        if not any(code in TURN_CODES for code, _ in said):
            said += _turns_of_figures(named, section)
        for code, facts in said:
            found.append(Finding(code, proof.severity(certain), place, section.at, facts, proof.quote(place)))
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


def _two_sided(named: Sequence[Named]) -> set[int]:
    """Return amounts whose side is open: "STEP TURN STEP R ¼ L" names two, and the figure itself turns."""
    return {
        one.amount
        for one in named
        if one.foot and one.turn_side and one.foot != one.turn_side
        and any(step.turn for form in _forms(one.figure) for step in form.steps)
    }  # fmt: skip


def _turns(claim: HeadingClaim, section: Section, open_sides: set[int]) -> Iterator[tuple[str, Facts]]:
    """Yield the worst contradiction between the turns of a heading and those danced."""
    said = [
        (abs(amount), "" if abs(amount) in open_sides else side)
        for amount, side in claim.turns
        if 0 < abs(amount) <= 8
    ][:5]
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
            amount, near = sum(sizes), sum(abs(turn) for _, turn in danced)
        yield "heading.turn-amount", {"amount": amount, "shown": near}
        return
    sided = [amount if side == "R" else -amount for amount, side in said if side and amount < 8]
    if not _fits_in_any_order(sided, danced, True):
        wrong = next((turn for turn in sided if not fits([turn], danced, True)), sided[0])
        yield "heading.turn-side", {"amount": abs(wrong), "side": "R" if wrong > 0 else "L"}
    elif not (fits(sizes, danced, False) and fits(sided, danced, True)):
        yield HEADING_ORDER, {}


def _fits_in_any_order(said: Sequence[int], danced: Sequence[tuple[Fraction, int]], is_signed: bool) -> bool:
    return any(fits(order, danced, is_signed) for order in permutations(said))


def _gestures(claim: HeadingClaim, section: Section) -> Iterator[tuple[str, Facts]]:
    """Yield a weightless action that the heading names while the steps do another in its stead."""
    danced = {_CLASS[step.move] for step in section.steps if step.move in _CLASS}
    written = {_CLASS[move] for move in claim.moves if move in _CLASS}
    named, optional = set(written), set[str]()
    for figure in claim.figures:
        forms = [{_CLASS[s.move] for s in form.steps if s.move in _CLASS} for form in _forms(figure)]
        if forms:
            named |= set.intersection(*forms)
            optional |= set.union(*forms)
    missing = sorted(named - danced)
    if not set(missing) <= written:
        danced -= optional  # a figure that has several endings may be danced with any of them
    instead = sorted(danced - named)
    if len(missing) == 1 and instead:
        yield "heading.action", {"named": missing[0], "danced": instead[0]}


def _turns_of_figures(named: Sequence[Named], section: Section) -> Iterator[tuple[str, Facts]]:
    """Yield a figure that the heading turns by another amount, or usually to another side, than the steps."""
    for one in named:
        if not one.amount or one.amount >= 8:
            continue
        danced = [
            sum(step.turn for step in section.steps[at : at + length])
            for lead in "LR"
            for at, length in (
                _windows(one.figure, lead, section.steps, True) if _is_triple(one.figure) else ()
            )
        ]
        danced = [turn for turn in danced if turn]
        if danced and one.amount not in {abs(turn) for turn in danced}:
            yield "heading.turn-amount", {"amount": one.amount, "shown": abs(danced[0])}
            return
        usual = _usual_side(one)
        turns = turns_danced(section)
        if usual and not fits([usual * one.amount], turns, True) and fits([-usual * one.amount], turns, True):
            yield HEADING_SIDE, {"amount": one.amount}


def _usual_side(one: Named) -> int:
    """Return 1 or -1 for the side to which the named figure turns if nothing else is said, else 0."""
    known = vocabulary().figures.get(one.figure)
    if known is None or one.turn_side or not one.foot or not known.turn_side:
        return 0
    return (1 if known.turn_side == "R" else -1) * (1 if one.foot == "R" else -1)


def _feet(named: Sequence[Named], section: Section) -> Iterator[tuple[str, Facts]]:
    """Yield a figure to the side that the heading leads with one foot and the steps with the other."""
    said = Counter((one.figure, one.foot) for one in named if one.foot)
    for figure in dict.fromkeys(figure for figure, _ in said):
        if not _goes_aside(figure):
            continue
        turns = figure == "rolling-vine" or any(one.figure == figure and one.amount for one in named)
        danced = {foot: len(_windows(figure, foot, section.steps, turns)) for foot in "LR"}
        for foot, other in (("R", "L"), ("L", "R")):
            count = said[figure, foot]
            if count > danced[foot] and count + said[figure, other] <= danced[foot] + danced[other]:
                yield "heading.foot", {"named": foot, "danced": other}
                return


def _dragged(claim: HeadingClaim, named: Sequence[Named], section: Section) -> Iterator[tuple[str, Facts]]:
    """Yield a "big step right, drag" of the heading where the steps drag up to the other foot."""
    said = [one.foot for one in named if one.figure == "step"]
    if len(said) != 1 or claim.moves.count("drag") != 1:
        return
    steps = section.steps
    standing = [
        before.foot for before, step in pairwise(steps) if step.move == "drag" and before.takes_weight
    ]
    feet = [foot.value for foot in standing if foot in (Foot.LEFT, Foot.RIGHT)]
    if len(feet) == 1 and feet[0] != said[0]:
        yield "heading.foot", {"named": said[0], "danced": feet[0]}


def _forms(figure: str) -> tuple[Form, ...]:
    known = vocabulary().figures.get(figure)
    return known.forms if known else ()


def _is_triple(figure: str) -> bool:
    """True for shuffles and their kind: three steps in two counts, whose turn is not taken apart."""
    forms = _forms(figure)
    return bool(forms) and len(forms[0].steps) == 3 and forms[0].ticks[1].denominator > 1


@lru_cache(maxsize=256)
def _goes_aside(figure: str) -> bool:
    """True if every form begins with a step to the lead's own side, so that foot and side are one word."""
    forms = _forms(figure)
    aside = bool(forms) and all(form.steps[0].to == "side" and form.steps[0].foot == "R" for form in forms)
    return aside or figure == "rolling-vine"  # it turns as it goes: its first step is forward after the turn


def _windows(figure: str, lead: str, steps: Sequence[Step], may_turn: bool) -> list[tuple[int, int]]:
    """Return where a figure is danced with ``lead``, as (index, length), found by feet, counts and places.

    Where a figure may turn, the place of a turning step is let off: a side step then goes forward or back.
    """
    found: list[tuple[int, int]] = []
    patterns = _patterns(figure, lead)
    at = 0
    while at < len(steps):
        length = next((len(p) for p in patterns if _alike(steps[at : at + len(p)], p, may_turn)), 0)
        if length:
            found.append((at, length))
        at += length or 1
    return found


@lru_cache(maxsize=512)
def _patterns(figure: str, lead: str) -> tuple[tuple[_Print, ...], ...]:
    """Return the forms of a figure as prints, each cut to the length that all forms have."""
    swap = {"R": "L", "L": "R"} if lead == "L" else {}
    forms = _forms(figure)
    if _is_triple(figure):  # its slow form, three even steps, is like half the steps of any dance
        forms = tuple(form for form in forms if any(tick.denominator > 1 for tick in form.ticks))
    length = min((len(form.steps) for form in forms), default=0)
    rows = []
    for form in forms:
        row = []
        for step, tick in zip(form.steps[:length], form.ticks[:length], strict=True):
            weight = vocabulary().moves[step.move].weight
            place = "" if step.open_place else step.to
            row.append(_Print(swap.get(step.foot, step.foot), place, tick, weight))
        rows.append(tuple(row))
    return tuple(dict.fromkeys(rows))


def _alike(steps: Sequence[Step], pattern: Sequence[_Print], may_turn: bool) -> bool:
    if len(steps) < len(pattern) or not pattern:
        return False
    foot = steps[0].foot
    if (foot.value if foot else "-") != pattern[0].foot:
        return False  # most often; no count needs to be worked out
    first = steps[0].at - pattern[0].tick
    return all(
        (step.foot.value if step.foot else "-") == each.foot
        and step.at - first == each.tick
        and ((may_turn and step.turn != 0) or not each.to or step.to == each.to)
        and each.weight in ("unclear", "yes" if step.takes_weight else "no")
        for step, each in zip(steps, pattern, strict=True)
    )
