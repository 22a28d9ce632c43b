"""Build the dance from a sorted document: place lines, resolve feet and facings, gather claims."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from fractions import Fraction

from noonwall.dance.claims import Choice, CountTrouble, FacingClaim, NotUnderstood, StepTrouble
from noonwall.dance.model import Figure, Foot, Part, Section, Step
from noonwall.dance.quarters import PER_COUNT, all_quarters, count_at, quarters_of
from noonwall.findings import Place
from noonwall.text.document import Block, Counted, RawSection
from noonwall.text.layout import BAD, Layout, Placed
from noonwall.text.lexicon import fold
from noonwall.text.positions import Positioned, place_lines
from noonwall.text.resolve import Outcome, Slot, Told, resolve, step_of
from noonwall.text.steps import LineRead, natural_counts, read_quarters


@dataclass(slots=True)
class LinePlan:
    """One line ready for the resolver. ``origin`` is where its label's first whole count lies in the part."""

    counted: Counted
    read: LineRead
    slot: Slot
    origin: Fraction
    section: int
    position: Positioned
    repeats: bool = False


@dataclass(slots=True)
class SectionPlan:
    """A section with its place in the part; ``written`` is its length by its own labels."""

    raw: RawSection
    at: Fraction
    counts: Fraction
    written: Fraction
    plans: list[LinePlan] = field(default_factory=list)


@dataclass(slots=True)
class Gathered:
    """Claims found while building. ``and_is_and``: "1 et 2" means two whole counts on this sheet."""

    and_is_and: bool = False

    facings: list[FacingClaim] = field(default_factory=list)
    steps: list[StepTrouble] = field(default_factory=list)
    counts: list[CountTrouble] = field(default_factory=list)
    choices: list[Choice] = field(default_factory=list)
    unknown: list[NotUnderstood] = field(default_factory=list)
    spelling: list[tuple[Place, str, str]] = field(default_factory=list)
    open_turns: list[StepTrouble] = field(default_factory=list)


def plan_block(block: Block, language: str, meter: int, gathered: Gathered) -> list[SectionPlan]:
    """Place every line of a block and read it."""
    plans: list[SectionPlan] = []
    at = Fraction(0)
    flat: list[LinePlan] = []
    for number, raw in enumerate(block.sections):
        if not raw.lines and raw.heading:
            raw.lines.append(Counted(raw.number, raw.column, None, raw.heading))
        last = block.sections[number - 1].lines[-1:] if number else []
        begun = bool(last and last[0].label and last[0].label.wraps)
        extent = place_lines(raw, at, begun)
        plan = SectionPlan(raw, at, extent.counts, extent.counts)
        clock = Fraction(0)
        for position in extent.lines:
            line_plan = _plan_line(position, at, clock, number, language, flat, gathered, block.label)
            if line_plan is None:
                continue
            plan.plans.append(line_plan)
            flat.append(line_plan)
            if not position.ticks:
                clock += natural_counts(line_plan.read)
                plan.counts = plan.written = max(plan.counts, clock)
        if raw.span and not extent.counts:
            plan.counts = Fraction(raw.span[1] - raw.span[0] + 1)
        if not plan.plans:
            continue
        plans.append(plan)
        at += plan.counts
    return _split_run(plans, meter)


