"""Write the canonical step sheet of a dance, in English or French, so that it reads back as the same dance.

Every counted line is proven as it is written: the reader must make of it the very acts it was written
for, else another wording is taken, or the line is cut in two.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from noonwall.dance.model import Dance, Foot, Part, Section, Step
from noonwall.dance.turns import clock
from noonwall.text.write_facings import entering_foot, start_facings
from noonwall.text.write_header import write_header
from noonwall.text.write_lines import WrittenLine, first_foot, free_after, write_lines
from noonwall.text.write_names import heading_of, pieces_of
from noonwall.text.write_notes import (
    ending_heading,
    option_line,
    restart_groups,
    restart_line,
    sequence_line,
    tag_headings,
    turned_finish,
)
from noonwall.text.write_words import Wording, wording_of

SHORTEST_HEADED = 4
"""Sections of fewer counts cannot be headed by their counts alone: "[33-34]" would read as a label."""


def write_sheet(dance: Dance, language: str) -> str:
    """Return the canonical step sheet of ``dance``.

    Args:
        dance: the dance.
        language: "en", "fr" (the vocabulary of France) or "fr-CA" (that of Québec).

    Raises:
        ValueError: the language is not one noonwall writes, or a step turns further than has a name.
    """
    return _Sheet(dance, wording_of(language)).text()


class _Sheet:
    """One sheet on its way to paper."""

    def __init__(self, dance: Dance, wording: Wording) -> None:
        self.dance = dance
        self.wording = wording
        self.facings = start_facings(dance)
        self.lines: list[str] = []

    def text(self) -> str:
        """Return the whole sheet."""
        self.lines += write_header(self.dance, self.wording)
        sequence = sequence_line(self.dance, self.wording)
        if sequence:
            self.lines.append(sequence)
        for part in self.dance.parts:
            if part.kind in ("main", "part"):
                self.main(part)
        self.options()
        self.restarts()
        self.tags()
        self.ending()
        return "\n".join(self.lines).strip() + "\n"

    def main(self, part: Part) -> None:
        """Write a part with a heading for each section."""
        if part.kind == "part":
            counts = int(part.counts)
            self.lines += ["", self.wording.one("notes", "part").format(label=part.label, counts=counts)]
        free = entering_foot(part, self.dance.start_free_foot)
        facing = self.facings.get(part.label, 0)
        for number, section in enumerate(part.sections, 1):
            self.lines += ["", self.heading(section, number)]
            steps = _from_section(section)
            following = first_foot(tuple(s for later in part.sections[number:] for s in later.steps))
            written = self.counted(steps, int(section.counts), free, following)
            self.lines += self.with_facings(written, facing)
            facing += sum(step.turn for step in steps)
            free = free_after(steps, free)

    def heading(self, section: Section, number: int) -> str:
        """Return a section's heading: its counts and the figures in it."""
        first, last = int(section.at) + 1, int(section.at + section.counts)
        key = "section" if section.counts >= SHORTEST_HEADED else "short"
        names = heading_of(pieces_of(section.steps), self.wording)
        return self.wording.one("heading", key).format(first=first, last=last, names=names, number=number)

    def counted(
        self, steps: tuple[Step, ...], counts: int, free: Foot, following: Foot | None, shift: int = 0
    ) -> list[WrittenLine]:
        """Return the counted lines of a stretch."""
        return write_lines(steps, counts, self.dance.beats_per_bar, free, following, self.wording.tag, shift)

    def with_facings(self, written: list[WrittenLine], facing: int) -> list[str]:
        """Print lines with the facing wherever the dancer turns, and at the end."""
        out = []
        for number, line in enumerate(written):
            facing += line.turn
            shown = line.turns or number == len(written) - 1
            out.append(line.written(clock(facing) if shown else "", self.wording))
        return out

    def extra(self, part: Part) -> None:
        """Write the lines of a tag or an ending, counted through from 1.

        A tag may be danced on several walls, so its lines state no facing: only its heading may.
        """
        free = entering_foot(part, self.free_at_end())
        for number, section in enumerate(part.sections):
            steps = _from_section(section)
            following = first_foot(tuple(s for later in part.sections[number + 1 :] for s in later.steps))
            written = self.counted(steps, int(section.counts), free, following, int(section.at))
            self.lines += [line.written("", self.wording) for line in written]
            free = free_after(steps, free)

    def free_at_end(self) -> Foot:
        """Return the foot that is free after the first part."""
        return free_after(self.dance.main.steps, self.dance.start_free_foot)

    def options(self) -> None:
        """Write other ways to dance some counts."""
        if self.dance.options:
            self.lines.append("")
        for option in self.dance.options:
            self.lines.append(option_line(option, self.dance, self.wording))

    def restarts(self) -> None:
        """Write the restarts, those after one count together, each with its step change.

        Each stands alone: lines that follow one another would be read as one remark.
        """
        for group in restart_groups(self.dance.restarts):
            self.lines += ["", restart_line(group, self.dance, self.wording)]

    def tags(self) -> None:
        """Write every tag where it is danced, and its steps."""
        more: list[str] = []
        number = 0
        for part in self.dance.parts:
            if part.kind not in ("tag", "bridge"):
                continue
            number += 1
            heading, others = tag_headings(part, number, self.dance, self.wording)
            self.lines += ["", heading]
            self.extra(part)
            more += others
        if more:
            self.lines += ["", *more]

    def ending(self) -> None:
        """Write the finish last, where nothing can be taken for its steps."""
        endings = [part for part in self.dance.parts if part.kind == "ending"]
        if not endings and self.dance.ending is None:
            return
        self.lines += ["", ending_heading(self.dance, self.wording)]
        for part in endings if turned_finish(self.dance) is None else ():
            self.extra(part)


def _from_section(section: Section) -> tuple[Step, ...]:
    """Return a section's steps counted from its own start; a side that the foot itself says is left out."""
    shift: Fraction = section.at
    return tuple(replace(step, at=step.at - shift, side=_side(step)) for step in section.steps)


def _side(step: Step) -> str:
    return "" if step.foot is not None and step.side == step.foot.value else step.side
