"""Read the step text of one counted line; equal texts on equal rhythms are read once."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache

from noonwall.dance.model import Foot
from noonwall.dance.quarters import all_quarters, count_at
from noonwall.text.drafts import Draft, Line, read_drafts
from noonwall.text.layout import NEAR, Layout, Placed, lay_out
from noonwall.text.lexicon import lexicon_of
from noonwall.text.resolve import Outcome
from noonwall.text.units import Unit, units_of

LINES_KEPT = 4096
"""How many lines are remembered: batches repeat themselves, and memory must stay flat."""


@dataclass(frozen=True, slots=True)
class LineRead:
    """What a line's text says on a rhythm: layouts with counts from the label's first whole count."""

    text: str
    line: Line
    units: tuple[Unit, ...]
    layouts: tuple[Layout, ...]
    notes: tuple[tuple[int, int], ...]
    weight_on: str
    outcomes: dict[tuple[Foot, bool], list[tuple[int, Outcome]]] = field(compare=False, default_factory=dict)


def read_line(text: str, ticks: tuple[Fraction, ...], language: str) -> LineRead:
    """Return what ``text`` says on ``ticks`` (from the label's first whole count); no ticks: natural time."""
    return read_quarters(text, all_quarters(ticks), language)


MOST_ACTS = 64
"""No line tells more acts; what stands behind is not understood, for laying it on counts would take long."""


@lru_cache(maxsize=LINES_KEPT)
def read_quarters(text: str, ticks: tuple[int, ...], language: str) -> LineRead:
    """Return what :func:`read_line` does; ``ticks`` are in quarters of a count."""
    line = read_drafts(text, lexicon_of(language))
    if len(line.drafts) > MOST_ACTS:
        line.unknown.append((line.drafts[MOST_ACTS].start, len(text.rstrip())))
        del line.drafts[MOST_ACTS:]
    units = tuple(units_of(line))
    layouts: list[Layout] = []
    if units:
        layouts = lay_out(list(units), ticks) if ticks else [natural_layout(units)]
    if ticks and layouts and len(ticks) > 2 and (times := _times_of_all(line)):
        whole = units_of(line) * times
        again = lay_out(whole, ticks)
        if again and again[0].cost <= layouts[0].cost + NEAR / 2:
            units, layouts = tuple(whole), again
    notes = tuple([(facing, _unit_before(units, start)) for facing, start, _ in line.facings])
    weight_on = line.weight_on or (units[-1].weight_on if units else "")
    return LineRead(text, line, units, tuple(layouts), notes, weight_on)


def _times_of_all(line: Line) -> int:
    """ "Rock back L, recover R (x2)": a number behind the last of several clauses may mean them all."""
    times = line.drafts[-1].times if len(line.drafts) > 1 else 1
    alone = bool(line.drafts) and (line.drafts[-1].is_turn_only or line.drafts[-1].is_bare)
    if times == 1 or any(draft.times > 1 for draft in line.drafts[:-1]):
        return 0
    if not (alone or line.drafts[-1].verb in ("recover", "pivot") or line.drafts[-1].places):
        return 0  # "kick ball change, stomp x2" stomps twice
    line.drafts[-1].times = 1
    return times


@lru_cache(maxsize=1024)
def read_heading(text: str, language: str) -> tuple[Draft, ...]:
    """Return what a heading names, clause by clause; the drafts are shared, so nobody may change them."""
    return tuple(read_drafts(text, lexicon_of(language)).drafts)


def _unit_before(units: tuple[Unit, ...], offset: int) -> int:
    """Return the index of the last unit that begins before ``offset``; 0 if none does."""
    before = [number for number, unit in enumerate(units) if unit.start <= offset]
    return before[-1] if before else 0


def natural_layout(units: tuple[Unit, ...]) -> Layout:
    """Lay units one after the other in their own rhythm (for steps written without counts)."""
    clock = 0
    placed: list[Placed] = []
    pending: list[Unit] = []
    for number, unit in enumerate(units):
        if unit.kind == "turn" and number + 1 < len(units) and units[number + 1].kind == "action":
            pending.append(unit)
            continue
        way = unit.ways[0]
        acts = list(way.acts)
        for turn in pending:
            act = turn.ways[0].acts[0]
            turned, opened = acts[0].turn + act.turn, acts[0].open_turn + act.open_turn
            acts[0] = acts[0]._replace(turn=turned, open_turn=opened)
        pending = []
        for tick, act in zip(way.ticks, acts, strict=True):
            foot = unit.lead if act.foot == "?" and unit.lead else act.foot
            placed.append(Placed(clock + tick, act._replace(foot=foot), number, unit.lead, way.figure))
        clock += way.counts
    return Layout(tuple(placed), 0.5)


def natural_counts(read: LineRead) -> Fraction:
    """Return how many counts a line without a label takes."""
    total = 0
    for number, unit in enumerate(read.units):
        if unit.kind == "turn" and number + 1 < len(read.units) and read.units[number + 1].kind == "action":
            continue
        total += unit.ways[0].counts
    return count_at(total)
