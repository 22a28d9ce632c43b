"""Write the counted lines of a section: group the acts, count them, word them, prove each line."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from noonwall.dance.model import Foot, Step
from noonwall.text.write_names import Piece, pieces_of
from noonwall.text.write_proof import Proof, proof_of
from noonwall.text.write_steps import Scene, wordings
from noonwall.text.write_words import Wording, wording_of

LETTERS = {Fraction(1, 4): "e", Fraction(1, 2): "&", Fraction(3, 4): "a"}
LABEL_WIDTH = 8
MOST_TRIES = 24
MOST_TOGETHER = 4
"""Acts that a line of two joined groups may hold: a jazz box is read at a glance, two basics are not."""


@dataclass(frozen=True, slots=True)
class WrittenLine:
    """One counted line; ``turns`` is True if the dancer turns in it, ``turn`` its net turn in eighths."""

    label: str
    text: str
    turns: bool
    turn: int

    def written(self, clock: str, wording: Wording) -> str:
        """Return the line as printed, with the facing ``clock`` unless that is empty."""
        text = self.text[:1].upper() + self.text[1:]
        line = f"{self.label:<{LABEL_WIDTH - 1}} {text}"
        return wording.one("lines", "facing").format(line=line, clock=clock) if clock else line


@dataclass(frozen=True, slots=True)
class _Group:
    """The acts of one line, from whole count ``first`` to ``end`` (exclusive), counts from the section."""

    steps: tuple[Step, ...]
    first: int
    end: int

    @property
    def ticks(self) -> list[Fraction]:
        """Every count of the label: where something happens, and whole counts that an act is held over."""
        ticks = {step.at for step in self.steps}
        begin = min(ticks, default=Fraction(self.first))
        return sorted(ticks | {Fraction(n) for n in range(self.first, self.end) if n > begin})

    def held(self, at: Fraction) -> int:
        """How many counts of the label an act at ``at`` fills: itself and the empty counts after it."""
        taken = {step.at for step in self.steps}
        later = [tick for tick in taken if tick > at]
        until = min(later) if later else Fraction(self.end)
        return 1 + sum(at < tick < until and tick not in taken for tick in self.ticks)


def write_lines(
    steps: tuple[Step, ...],
    counts: int,
    meter: int,
    free: Foot,
    following: Foot | None,
    language: str,
    shift: int = 0,
) -> list[WrittenLine]:
    """Return the counted lines of one section.

    Args:
        steps: its acts, counted from the start of the section (a pick-up lies before 0).
        counts: its length in whole counts.
        meter: 3 for a waltz, else 4; lines are grouped by it.
        free: the foot free at its start.
        following: the foot that steps first after it, or None.
        language: "en", "fr" or "fr-CA".
        shift: added to the numbers of the labels.
    """
    wording = wording_of(language)
    out: list[WrittenLine] = []
    groups = _groups(steps, counts, meter)
    for number, group in enumerate(groups):
        rest = tuple(step for later in groups[number + 1 :] for step in later.steps)
        out += _prove(group, free, _next_foot(rest, following), shift, wording)[0]
        free = free_after(group.steps, free)
    return out


def free_after(steps: tuple[Step, ...], free: Foot) -> Foot:
    """Return the foot that is free after ``steps``; while both feet carry weight the last one is kept."""
    for step in steps:
        if step.takes_weight and step.foot in (Foot.LEFT, Foot.RIGHT):
            free = step.foot.other
    return free


def first_foot(steps: tuple[Step, ...]) -> Foot | None:
    """Return the first foot named in ``steps``, None if none is."""
    return next((step.foot for step in steps if step.foot in (Foot.LEFT, Foot.RIGHT)), None)


def _next_foot(steps: tuple[Step, ...], following: Foot | None) -> Foot | None:
    return first_foot(steps) or following


def label_of(ticks: list[Fraction], shift: int = 0) -> str:
    """Return counts as authors label them: "1-2", "3&4", "5-6&", "&1-2", "1e&a2"."""
    numbers = [int(tick) + 1 + shift for tick in ticks if tick.denominator == 1]
    if len(numbers) == len(ticks) > 1:
        return f"{numbers[0]}-{numbers[-1]}"
    label = ""
    for tick in ticks:
        if tick.denominator == 1:
            label += ("-" if label[-1:].isdigit() else "") + str(int(tick) + 1 + shift)
        else:
            label += LETTERS.get(tick - (tick // 1), "&")
    return label


def _groups(steps: tuple[Step, ...], counts: int, meter: int) -> list[_Group]:
    """Cut a section into lines of two to four counts (three to six in a waltz), no figure cut in two."""
    size = 3 if meter == 3 else 2
    if not any(step.at == 0 for step in steps):
        early = tuple(step for step in steps if step.at < 0)
        steps = (*early, Step(Fraction(0), "hold", None, False), *steps[len(early) :])
    cells = [
        _Group(
            tuple(s for s in steps if begin <= s.at < begin + size or (begin == 0 and s.at < 0)),
            begin,
            min(begin + size, counts),
        )
        for begin in range(0, counts, size)
    ]
    spans = _spans(steps)
    out: list[_Group] = []
    for cell in cells:
        starts = any(step.at == cell.first for step in cell.steps)
        crossing = any(begin == cell.first - size and cell.first < end for begin, end in spans)
        if out and (not starts or (crossing and _may_join(out[-1], cell, size))):
            last = out.pop()
            out.append(_Group(last.steps + cell.steps, last.first, cell.end))
        else:
            out.append(cell)
    return out


def _may_join(before: _Group, after: _Group, size: int) -> bool:
    """True if two cells are the halves of a four (a six in a waltz) and short enough for one line."""
    halves = after.first % (2 * size) == size and before.first == after.first - size
    return halves and len(before.steps) + len(after.steps) <= MOST_TOGETHER


def _spans(steps: tuple[Step, ...]) -> list[tuple[Fraction, Fraction]]:
    """Where the named figures of more than one count begin and end."""
    return [
        (piece.steps[0].at, piece.steps[-1].at + Fraction(1, 8))
        for piece in pieces_of(steps)
        if piece.figure and piece.steps[-1].at - piece.steps[0].at >= 1
    ]


def _prove(
    group: _Group, free: Foot, following: Foot | None, shift: int, wording: Wording
) -> tuple[list[WrittenLine], Proof]:
    """Return the group as one line that reads back as it, or as several where those are surer."""
    label = label_of(group.ticks, shift)
    base = group.ticks[0] // 1
    meant = tuple(replace(step, at=step.at - base) for step in group.steps)
    key = _Group(meant, group.first - int(base), group.end - int(base))
    text, proof = _worded(key, label, free, following, wording.tag)
    halves = _halves(group) if proof is not Proof.CERTAIN else None
    if halves:
        before, after = halves
        middle = _next_foot(after.steps, following)
        first, sure = _prove(before, free, middle, shift, wording)
        second, also = _prove(after, free_after(before.steps, free), following, shift, wording)
        together = min(sure, also, key=lambda one: one.value)
        if together.value > proof.value or proof is Proof.NONE:
            return first + second, together
    turn = sum(step.turn for step in group.steps)
    return [WrittenLine(label, text, any(step.turn for step in group.steps), turn)], proof


def _halves(group: _Group) -> tuple[_Group, _Group] | None:
    """Cut a group before the whole count nearest its middle on which something happens."""
    cuts = [n for n in range(group.first + 1, group.end) if any(step.at == n for step in group.steps)]
    if not cuts:
        return None
    cut = min(cuts, key=lambda n: abs(2 * n - group.first - group.end))
    before = tuple(step for step in group.steps if step.at < cut)
    return _Group(before, group.first, cut), _Group(group.steps[len(before) :], cut, group.end)


@lru_cache(maxsize=8192)
def _worded(
    group: _Group, label: str, free: Foot, following: Foot | None, language: str
) -> tuple[str, Proof]:
    """Return the text of a line and how surely the reader reads it as the group's steps."""
    wording = wording_of(language)
    first, near = "", ""
    for tried, text in enumerate(_texts(group, label, free, following, wording)):
        first = first or text
        proof = proof_of(text, label, wording.language, group.steps, free, following)
        if proof is Proof.CERTAIN:
            return text, proof
        if proof is Proof.IN_CONTEXT:
            near = near or text
        if tried >= MOST_TRIES:
            break
    return (near, Proof.IN_CONTEXT) if near else (first, Proof.NONE)


