"""Read easier or other ways that a sheet offers: "(or walk R, L)", "Easier option: walk right, left"."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction

from noonwall.dance.model import Foot, Option, Part
from noonwall.dance.quarters import all_quarters
from noonwall.findings import Place
from noonwall.text.builder import LinePlan, figures_of
from noonwall.text.document import Counted, Note
from noonwall.text.resolve import Slot, resolve
from noonwall.text.steps import read_quarters

_LEAD_IN = re.compile(
    r"^\W*(?:(?:easy|easier|non.?turning|no.?turn|low.?impact|alternat(?:iv)?e|optional?|beginner)"
    r"\s*(?:option|alternative|version)?s?"
    r"|options?(?:\s[^\W\d]+){0,3}(?=\s*:)|options?|opt|variante?s?|alternatives?|or|ou|plus facile|instead)"
    r"\b\.?\s*[:,–-]?\s*",
    re.I,
)
_NOT_STEPS = re.compile(r"\b(?:instead of|for|in place of|replace|au lieu d|à la place d|pour)\b.*$", re.I)
SURE = 1.5
"""An option whose layout costs more is left in words: what it replaces is not certain."""


def read_options(
    plans: dict[str, list[LinePlan]], parts: Iterable[Part], notes: Iterable[Note], language: str
) -> tuple[Option, ...]:
    """Return the options that can be laid on the counts they stand beside.

    Args:
        plans: the counted lines of each part.
        parts: the parts as danced.
        notes: the notes of the sheet; those of kind "option" follow the line they speak of.
        language: the sheet's language.
    """
    by_label = {part.label: part for part in parts}
    said = {note.after: note for note in notes if note.kind == "option" and note.number == note.after + 1}
    out: list[Option] = []
    for label, lines in plans.items():
        for plan in lines:
            for number, column, text in _texts(plan, said.get(plan.counted.number)):
                option = _option(plan, by_label[label], number, column, text, language)
                if option is not None:
                    out.append(option)
    return tuple(out)


def _texts(plan: LinePlan, note: Note | None) -> list[tuple[int, int, str]]:
    """The options told in a line and right below it: line, column, words."""
    found = []
    span = plan.read.line.option
    if span is not None and not plan.repeats:
        number, column = plan.counted.place(span[0])
        found.append((number, column, plan.counted.text[span[0] : span[1]]))
    if note is not None:
        found.append((note.number, 1, note.text))
    return found


def _option(plan: LinePlan, part: Part, line: int, column: int, text: str, language: str) -> Option | None:
    lead = _LEAD_IN.match(text)
    offset = lead.end() if lead else 0
    steps = _NOT_STEPS.sub("", text[offset:]).strip(" .()")
    ticks = plan.position.ticks
    if not steps or not ticks:
        return None
    base = Fraction(int(ticks[0] // 1))
    place = Place(line, column, column + len(text))
    counted = Counted(line, column + offset, plan.counted.label, steps)
    for first in _starts(steps, ticks, language):
        kept = tuple(t for t in ticks if t >= first)
        read = read_quarters(steps, all_quarters([t - base for t in kept]), language)
        if not read.layouts or read.layouts[0].cost > SURE or read.line.unknown:
            continue
        if all(unit.kind == "turn" for unit in read.units):
            continue  # "make it up as you go"
        at = plan.origin + kept[0] - base
        slot = Slot(list(read.layouts[:1]), (), read.weight_on)
        told = resolve([slot], _free_before(part, at), None)
        number, outcome, _, _ = told.choices[0]
        if not outcome.moves or outcome.troubles:
            continue
        other = replace(plan, counted=counted, read=read, slot=slot, repeats=False)
        figures = tuple(figures_of(other, slot.layouts[number], outcome))
        end = plan.origin + Fraction(int(ticks[-1] // 1)) + 1 - base
        return Option(part.label, at, end - at, figures, text.strip(), place)
    return None


def _starts(steps: str, ticks: tuple[Fraction, ...], language: str) -> list[Fraction]:
    """Where an option may begin: with its line, or so that its own actions end with the line."""
    acts = sum(len(unit.ways[0].acts) for unit in read_quarters(steps, (), language).units)
    starts = [ticks[-acts]] if 0 < acts < len(ticks) else []
    return [ticks[0], *starts]


def _free_before(part: Part, at: Fraction) -> Foot | None:
    """The foot that is free before a count of a part, None if the part does not tell."""
    stepped = [step for step in part.steps if step.at < at and step.takes_weight and step.foot]
    if not stepped or stepped[-1].foot in (None, Foot.BOTH):
        return None
    return stepped[-1].foot.other
