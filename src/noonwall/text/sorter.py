"""Cut the text of a sheet into blocks, sections and counted lines; everything else is header or note."""

from __future__ import annotations

import re

from noonwall.text.document import Counted, Document, RawSection, clean
from noonwall.text.labels import Label, split_pair
from noonwall.text.lexicon import Lexicon, fold
from noonwall.text.patterns import (
    COLUMNS,
    COUNT_FACT,
    FACT,
    LEGEND,
    MARKED,
    MARKER,
    PART,
    REPEATS,
    RESTART,
    RUNNING_ON,
    SEQUENCE,
    WALL_FACT,
    dance_words,
    groups,
    plausible,
)
from noonwall.text.sort_headings import SortHeadings
from noonwall.text.sort_notes import SortNotes
from noonwall.text.tokens import tokenise


class Sorter(SortHeadings, SortNotes):
    """Goes through the lines once, with one line of foresight."""

    def sort(self) -> None:
        """Sort every line."""
        for index, line in enumerate(self.document.lines):
            if line.strip():
                self.take(index, line)
        for block in self.document.blocks:
            if block.kind in ("main", "part"):
                _rejoin(block.sections)

    def take(self, index: int, line: str) -> None:
        """Sort one line."""
        label = self.labels[index]
        stripped = line.strip()
        if COLUMNS.match(stripped) or LEGEND.match(stripped):
            self.note("comment", index, line)
            return
        if self.special(index, line, label):
            return
        if label is not None and self.number_opens_heading(index, label):
            label = self.labels[index] = None
        if label is not None and self.is_heading_label(index, line, label):
            self.heading_from_label(index, line, label)
            return
        marked = self.marked_heading(index, line)
        if marked:
            return
        if label is not None and self.accepts_label(index, line, label):
            self.counted(index, line, label)
            return
        if not self.started and not self.has_labels and self.is_steps(line, 3) and not FACT.search(line):
            self.unlabelled(index, line)
            return
        if not self.started:
            if self.opens_body(index, line):
                self.open_section("", stripped, index, None)
            else:
                self.document.header.append((index + 1, line))
            return
        self.unlabelled(index, line)

    def accepts_label(self, index: int, line: str, label: Label) -> bool:
        """True if a label at the start of a line counts steps."""
        rest = line[label.end :]
        if not plausible(line, label):
            return False
        if not self.started:
            if FACT.search(rest) and not self.is_steps(rest, 2):
                return False
            return self.is_steps(rest) and (label.first <= 1 or self.lacks_first_line(index, label))
        if not rest.strip():
            return self.next_content(index) is not None
        dance, odd = dance_words(rest, self.lexicon.language, True)
        # a range of counts is a line of steps even where most of its words are not known: they are shown
        return dance >= odd or (label.is_range and dance > 0) or bool(REPEATS.match(rest))

    def lacks_first_line(self, index: int, label: Label) -> bool:
        """True if the dance seems to begin with a later count: a line is missing, or its label is wrong."""
        rest = self.document.lines[index][label.end :]
        if label.last > 16 or not (label.is_range or len(label.ticks) > 1) or label.bracketed:
            return False
        told_of = FACT.search(rest) or COUNT_FACT.search(rest) or WALL_FACT.search(rest)
        if not self.is_steps(rest, 4 if told_of else 2):
            return False
        after = next((each for each in self.labels[index + 1 : index + 6] if each is not None), None)
        return after is not None and after.first in (1, label.first, label.last, label.last + 1)

    def counted(self, index: int, line: str, label: Label) -> None:
        """Keep a counted line."""
        block = self.body(index)
        if self.section is None or self.section_is_over(label):
            if block.kind == "main" and self.section is None and block.sections and label.first > 1:
                self.section = block.sections[-1]
            else:
                self.open_section("", "", index, None)
        assert self.section is not None
        body = self.bodies.get(index, line[label.end :])
        lines = self.section.lines
        last = max((held.label.last for held in lines if held.label), default=0)
        label = split_pair(label, last + 1)
        for piece, offset, text in groups(label, body):
            counted = Counted(index + 1, (0 if index in self.bodies else label.end) + offset + 1, piece, text)
            lines.append(counted)
        counted = lines[-1]
        marker = MARKER.search(line)
        counted.marker = marker.group() if marker else ""
        self.last_counted = counted
        if RESTART.search(line):
            self.note("restart", index, line)

    def section_is_over(self, label: Label) -> bool:
        """Counting from 1 again, or over eight with a heading-less sheet, begins a new section."""
        assert self.section is not None
        if not self.section.lines or self.section.lines[-1].label is None:
            return False
        last = self.section.lines[-1].label.last
        return bool(label.first == 1 and last >= 4 and not (label.one_number and label.written in "&a"))

    def opens_body(self, index: int, line: str) -> bool:
        """True if a header line is the first heading: dance words, and a counted line right below."""
        follow = self.next_content(index)
        if follow is None or not self.is_steps(line):
            if not self.has_labels and self.is_steps(line, 2) and not FACT.search(line):
                return self.is_steps(line, 3)
            return self.caps_heading(index, line, follow)
        label = self.labels[follow]
        if MARKED.match(self.document.lines[follow].strip()):
            return False
        if FACT.search(line) or WALL_FACT.search(line) or COUNT_FACT.search(line):
            return False
        if label is None:
            return not self.has_labels and len(tokenise(line, self.lexicon)) >= 3
        begins = label.first <= 1 or self.lacks_first_line(follow, label)
        return begins and follow - index <= 2 and plausible(self.document.lines[follow], label)

    def caps_heading(self, index: int, line: str, follow: int | None) -> bool:
        """A short line that stands right above the first counted line, and not the title."""
        if follow is None or self.labels[follow] is None or follow - index > 1 or not self.document.header:
            return False
        if FACT.search(line) or WALL_FACT.search(line) or COUNT_FACT.search(line) or ":" in line:
            return False
        label = self.labels[follow]
        assert label is not None
        above = index > 0 and not self.document.lines[index - 1].strip()
        return (
            (label.first == 1 or self.lacks_first_line(follow, label))
            and (above or line.strip().isupper())
            and plausible(self.document.lines[follow], label)
        )

    def unlabelled(self, index: int, line: str) -> None:
        """A line of the body without counts: heading, continuation, steps without counts, or comment."""
        text = line.strip()
        follow = self.next_content(index)
        next_label = self.labels[follow] if follow is not None else None
        if self.continues(index, line):
            self.join(index, line)
            return
        if self.extends_note(index, line):
            return
        if FACT.search(text) and not self.is_steps(text, 2):
            self.note("comment", index, line)
            return
        heads = (
            next_label is not None
            and follow is not None
            and self.is_heading_label(follow, self.document.lines[follow], next_label)
        )
        if (
            next_label is not None
            and not heads
            and follow is not None
            and follow - index <= 2
            and self.begins(next_label)
        ) and (self.is_steps(text) or text.isupper() or len(text.split()) <= 6):
            self.leave_tag(next_label)
            self.open_section("", text, index, None)
            return
        if not self.has_labels and self.is_steps(text, 2):
            self.body(index)
            if self.section is None:
                self.open_section("", "", index, None)
            assert self.section is not None
            column = len(line) - len(line.lstrip()) + 1
            counted = Counted(index + 1, column, None, text)
            self.section.lines.append(counted)
            self.last_counted = counted
            return
        if not self.has_labels and self.is_steps(text, 1) and text.isupper():
            self.open_section("", text, index, None)
            return
        self.note("comment", index, line)

    def begins(self, label: Label) -> bool:
        """True if a label begins a section: 1, or the count after the last section."""
        if self.section is None or not self.section.lines:
            return True
        last = self.section.lines[-1].label
        return last is None or label.first in (1, last.last + 1) or label.first > last.last

    def continues(self, index: int, line: str) -> bool:
        """True if the line carries on the counted line above it."""
        last = self.last_counted
        if last is None or last.label is None or index == 0 or not self.document.lines[index - 1].strip():
            return False
        if self.labels[index] is not None:
            return False
        text = line.strip()
        above = self.document.lines[index - 1].rstrip()
        dangling = above.endswith((",", "&", "-", "+", "/")) or fold(above.split()[-1]) in (
            "and", "et", "to", "the", "on", "a", "le", "la", "du", "with", "en", "sur", "beside", "over",
        )  # fmt: skip
        indent = len(line) - len(line.lstrip())
        lower = text[:1].islower() or text[:1] in "(&+,"
        if dangling or text[:1] in "(&+,":
            return True
        if not lower or text.startswith(("or ", "ou ")):
            return False
        return indent >= 2 or fold(text.split()[0].strip(",.")) in RUNNING_ON

    def join(self, index: int, line: str) -> None:
        """Append a continuation to the counted line above."""
        last = self.last_counted
        assert last is not None
        indent = len(line) - len(line.lstrip())
        last.joins.append((len(last.text) + 1, index + 1, indent + 1))
        last.text = last.text + " " + line.strip()


