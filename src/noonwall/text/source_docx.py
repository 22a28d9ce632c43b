"""Word documents to lines: paragraphs, tables by row, text boxes, list numbers.

Read as a stream with the standard library's zip and expat, because a document from anywhere may be a bomb:
nothing is unpacked beyond a limit, a document type declaration (the way to entity bombs, which no Word
document has) is refused, and only the parts with words are opened. Paragraphs in content controls, text
boxes and tracked insertions are read, tracked deletions are not.
"""

from __future__ import annotations

import io
import re
import zipfile
import zlib
from dataclasses import dataclass, field
from typing import Protocol
from xml.parsers import expat

from noonwall.text.source_rows import row_lines, tidy_lines

_LARGEST_DIRECTORY_BYTES = 400_000
_MOST_UNPACKED_BYTES = 12_000_000
_CHUNK_BYTES = 65_536
_DEEPEST = 200
_WORD = (
    "http://schemas.openxmlformats.org/wordprocessingml/2006/main ",
    "http://purl.oclc.org/ooxml/wordprocessingml/main ",
)
_COMPATIBILITY = "http://schemas.openxmlformats.org/markup-compatibility/2006 "
_SIGNS = {"tab": "\t", "br": "\n", "cr": "\n", "noBreakHyphen": "-", "softHyphen": "\u00ad"}
# Where Word puts the signs of symbol fonts, in the private area of Unicode.
_SYMBOL_HIGH = 0xF000
_DAMAGE = (zipfile.BadZipFile, zlib.error, expat.ExpatError, EOFError, OSError, ValueError, KeyError)
_OTHER_FORMATS = {
    "application/vnd.oasis.opendocument.text": "an OpenDocument text",
    "application/epub+zip": "an e-book",
}


class DocxFault(Exception):
    """Why a package of parts is no readable document; ``code`` is a fault of ``source_faults``."""

    def __init__(self, code: str, **facts: object) -> None:
        super().__init__(code)
        self.code = code
        self.facts = facts


def docx_text(data: bytes) -> str:
    """Return the lines of a Word document; the cells of a table row are joined by TAB.

    Raises:
        DocxFault: the bytes are no Word document, a damaged one, or one that unpacks to far too much.
    """
    # The standard library makes an object of each entry before it can be asked how many there are.
    end = data.rfind(b"PK\5\6")
    if end >= 0 and int.from_bytes(data[end + 12 : end + 16], "little") > _LARGEST_DIRECTORY_BYTES:
        raise DocxFault("source.docx-bomb")
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as package:
            names = _entries(package)
            body = names.get("word/document.xml")
            if body is None:
                raise DocxFault("source.other-format", format=_kind_of_package(package, names))
            numbering = _Numbering()
            if "word/numbering.xml" in names:
                _parse(package, names["word/numbering.xml"], numbering)
            story = _Story(numbering)
            _parse(package, body, story)
    except _DAMAGE as error:
        raise DocxFault("source.docx-broken") from error
    except (NotImplementedError, RuntimeError) as error:  # encrypted members, unknown compressions
        raise DocxFault("source.docx-locked") from error
    return tidy_lines(story.lines)


def _entries(package: zipfile.ZipFile) -> dict[str, zipfile.ZipInfo]:
    # Some programs write the names with backslashes or other letter cases.
    return {entry.filename.replace("\\", "/").lower(): entry for entry in package.infolist()}


def _kind_of_package(package: zipfile.ZipFile, names: dict[str, zipfile.ZipInfo]) -> str:
    if "mimetype" in names and names["mimetype"].file_size < 200:
        declared = package.read(names["mimetype"]).decode("ascii", "replace").strip()
        if declared in _OTHER_FORMATS:
            return _OTHER_FORMATS[declared]
    if "xl/workbook.xml" in names:
        return "a spreadsheet"
    if "ppt/presentation.xml" in names:
        return "a slide show"
    return "a zip archive"


