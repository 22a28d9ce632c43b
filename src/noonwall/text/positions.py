"""Give every counted line its place in its section, from labels that run on, start again or go astray."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from noonwall.dance.quarters import PER_COUNT, all_quarters, count_at
from noonwall.text.document import Counted, RawSection
from noonwall.text.labels import Label

HALF = Fraction(1, 2)


@dataclass(frozen=True, slots=True)
class Positioned:
    """A counted line: ticks from the start of its section, and the trouble its label makes, if any."""

    line: Counted
    ticks: tuple[Fraction, ...]
    trouble: str = ""
    expected: int = 0
    base: int = 1


@dataclass(frozen=True, slots=True)
class Extent:
    """All lines of a section with their places, and its length in counts as written."""

    lines: tuple[Positioned, ...]
    counts: Fraction
    base: int


def place_lines(section: RawSection, before: Fraction, begun: bool = False) -> Extent:
    """Place the lines of a section.

    Args:
        section: the section.
        before: counts of the part before it; labels may run on from there.
        begun: its count 1 was already danced by the last line of the section before ("8&1").
    """
    labelled = [line for line in section.lines if line.label is not None]
    if not labelled:
        return Extent(tuple(Positioned(line, ()) for line in section.lines), Fraction(0), 1)
    base = _base(section, int(before))
    out: list[Positioned] = []
    if begun and base > 1 and (base == 2 or base == int(before) + 2):
        base -= 1
    first_label = next(line.label for line in section.lines if line.label is not None)
    reached = base if begun and first_label.first == base + 1 else base - 1  # last whole count so far
    due = 0 if section.span or begun or not before else int(before) + 1
    for number, line in enumerate(section.lines):
        label = line.label
        if label is None:
            out.append(Positioned(line, (), base=base))
            continue
        quarters = all_quarters(label.ticks)
        if len(quarters) == 1 and quarters[0] < PER_COUNT:
            at = count_at((reached - base) * PER_COUNT + quarters[0])
            out.append(Positioned(line, (at,), base=base))
            continue
        first, shift, trouble, early = label.first, 0, "", 0
        expected = reached + 1
        if first != expected:
            halved = _halved(label, expected)
            if halved is not None:
                out.append(Positioned(line, tuple(t - base for t in halved), "counts.label", expected, base))
                reached = int(halved[-1])
                continue
            shift, trouble, early = _out_of_order(section, number, expected, base, out)
        if not out and due and due < first == base and not trouble:
            trouble, expected = "counts.gap", due  # labels run on over the sections, and some are missing
        moved, first_kept = (shift - base) * PER_COUNT, early * PER_COUNT
        ticks = tuple([count_at(t + moved) for t in quarters if t >= first_kept])
        out.append(Positioned(line, ticks, trouble, expected, base))
        reached = max(reached, label.last + shift)
    last = section.lines[-1].label
    overflow = 1 if last is not None and last.wraps else 0
    return Extent(tuple(out), Fraction(reached - base + 1 - overflow), base)


def _out_of_order(
    section: RawSection, number: int, expected: int, base: int, out: list[Positioned]
) -> tuple[int, str, int]:
    """What to do with a label that does not begin with the count that is due.

    Returns what is added to its counts, the trouble to report, and the count before which it is not danced.
    A line before that runs into this one is shortened in ``out``.
    """
    label = section.lines[number].label
    assert label is not None
    first, reached = label.first, expected - 1
    if out and first == 1 and reached - base + 1 in _whole_eights(section):
        return reached, "", 0  # counting starts again inside one section
    if out and _too_long(out[-1], label, base) and _ends_right(section, number):
        held = out[-1]
        kept = tuple(t for t in held.ticks if t < first - base)
        out[-1] = Positioned(held.line, kept, "counts.label", held.expected, base)
        return 0, "", 0
    if _typo(section, number, expected, base):
        return expected - first, "counts.label", 0
    if out and first < expected <= label.last and _ends_right(section, number):
        return 0, "counts.label", expected
    if first < expected and out:
        return expected - first, "counts.overlap", 0
    return 0, "counts.gap" if first > expected else "", 0


def _whole_eights(section: RawSection) -> tuple[int, ...]:
    """How many counts may have passed when a section counts from 1 again: an eight, or a six in a waltz."""
    labels = [line.label for line in section.lines if line.label is not None]
    threes = all(label.last - label.first in (2, 5) for label in labels)
    return (6, 12) if threes else (8, 16)


def _halved(label: Label, expected: int) -> tuple[Fraction, ...] | None:
    """ "5&8" joins two counts that are not neighbours: return the pair that fits, "7&8" or "5&6"."""
    if len(label.ticks) != 3 or label.ticks[1] != label.first + HALF or label.last - label.first < 2:
        return None
    first = label.last - 1 if label.last - 1 == expected else label.first
    return (Fraction(first), first + HALF, Fraction(first + 1))


def _too_long(before: Positioned, label: Label, base: int) -> bool:
    """True if the label before runs into this one and only has to end sooner ("1-2", "3-6", "5-6")."""
    if before.trouble or len(before.ticks) < 2 or (label.last - label.first) % 2 == 0:
        return False
    return before.ticks[0] < label.first - base <= before.ticks[-1]


def _next_label(section: RawSection, number: int) -> Label | None:
    later = (line.label for line in section.lines[number + 1 :])
    return next((label for label in later if label and label.first >= 1), None)


def _typo(section: RawSection, number: int, expected: int, base: int) -> bool:
    """True if a label is only misprinted: its length fits between the line before and the line after."""
    label = section.lines[number].label
    assert label is not None
    after = _next_label(section, number)
    ends = expected + label.last - label.first
    if after is not None:
        return after.first == ends + 1
    return section.span is not None and ends - base == section.span[1] - section.span[0]


def _ends_right(section: RawSection, number: int) -> bool:
    """True if the next line's label carries on from this one's last count."""
    label = section.lines[number].label
    after = _next_label(section, number)
    return label is not None and after is not None and after.first == label.last + 1


def _base(section: RawSection, before: int) -> int:
    """Return the label number of the section's first count."""
    labels = [line.label for line in section.lines if line.label is not None]
    first = next((label.first for label in labels if label.ticks[0] >= 1 or len(label.ticks) > 1), 1)
    if section.span and section.span[0] == first:
        return first
    if first == before + 1 or first == 1:
        return first
    if section.span and section.span[0] <= first <= section.span[1]:
        return section.span[0]
    if len(labels) > 1 and before and labels[1].first == before + 2 + labels[0].last - labels[0].first:
        return before + 1  # the first label is misprinted, the second one runs on
    if abs(first - (before + 1)) <= 2 and before:
        return before + 1
    if first <= 8:
        return 1
    return first
