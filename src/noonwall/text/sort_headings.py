"""Section headings of every style."""

from __future__ import annotations

import re

from noonwall.text.labels import Label
from noonwall.text.patterns import MARKED, PART, section_name
from noonwall.text.sort_base import SorterBase


class SortHeadings(SorterBase):
    """Begins sections and parts."""

    def heading_from_label(self, index: int, line: str, label: Label) -> None:
        """Begin a section headed by its counts."""
        self.leave_tag(label)
        self.open_section(
            f"{label.first}-{label.last}", line[label.end :].strip(), index, (label.first, label.last)
        )

    def carries_on(self, index: int, follow: int | None) -> bool:
        """True if "4)" is the count after "1-3)" and not the fourth section."""
        label = self.labels[index]
        held = self.section.lines[-1].label if self.section and self.section.lines else None
        after = self.labels[follow] if follow is not None else None
        runs_on = label is not None and held is not None and label.first == held.last + 1
        return runs_on and (after is None or after.first != 1)

    def marked_heading(self, index: int, line: str) -> bool:
        """Headings such as "Section 1", "S1:", "II.", "Part A", "TAG"."""
        text = line.strip()
        part = PART.match(text)
        if part and (part["b"] or part["c"] or "A").islower():
            part = None  # "a:" is a quarter count, not part A
        if part and self.document.letters_are_parts:
            letter = (part["a"] or part["b"] or part["c"] or part["w"] or "").upper()
            sub = part["an"] or part["bn"] or part["cn"] or ""
            if part["w"]:
                letter = part["w"].capitalize()
            current = self.block.label if self.block and self.block.kind == "part" else None
            rest = text[part.end() :].strip(" :=-–—.()")
            span = re.search(r"\[?\(?(\d{1,2})\s?[-–]\s?(\d{1,2})\)?\]?", rest)
            if current != letter:
                self.started = True
                self.new_block("part", letter, line, index + 1)
            if sub or span or self.is_steps(rest):
                bounds = (int(span[1]), int(span[2])) if span and int(span[2]) > int(span[1]) else None
                self.open_section(
                    letter + sub if sub else (f"{bounds[0]}-{bounds[1]}" if bounds else letter),
                    rest,
                    index,
                    bounds,
                )
            return True
        marked = MARKED.match(text)
        if marked and marked["letter"] and (self.document.letters_are_parts or not text[0].isupper()):
            return False
        if not marked or (marked["roman"] and not text[: marked.end()].isupper()):
            return False
        if marked["word"] and marked["word"].lower() == "s" and not marked["num"]:
            return False
        if self.labels[index] is not None and marked["paren"] and self.per_line_numbers():
            return False
        follow = self.next_content(index)
        if marked["paren"] and self.carries_on(index, follow):
            return False
        rest = text[marked.end() :].lstrip(" :·•|")
        if not self.started and not (
            self.is_steps(rest) or (follow is not None and self.labels[follow] is not None)
        ):
            return False
        name = section_name(marked)
        span = re.search(r"[\[(]?\b(\d{1,2})\s?(?:[-–]|to|à)\s?(\d{1,2})\b[\])]?", rest)
        bounds = (
            (int(span[1]), int(span[2]))
            if span and int(span[2]) - int(span[1]) in (3, 5, 7, 11, 15)
            else None
        )
        self.leave_tag(None)
        self.open_section(name, rest.strip(" :.-–—)·•|"), index, bounds)
        return True
