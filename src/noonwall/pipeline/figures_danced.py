"""Which figures a dance uses: those its text names, and those its steps are, though nobody named them."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache

from noonwall.dance.claims import Claims
from noonwall.dance.model import Dance, Foot, Step
from noonwall.figures import FigureDef, vocabulary
from noonwall.figures.vocabulary import Form

PLAIN_STEPS = "steps"
LEAST_STEPS = 3
"""Steps of the shortest figure that is looked for: a single step is no figure of its own."""

_Key = tuple[tuple[Fraction, str, str], ...]


def figures_used(dance: Dance, claims: Claims) -> list[str]:
    """Return the ids of the figures a dance uses, each once, in the order of the vocabulary.

    Three sources are put together: figures the steps are written as, figures that headings name, and figures
    that the steps make up, found by holding them against every form of the vocabulary.
    """
    known = vocabulary().figures
    used = {figure.id for part in dance.parts for figure in part.figures}
    used |= {figure for heading in claims.headings for figure in heading.figures}
    for part in dance.parts:
        for section in part.sections:
            used |= _made_up(section.steps)
    return [figure for figure in known if figure in used and figure != PLAIN_STEPS]


def _made_up(steps: Sequence[Step]) -> set[str]:
    """Return the figures that some steps make up: the longest at each step, then on from its end.

    The longest goes first so that the end of a weave is not taken for a vine.
    """
    found: set[str] = set()
    at = 0
    while at < len(steps):
        length, figures = _longest_at(steps, at)
        found |= figures
        at += max(length, 1)
    return found


def _longest_at(steps: Sequence[Step], at: int) -> tuple[int, set[str]]:
    forms = _forms_by_key()
    for length in _lengths():
        stretch = steps[at : at + length]
        if len(stretch) < length:
            continue
        lead = next((one.foot for one in stretch if one.foot in (Foot.LEFT, Foot.RIGHT)), None)
        if lead is None:
            continue
        key = tuple((one.at - stretch[0].at, _alike(one.move), seen_from(lead, one.foot)) for one in stretch)
        fitting = {figure.id for figure, form in forms.get(key, ()) if _fits(stretch, lead, figure, form)}
        if fitting:
            return length, fitting
    return 0, set()


def _fits(stretch: Sequence[Step], lead: Foot, figure: FigureDef, form: Form) -> bool:
    """True if places and turns are those of the form, or such as it leaves open."""
    sense = 1 if lead is Foot.RIGHT else -1
    for number, (step, wanted) in enumerate(zip(stretch, form.steps, strict=True)):
        if step.to != wanted.to and not wanted.open_place:
            return False
        # a figure that turns by itself may turn by another amount, but not the other way and not at all
        is_open = number in figure.turn_on and (not wanted.turn or step.turn * sense * wanted.turn > 0)
        if step.turn * sense != wanted.turn and not is_open:
            return False
    return True


def _alike(move: str) -> str:
    """Return a move without what sheets leave unsaid: one on the ball of the foot is mostly a "step"."""
    return "step" if move == "ball" else move


@lru_cache(maxsize=1)
def _forms_by_key() -> dict[_Key, list[tuple[FigureDef, Form]]]:
    forms: dict[_Key, list[tuple[FigureDef, Form]]] = {}
    for figure in vocabulary().figures.values():
        for form in figure.forms:
            lead = next((Foot(one.foot) for one in form.steps if one.foot in ("R", "L")), None)
            if len(form.steps) < LEAST_STEPS or lead is not Foot.RIGHT or figure.id == PLAIN_STEPS:
                continue
            key = tuple(
                (
                    tick - form.ticks[0],
                    _alike(one.move),
                    seen_from(lead, None if one.foot == "-" else Foot(one.foot)),
                )
                for tick, one in zip(form.ticks, form.steps, strict=True)
            )
            forms.setdefault(key, []).append((figure, form))
    return forms


@lru_cache(maxsize=1)
def _lengths() -> tuple[int, ...]:
    return tuple(sorted({len(key) for key in _forms_by_key()}, reverse=True))


def seen_from(lead: Foot, foot: Foot | None) -> str:
    """Return which foot acts as seen from the one that leads: "same", "other", "both", or "-" for none."""
    if foot is None:
        return "-"
    return "both" if foot is Foot.BOTH else "same" if foot is lead else "other"
