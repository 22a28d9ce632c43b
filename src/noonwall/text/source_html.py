"""HTML to the lines a reader of the page sees: paragraphs, lists, breaks, and tables by row.

The tags are found by one pattern that never looks back. The parser of the standard library takes time in
the square of a hostile page's length: a page of 130 kB made of "</" kept it busy for minutes.
"""

from __future__ import annotations

import html
import re
from dataclasses import dataclass, field

from noonwall.text.source_rows import fold_spaces, row_lines, tidy_lines

_SILENT = frozenset((
    "script", "style", "template", "head", "nav", "button", "select", "textarea", "svg", "math", "iframe",
    "object", "audio", "video", "canvas",
))  # fmt: skip
_BLOCKS = frozenset((
    "p", "div", "section", "article", "main", "header", "footer", "aside", "address", "blockquote", "figure",
    "figcaption", "center", "form", "fieldset", "ul", "ol", "dl", "dt", "dd", "li", "h1", "h2", "h3", "h4",
    "h5", "h6", "hr", "caption", "details", "summary", "pre", "body", "html",
))  # fmt: skip
_TABLE_PARTS = frozenset(("table", "thead", "tbody", "tfoot", "tr", "td", "th"))
# Tables inside tables beyond this are no sheet; the limit keeps the work in proportion to the page.
_DEEPEST_TABLE = 12
# A page of one dance has some hundreds of tags, a whole site's frame around it some thousands.
_MOST_TAGS = 50_000
_MOST_REFERENCES = 100_000
_APART = frozenset(("h1", "h2", "h3", "h4", "h5", "h6", "hr"))
# White space that HTML folds; a no-break space is not of it.
_FLOW = re.compile(r"[ \t\n\r\f]+")
_TOKEN = re.compile(
    r"""<!--.*?(?:-->|\Z)  | <[!?][^>]*(?:>|\Z)
    | <(?P<end>/?)(?P<tag>[A-Za-z][^\s/>]*)(?P<attributes>(?:[^>=]|=\s*(?:"[^"]*"|'[^']*')?)*+)(?:>|\Z)""",
    re.S | re.X,
)
_ATTRIBUTE = re.compile(r"""(start|alt)\s*=\s*(?:"([^"]*)"|'([^']*)'|([^\s"'>]+))""", re.I)
# In these everything up to their end tag is content, whatever it looks like.
_OPAQUE = {tag: re.compile(f"</{tag}", re.I) for tag in ("script", "style", "textarea", "title", "xmp")}


@dataclass(slots=True)
class _Cell:
    """Lines in the making: the page itself, or one cell of a table."""

    lines: list[str] = field(default_factory=list)
    current: list[str] = field(default_factory=list)
    marker: str = ""

    def end_line(self, *, keep_empty: bool = False) -> None:
        line = "".join(self.current)
        self.current = []
        # A paragraph of only a no-break space is how editors write an empty line.
        if line.strip(" \n\t") or keep_empty:
            self.lines.append(self.marker + (line if "\t" in line else fold_spaces(line)))
            self.marker = ""


@dataclass(slots=True)
class _Table:
    """A table and the cells of its open row."""

    row: list[_Cell] = field(default_factory=list)


class Tangled(Exception):
    """The page is built of so many pieces that it is no page with a step sheet."""


