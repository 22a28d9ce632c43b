"""A sheet cut into blocks, sections, counted lines and notes: the values, and the cleaning of its text."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, field
from functools import lru_cache

from noonwall.text.labels import Label

ZERO_WIDTH = dict.fromkeys(
    [*range(0x200B, 0x2010), *range(0x202A, 0x202F), *range(0x2060, 0x206A), 0xFEFF, 0xAD]
)
ODD_SPACES = {0xA0: " ", 0x202F: " ", 0x2007: " ", 0x2009: " ", 0x3000: " ", 0x0B: " ", 0x0C: " ", 0x85: "\n"}


@dataclass(slots=True)
class Counted:
    """A line with counts: its label, and its step text with the place of its first character."""

    number: int
    column: int
    label: Label | None
    text: str
    joins: list[tuple[int, int, int]] = field(default_factory=list)  # offset in text, line, column
    marker: str = ""

    def place(self, offset: int) -> tuple[int, int]:
        """Return (line, column), from 1, of an offset in ``text``."""
        line, column, base = self.number, self.column, 0
        for at, other_line, other_column in self.joins:
            if offset >= at:
                line, column, base = other_line, other_column, at
        return line, column + offset - base


@dataclass(slots=True)
class RawSection:
    """A heading and its counted lines. ``span`` is the range a heading states, as (first, last)."""

    label: str
    heading: str
    number: int
    column: int = 1
    span: tuple[int, int] | None = None
    lines: list[Counted] = field(default_factory=list)


@dataclass(slots=True)
class Block:
    """A stretch danced as a whole. ``kind``: main, part, tag, bridge, ending."""

    kind: str
    label: str
    text: str
    number: int
    sections: list[RawSection] = field(default_factory=list)

    @property
    def has_lines(self) -> bool:
        """True if any step is written in it."""
        return any(section.lines for section in self.sections)


@dataclass(slots=True)
class Note:
    """A line that is no step: kind restart, tag, ending, sequence, option, repeat, comment; and where.

    ``after`` is the number of the counted line it follows (0 for none); ``block`` the index of its block.
    """

    kind: str
    text: str
    number: int
    after: int = 0
    block: int = 0
    marker: str = ""
    column: int = 1


@dataclass(slots=True)
class Document:
    """All lines of a sheet, sorted."""

    lines: list[str]
    language: str
    header: list[tuple[int, str]] = field(default_factory=list)
    blocks: list[Block] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)
    letters_are_parts: bool = False


# Patterns that begin with the character itself are searched for several times faster.
_ZERO_IN_WORD = re.compile(r"0(?:(?<=[A-Za-z]0)(?=[A-Za-z])|(?<=[A-Za-z]{3}0)\b)")
_LETTER_IN_NUMBER = re.compile(r"O(?<=\dO)(?=\d|\b(?!['’´`]))")
_ODD = re.compile("[" + "".join(map(re.escape, map(chr, {**ZERO_WIDTH, **ODD_SPACES}))) + "]")


@lru_cache(maxsize=2)
def clean(text: str) -> str:
    """Return the text without invisible marks, with plain spaces and line ends, and "b0x" as "box"."""
    if "Ã" in text or "Â" in text:
        text = "\n".join(_decoded_once_more(line) for line in text.split("\n"))
    # macOS and PDFs may write an accent as a mark of its own: "e" and U+0301
    text = unicodedata.normalize("NFC", text)
    if _ODD.search(text):
        text = text.translate(ZERO_WIDTH).translate(ODD_SPACES)
    plain = text.replace("\r\n", "\n").replace("\r", "\n")
    return _ZERO_IN_WORD.sub(_as_letter, _LETTER_IN_NUMBER.sub("0", plain))


def _decoded_once_more(line: str) -> str:
    """A line that was decoded as Windows-1252 though it was UTF-8 ("Â½", "Ã "): read it as it was meant."""
    try:
        return line.replace("Ã\x20", "Ã\xa0").encode("cp1252").decode("utf-8")
    except (UnicodeEncodeError, UnicodeDecodeError):
        return line


def _as_letter(match: re.Match[str]) -> str:
    before = match.string[match.start() - 1]
    return "O" if before.isupper() else "o"
