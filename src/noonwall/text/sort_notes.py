"""Tags, restarts, endings, options, sequences and repeats."""

from __future__ import annotations

import re

from noonwall.text.document import Block, Counted, RawSection
from noonwall.text.labels import Label, read_label, trailing_label
from noonwall.text.patterns import (
    ADDED,
    BEGIN_AGAIN,
    ENDING,
    MARKED,
    OPTION,
    REPEAT_ALL,
    RESTART,
    SEQUENCE,
    TAG,
    WALL_FACT,
    WALL_NUMBER,
    plausible,
    starts_with_steps,
)
from noonwall.text.sort_base import SorterBase

_OF_NOTES = ("tag", "start", "bridge", "pont")
_NO_NOTES = re.compile(
    r"\b(?:no|zero|without|sans|ni|aucun|pas de|0|none)\s(?:any\s)?(?:tags?|re-?starts?|bridges?|ponts?)",
    re.I,
)
_NOTES_NONE = re.compile(
    r"\b(?:tags?|restarts?)\s*[/&,]?\s*(?:tags?|restarts?)?\s*[:=]\s*(?:no|none|0|aucun|non|nil)\b", re.I
)


class SortNotes(SorterBase):
    """Tells notes from steps."""

    def special(self, index: int, line: str, label: Label | None) -> bool:
        """Tags, restarts, endings, options, sequences, repeats. Return True if the line is one."""
        text = line.strip()
        if label is not None and not label.bracketed and starts_with_steps(line[label.end :]):
            return False
        if label is None and self.is_negative(text):
            if self.started:
                self.note("comment", index, line)
            else:
                self.document.header.append((index + 1, line))
            return True
        if label is None and SEQUENCE.match(text) and not self.is_part_heading(text):
            self.note("sequence", index, line)
            if not self.started:
                self.document.header.append((index + 1, line))
            return True
        if REPEAT_ALL.match(text) and label is None and not re.match(r"\W*repeat.*\d", text, re.I):
            self.note("repeat", index, line)
            if self.started and self.block is not None and self.block.kind == "main":
                self.section = None
            return True
        if (TAG.match(text) or ADDED.match(text)) and not self.is_negative(text):
            return self.special_block("tag", index, line)
        if self.started and ENDING.match(text) and self.is_ending(text):
            return self.special_block("ending", index, line)
        if (
            self.started
            and RESTART.search(text)
            and text[:1].islower()
            and (self.extends_note(index, line) or self.ends_comment(index, line))
        ):
            return True
        begins_again = label is None and BEGIN_AGAIN.search(text) and WALL_NUMBER.search(text)
        if (RESTART.search(text) or begins_again) and not starts_with_steps(text):
            if not self.is_negative(text):
                self.note("restart", index, line)
                if not self.started:
                    self.document.header.append((index + 1, line))
            elif not self.started:
                self.document.header.append((index + 1, line))
            else:
                self.note("comment", index, line)
            return True
        if label is None and self.tag_told(text):
            self.note("tag", index, line)
            if not self.started:
                self.document.header.append((index + 1, line))
            return True
        if label is None and OPTION.match(text) and self.started:
            self.note("option", index, line)
            return True
        if self.started and re.match(
            r"^\W*(?:notes?|nb|n\.b\.?|remarques?|tip|conseil|styling)\b\s*[:.\-–]", text, re.I
        ):
            self.note("comment", index, line)
            return True
        return False

    def tag_told(self, text: str) -> bool:
        """ "At the end of wall 3, add this 4 count tag"."""
        told = re.search(
            r"\b(?:tag|bridge|pont|transition)s?\b|\b(?:add|ajouter)\s\d\s(?:counts|comptes|temps)",
            text,
            re.I,
        )
        wall = re.search(
            r"\b(?:(?:walls?|murs?)\s*(?:n[°o]\s*)?(?:\d|one|two|three|un|deux|trois)|(?:\d\w{0,3}|first|second|third|fourth)\s(?:walls?|murs?|times? through)(?!\s*\())|répétition|repetition|(?:end|fin) (?:of|du|des)\b",
            text,
            re.I,
        )
        if (
            WALL_FACT.search(text)
            and not self.started
            and not re.search(r"\b(?:end of|after|fin d|apr[eè]s)\b", text, re.I)
        ):
            return False
        return bool(told and wall) and not self.is_negative(text)

    def is_negative(self, text: str) -> bool:
        """ "No tags, no restarts"."""
        lower = text.lower()
        if not any(word in lower for word in _OF_NOTES):
            return False
        return bool(_NO_NOTES.search(text) or _NOTES_NONE.search(text))

    def is_ending(self, text: str) -> bool:
        """ "Ending: wall 7 ..." tells the end of the dance; "Big finish" may be a heading like any other."""
        if re.match(
            r"^\W*(?:optional\s|pour\s|le\s)?(?:ending|finale?|fin|outro|end of|fin de)\b", text, re.I
        ):
            return True
        return bool(re.search(r"\d|:|\b(?:wall|face|facing|front|mur)\b", text, re.I))

    def special_block(self, kind: str, index: int, line: str) -> bool:
        """A tag or ending: a block of its own if steps follow, else a note."""
        if not self.started:
            self.note(kind, index, line)
            self.document.header.append((index + 1, line))
            self.block_of_header(kind, index, line)
            return True
        follow = self.next_content(index)
        text = line.strip()
        tail = self.steps_of_note(text)
        counted_tail = self.counted_tail(text)
        steps_behind = self.is_steps(tail, 1) and not re.search(r"\b(?:walls?|murs?)\b", tail, re.I)
        follows = follow is not None and self.labels[follow] is not None and not self.labels[follow].bracketed  # type: ignore[union-attr]
        follows = follows and plausible(self.document.lines[follow], self.labels[follow])  # type: ignore[arg-type, index]
        if kind == "ending" and not (follows or steps_behind) and not re.search(r"[:\-–\d]", text):
            self.note("comment", index, line)
            return True
        if re.search(r"\b(?:here|ici)\b", text, re.I) and not re.search(r"[:]\s*\S", text):
            follows = steps_behind = False
        elif not follows and not steps_behind:
            follows = self.steps_soon(index)
        self.note(kind, index, line)
        if counted_tail is not None:
            steps_behind, follows = True, False
        if follows or steps_behind:
            outer, outer_section = self.block, self.section
            number = sum(b.kind == kind for b in self.document.blocks) + 1
            name = re.match(r"\W*(?:tag|bridge|pont|transition)\s*(?:n[°o]\s*)?(\d|[A-D]\b)?", text, re.I)
            own = (name[1] or "") if name else ""
            self.started = True
            self.new_block(kind, f"{kind}{own or number}" if kind == "tag" else kind, line, index + 1)
            self.document.notes[-1].block = len(self.document.blocks) - 1
            if not follows:
                self.open_section("", "", index, None)
                assert self.section is not None
                if counted_tail is not None:
                    label, tail = counted_tail
                    self.section.lines.append(Counted(index + 1, line.rfind(tail) + 1, label, tail))
                else:
                    offset = line.rfind(tail) if tail else 0
                    self.section.lines.append(Counted(index + 1, offset + 1, None, tail))
                if kind == "tag" and outer is not None and not self.body_done(index):
                    self.block, self.section = outer, outer_section
        return True

    def block_of_header(self, kind: str, index: int, line: str) -> None:
        """A tag told whole in the header: "TAG after wall 2: jazz box 1-4"."""
        tail = line.rsplit(":", 1)[-1] if ":" in line else ""
        if kind != "tag" or not self.is_steps(tail) or re.search(r"\b(?:walls?|murs?)\b", tail, re.I):
            return
        behind = trailing_label(tail)
        label, body = behind if behind else (None, tail)
        section = RawSection("", "", index + 1)
        section.lines.append(Counted(index + 1, len(line) - len(tail) + 1, label, body))
        number = sum(block.kind == kind for block in self.document.blocks) + 1
        self.document.blocks.append(Block(kind, f"tag{number}", line, index + 1, [section]))
        self.document.notes[-1].block = len(self.document.blocks) - 1

    def steps_of_note(self, text: str) -> str:
        """The steps that a tag's own line tells: "BRIDGE: on wall 3: sway R, L, R, L, then carry on"."""
        body = re.split(
            r"[,;.]?\s*\b(?:then|puis|and then|et)\s+(?:carry|continue|restart|start|begin|repren|recommenc|go on|on repart)",
            text,
            flags=re.I,
        )[0]
        pieces = re.split(r"(?<=[:)\]])\s", body)
        for piece in reversed(pieces):
            if self.is_steps(piece, 1):
                return piece
        return re.split(r"[:)\]]", text)[-1]

    def counted_tail(self, text: str) -> tuple[Label, str] | None:
        """ "TAG  1-4  Sway R, L, R, L": counts on the same line."""
        for pattern in (r"\W*\w+(?:\s?\d)?\W{0,3}\s+(?=[\d\[(])", r"[^:]{0,60}:\s+(?=\d)"):
            match = re.match(pattern, text)
            rest = text[match.end() :] if match else ""
            label = read_label(rest)
            if label is not None and len(label.ticks) > 1 and self.is_steps(rest[label.end :]):
                return label, rest[label.end :]
        return None

    def steps_soon(self, index: int) -> bool:
        """True if counted lines follow after one line of text (facts of the tag)."""
        follow = self.next_content(index)
        if follow is None or self.labels[follow] is not None:
            return False
        second = self.next_content(follow)
        return (
            second is not None
            and second - index <= 3
            and self.labels[second] is not None
            and self.labels[second].first == 1  # type: ignore[union-attr]
            and not MARKED.match(self.document.lines[follow])
            and not self.labels[second].bracketed  # type: ignore[union-attr]
        )

    def body_done(self, index: int) -> bool:
        """True if no more main sections follow."""
        for j in range(index + 1, len(self.document.lines)):
            label = self.labels[j]
            if label is not None and (label.bracketed or label.first > 8):
                return False
            if MARKED.match(self.document.lines[j]):
                return False
        return True

    def extends_note(self, index: int, line: str) -> bool:
        """A line right under a note about walls that the note's sentence runs on into."""
        if not self.document.notes:
            return False
        last = self.document.notes[-1]
        if last.number + last.text.count("\n") != index or last.kind not in ("restart", "tag", "ending"):
            return False
        above = self.document.lines[index - 1].rstrip()
        if above.endswith((".", "!", ":")) and not line.strip()[:1].islower():
            return False
        below = self.labels[index + 1] if index + 1 < len(self.labels) else None
        heads = below is not None and self.begins(below) and below.first != 0
        if heads and line.strip()[:1].isupper() and self.is_steps(line) and not WALL_NUMBER.search(line):
            return False
        last.text += "\n" + line
        return True

    def begins(self, label: Label) -> bool:
        """True if a label begins a section."""
        raise NotImplementedError

    def ends_comment(self, index: int, line: str) -> bool:
        """A sentence about a restart that began on the line above."""
        last = self.document.notes[-1] if self.document.notes else None
        if last is None or last.kind != "comment" or last.number != index or not line.strip()[:1].islower():
            return False
        last.kind = "restart"
        last.text += "\n" + line
        return True