def _texts(group: _Group, label: str, free: Foot, following: Foot | None, wording: Wording) -> Iterator[str]:
    """Yield texts of a line: plain; another join or wording of one act; a figure by its name; with counts."""
    offers: list[tuple[str, ...]] = []
    for number, step in enumerate(group.steps):
        later = _next_foot(group.steps[number + 1 :], following)
        offers.append(wordings(step, Scene(free, later, group.held(step.at)), wording.tag))
        free = free_after((step,), free)
    joins = wording.all("lines", "same_count")
    plain = [offer[0] for offer in offers]
    yield _joined(group.steps, plain, joins[0], wording)
    if len({step.at for step in group.steps}) < len(group.steps):
        yield _joined(group.steps, plain, joins[1], wording)
    for number, offer in enumerate(offers):
        for other in offer[1:3]:
            yield _joined(group.steps, [*plain[:number], other, *plain[number + 1 :]], joins[0], wording)
    yield from _named(group.steps, plain, joins[0], wording)
    if len(plain) > 1:
        yield _counted_inline(group.steps, plain, label, wording)


def _joined(steps: tuple[Step, ...], phrases: list[str], same_count: str, wording: Wording) -> str:
    text = ""
    before: Step | None = None
    for step, phrase in zip(steps, phrases, strict=True):
        if not phrase:
            continue
        if before is None:
            text = phrase
        else:
            pattern = same_count if step.at == before.at else wording.one("lines", "then")
            text = pattern.format(before=text, after=phrase)
        before = step
    return text


