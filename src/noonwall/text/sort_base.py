"""What every part of the line sorter shares: the place reached, and questions about lines."""

from __future__ import annotations

import re

from noonwall.text.document import Block, Counted, Document, Note, RawSection
from noonwall.text.labels import Label, bracketed_label, read_label, trailing_label
from noonwall.text.lexicon import Lexicon
from noonwall.text.patterns import (
    MARKED,
    MARKER,
    PART,
    REPEATS,
    SEQUENCE,
    TAG,
    dance_words,
    starts_with_steps,
)


class SorterBase:
    """The state of one pass through the lines of a sheet."""

    def __init__(self, document: Document, lexicon: Lexicon) -> None:
        self.document = document
        self.lexicon = lexicon
        self.labels = [read_label(line) for line in document.lines]
        self.started = False
        self.block: Block | None = None
        self.section: RawSection | None = None
        self.last_counted: Counted | None = None
        self.bodies: dict[int, str] = {}
        self.has_labels = sum(label is not None for label in self.labels) >= 2
        self.read_odd_labels()
        self.pending: list[tuple[int, str]] = []

    def read_odd_labels(self) -> None:
        """Counts that stand behind the steps: in a right-hand column, or in brackets after each step."""
        for reader in (bracketed_label, trailing_label):
            found = {}
            for index, line in enumerate(self.document.lines):
                if self.labels[index] is None and (read := reader(line)) and self.is_steps(read[1]):
                    found[index] = read
            if len(found) >= 3 and len(found) > sum(label is not None for label in self.labels):
                for index, (label, body) in found.items():
                    self.labels[index], self.bodies[index] = label, body
                self.has_labels = True

    def next_content(self, index: int) -> int | None:
        """Return the index of the next line with content."""
        for j in range(index + 1, len(self.document.lines)):
            if self.document.lines[j].strip():
                return j
        return None

    def is_steps(self, text: str, least: int = 1) -> bool:
        """True if most of the words of ``text`` belong to dancing."""
        dance, odd = dance_words(text, self.lexicon.language)
        return dance >= least and dance >= odd

    def new_block(self, kind: str, label: str, text: str, number: int) -> Block:
        """Begin a block."""
        self.block = Block(kind, label, text, number)
        self.document.blocks.append(self.block)
        self.section = None
        self.last_counted = None
        return self.block

    def body(self, index: int) -> Block:
        """Return the current block, the main one if none has begun."""
        self.started = True
        if self.block is None:
            self.block = self.new_block("main", "", "", index + 1)
        return self.block

    def open_section(self, label: str, heading: str, index: int, span: tuple[int, int] | None) -> None:
        """Begin a section."""
        column = len(self.document.lines[index]) - len(self.document.lines[index].lstrip()) + 1
        block = self.body(index)
        self.section = RawSection(label, heading, index + 1, column, span)
        block.sections.append(self.section)
        self.last_counted = None

    def note(self, kind: str, index: int, text: str) -> None:
        """Keep a line that is no step."""
        after = self.last_counted.number if self.last_counted else self.last_line_of_block()
        marker = MARKER.match(text.strip())
        block = len(self.document.blocks) - 1
        self.document.notes.append(
            Note(kind, text, index + 1, after, block, marker.group() if marker else "")
        )

    def last_line_of_block(self) -> int:
        """Return the number of the last counted line of the current block, 0 if none."""
        if self.block is None:
            return 0
        numbers = [line.number for section in self.block.sections for line in section.lines]
        return numbers[-1] if numbers else 0

    def leave_tag(self, label: Label | None) -> None:
        """A main section after a tag's steps returns to the dance."""
        if self.block is not None and self.block.kind in ("tag", "ending", "bridge"):
            mains = [b for b in self.document.blocks if b.kind in ("main", "part")]
            if mains and (label is None or label.first > 8):
                self.block = mains[-1]
                self.section = None
            elif not mains:
                self.new_block("main", "", "", 0)

    def per_line_numbers(self) -> bool:
        """True if the sheet numbers each line "1)" "2)"."""
        return sum(bool(re.match(r"\s*\d{1,2}\)", line)) for line in self.document.lines) > 8

    def is_heading_label(self, index: int, line: str, label: Label) -> bool:
        """True if a label such as [1-8] or 9-16 heads a section instead of counting a line."""
        length = label.last - label.first + 1
        pair = len(label.ticks) == 2 and length in (6, 8, 12, 16) and not label.is_range
        if REPEATS.match(line[label.end :]):
            return False
        if not (
            (label.is_range and length >= 6) or pair or (label.bracketed and label.is_range and length >= 4)
        ):
            return False
        follow = self.next_content(index)
        while label.bracketed and follow is not None and self.labels[follow] is None and follow - index < 3:
            if MARKED.match(self.document.lines[follow]) or TAG.match(self.document.lines[follow]):
                break
            follow = self.next_content(follow)
        if follow is None or self.labels[follow] is None:
            return label.bracketed and not starts_with_steps(line[label.end :])
        after = self.labels[follow]
        assert after is not None
        if label.bracketed and not after.bracketed and len(after.ticks) < len(label.ticks):
            return after.first <= label.last
        inside = after.first in (1, label.first) and after.last <= max(label.last, length)
        if label.bracketed and not after.bracketed and inside:
            return True
        return inside and (
            len(after.ticks) < len(label.ticks) or after.last < label.last or not after.is_range
        )

    def number_opens_heading(self, index: int, label: Label) -> bool:
        """ "3 WALKS FORWARD": a heading that begins with a number, right above a line that carries on."""
        if not label.one_number or label.bracketed or label.written in "&a":
            return False
        follow = self.next_content(index)
        after = self.labels[follow] if follow is not None else None
        if after is None or follow != index + 1 or after.first == label.first + 1 or after.ticks[0] < 1:
            return False
        if label.first == 1 and after.first == 1:
            return self.section is None or bool(self.section.lines or not self.section.heading)
        lines = self.section.lines if self.section else []
        last = max((line.label.last for line in lines if line.label), default=0)
        expected = {1, last + 1}
        if label.first in expected:
            return False
        names = self.document.lines[index].count(",")  # one count does not hold three things
        return after.first in expected or (names > 1 and len(after.ticks) > 1)

    def is_part_heading(self, text: str) -> bool:
        """True for "Part A" when letters are parts."""
        return self.document.letters_are_parts and bool(PART.match(text)) and not SEQUENCE.match(text)
