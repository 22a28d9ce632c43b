"""What is printed of a dance: plain values, every sentence already worded in each language asked for."""

from __future__ import annotations

from dataclasses import dataclass, field

Words = tuple[str, ...]
"""One text for each of :attr:`Printed.languages`, in their order; all say the same."""


@dataclass(frozen=True, slots=True)
class Made:
    """A finished thing: the bytes of its file, its pages (0 where it has none), and the characters that its
    fonts could not show."""

    content: bytes
    pages: int = 0
    not_shown: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PrintedFact:
    """One fact; ``id`` is a key of the table [fact] in print.toml."""

    id: str
    name: Words
    value: Words


@dataclass(frozen=True, slots=True)
class Row:
    """One counted line: the same counts in every language; ``facing`` in eighths after it, or None."""

    label: str
    texts: Words
    facing: int | None = None


@dataclass(frozen=True, slots=True)
class Drawn:
    """A small floor drawing: SVG, its size in centimetres of floor, its counts, and words for those who do
    not see it."""

    svg: str
    width_centimetres: float
    height_centimetres: float
    label: str
    words: Words


@dataclass(frozen=True, slots=True)
class Block:
    """A section, a tag or an ending.

    Attributes:
        kind: "part" (a heading alone), "section", "tag" or "ending".
        counts: its counts as a label ("9–16"), "" for a heading alone.
        heading: the figures in it, or what it is.
        rows: its counted lines.
        facing: eighths at its end, None if it depends on the wall.
        drawings: the floor, at most four counts each.
        cues: for each language the figures with their counts, as short as they can be said.
        short: what a tag or an ending is called where there is little room.
    """

    kind: str
    counts: str
    heading: Words
    rows: tuple[Row, ...] = ()
    facing: int | None = None
    drawings: tuple[Drawn, ...] = ()
    cues: tuple[tuple[tuple[str, str], ...], ...] = ()
    short: Words = ()


@dataclass(frozen=True, slots=True)
class Remark:
    """Something about the whole dance: "sequence", "option", "restart", "tag", "ending", "song", "caution",
    "short" (where something changes, in a few words) or "open" (what is still wrong or not understood)."""

    kind: str
    texts: Words


@dataclass(frozen=True, slots=True)
class Printed:
    """Everything that is printed of a dance.

    Attributes:
        languages: BCP 47 tags, the first is that of the document.
        title: as the sheet has it, never "".
        facts: counts, walls, level and so on.
        blocks: in the order of the sheet.
        remarks: what stands around the steps.
        unproved: what to print on every page if something is wrong; empty for a proved dance.
    """

    languages: tuple[str, ...]
    title: str
    writer: str
    facts: tuple[PrintedFact, ...]
    blocks: tuple[Block, ...]
    remarks: tuple[Remark, ...] = ()
    unproved: Words = field(default=())

    def told(self, kind: str) -> list[Words]:
        """Return the texts of all remarks of a kind."""
        return [remark.texts for remark in self.remarks if remark.kind == kind]


@dataclass(frozen=True, slots=True)
class ChartPiece:
    """A stretch of a wall on the chart: "section", "tag" or "left" (not danced), in counts of the wall."""

    kind: str
    label: str
    start: int
    counts: int


@dataclass(frozen=True, slots=True)
class ChartRow:
    """One wall: its name, when it starts (None without a song), facings in eighths, pieces, phrase starts
    (their number and the count from the wall's start), and what changes."""

    name: Words
    start_seconds: float | None
    facing_start: int
    facing_end: int
    counts: int
    pieces: tuple[ChartPiece, ...]
    phrases: tuple[tuple[int, int], ...] = ()
    notes: Words = ()


@dataclass(frozen=True, slots=True)
class Chart:
    """The whole run: rows in order, counts to wait before the first, what stands above and below."""

    languages: tuple[str, ...]
    title: str
    subtitle: Words
    rows: tuple[ChartRow, ...]
    wait_counts: int | None
    beats_per_bar: int
    finish: Words = ()
    unproved: Words = field(default=())
