"""Read easier or other ways that a sheet offers: "(or walk R, L)", "Easier option: walk right, left"."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from noonwall.dance.model import Foot, Option, Part, Section
from noonwall.dance.quarters import all_quarters
from noonwall.findings import Place
from noonwall.text.builder import LinePlan, figures_of
from noonwall.text.document import Counted, Note
from noonwall.text.labels import read_label
from noonwall.text.positions import Positioned
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
_COUNTS = re.compile(
    r"(?:for|on|in|pour|sur|aux?|dans)?\s*(?:the\s|les?\s)?(?:counts?|comptes?|temps|beats?)\s+(?=\d|&)", re.I
)
_SECTION = re.compile(
    r"\s*(?:,|of|in|de|dans)?\s*(?:the\s|la\s)?(?:section|sect|sec|set|bloc|block)\.?\s?(\d{1,2})\b", re.I
)
_AFTER_COUNTS = re.compile(r"\s*[:,–-]?\s*")
SURE = 1.5
"""An option whose layout costs more is left in words: what it replaces is not certain."""


@dataclass(frozen=True, slots=True)
class _Told:
    """An option's words and where they stand; ``beside`` is the counted line it is told in or right below."""

    line: int
    column: int
    text: str
    beside: LinePlan | None
    part: Part


@dataclass(frozen=True, slots=True)
class _Aim:
    """The counts an option may replace: ``ticks`` from the whole count ``origin`` of the part.

    ``is_named`` says that the option names its counts; else it may also dance only the end of its line.
    """

    origin: Fraction
    ticks: tuple[Fraction, ...]
    is_named: bool = False


def read_options(
    plans: dict[str, list[LinePlan]], parts: Iterable[Part], notes: Iterable[Note], language: str
) -> tuple[Option, ...]:
    """Return the options that can be laid on the counts they name, or on those they stand beside.

    Args:
        plans: the counted lines of each part.
        parts: the parts as danced.
        notes: the notes of the sheet; one of kind "option" may follow the line it speaks of.
        language: the sheet's language.
    """
    by_label = {part.label: part for part in parts}
    found = [
        option
        for told in _all_told(plans, by_label, [note for note in notes if note.kind == "option"])
        if (option := _option(told, language)) is not None
    ]
    order = list(by_label)
    return tuple(sorted(found, key=lambda option: (order.index(option.part), option.at)))


def _all_told(plans: dict[str, list[LinePlan]], parts: dict[str, Part], notes: list[Note]) -> Iterator[_Told]:
    """The options told in lines, and those told in notes of their own."""
    above: dict[int, tuple[LinePlan, Part]] = {}
    for label, lines in plans.items():
        for plan in lines:
            above[plan.counted.number] = plan, parts[label]
            span = plan.read.line.option
            if span is not None and not plan.repeats:
                number, column = plan.counted.place(span[0])
                yield _Told(number, column, plan.counted.text[span[0] : span[1]], plan, parts[label])
    for note in notes:
        held, part = above.get(note.after, (None, next(iter(parts.values()))))
        yield _Told(note.number, 1, note.text, held if note.number == note.after + 1 else None, part)


def _option(told: _Told, language: str) -> Option | None:
    lead = _LEAD_IN.match(told.text)
    aim, offset = _aim(told, lead.end() if lead else 0)
    steps = _NOT_STEPS.sub("", told.text[offset:]).strip(" .()")
    if not steps or aim is None or not aim.ticks:
        return None
    counted = Counted(told.line, told.column + offset, None, steps)
    for first in (aim.ticks[0],) if aim.is_named else _starts(steps, aim.ticks, language):
        kept = tuple(tick for tick in aim.ticks if tick >= first)
        read = read_quarters(steps, all_quarters(kept), language)
        if not read.layouts or read.layouts[0].cost > SURE or read.line.unknown:
            continue
        if all(unit.kind == "turn" for unit in read.units):
            continue  # "make it up as you go"
        at = aim.origin + kept[0]
        slot = Slot(list(read.layouts[:1]), (), read.weight_on)
        number, outcome, _, _ = resolve([slot], _free_before(told.part, at), None).choices[0]
        if not outcome.moves or outcome.troubles:
            continue
        plan = LinePlan(counted, read, slot, aim.origin, 0, Positioned(counted, kept))
        figures = tuple(figures_of(plan, slot.layouts[number], outcome))
        end = aim.origin + int(aim.ticks[-1]) + 1
        place = Place(told.line, told.column, told.column + len(told.text))
        return Option(told.part.label, at, end - at, figures, told.text.strip(), place)
    return None


def _aim(told: _Told, start: int) -> tuple[_Aim | None, int]:
    """Return what the option replaces, and where its steps begin in its text."""
    counts = _COUNTS.match(told.text, start)
    label = read_label(told.text[counts.end() :]) if counts else None
    if counts is None or label is None:
        if told.beside is None or not told.beside.position.ticks:
            return None, start
        whole = int(told.beside.position.ticks[0])
        return _Aim(told.beside.origin, tuple(tick - whole for tick in told.beside.position.ticks)), start
    end = counts.end() + label.end
    named = _SECTION.match(told.text, end)
    end = named.end() if named else end
    after = _AFTER_COUNTS.match(told.text, end)
    end = after.end() if after else end
    section = _section(told, int(named[1]) if named else None)
    # counts beyond the section are counts of the whole part
    begins = section.at if section is not None and label.last <= section.counts else Fraction(0)
    whole = int(label.ticks[0])
    if (named and section is None) or begins + label.last > told.part.counts:
        return None, end
    return _Aim(begins + whole - 1, tuple(tick - whole for tick in label.ticks), True), end


def _section(told: _Told, number: int | None) -> Section | None:
    """The section an option names, else that of its line."""
    sections = told.part.sections
    if number is not None:
        return sections[number - 1] if 0 < number <= len(sections) else None
    if told.beside is None:
        return None
    at = told.beside.origin
    return next((section for section in sections if section.at <= at < section.at + section.counts), None)


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
