"""Read a whole sheet: text in, :class:`Reading` out."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction

from noonwall.dance.claims import Claims, HeadingClaim, NotUnderstood, RestartClaim, StepTrouble
from noonwall.dance.model import Dance, Foot, Part, Section
from noonwall.dance.turns import normal
from noonwall.findings import Place
from noonwall.text.builder import Gathered, LinePlan, SectionPlan, build_part, plan_block, resolve_block
from noonwall.text.document import Block, Document, clean
from noonwall.text.drafts import read_drafts
from noonwall.text.header import Header, read_header
from noonwall.text.labels import read_label
from noonwall.text.lexicon import Lexicon, language_of, lexicon_of
from noonwall.text.options import read_options
from noonwall.text.reading import LineAccount, Reading
from noonwall.text.sorter import sort_lines
from noonwall.text.steps import read_heading
from noonwall.text.walls import WallFacts, wall_facts

SIDE_IN_THE_NAME = frozenset({"monterey-turn", "rolling-vine", "figure-of-eight-vine"})
"""Figures that always turn to the side of their leading foot."""

_WORD = re.compile(r"[^\W\d_]+")
_FOOT = {"R": Foot.RIGHT, "L": Foot.LEFT}


def read_sheet(text: str, language: str | None = None) -> Reading:
    """Read a step sheet.

    Args:
        text: the sheet as it reached the teacher.
        language: "en" or "fr"; by default the language is told by the words.

    Returns:
        the dance, the claims of the text and an account of every line. The dance is None if the text
        holds no steps.
    """
    cleaned = clean(text)
    told = language or language_of(_WORD.findall(cleaned))
    lexicon = lexicon_of(told)
    document = sort_lines(text, told, lexicon)
    comments = [(n.number, n.text) for n in document.notes if n.kind == "comment"]
    header = read_header(document.header, comments)
    reader = _SheetReader(document, header, lexicon)
    dance = reader.read()
    return Reading(dance, reader.claims(), told, tuple(document.lines), _account(document))


class _SheetReader:
    """Builds the dance of one document, part by part."""

    def __init__(self, document: Document, header: Header, lexicon: Lexicon) -> None:
        self.document = document
        self.header = header
        self.lexicon = lexicon
        self.gathered = Gathered()
        self.parts: list[Part] = []
        self.line_ends: dict[int, tuple[str, Fraction]] = {}
        self.start_free = Foot.RIGHT
        self.lines: dict[str, list[LinePlan]] = {}
        self.meter = 3 if header.is_waltz else 4
        self.headings: list[HeadingClaim] = []
        self.facts = WallFacts()

    def read(self) -> Dance | None:
        """Return the dance, or None if nothing is danced."""
        mains = [b for b in self.document.blocks if b.kind in ("main", "part") and b.has_lines]
        mains += [b for b in self.document.blocks if b.kind == "main" and not b.has_lines and b.sections]
        if not mains:
            return None
        self.gathered.and_is_and = _and_is_and(mains, self.lexicon)
        phrased = sum(b.kind == "part" for b in mains) > 1
        if phrased:
            mains = [b for b in mains if b.kind == "part"]
        mains = _joined(mains)
        self.guess_meter(mains)
        for number, block in enumerate(mains):
            self.add_main(block, "part" if phrased else "main", number)
        if not self.parts:
            return None
        dance = self.dance(phrased)
        for block in self.document.blocks:
            if block.kind in ("tag", "bridge", "ending") and block.has_lines:
                self.add_extra(block)
        options = read_options(self.lines, self.parts, self.document.notes, self.document.language)
        dance = replace(dance, parts=tuple(self.parts), options=options)
        self.facts = wall_facts(self.document, dance, self.line_ends, self.lexicon)
        return self.facts.apply(dance)

    def guess_meter(self, mains: list[Block]) -> None:
        """Sections that all close on 6, 12 or 3 are a waltz even if no word says so."""
        if self.meter == 3:
            return
        lasts = [
            line.label.last - (section.lines[0].label.first if section.lines[0].label else 1) + 1
            for block in mains
            for section in block.sections
            for line in section.lines[-1:]
            if line.label
        ]
        threes = sum(last % 8 != 0 and last % 6 == 0 for last in lasts)
        triple_labels = sum(
            len(line.label.ticks) in (3, 6) and all(t.denominator == 1 for t in line.label.ticks)
            for block in mains
            for section in block.sections
            for line in section.lines
            if line.label
        )
        labelled = [
            line.label
            for block in mains
            for section in block.sections
            for line in section.lines
            if line.label
        ]
        if labelled and triple_labels >= 0.6 * len(labelled):
            self.meter = 3
            return
        if not lasts or threes < 0.75 * len(lasts):
            return
        all_short = len(lasts) > 1 and all(last in (6, 12) for last in lasts)
        if triple_labels >= len(lasts) or all_short:
            self.meter = 3

    def add_main(self, block: Block, kind: str, number: int) -> None:
        """Read, resolve and build one danced block."""
        plans = plan_block(block, self.document.language, self.meter, self.gathered)
        if not plans:
            return
        self.extend_sections(plans)
        stated = _FOOT.get(self.header.start_free)
        walls = self.header.walls if kind == "main" else None
        facings: tuple[int, ...] = (0,)
        if kind == "part" and number:
            facings = (0, *range(1, 8))
        told = resolve_block(plans, stated if number == 0 else None, walls, facings)
        if number == 0:
            self.start_free = told.start_free
        place = Place(block.number or plans[0].raw.number)
        label = block.label or "main"
        part = build_part(plans, told, kind, label, place, self.gathered)
        self.parts.append(part)
        self.remember_lines(plans, label)
        self.lines[label] = [line for plan in plans for line in plan.plans]
        self.claim_unsided(plans, label)
        self.claim_headings(plans, label)

    def extend_sections(self, plans: list[SectionPlan]) -> None:
        """Take the counts a section was meant to have: its own heading, or eight like the others."""
        eight = 6 if self.meter == 3 else 8
        at = Fraction(0)
        for plan in plans:
            span = plan.raw.span
            length = plan.written
            if span and length < span[1] - span[0] + 1 <= length + 3:
                length = Fraction(span[1] - span[0] + 1)
            plan.counts = length
        total = sum((p.counts for p in plans), Fraction(0))
        stated = self.header.counts
        if stated and total < stated <= total + 4:
            short = [p for p in plans if p.counts % eight and p.counts % 4]
            if len(short) == 1 and total + (-short[0].counts) % eight == stated:
                short[0].counts += (-short[0].counts) % eight
        for plan in plans:
            shift = at - plan.at
            if shift:
                for line in plan.plans:
                    line.origin += shift
                plan.at = at
            at += plan.counts

    def remember_lines(self, plans: list[SectionPlan], label: str) -> None:
        """Keep after which count each line ends, for notes that say "here"."""
        for plan in plans:
            for line in plan.plans:
                ticks = line.position.ticks
                length = Fraction(int(ticks[-1] // 1) - int(ticks[0] // 1) + 1) if ticks else plan.counts
                self.line_ends[line.counted.number] = (label, line.origin + length)
            self.line_ends.setdefault(plan.raw.number, (label, plan.at))

    def claim_unsided(self, plans: list[SectionPlan], label: str) -> None:
        """Keep turns that name no side, though the feet may imply one: wording.md counts them as mistakes."""
        told = {claim.place.line for claim in self.gathered.open_turns}
        lines = [(line, draft) for plan in plans for line in plan.plans if not line.repeats
                 for draft in line.read.line.drafts if not draft.named]  # fmt: skip
        for line, draft in lines:
            sided = draft.turn_side or draft.amount % 8 == 0 or draft.verb in SIDE_IN_THE_NAME
            number, column = line.counted.place(draft.start)
            if sided or number in told:
                continue
            text = line.counted.text[draft.start : draft.end].strip()
            place = Place(number, column, column + draft.end - draft.start)
            self.gathered.open_turns.append(StepTrouble("turn.no-side", label, line.origin, place, text))

    def claim_headings(self, plans: list[SectionPlan], label: str) -> None:
        """Keep what headings say, for the check that holds them against their sections."""
        for number, plan in enumerate(plans):
            raw = plan.raw
            if not raw.heading or not raw.lines or raw.lines[0].text == raw.heading:
                continue
            drafts = read_heading(raw.heading, self.document.language)
            figures = tuple(d.verb for d in drafts if d.is_figure for _ in range(d.times))
            moves = tuple(d.verb for d in drafts if d.verb and not d.is_figure)
            turns = tuple((d.amount, d.turn_side) for d in drafts if d.amount for _ in range(d.times))
            place = Place(raw.number, raw.column, raw.column + len(raw.heading))
            self.headings.append(HeadingClaim(label, number, place, raw.heading, figures, turns, moves))

    def add_extra(self, block: Block) -> None:
        """Read a tag or ending, danced from where its wall leaves the dancer."""
        plans = plan_block(block, self.document.language, self.meter, self.gathered)
        if not plans:
            return
        facings = tuple(range(8))
        main = self.parts[0]
        net = main.turn
        order = [normal(net * k) for k in (2, 1, 3, 4)] + list(facings)
        free = self._free_after()
        told = resolve_block(plans, free, None, tuple(dict.fromkeys(order)))
        part = build_part(plans, told, block.kind, block.label, Place(block.number), self.gathered)
        self.parts.append(part)

    def _free_after(self) -> Foot | None:
        """The foot that is free at the end of the first part, from its last weighted step."""
        for step in reversed(self.parts[0].steps):
            if step.takes_weight and step.foot is not None:
                return None if step.foot is Foot.BOTH else step.foot.other
        return self.start_free

    def dance(self, phrased: bool) -> Dance:
        """Return the dance without its wall notes."""
        header = self.header
        return Dance(
            title=header.title,
            parts=tuple(self.parts),
            sequence=(self.parts[0].label,) if not phrased else (),
            beats_per_bar=self.meter,
            language=self.document.language,
            choreographer=header.choreographer,
            date=header.date,
            level=header.level,
            stated_counts=header.counts,
            stated_walls=header.walls,
            music=header.music,
            bpm=header.bpm,
            intro_counts=header.intro,
            start_free_foot=self.start_free,
        )

    def claims(self) -> Claims:
        """Return all claims gathered."""
        gathered = self.gathered
        return Claims(
            facings=tuple(gathered.facings),
            steps=tuple(gathered.steps),
            counts=tuple(gathered.counts),
            headings=tuple(self.headings),
            restarts=tuple(self.restart_claims()),
            choices=tuple(gathered.choices),
            not_understood=tuple(self.unknown()),
            spelling=tuple(gathered.spelling),
            header_lines=dict(self.header.lines),
            open_turns=tuple(gathered.open_turns),
        )

    def restart_claims(self) -> list[RestartClaim]:
        """Every place where the text speaks of a restart or a tag."""
        return self.facts.claims

    def unknown(self) -> list[NotUnderstood]:
        """What is not understood, with the nearest names, in the order of the sheet.

        A line that bears counts but was taken for a remark is not understood either: it may be steps.
        """
        told = {gap.place.line for gap in self.gathered.unknown}
        counted = [
            NotUnderstood(Place(number, 1, len(line) + 1), line.strip())
            for number, line in _remarks(self.document)
            if number not in told and (label := read_label(line)) and label.is_range and not label.bracketed
        ]
        return sorted(self.gathered.unknown + counted, key=lambda gap: (gap.place.line, gap.place.column))


def _and_is_and(mains: list[Block], lexicon: Lexicon) -> bool:
    """True if "1 et 2" means counts 1 and 2: half counts are written otherwise, or two steps stand on it."""
    lines = [line for block in mains for section in block.sections for line in section.lines if line.label]
    worded = [line for line in lines if line.label and line.label.plain_ticks and len(line.label.ticks) == 3]
    if not worded:
        return False
    if any(line.label and re.search(r"[&+]", line.label.written) for line in lines):
        return True
    twos = sum(len(read_drafts(line.text, lexicon).drafts) == 2 for line in worded)
    return twos > len(worded) / 2


def _joined(mains: list[Block]) -> list[Block]:
    """Blocks of one label are one part: a sheet may return to the dance after a tag."""
    out: dict[str, Block] = {}
    for block in mains:
        if block.label in out:
            out[block.label].sections += block.sections
        else:
            out[block.label] = block
    return list(out.values())


def _remarks(document: Document) -> list[tuple[int, str]]:
    """Every line of every comment, and the lines a note runs on over, with their numbers."""
    return [
        (note.number + below, line)
        for note in document.notes
        for below, line in enumerate(note.text.split("\n"))
        if below or note.kind == "comment"
    ]


def _account(document: Document) -> tuple[LineAccount, ...]:
    kinds: dict[int, str] = {number: "header" for number, _ in document.header}
    for note in document.notes:
        for below in range(note.text.count("\n") + 1):
            kinds[note.number + below] = "comment" if note.kind == "comment" else "note"
    for block in document.blocks:
        if block.number:
            kinds.setdefault(block.number, "heading")
        for section in block.sections:
            if section.number:
                kinds.setdefault(section.number, "heading")
            for line in section.lines:
                kinds[line.number] = "counted"
                for _, number, _ in line.joins:
                    kinds[number] = "counted"
    worded = {n: "comment" for n, line in enumerate(document.lines, 1) if _WORD.search(line)}
    return tuple(
        LineAccount(n, kinds.get(n) or worded.get(n, "blank")) for n in range(1, len(document.lines) + 1)
    )


__all__ = ["Section", "read_sheet"]