def _rejoin(sections: list[RawSection]) -> None:
    """Put a section back together that was cut because a label in it counts from 1 again by mistake.

    "1-4" printed for "5-8" looks like a section without a heading. Where all others have headings, and the
    two pieces make just as many counts as the others have, the label is wrong and not the heading missing.
    """
    cut = [at for at, section in enumerate(sections) if at and not (section.heading or section.label)]
    if len(cut) != 1 or len(sections) < 3:
        return
    (place,) = cut
    usual = {_length(section) for at, section in enumerate(sections) if at not in (place - 1, place)}
    if usual == {_length(sections[place - 1]) + _length(sections[place])}:
        sections[place - 1].lines += sections.pop(place).lines


def _length(section: RawSection) -> int:
    """How many counts the labels of a section reach over."""
    labels = [line.label for line in section.lines if line.label is not None]
    return max(label.last for label in labels) - min(label.first for label in labels) + 1 if labels else 0


def sort_lines(text: str, language: str, lexicon: Lexicon) -> Document:
    """Return the document of a sheet's text: header, blocks with sections and counted lines, notes."""
    lines = clean(text).split("\n")
    document = Document(lines, language)
    document.letters_are_parts = _letters_are_parts(lines)
    Sorter(document, lexicon).sort()
    return document


def _letters_are_parts(lines: list[str]) -> bool:
    """Letters name parts if some line tells the order they are danced in ("A A B A")."""
    for line in lines:
        match = SEQUENCE.match(line)
        if match and re.search(r"\b[A-H]\d{0,2}\b.*\b[A-H]\d{0,2}\b", line[match.end() - 1 :]):
            return True
        run = re.findall(r"(?<![A-Za-z])(?:[A-H]\d{0,2}|[Tt]ag\s?\d?|TAG\s?\d?)(?![A-Za-z'’])", line)
        if len(run) >= 4 and len("".join(run)) >= 0.5 * len(re.sub(r"[\W]", "", line)):
            return True
    parts = {
        m["a"].upper()
        for line in lines
        if (m := PART.match(line)) and m["a"] and re.match(r"\W*part", line, re.I)
    }
    return len(parts) > 1
