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

    A count beside a step becomes "1-2<TAB>Step ...". Cells with the most lines are joined line by line; a
    cell of one line before them (a label) begins the first line, one after them (a facing) ends the last.
    Cells of any other number of lines cannot be matched: then the cells follow each other.
    """
    filled = [kept for kept in ([line for line in cell if line.strip()] for cell in cells) if kept]
    if not filled:
        return []
    height = max(len(cell) for cell in filled)
    if any(len(cell) not in (1, height) for cell in filled):
        return [line for cell in filled for line in cell]
    rows: list[list[str]] = [[] for _ in range(height)]
    seen_tall = False
    for cell in filled:
        if len(cell) == height:
            seen_tall = True
            for row, line in zip(rows, cell, strict=True):
                row.append(line)
        else:
            rows[-1 if seen_tall else 0].append(cell[0])
    return ["\t".join(row) for row in rows]


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