def _counted_inline(steps: tuple[Step, ...], plain: list[str], label: str, wording: Wording) -> str:
    """Return the acts each with its count behind it: two acts of one count then say so."""
    first = int(re.sub(r"\D.*", "", label.lstrip("&ea")) or 1)
    inline = wording.one("lines", "inline")
    told = [
        inline.format(phrase=phrase, count=label_of([step.at], first - 1))
        for phrase, step in zip(plain, steps, strict=True)
    ]
    return ", ".join(told)


def clause(steps: tuple[Step, ...], free: Foot, begin: int, wording: Wording) -> str:
    """Return steps as one clause; each says its count in brackets where they do not fall one a count.

    Args:
        steps: the acts, counted from the clause's start.
        free: the foot free before them.
        begin: counts of the part before the clause.
        wording: the language.
    """
    told = []
    plain = [step.at for step in steps] == [Fraction(n) for n in range(len(steps))]
    for number, step in enumerate(steps):
        phrase = wordings(step, Scene(free, _next_foot(steps[number + 1 :], None)), wording.tag)[0]
        free = free_after((step,), free)
        count = label_of([step.at], begin)
        inline = wording.one("lines", "inline").format(phrase=phrase, count=count)
        told.append(phrase if plain else inline)
    return ", ".join(told)


def _named(steps: tuple[Step, ...], plain: list[str], same_count: str, wording: Wording) -> Iterator[str]:
    """Yield texts in which every figure, or one of them, is called by its name."""
    pieces = pieces_of(steps)
    figures = [piece for piece in pieces if piece.figure]
    for chosen in [[piece] for piece in figures] + ([figures] if len(figures) > 1 else []):
        longest = max(len(_names(piece, wording)) for piece in chosen)
        for choice in range(longest):
            phrases: list[str] = []
            for piece in pieces:
                if piece in chosen:
                    names = _names(piece, wording)
                    phrases += [names[min(choice, len(names) - 1)], *[""] * (len(piece.steps) - 1)]
                else:
                    begin = len(phrases)
                    phrases += plain[begin : begin + len(piece.steps)]
            yield _joined(steps, phrases, same_count, wording)


def _names(piece: Piece, wording: Wording) -> list[str]:
    """Return how a figure is called in a line."""
    assert piece.lead is not None
    side = wording.one("sides", piece.lead.value)
    other = wording.foot(piece.lead.other)
    place = wording.one("places", piece.place).format(side=side, other=other) if piece.place else ""
    eighths = str(abs(piece.turn))
    turning = bool(piece.turn) and eighths in wording.tables["fractions"]
    turn = wording.one("sides", "R" if piece.turn > 0 else "L")
    out: dict[str, None] = {}
    for pattern in wording.all("named", "turned" if turning else "plain"):
        text = pattern.format(
            name=wording.figures[piece.figure],
            foot=wording.foot(piece.lead),
            place=place,
            turn=turn,
            fraction=wording.one("fractions", eighths) if turning else "",
            amount=wording.one("amounts", eighths).format(turn=turn) if turning else "",
        )
        out.setdefault(" ".join(text.split()))
    return list(out)