class _Part(Protocol):
    """Takes the elements and the text of one part as they stream by."""

    def start(self, tag: str, attributes: dict[str, str], /) -> None:
        """Take a start tag; names are "namespace local"."""

    def end(self, tag: str, /) -> None:
        """Take an end tag."""

    def text(self, data: str, /) -> None:
        """Take text."""


def _parse(package: zipfile.ZipFile, entry: zipfile.ZipInfo, part: _Part) -> None:
    """Feed one part to the handlers, refusing bombs; sizes are counted, not believed."""
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.buffer_text = True
    parser.StartElementHandler = part.start
    parser.EndElementHandler = part.end
    parser.CharacterDataHandler = part.text
    parser.StartDoctypeDeclHandler = _refuse_doctype
    unpacked = 0
    with package.open(entry) as stream:
        while chunk := stream.read(_CHUNK_BYTES):
            unpacked += len(chunk)
            if unpacked > _MOST_UNPACKED_BYTES:
                raise DocxFault("source.docx-bomb")
            parser.Parse(chunk, False)
    parser.Parse(b"", True)


def _refuse_doctype(*_: object) -> None:
    raise DocxFault("source.docx-bomb")


def _local(tag: str) -> str:
    """Return the name of a WordprocessingML element or attribute, else an empty string."""
    for space in _WORD:
        if tag.startswith(space):
            return tag[len(space) :]
    return ""


def _values(attributes: dict[str, str]) -> dict[str, str]:
    return {_local(name): value for name, value in attributes.items()}


@dataclass(slots=True)
class _Level:
    format: str = "decimal"
    pattern: str = ""
    first: int = 1


@dataclass(slots=True)
class _Numbering:
    """The list numbers that Word shows but does not write in the text."""

    kinds: dict[str, dict[int, _Level]] = field(default_factory=dict)
    kind_of_list: dict[str, str] = field(default_factory=dict)
    counters: dict[tuple[str, int], int] = field(default_factory=dict)
    _kind: str = ""
    _list: str = ""
    _level: _Level = field(default_factory=_Level)

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        """Take the definition of a list, of its levels, or of its use."""
        name, values = _local(tag), _values(attributes)
        value = values.get("val", "")
        if name == "abstractNum":
            self._kind = values.get("abstractNumId", "")
            self.kinds[self._kind] = {}
        elif name == "lvl" and self._kind:
            self._level = _Level()
            self.kinds[self._kind][_whole(values.get("ilvl"), 0)] = self._level
        elif name == "start":
            self._level.first = _whole(value, 1)
        elif name == "numFmt":
            self._level.format = value
        elif name == "lvlText":
            self._level.pattern = value[:40]
        elif name == "num":
            self._kind, self._list = "", values.get("numId", "")
        elif name == "abstractNumId":
            self.kind_of_list[self._list] = value

    def end(self, tag: str) -> None:
        """Nothing closes here: the numbering part is a flat list of levels."""

    def text(self, data: str) -> None:
        """All that counts here stands in attributes."""

    def label(self, list_id: str, depth: int) -> str:
        """Return the next label of a list ("3. "), or nothing for bullets and unknown lists."""
        levels = self.kinds.get(self.kind_of_list.get(list_id, ""), {})
        level = levels.get(depth)
        if level is None or level.format not in ("decimal", "decimalZero"):
            return ""
        self.counters[list_id, depth] = self.counters.get((list_id, depth), level.first - 1) + 1
        for deeper in range(depth + 1, 9):
            self.counters.pop((list_id, deeper), None)

        def number(found: re.Match[str]) -> str:
            place = int(found.group(1)) - 1
            first = levels[place].first if place in levels else 1
            return str(self.counters.get((list_id, place), first))

        return re.sub(r"%([1-9])", number, level.pattern) + " "


def _whole(value: str | None, fallback: int) -> int:
    return int(value) if value and re.fullmatch(r"[0-9]{1,6}", value) else fallback


