"""The invented sheet of tests/data/source in every kind of file, by writers independent of the readers."""

from __future__ import annotations

import html
import io
import re
import zipfile
import zlib
from pathlib import Path

import docx
from reportlab.lib.pagesizes import A4
from reportlab.lib.pdfencrypt import StandardEncryption
from reportlab.lib.styles import getSampleStyleSheet
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Paragraph, SimpleDocTemplate, Table, TableStyle

DATA = Path(__file__).parent.parent / "data" / "source"
SHEET = (DATA / "harbour-lamps.txt").read_text("utf-8")


def folded(text: str) -> list[str]:
    """The lines that hold anything, with white space folded."""
    return [" ".join(line.split()) for line in text.split("\n") if line.strip()]


def blocks() -> list[list[list[str]]]:
    """The sheet as runs of lines, each line a list of cells."""
    return [[line.split("\t") for line in block.split("\n")] for block in SHEET.strip().split("\n\n")]


def as_html(*, tables: bool = True) -> bytes:
    parts = ["<!DOCTYPE html><html><head><title>Other</title><style>p { color: red }</style></head><body>"]
    for block in blocks():
        rows = [cells for cells in block if len(cells) > 1]
        words = "<br>\n".join(html.escape(cells[0]) for cells in block if len(cells) == 1)
        parts.append(f"<p>{words}</p><script>if (1 < 2) alert('steps')</script>")
        if rows and tables:
            cells_of = ("".join(f"<td>{html.escape(cell)}</td>" for cell in row) for row in rows)
            parts.append(
                "<table><tbody>" + "".join(f"<tr>{cells}</tr>\n" for cells in cells_of) + "</tbody></table>"
            )
        elif rows:
            parts.append(
                "<ul>"
                + "".join(f"<li><b>{html.escape(a)}</b>&nbsp;{html.escape(b)}" for a, b in rows)
                + "</ul>"
            )
    return "".join(parts).encode("utf-8")


def as_markdown() -> bytes:
    lines: list[str] = []
    for number, block in enumerate(blocks()):
        rows = [cells for cells in block if len(cells) > 1]
        plain = [cells[0] for cells in block if len(cells) == 1]
        plain = [line.replace("* ", "\\* ") for line in plain]
        lines += [f"## **{plain[0]}**" if rows else plain[0] if number else f"# {plain[0]}", *plain[1:], ""]
        if rows:
            lines += [f"| **{count}** | {step} |" for count, step in rows] + [""]
    return "\n".join(lines).encode("utf-8")


def as_docx() -> bytes:
    document = docx.Document()
    for block in blocks():
        rows = [cells for cells in block if len(cells) > 1]
        for cells in block:
            if len(cells) == 1:
                document.add_paragraph(cells[0])
        if rows:
            table = document.add_table(rows=len(rows), cols=2)
            for row, cells in zip(table.rows, rows, strict=True):
                for cell, words in zip(row.cells, cells, strict=True):
                    cell.text = words
    stream = io.BytesIO()
    document.save(stream)
    return stream.getvalue()


def docx_with_body(body: str, extra: dict[str, str] | None = None, *, head: str = "") -> bytes:
    """A Word document of the given body elements and further parts."""
    stream = io.BytesIO(as_docx())
    result = io.BytesIO()
    space = "http://schemas.openxmlformats.org/wordprocessingml/2006/main"
    mc = "http://schemas.openxmlformats.org/markup-compatibility/2006"
    root = f'<w:document xmlns:w="{space}" xmlns:mc="{mc}">'
    xml = f'<?xml version="1.0"?>{head}{root}<w:body>{body}</w:body></w:document>'
    replaced = {"word/document.xml": xml, **(extra or {})}
    with zipfile.ZipFile(stream) as old, zipfile.ZipFile(result, "w", zipfile.ZIP_DEFLATED) as new:
        for entry in old.infolist():
            if entry.filename not in replaced:
                new.writestr(entry, old.read(entry))
        for name, content in replaced.items():
            new.writestr(name, content)
    return result.getvalue()


def as_pdf(align: str = "TOP", password: str = "") -> bytes:
    """The sheet set with paragraphs and tables, whose counts stand at the top, middle or bottom of a row."""
    stream = io.BytesIO()
    style = getSampleStyleSheet()["BodyText"]
    lock = StandardEncryption(password, strength=128) if password else None
    document = SimpleDocTemplate(stream, pagesize=A4, encrypt=lock)
    story: list[object] = []
    for block in blocks():
        story += [Paragraph(html.escape(cells[0]), style) for cells in block if len(cells) == 1]
        rows = [[cells[0], Paragraph(html.escape(cells[1]), style)] for cells in block if len(cells) > 1]
        if rows:
            story.append(
                Table(rows, colWidths=[50, 300], style=TableStyle([("VALIGN", (0, 0), (-1, -1), align)]))
            )
    document.build(story)
    return stream.getvalue()


def drawn_pdf(pages: list[list[tuple[float, float, str]]]) -> bytes:
    """A PDF of texts at places in points from the bottom left, one list a page."""
    stream = io.BytesIO()
    canvas = Canvas(stream, pagesize=A4)
    for page in pages:
        canvas.setFont("Helvetica", 10)
        for x, y, words in page:
            canvas.drawString(x, y, words)
        canvas.showPage()
    canvas.save()
    return stream.getvalue()


def raw_pdf(content: bytes, *, pages: int = 1, index_entries: int = 0) -> bytes:
    """A PDF written by hand around one packed content stream, shown on every page (PDF 32000-1:2008, 7.5)."""
    packed = zlib.compress(content)
    kids = b"3 0 R " * pages
    font = b"<</Font<</F1<</Type/Font/Subtype/Type1/BaseFont/Helvetica>>>>>>"
    objects = [
        b"<</Type/Catalog/Pages 2 0 R>>",
        b"<</Type/Pages/Count %d/Kids[%s]>>" % (pages, kids),
        b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 600 800]/Resources %s/Contents 4 0 R>>" % font,
        b"<</Length %d/Filter/FlateDecode>>stream\n%s\nendstream" % (len(packed), packed),
    ]
    out, places = b"%PDF-1.4\n", [b"0000000000 65535 f \n"]
    for number, body in enumerate(objects, 1):
        places.append(b"%010d 00000 n \n" % len(out))
        out += b"%d 0 obj\n%s\nendobj\n" % (number, body)
    places += [b"0000000009 00000 n \n"] * index_entries
    table = b"xref\n0 %d\n%s" % (len(places), b"".join(places))
    return out + table + b"trailer\n<</Size %d/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF" % (len(places), len(out))


def zip_of(entries: dict[str, bytes]) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as package:
        for name, content in entries.items():
            package.writestr(name, content)
    return stream.getvalue()


def one_sentence(message: str) -> bool:
    """Whether a message is one line, ends as a sentence, and shows nothing of the program."""
    return (
        "\n" not in message
        and message.endswith((".", "?"))
        and not re.search(r"Traceback|Error\b|0x|<class", message)
    )
