"""Where to cut a dance into pieces to learn: the cheapest of all ways, each cut with its reasons.

Method: dynamic programming over the counts of a part. Every whole count may be a cut; a cut costs what makes
it hard to stop and start there (inside a figure, weight on both feet or a foot in the air, not at the end of
an eight, facing a corner, an upbeat before it), a piece costs what makes it hard to learn in one go (longer
or shorter than an eight, more or less work than the others). The sum of all costs is least. The costs are our
own (common practice, no source): what they say is the order of the reasons, not their size.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise
from math import ceil

from noonwall.dance.model import Foot, Part
from noonwall.figures import vocabulary_moves
from noonwall.teach.difficulty import Work, work_of
from noonwall.teach.knowing import ClassKnows
from noonwall.teach.spans import Danced, Span, danced, spans_of

LEAST_COUNTS, MOST_COUNTS = 4, 16
"""A piece of fewer counts is no piece, one of more cannot be held in mind (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class CutCosts:
    """What is minimised; every value is in points of our own."""

    inside_figure: int = 200
    both_feet: int = 6
    foot_in_air: int = 4
    at_half: int = 7
    at_even: int = 24
    at_odd: int = 36
    corner: int = 6
    upbeat: int = 4
    silence: int = 3
    restart: int = -6
    each_piece: int = 6
    each_count: int = 1
    too_hard: int = 40
    too_easy: int = 8


@dataclass(frozen=True, slots=True)
class Reason:
    """One reason for a cut or a piece: an id worded in ``words/<language>/lesson.toml`` and its numbers."""

    id: str
    cost: int = 0
    facts: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Cut:
    """A stretch of counts that is one piece of the plan; ``why`` are the reasons of its end and its size."""

    at: int
    end: int
    work: Work
    why: tuple[Reason, ...]

    @property
    def cost(self) -> int:
        """What the piece costs: the sum of its reasons."""
        return sum(reason.cost for reason in self.why)


@dataclass(frozen=True, slots=True)
class Cutting:
    """The cheapest way to cut a part; ``cost_at_sections`` is that of the sheet's own sections, None if they
    are too short or too long to be pieces."""

    cuts: tuple[Cut, ...]
    cost_at_sections: int | None = None

    @property
    def cost(self) -> int:
        """The sum of the costs of its pieces."""
        return sum(cut.cost for cut in self.cuts)


@dataclass(slots=True)
class _Table:
    """A part ready to be cut."""

    part: Part
    track: Danced
    spans: tuple[Span, ...]
    knows: ClassKnows
    bpm: float
    beats_per_bar: int
    restarts: frozenset[int]
    costs: CutCosts
    target: float = 1.0
    counts: int = 0
    works: dict[tuple[int, int], Work] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.counts = ceil(self.part.counts)
        whole = self.work(0, self.counts).points
        self.target = max(1.0, whole * self.eight / max(self.counts, 1))

    @property
    def eight(self) -> int:
        return 6 if self.beats_per_bar == 3 else 8

    def work(self, at: int, end: int) -> Work:
        """Return what a stretch asks of the class."""
        if (at, end) not in self.works:
            inside = [span for span in self.spans if at <= span.at < end]
            self.works[at, end] = work_of(inside, self.knows, self.bpm)
        return self.works[at, end]

    def why_cut(self, count: int) -> tuple[Reason, ...]:
        """Return the reasons for or against a cut after ``count`` counts."""
        if count >= self.counts:
            return (Reason("part-ends"),)
        found = [self._place(count), self._weight(count), self._facing(count)]
        inside = next((span for span in self.spans if span.at < count < span.end), None)
        if inside is not None and (inside.figure or len(inside.steps) > 1):
            found.append(
                Reason("inside-figure", self.costs.inside_figure, (("figure", inside.figure),))
                if inside.figure
                else Reason("inside-step", self.costs.inside_figure)
            )
        else:
            found.append(Reason("between-figures"))
        if count in self.restarts:
            found.append(Reason("restart-here", self.costs.restart, (("n", str(count)),)))
        found += self._start(count)
        return tuple(found)

    def _place(self, count: int) -> Reason:
        section = max(
            (section for section in self.part.sections if section.at <= count),
            key=lambda one: one.at,
            default=None,
        )
        inside = count - (section.at if section else Fraction(0))
        facts = (("n", str(count)),)
        if inside % self.eight == 0:
            return Reason("end-of-eight" if self.eight == 8 else "end-of-six", 0, facts)
        if inside % (self.eight // 2) == 0:
            return Reason("half-eight" if self.eight == 8 else "half-six", self.costs.at_half, facts)
        even = inside % 2 == 0 and self.eight == 8
        return Reason("even" if even else "odd", self.costs.at_even if even else self.costs.at_odd, facts)

    def _weight(self, count: int) -> Reason:
        stance = self.track.before(count)
        if stance.weight is Foot.BOTH:
            return Reason("weight-both", self.costs.both_feet)
        foot = (("foot", stance.weight.value),)
        free = stance.left if stance.weight is Foot.RIGHT else stance.right
        return (
            Reason("foot-in-air", self.costs.foot_in_air, foot)
            if free.contact == "air"
            else Reason("weight-on", 0, foot)
        )

    def _facing(self, count: int) -> Reason:
        facing = self.track.before(count).facing % 8
        facts = (("facing", str(facing)),)
        return (
            Reason("facing-corner", self.costs.corner, facts)
            if facing % 2
            else Reason("facing-wall", 0, facts)
        )

    def _start(self, count: int) -> list[Reason]:
        """Return what makes it hard to start again on the next count."""
        found = []
        moves = vocabulary_moves()
        before = self.track.between(count - 1, count)
        if any(step.at.denominator != 1 and moves[step.move].weight == "yes" for step in before[-1:]):
            found.append(Reason("upbeat", self.costs.upbeat))
        first = self.track.between(count, count + 1)
        if not any(step.at == count and step.move != "hold" for step in first):
            found.append(Reason("silence", self.costs.silence, (("n", str(count + 1)),)))
        return found

    def why_piece(self, at: int, end: int) -> tuple[Reason, ...]:
        """Return what the size of a piece costs."""
        length, points = end - at, self.work(at, end).points
        apart = (points - self.target) / self.target
        # a light piece bores, a heavy one loses the class
        uneven = round((self.costs.too_hard if apart > 0 else self.costs.too_easy) * apart**2)
        return (
            Reason(
                "length",
                self.costs.each_piece + self.costs.each_count * abs(length - self.eight),
                (("n", str(length)),),
            ),
            Reason("work", uneven, (("points", str(points)), ("mean", str(round(self.target))))),
        )


def cut_part(
    part: Part,
    start: Foot,
    *,
    knows: ClassKnows | None = None,
    bpm: float = 110.0,
    beats_per_bar: int = 4,
    restarts: frozenset[int] = frozenset(),
    costs: CutCosts | None = None,
) -> Cutting:
    """Cut a part into pieces to learn.

    Args:
        part: the part; no piece if it has no counts.
        start: the foot the dance begins with.
        knows: what the class knows; by default nothing.
        bpm: counts a minute.
        beats_per_bar: 3 for a waltz, learned in sixes; else 4, learned in eights.
        restarts: counts after which a wall is cut: good places to stop.
        costs: what is minimised.
    """
    table = _Table(
        part,
        danced(part, start),
        spans_of(part),
        knows or ClassKnows(),
        bpm,
        beats_per_bar,
        restarts,
        costs or CutCosts(),
    )
    if table.counts == 0:
        return Cutting(())
    at_cut = {count: table.why_cut(count) for count in range(1, table.counts + 1)}
    best = _cheapest(table, at_cut)
    sections = sorted({0, table.counts, *(int(section.at) for section in part.sections)})
    own = [_cut(table, at_cut, at, end) for at, end in pairwise(sections)]
    least = min(LEAST_COUNTS, table.counts)
    fits = all(least <= end - at <= MOST_COUNTS for at, end in pairwise(sections))
    return Cutting(best, sum(one.cost for one in own) if fits else None)


def _cut(table: _Table, at_cut: dict[int, tuple[Reason, ...]], at: int, end: int) -> Cut:
    return Cut(at, end, table.work(at, end), (*at_cut[end], *table.why_piece(at, end)))


def _cheapest(table: _Table, at_cut: dict[int, tuple[Reason, ...]]) -> tuple[Cut, ...]:
    """Return the cheapest cuts; of equal ones the one whose last piece begins first."""
    total = table.counts
    least = min(LEAST_COUNTS, total)
    ends = {count: sum(reason.cost for reason in why) for count, why in at_cut.items()}
    costs: list[int | None] = [0] + [None] * total
    before = [0] * (total + 1)
    for end in range(least, total + 1):
        for at in range(max(0, end - MOST_COUNTS), end - least + 1):
            so_far = costs[at]
            if so_far is None:
                continue
            cost = so_far + ends[end] + sum(reason.cost for reason in table.why_piece(at, end))
            known = costs[end]
            if known is None or cost < known:
                costs[end], before[end] = cost, at
    found: list[Cut] = []
    end = total
    while end > 0:
        found.append(_cut(table, at_cut, before[end], end))
        end = before[end]
    return tuple(reversed(found))
