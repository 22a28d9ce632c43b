"""Pieces of text on pages to lines in reading order.

A PDF says where each piece of text stands, not what belongs together. Pieces at one height are a line; a
count in a column of its own begins the lines of its step; two columns of counted lines are read one after
the other; lines that every page repeats are told from the sheet.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from noonwall.text.source_rows import fold_spaces, tidy_lines

# Width of a letter of a step sheet in heights of its font: 0.41 to 0.49 by the published metrics of
# Helvetica and Times (Adobe's core fonts) on invented sheets; a test measures it.
_LETTER_WIDTH = 0.46
# A count alone in its column: "1-2", "3&4", "a5", "[7 8]".
_LABEL = re.compile(
    r"[(\[]?(?=[ae&+]*\d|&)(?:\d{1,2}|[&aAe+])(?:[\s.,&+–—-]*(?:\d{1,2}|[&aAe+](?![a-z])))*[\s.,:)\]&-]*"
)
_LABEL_START = re.compile(r"[(\[]?\d{1,2}(?:\s?[-–&,aà]\s?\d{1,2}|&)*[\s.,:)\]&-]+\D")
_PAGE_NUMBER = re.compile(r"page\s*\d{1,3}(?:\s*(?:/|of|de|sur)\s*\d{1,3})?|[-–—]\s*\d{1,3}\s*[-–—]", re.I)
_WORD_BROKEN = re.compile(r"([A-Za-zÀ-ÿ]+)-$")
_WORD_START = re.compile(r"[a-zà-ÿ]+")


@dataclass(frozen=True, slots=True)
class Piece:
    """Text painted in one go: its left end and baseline in points from the bottom left, and its height."""

    x: float
    y: float
    height: float
    text: str

    @property
    def end(self) -> float:
        """Where the text ends, estimated from its length."""
        return self.x + len(self.text.rstrip()) * self.height * _LETTER_WIDTH


@dataclass(frozen=True, slots=True)
class Line:
    """Pieces on one baseline, from left to right."""

    y: float
    height: float
    pieces: tuple[Piece, ...]

    @property
    def text(self) -> str:
        """The pieces joined: by nothing where they touch, by TAB where a column begins."""
        joined = self.pieces[0].text
        for before, piece in pairwise(self.pieces):
            gap = piece.x - before.end
            wide = gap > 1.2 * piece.height or (_is_label(before.text) and gap > 0.4 * piece.height)
            joined = joined.rstrip() + "\t" + piece.text.lstrip() if wide else joined + piece.text
        return "\t".join(fold_spaces(part) for part in joined.split("\t")).strip()


def _is_label(text: str) -> bool:
    return _LABEL.fullmatch(text.strip()) is not None


def document_lines(pages: Sequence[Sequence[Piece]]) -> tuple[str, int]:
    """Return the text of all pages, and how many page numbers and repeated headings were left out."""
    laid = [_page_lines(pieces) for pieces in pages]
    kept, dropped = _without_page_lines(laid)
    lines: list[str] = []
    for page in kept:
        for index, line in enumerate(page):
            if index and _paragraph_gap(page, index):
                lines.append("")
            lines.append(line.text)
    return tidy_lines(_rejoin_hyphens(lines)), dropped


def _page_lines(pieces: Sequence[Piece]) -> list[Line]:
    lines = _baselines(pieces)
    gutter = _gutter(lines)
    if gutter is None:
        return _labels_first(lines)
    top, bottom, x = gutter
    above = [line for line in lines if line.y > top]
    below = [line for line in lines if line.y < bottom]
    band = [line for line in lines if bottom <= line.y <= top]
    left = [_part(line, lambda piece: piece.x < x - 2) for line in band]
    right = [_part(line, lambda piece: piece.x >= x - 2) for line in band]
    columns = [[line for line in side if line.pieces] for side in (left, right)]
    return [line for part in (above, *columns, below) for line in _labels_first(part)]


def _part(line: Line, keep: Callable[[Piece], bool]) -> Line:
    return replace(line, pieces=tuple(piece for piece in line.pieces if keep(piece)))


def _baselines(pieces: Sequence[Piece]) -> list[Line]:
    """Group pieces into lines from top to bottom; raised signs (½ as small figures) stay in their line."""
    lines: list[list[Piece]] = []
    # The order of painting is kept among pieces at one place, so equal keys must not be sorted by text.
    for piece in sorted(pieces, key=lambda piece: -piece.y):
        reach = 0.45 * piece.height
        if lines and abs(lines[-1][0].y - piece.y) <= reach:
            lines[-1].append(piece)
        else:
            lines.append([piece])
    return [
        Line(max(group, key=lambda piece: len(piece.text)).y, max(piece.height for piece in group),
             tuple(sorted(group, key=lambda piece: piece.x)))
        for group in lines
        if any(piece.text.strip() for piece in group)
    ]  # fmt: skip


def _gutter(lines: Sequence[Line]) -> tuple[float, float, float] | None:
    """Return (top, bottom, x) of a band set in two columns of counted lines, or None.

    Only certain if both columns hold counted lines of their own and no line crosses between them.
    """
    starts = Counter(
        round(piece.x)
        for line in lines
        for piece in line.pieces[1:]
        if _LABEL_START.match(piece.text) or _is_label(piece.text)
    )
    for x, count in starts.most_common(3):
        if count < 3:
            break
        rows = [line for line in lines if any(abs(piece.x - x) <= 2 for piece in line.pieces)]
        top, bottom = rows[0].y, rows[-1].y
        band = [line for line in lines if bottom <= line.y <= top]
        left = [[piece for piece in line.pieces if piece.x < x - 2] for line in band]
        crossing = sum(1 for side in left if side and side[-1].end > x + side[-1].height)
        counted = sum(1 for side in left if side and _counted_line(side))
        if counted >= 3 and not crossing:
            return top, bottom, float(x)
    return None


def _counted_line(side: Sequence[Piece]) -> bool:
    return _LABEL_START.match(side[0].text) is not None or (len(side) > 1 and _is_label(side[0].text))


def _labels_first(lines: list[Line]) -> list[Line]:
    """Move a count that stands at the middle or foot of its step (a table's alignment) to the first line.

    Done only where the gaps between the steps show as many blocks of lines as there are counts, each count
    at the height of its own block.
    """
    column = _step_column(lines)
    if column is None:
        return lines
    labels = [index for index, line in enumerate(lines) if _is_label(line.pieces[0].text)]
    steps = [index for index, line in enumerate(lines) if _stands_at(line, column)]
    first, last = min(labels[0], steps[0]), max(labels[-1], steps[-1])
    result = lines[:first]
    for block in _blocks(lines[first : last + 1], column):
        result.extend(_block_label_first(block))
    return [*result, *lines[last + 1 :]]


def _step_column(lines: Sequence[Line]) -> float | None:
    """Return where the steps begin if counts stand in a column of their own and some not on a first line."""
    labelled = [line for line in lines if _is_label(line.pieces[0].text)]
    starts = Counter(round(line.pieces[1].x) for line in labelled if len(line.pieces) > 1)
    alone = any(len(line.pieces) == 1 for line in labelled)
    if not starts and not alone:
        return None
    if not starts:
        starts = Counter(round(line.pieces[0].x) for line in lines if not _is_label(line.pieces[0].text))
    return float(starts.most_common(1)[0][0]) if starts else None


def _stands_at(line: Line, x: float) -> bool:
    return any(abs(piece.x - x) <= 3 for piece in line.pieces)


def _blocks(lines: list[Line], column: float) -> list[list[Line]]:
    """Cut lines where the step column leaves more than its usual line gap."""
    steps = [line for line in lines if _stands_at(line, column)]
    gaps = [above.y - below.y for above, below in pairwise(steps)]
    usual = min((gap for gap in gaps if gap > 1), default=0.0)
    cuts = [(above.y + below.y) / 2 for above, below in pairwise(steps) if above.y - below.y > 1.12 * usual]
    blocks: list[list[Line]] = [[]]
    for line in lines:
        while cuts and line.y < cuts[0]:
            cuts.pop(0)
            blocks.append([])
        blocks[-1].append(line)
    return [block for block in blocks if block]


def _block_label_first(block: list[Line]) -> list[Line]:
    labelled = [index for index, line in enumerate(block) if _is_label(line.pieces[0].text)]
    if len(labelled) != 1 or labelled[0] == 0:
        return block
    at = labelled[0]
    label, *rest = block[at].pieces
    # The count must stand left of every line that it is to begin, and none of them have a count of its own.
    if any(line.pieces[0].x < label.x + label.height or _counted_line(line.pieces) for line in block[:at]):
        return block
    others = [replace(block[0], pieces=(label, *block[0].pieces)), *block[1:at]]
    if rest:
        others.append(replace(block[at], pieces=tuple(rest)))
    return [*others, *block[at + 1 :]]


def _paragraph_gap(page: Sequence[Line], index: int) -> bool:
    """Whether the space above a line is wide enough to have been an empty line."""
    above, line = page[index - 1], page[index]
    gap = above.y - line.y
    return gap > 2.2 * max(above.height, line.height) or gap < -line.height


def _without_page_lines(pages: list[list[Line]]) -> tuple[list[list[Line]], int]:
    """Drop page numbers, and first or last lines that every page repeats (a first line stays once)."""
    dropped = 0
    for at in (-1, 0):
        while (kind := _edge_kind(pages, at)) is not None:
            keep_first = kind == "repeated" and at == 0
            for page in pages[1 if keep_first else 0 :]:
                page.pop(at)
                dropped += 1
            if keep_first:
                break
    return pages, dropped


def _edge_kind(pages: list[list[Line]], at: int) -> str | None:
    """Say why the first or last lines of the pages are certainly none of the sheet: a number, or repeated."""
    if not pages or any(len(page) < 2 for page in pages):
        return None
    edge = [page[at].text for page in pages]
    if all(_PAGE_NUMBER.fullmatch(text) for text in edge):
        return "number"
    if all(_printed_address(text, number, len(pages)) for number, text in enumerate(edge, 1)):
        return "number"
    if len(pages) == 1:
        return None
    if len(set(edge)) == 1:
        return "repeated"
    # The same words around the number of each page: "Harbour Hall, 1 of 3".
    numbers = [re.search(r"\d+", text) for text in edge]
    counted = [int(found.group()) for found in numbers if found] == list(range(1, len(pages) + 1))
    same = len({re.sub(r"\d+", "#", text, count=1) for text in edge}) == 1
    return "number" if counted and same else None


def _printed_address(text: str, number: int, total: int) -> bool:
    """Whether a line is the address and page number that a browser prints at the foot of a page."""
    return re.fullmatch(rf"(?:https?|file):\S+\s+{number}\s*/\s*{total}", text) is not None


def _rejoin_hyphens(lines: list[str]) -> list[str]:
    """Join a word broken at a line end if the whole word stands elsewhere or the hyphen is a soft one."""
    words = set(re.findall(r"[a-zà-ÿ]+", "\n".join(lines).lower()))
    result: list[str] = []
    for line in lines:
        previous = result[-1] if result else ""
        start = _WORD_START.match(line)
        broken = _WORD_BROKEN.search(previous)
        known = broken and start and (broken.group(1) + start.group()).lower() in words
        if start and (previous.endswith("\u00ad") or known):
            result[-1] = previous[:-1] + line
        elif broken and start:
            result[-1] = previous + line
        else:
            result.append(line)
    return [line.replace("\u00ad", "") for line in result]
