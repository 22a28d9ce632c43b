"""Rows of cells to lines of text: one rule for the tables of HTML, Word and Markdown."""

from __future__ import annotations

import re
from collections.abc import Sequence

_SPACES = re.compile(r"[ \t\f\v\u00a0\u2007\u202f]+")


def fold_spaces(text: str) -> str:
    """Return the text with each run of spaces and tabs as one space, and none at the ends."""
    return _SPACES.sub(" ", text).strip(" ")


def row_lines(cells: Sequence[Sequence[str]]) -> list[str]:
    """Return the lines of one table row, its cells joined by TAB.

    Args:
        cells: the lines of each cell, as written. Empty lines and cells count for nothing.

    A count beside a step becomes "1-2<TAB>Step ...". Cells of equally many lines are joined line by line;
    a label of one line goes before the first line of its neighbour; else the cells follow each other.
    """
    filled = [kept for kept in ([line for line in cell if line.strip()] for cell in cells) if kept]
    if not filled:
        return []
    if len({len(cell) for cell in filled}) == 1:
        return ["\t".join(parts) for parts in zip(*filled, strict=True)]
    longest = max(range(len(filled)), key=lambda index: len(filled[index]))
    if all(len(cell) == 1 for index, cell in enumerate(filled) if index < longest):
        # Cells after the longest (a facing, a note) are about the row as a whole: they end its last line.
        after = [line for cell in filled[longest + 1 :] for line in cell]
        first = "\t".join([*(cell[0] for cell in filled[:longest]), filled[longest][0]])
        lines = [first, *filled[longest][1:]]
        lines[-1] = "\t".join([lines[-1], *after])
        return lines
    return [line for cell in filled for line in cell]


def tidy_lines(lines: Sequence[str]) -> str:
    """Return lines as one text: no spaces at line ends, at most one empty line on end, none first or last."""
    kept: list[str] = []
    for line in lines:
        line = line.rstrip()
        if line or (kept and kept[-1]):
            kept.append(line)
    while kept and not kept[-1]:
        kept.pop()
    return "\n".join(kept) + "\n" if kept else ""