def _plan_line(
    position: Positioned, at: Fraction, clock: Fraction, number: int, language: str, before: list[LinePlan],
    gathered: Gathered, part: str,
) -> LinePlan | None:  # fmt: skip
    counted = position.line
    label = counted.label
    rhythm: tuple[int, ...] = ()
    origin = count_at(quarters_of(at) + quarters_of(clock))
    if position.ticks:
        ticks = all_quarters(position.ticks)
        base = ticks[0] // PER_COUNT * PER_COUNT
        rhythm = tuple([tick - base for tick in ticks])
        origin = count_at(quarters_of(at) + base)
    text = counted.text
    read = read_quarters(text, rhythm, language)
    layouts = list(read.layouts)
    if (
        label is not None
        and label.plain_ticks
        and (gathered.and_is_and or (layouts and layouts[0].cost >= BAD))
    ):
        wholes = all_quarters([t - label.plain_ticks[0] // 1 for t in label.plain_ticks])
        other = read_quarters(text, wholes, language)
        if other.layouts and (gathered.and_is_and or other.layouts[0].cost < layouts[0].cost):
            read, layouts, rhythm = other, list(other.layouts), wholes
    repeats = False
    if read.line.is_repeat and label is not None:
        found = _repeat_layouts(read, before, number, label.last - label.first + 1)
        if found:
            layouts, repeats = found, True
    _collect(read, counted, gathered)
    if position.trouble:
        written, first = (label.written, str(label.first)) if label else ("", "")
        place = Place(counted.number, 1)
        gathered.counts.append(
            CountTrouble(position.trouble, part, origin, place, written, first, str(position.expected))
        )
    if not layouts and not read.units:
        layouts = [Layout((), 0.0, ("counts.nothing",))]
    slot = Slot(layouts, read.notes, read.weight_on)
    if not repeats:
        slot.outcomes = read.outcomes
    return LinePlan(counted, read, slot, origin, number, position, repeats)


def _collect(read: LineRead, counted: Counted, gathered: Gathered) -> None:
    for word, start, end in read.line.mended:
        line, column = counted.place(start)
        gathered.spelling.append((Place(line, column, column + end - start), word, ""))
    for start, end in _merged(read.line.unknown, counted.text):
        line, column = counted.place(start)
        gathered.unknown.append(
            NotUnderstood(Place(line, column, column + end - start), counted.text[start:end])
        )


def _merged(spans: list[tuple[int, int]], text: str) -> list[tuple[int, int]]:
    """Join unknown words that stand side by side."""
    out: list[tuple[int, int]] = []
    for start, end in sorted(spans):
        if out and text[out[-1][1] : start].strip() == "":
            out[-1] = (out[-1][0], end)
        else:
            out.append((start, end))
    return out


def _repeat_layouts(read: LineRead, before: list[LinePlan], section: int, length: int) -> list[Layout]:
    """Return the layouts of "repeat 1-4": the same steps again, or their mirror image."""
    numbers = [int(n) for n in read.line.repeat if n.isdigit()]
    source: list[LinePlan] = []
    if len(numbers) >= 2:
        first, last = numbers[0], numbers[1]
        same = [p for p in before if p.section == section]
        for pool in (same, before):
            source = [
                p for p in pool if p.position.ticks and first <= _number(p, 0) and _number(p, -1) <= last
            ]
            if source:
                break
    sections = re.search(r"\b(?:section|sect|sec|set|part|s)\.?\s?(\d)", fold(read.text))
    if sections and int(sections[1]) - 1 < section:
        source = [p for p in before if p.section == int(sections[1]) - 1]
    if not source:
        reach = Fraction(0)
        for plan in reversed(before):
            if plan.counted.label is None:
                break
            source.insert(0, plan)
            reach += plan.counted.label.last - plan.counted.label.first + 1
            if reach >= length:
                break
    if not source or any(not p.slot.layouts for p in source):
        return []
    start = source[0].origin
    placed: list[Placed] = []
    for k, plan in enumerate(source):
        best = plan.slot.layouts[0]
        shift = quarters_of(plan.origin - start)
        for p in best.placed:
            placed.append(Placed(p.at + shift, p.act, p.unit + 100 * k, p.lead, p.figure))
    ends = source[-1].position.ticks
    span = source[-1].origin - start + (ends[-1] // 1 - ends[0] // 1 + 1 if ends else 1)
    once = list(placed)
    for number in range(1, int(length // span) if span else 1):
        shift = quarters_of(span * number)
        placed += [Placed(p.at + shift, p.act, p.unit + 5000 * number, p.lead, p.figure) for p in once]
    plain = Layout(tuple(placed), 0.0)
    mirror = Layout(tuple(_mirror(p) for p in placed), 0.0)
    led = read.line.repeat_lead
    if read.line.mirrored or (led and _lead_of(placed) not in ("", led)):
        return [mirror, Layout(plain.placed, 3.0)]
    if led:
        return [plain, mirror]
    return [plain, Layout(mirror.placed, 0.9, ("repeat.mirrored",))]


def _number(plan: LinePlan, which: int) -> int:
    """Return the label number of the whole count that a line's first or last tick belongs to."""
    return int(plan.position.ticks[which] // 1) + plan.position.base


def _lead_of(placed: list[Placed]) -> str:
    for p in placed:
        name = p.lead or p.act.foot
        if name in ("R", "L"):
            return name
    return ""


_SWAP = {"R": "L", "L": "R"}


def _mirror(p: Placed) -> Placed:
    act = p.act
    turned = act._replace(
        turn=act.turn if act.mirrors else -act.turn,
        foot=_SWAP.get(act.foot, act.foot),
        side=_SWAP.get(act.side, act.side),
    )
    return Placed(p.at, turned, p.unit, _SWAP.get(p.lead, p.lead), p.figure)


def _split_run(plans: list[SectionPlan], meter: int) -> list[SectionPlan]:
    """One heading-less run of counts is cut into eights (sixes in a waltz) so that it has sections."""
    eight = 6 if meter == 3 else 8
    out: list[SectionPlan] = []
    for plan in plans:
        if plan.counts < 2 * eight or plan.raw.span or plan.raw.label or plan.counts % eight:
            out.append(plan)
            continue
        borders = {p.origin - plan.at for p in plan.plans}
        cuts = [Fraction(k) for k in range(0, int(plan.counts), eight)]
        if not set(cuts) <= borders or plan.raw.heading:
            out.append(plan)
            continue
        for cut in cuts:
            inside = [p for p in plan.plans if cut <= p.origin - plan.at < cut + eight]
            raw = RawSection("", plan.raw.heading if cut == 0 else "", inside[0].counted.number)
            out.append(SectionPlan(raw, plan.at + cut, Fraction(eight), Fraction(eight), inside))
    return out


def resolve_block(
    plans: list[SectionPlan], start_free: Foot | None, walls: int | None, start_facings: tuple[int, ...]
) -> Told:
    """Resolve all lines of a block."""
    slots = [plan.slot for section in plans for plan in section.plans]
    return resolve(slots, start_free, walls, start_facings)


def build_part(
    plans: list[SectionPlan], told: Told, kind: str, label: str, place: Place, gathered: Gathered
) -> Part:
    """Return the part that a resolved block is, and gather what its path had to accept."""
    sections: list[Section] = []
    choice = 0
    for section in plans:
        figures: list[Figure] = []
        for plan in section.plans:
            layout_number, outcome, wrong, facing = told.choices[choice]
            choice += 1
            layout = plan.slot.layouts[layout_number]
            figures += figures_of(plan, layout, outcome)
            _claims(plan, layout, outcome, wrong, facing, label, gathered)
        name = section.raw.label or f"{int(section.at) + 1}-{int(section.at + section.counts)}"
        sections.append(
            Section(name, section.at, section.counts, tuple(figures), section.raw.heading,
                    Place(section.raw.number, section.raw.column) if section.raw.number else None)
        )  # fmt: skip
    total = sum((s.counts for s in sections), Fraction(0))
    return Part(label, kind, total, tuple(_carried_over(sections)), place)


def _carried_over(sections: list[Section]) -> list[Section]:
    """Give a step that a line dances on count 1 of the next section ("8&1") to that section."""
    out: list[Section] = []
    carried: tuple[Figure, ...] = ()
    for number, section in enumerate(sections):
        end = quarters_of(section.at + section.counts)
        is_last = number + 1 == len(sections)
        if is_last or all(quarters_of(step.at) < end for step in section.steps):
            out.append(replace(section, figures=carried + section.figures) if carried else section)
            carried = ()
            continue
        figures, late = [], []
        for figure in section.figures:
            early = tuple(step for step in figure.steps if quarters_of(step.at) < end)
            if len(early) == len(figure.steps):
                figures.append(figure)
                continue
            if early:
                figures.append(replace(figure, steps=early))
            rest = tuple(step for step in figure.steps if quarters_of(step.at) >= end)
            late.append(replace(figure, at=rest[0].at, counts=Fraction(1), steps=rest))
        out.append(replace(section, figures=carried + tuple(figures)))
        carried = tuple(late)
    return out


def figures_of(plan: LinePlan, layout: Layout, outcome: Outcome) -> list[Figure]:
    """Group the steps of a line by the unit they belong to."""
    out: list[Figure] = []
    origin = quarters_of(plan.origin)
    unit, figure, first, last = -1, "", 0, 0
    steps: list[Step] = []
    for placed, danced, move in zip(layout.placed, outcome.placed, outcome.moves, strict=True):
        name = placed.figure or "steps"
        if steps and (placed.unit != unit or name != figure):
            out.append(_figure(plan, unit, figure, steps, first, last))
            steps = []
        last = origin + danced.at
        if not steps:
            unit, figure, first = placed.unit, name, last
        steps.append(step_of(danced, move, origin))
    if steps:
        out.append(_figure(plan, unit, figure, steps, first, last))
    return out


def _figure(plan: LinePlan, unit: int, figure: str, steps: list[Step], first: int, last: int) -> Figure:
    """Return the figure of one unit; ``first`` and ``last`` are the counts of its steps in quarters."""
    lead = next((step.foot for step in steps if step.foot is not None), None)
    span = count_at((last // PER_COUNT - first // PER_COUNT + 1) * PER_COUNT)
    return Figure(figure, steps[0].at, span, tuple(steps), lead, _spot(plan, unit)[0])


def _spot(plan: LinePlan, unit: int) -> tuple[Place, str]:
    """Return where a unit stands in the text, and its words; a repeated line stands for all its units."""
    line = plan.counted
    start, end = 0, len(line.text)
    if not plan.repeats and unit < len(plan.read.units):
        start, end = plan.read.units[unit].start, plan.read.units[unit].end
    number, column = line.place(start)
    return Place(number, column, column + end - start), line.text[start:end].strip()


def _claims(
    plan: LinePlan, layout: Layout, outcome: Outcome, wrong: tuple[tuple[int, int], ...], facing: int,
    part: str, gathered: Gathered,
) -> None:  # fmt: skip
    line = plan.counted
    origin = quarters_of(plan.origin)
    contradicted = dict(wrong)
    for (stated, unit), (_, start, end) in zip(plan.slot.notes, plan.read.line.facings, strict=False):
        number, column = line.place(start)
        shown = contradicted.get(stated, stated)
        at = count_at(origin + max([p.at for p in layout.placed if p.unit <= unit], default=0))
        place = Place(number, column, column + end - start)
        gathered.facings.append(FacingClaim(part, at, stated, shown, place, stated not in contradicted))
    for trouble in outcome.troubles:
        index = min(trouble.index, len(outcome.moves) - 1)
        step = step_of(outcome.placed[index], outcome.moves[index], origin)
        place, text = _spot(plan, layout.placed[index].unit)
        facts = dict(trouble.facts)
        foot = step.foot.value if step.foot else ""
        said, meant = int(str(facts.get("said", 0))), int(str(facts.get("meant", 0)))
        gathered.steps.append(StepTrouble(trouble.code, part, step.at, place, text, foot, said, meant))
    for code in outcome.chosen:
        gathered.choices.append(Choice(code, _whole(line), line.text.strip()))
    for placed, move in zip(layout.placed, outcome.moves, strict=True):
        if placed.act.open_turn % 8 and not plan.repeats:
            place, text = _spot(plan, placed.unit)
            at = count_at(origin + placed.at)
            gathered.open_turns.append(
                StepTrouble("turn.no-side", part, at, place, text, "", move[2], move[2])
            )
    if _is_crowded(plan, layout):
        counts = str(len(plan.position.ticks))
        gathered.counts.append(
            CountTrouble("counts.rhythm", part, plan.origin, _whole(line), line.text.strip(), counts, counts)
        )
    if layout.cost >= BAD or "counts.nothing" in layout.problems:
        code = layout.problems[0] if layout.problems else "counts.line"
        counts, acts = str(len(plan.position.ticks)), str(_said(plan))
        gathered.counts.append(
            CountTrouble(code, part, plan.origin, _whole(line), line.text.strip(), counts, acts)
        )


def _whole(line: Counted) -> Place:
    return Place(line.number, line.column, line.column + len(line.text))


def _is_crowded(plan: LinePlan, layout: Layout) -> bool:
    """Three steps on "3-4": their half count is not in the label."""
    label = plan.counted.label
    pair = label is not None and len(plan.position.ticks) == 2 and label.last == label.first + 1
    return pair and not plan.repeats and any(placed.at % PER_COUNT for placed in layout.placed)


def _said(plan: LinePlan) -> int:
    """How many actions the text of a line names."""
    return sum(len(unit.ways[0].acts) for unit in plan.read.units if unit.kind != "body")