@dataclass(slots=True)
class _Paragraph:
    pieces: list[str] = field(default_factory=list)
    list_id: str = ""
    depth: int = 0
    # Lines of the text boxes anchored in the paragraph follow it.
    boxed: list[str] = field(default_factory=list)


class _Story:
    """Builds lines from the elements of a document body as they stream by."""

    def __init__(self, numbering: _Numbering) -> None:
        self.numbering = numbering
        self.lines: list[str] = []
        # Where finished lines go: the body, then the cells and text boxes open around this place.
        self.targets: list[list[str]] = [self.lines]
        self.rows: list[list[list[str]]] = []
        self.paragraphs: list[_Paragraph] = []
        self.in_text = False
        self.skipped = 0
        self.depth = 0

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        """Open a paragraph, row, cell or text box, or take a mark inside a paragraph."""
        self.depth += 1
        if self.depth > _DEEPEST:
            raise DocxFault("source.tangled")
        # A text box is written twice, the second time for old programs; deleted text is not the text.
        if self.skipped or tag == _COMPATIBILITY + "Fallback" or _local(tag) in ("del", "moveFrom"):
            self.skipped += 1
            return
        name = _local(tag)
        if name == "p":
            self.paragraphs.append(_Paragraph())
        elif name == "t":
            self.in_text = True
        elif name == "tr":
            self.rows.append([])
        elif name == "tc" and self.rows:
            self.rows[-1].append([])
            self.targets.append(self.rows[-1][-1])
        elif name == "txbxContent":
            self.targets.append([])
        elif self.paragraphs:
            self._in_paragraph(name, _values(attributes))

    def _in_paragraph(self, name: str, values: dict[str, str]) -> None:
        paragraph = self.paragraphs[-1]
        if name in _SIGNS and not (name == "tab" and "pos" in values):
            paragraph.pieces.append(_SIGNS[name])
        elif name == "numId":
            paragraph.list_id = values.get("val", "")
        elif name == "ilvl":
            paragraph.depth = min(_whole(values.get("val"), 0), 8)
        elif name == "sym":
            code = values.get("char", "")
            if re.fullmatch(r"[0-9A-Fa-f]{4}", code):
                # Symbol fonts are shifted into the private area; what is left is the code of the sign.
                point = int(code, 16)
                paragraph.pieces.append(chr(point - _SYMBOL_HIGH if point >= _SYMBOL_HIGH else point))

    def text(self, data: str) -> None:
        """Add words to the paragraph; space between the elements is none of them."""
        if self.in_text and self.paragraphs and not self.skipped:
            self.paragraphs[-1].pieces.append(data)

    def end(self, tag: str) -> None:
        """Close what an element opened, and give its lines to what stands around it."""
        self.depth -= 1
        if self.skipped:
            self.skipped -= 1
            return
        name = _local(tag)
        if name == "t":
            self.in_text = False
        elif name == "p" and self.paragraphs:
            self._end_paragraph(self.paragraphs.pop())
        elif name == "tc" and self.rows and len(self.targets) > 1:
            self.targets.pop()
        elif name == "tr" and self.rows:
            self.targets[-1].extend(row_lines(self.rows.pop()))
        elif name == "txbxContent" and len(self.targets) > 1:
            boxed = self.targets.pop()
            if self.paragraphs:
                self.paragraphs[-1].boxed.extend(boxed)
            else:
                self.targets[-1].extend(boxed)

    def _end_paragraph(self, paragraph: _Paragraph) -> None:
        words = "".join(paragraph.pieces)
        label = ""
        if paragraph.list_id and words.strip():
            label = self.numbering.label(paragraph.list_id, paragraph.depth)
        if words.strip() or not paragraph.boxed:
            self.targets[-1].extend((label + words).split("\n"))
        self.targets[-1].extend(paragraph.boxed)