class _Page:
    """Collects lines from tags and text in the order of the page."""

    def __init__(self) -> None:
        self.page = _Cell()
        self.tables: list[_Table] = []
        self.silent = ""
        self.silent_depth = 0
        self.verbatim = 0
        self.numbers: list[int] = []

    @property
    def cell(self) -> _Cell:
        """Where text goes now: the innermost open cell, or the page."""
        return next((table.row[-1] for table in reversed(self.tables) if table.row), self.page)

    def start(self, tag: str, attributes: str) -> None:
        """Take a start tag; ``attributes`` is what stands in it after the name."""
        if tag == "body" and self.silent == "head":
            self.silent = ""
        if self.silent:
            self.silent_depth += tag == self.silent
        elif tag in _SILENT:
            self.silent, self.silent_depth = tag, 1
        elif tag == "br":
            self.cell.end_line(keep_empty=True)
        elif tag in _TABLE_PARTS:
            self._open_table_part(tag)
        elif tag in _BLOCKS:
            self._open_block(tag, attributes)
        elif tag == "img":
            # Words as short as a fraction or an arrow stand for a sign; longer ones describe a picture.
            words = _attribute(attributes, "alt")
            self.cell.current.append(words if len(words) <= 5 else "")

    def end(self, tag: str) -> None:
        """Take an end tag."""
        if self.silent:
            self.silent_depth -= tag == self.silent
            if self.silent_depth <= 0:
                self.silent = ""
        elif tag == "table":
            self._close_table()
        elif tag in _TABLE_PARTS:
            self.cell.end_line()
            if tag == "tr" and self.tables:
                self._close_row(self.tables[-1])
        elif tag in _BLOCKS:
            self.cell.end_line()
            if tag in _APART:
                self.cell.lines.append("")
            elif tag == "pre":
                self.verbatim = max(0, self.verbatim - 1)
            elif tag in ("ol", "ul") and self.numbers:
                self.numbers.pop()

    def text(self, data: str) -> None:
        """Take text, its character references already resolved."""
        if self.silent:
            return
        if not self.verbatim:
            self.cell.current.append(_FLOW.sub(" ", data))
            return
        cell = self.cell
        first, *others = data.split("\n")
        cell.current.append(first)
        for line in others:
            cell.end_line(keep_empty=True)
            cell.current.append(line)

    def _open_block(self, tag: str, attributes: str) -> None:
        cell = self.cell
        cell.end_line()
        if tag in _APART:
            cell.lines.append("")
        elif tag == "pre":
            self.verbatim += 1
        elif tag in ("ol", "ul"):
            start = _attribute(attributes, "start") or "1"
            self.numbers.append(int(start) if tag == "ol" and re.fullmatch(r"[0-9]{1,4}", start) else -1)
        elif tag == "li":
            cell.marker = ""
            if self.numbers and self.numbers[-1] >= 0:
                # The number that a browser shows may be the count itself.
                cell.marker = f"{self.numbers[-1]}. "
                self.numbers[-1] += 1

    def _open_table_part(self, tag: str) -> None:
        self.cell.end_line()
        if tag == "table":
            if len(self.tables) < _DEEPEST_TABLE:
                self.tables.append(_Table())
            return
        if not self.tables:
            self.tables.append(_Table())
        table = self.tables[-1]
        if tag in ("td", "th"):
            table.row.append(_Cell())
        else:
            self._close_row(table)

    def _close_row(self, table: _Table) -> None:
        cells, table.row = table.row, []
        self.cell.lines.extend(row_lines([cell.lines for cell in cells]))

    def _close_table(self) -> None:
        self.cell.end_line()
        if self.tables:
            self._close_row(self.tables[-1])
            self.tables.pop()

    def lines(self) -> list[str]:
        """Close what the page left open and return its lines."""
        while self.tables:
            self._close_table()
        self.page.end_line()
        return self.page.lines


def _attribute(attributes: str, name: str) -> str:
    for found in _ATTRIBUTE.finditer(attributes):
        if found.group(1).lower() == name:
            return html.unescape(found.group(2) or found.group(3) or found.group(4) or "")
    return ""


def html_text(markup: str) -> str:
    """Return the visible text of a page, one line per line shown; cells of a table row joined by TAB.

    Takes time in proportion to the page, whatever it holds.

    Raises:
        Tangled: there are far more tags or character references than any sheet needs.
    """
    if markup.count("&") > _MOST_REFERENCES:
        raise Tangled
    page = _Page()
    at = tags = 0
    while found := _TOKEN.search(markup, at):
        if found.start() > at:
            page.text(html.unescape(markup[at : found.start()]))
        at = found.end()
        tag = (found["tag"] or "").lower()
        tags += 1
        if tags > _MOST_TAGS:
            raise Tangled
        if not tag:
            continue
        if found["end"]:
            page.end(tag)
            continue
        page.start(tag, found["attributes"])
        if tag in ("svg", "math") and found["attributes"].endswith("/"):
            page.end(tag)
        elif tag in _OPAQUE:
            close = _OPAQUE[tag].search(markup, at)
            at = close.start() if close else len(markup)
    page.text(html.unescape(markup[at:]))
    return tidy_lines(page.lines())
