"""The printed sheet as a docx file, for teachers who edit it: plain styles, tables, drawings as pictures."""

from __future__ import annotations

import datetime
import io
from collections.abc import Iterator

from docx import Document
from docx.document import Document as Paper
from docx.enum.section import WD_ORIENT
from docx.enum.text import WD_ALIGN_PARAGRAPH
from docx.oxml import OxmlElement
from docx.oxml.ns import qn
from docx.shared import Mm, Pt, RGBColor
from docx.table import Table, _Cell
from docx.text.paragraph import Paragraph

from noonwall.dance.turns import clock
from noonwall.outputs.print_words import joined
from noonwall.outputs.printed import around, cautions, for_print, headings
from noonwall.outputs.printed_data import Block, Drawn, Made, Printed, Words
from noonwall.outputs.typeset import cleaned, typeset_pictures

PAPER_MILLIMETRES = {"a4": (210.0, 297.0), "a5": (148.0, 210.0), "letter": (215.9, 279.4)}
MARGIN_MILLIMETRES = 14.0
COUNTS_MILLIMETRES, FACING_MILLIMETRES = 18.0, 18.0
MILLIMETRES_PER_CENTIMETRE = 0.17
DOTS_PER_INCH = 220.0
LONGEST_PROPERTY = 255
"""Characters of a title or an author that python-docx takes as a property of the file."""
SOFT, ALARM = RGBColor(0x4B, 0x5A, 0x66), RGBColor(0x9C, 0x1C, 0x1C)


def make(printed: Printed, kind: str = "docx", paper: str = "a4") -> Made:
    """Return the sheet as a docx file; the mark of a sheet that is not proved heads every page.

    Args:
        printed: what is printed.
        kind: "docx".
        paper: "a4", "a5" or "letter".
    """
    document = Document()
    width = _set_page(document, printed, paper)
    _head(document, printed)
    pictures = iter(_pictures(printed))
    for block in printed.blocks:
        _block(document, block, printed, pictures, width)
    _after(document, printed)
    held = io.BytesIO()
    document.save(held)
    return Made(held.getvalue())


def _set_page(document: Paper, printed: Printed, paper: str) -> float:
    """Set paper, language and properties; return the width between the margins in millimetres."""
    width, height = PAPER_MILLIMETRES[paper]
    section = document.sections[0]
    if len(printed.languages) > 1:
        width, height = height, width
        section.orientation = WD_ORIENT.LANDSCAPE
    section.page_width, section.page_height = Mm(width), Mm(height)
    margin = Mm(MARGIN_MILLIMETRES)
    section.left_margin = section.right_margin = section.top_margin = section.bottom_margin = margin
    normal = document.styles["Normal"]
    normal.font.name, normal.font.size = "Calibri", Pt(10.5)
    normal.paragraph_format.space_after = Pt(2)
    core = document.core_properties
    core.title = cleaned(printed.title)[:LONGEST_PROPERTY]
    core.author, core.comments = cleaned(printed.writer)[:LONGEST_PROPERTY], ""
    core.language = printed.languages[0]
    # the time of making is nobody's business
    core.created = core.modified = datetime.datetime(2000, 1, 1, tzinfo=datetime.UTC)
    if printed.unproved:
        run = section.header.paragraphs[0].add_run(joined(printed.unproved, " · "))
        run.bold, run.font.color.rgb = True, ALARM
    return width - 2 * MARGIN_MILLIMETRES


def _head(document: Paper, printed: Printed) -> None:
    document.add_heading(cleaned(printed.title), level=1)
    if printed.writer:
        _say(document.add_paragraph(), printed.writer, soft=True)
    told = [f"{joined(fact.name)}: {joined(fact.value)}" for fact in printed.facts]
    _say(document.add_paragraph(), "  ·  ".join(told))
    for texts in printed.told("sequence"):
        _say(document.add_paragraph(), joined(texts), bold=True)


def _block(document: Paper, block: Block, printed: Printed, pictures: Iterator[bytes], width: float) -> None:
    counts = f"{block.counts}  " if block.counts else ""
    document.add_heading(cleaned(counts + joined(block.heading)), level=2)
    if block.rows:
        many = len(printed.languages)
        table = document.add_table(rows=0, cols=many + 2)
        share = (width - COUNTS_MILLIMETRES - FACING_MILLIMETRES) / many
        widths = [COUNTS_MILLIMETRES, *[share] * many, FACING_MILLIMETRES]
        for row in block.rows:
            cells = table.add_row().cells
            _say(cells[0].paragraphs[0], row.label, bold=True)
            for cell, words, language in zip(cells[1:], row.texts, printed.languages, strict=False):
                _say(cell.paragraphs[0], words, language=language)
            if row.facing is not None:
                _say(cells[-1].paragraphs[0], clock(row.facing), bold=row is block.rows[-1])
                cells[-1].paragraphs[0].alignment = WD_ALIGN_PARAGRAPH.RIGHT
        _set_widths(table, widths)
    if block.drawings:
        paragraph = document.add_paragraph()
        for one in block.drawings:
            picture = paragraph.add_run().add_picture(
                io.BytesIO(next(pictures)), width=Mm(one.width_centimetres * MILLIMETRES_PER_CENTIMETRE)
            )
            picture._inline.docPr.set("descr", cleaned(" ".join(dict.fromkeys(one.words))))
            _say(paragraph, f" {one.label}     ", soft=True)


def _set_widths(table: Table, widths: list[float]) -> None:
    table.autofit = False
    for row in table.rows:
        for cell, millimetres in zip(row.cells, widths, strict=True):
            _width(cell, millimetres)


def _width(cell: _Cell, millimetres: float) -> None:
    cell.width = Mm(millimetres)


def _after(document: Paper, printed: Printed) -> None:
    names = headings(printed.languages)
    lists: tuple[tuple[str, list[Words]], ...] = (
        ("around", around(printed)),
        ("open", printed.told("open")),
        ("cautions", cautions(printed)),
    )
    for name, items in lists:
        if items:
            document.add_heading(joined(names[name]), level=2)
        for texts in items:
            _say(document.add_paragraph(style="List Bullet"), joined(texts))
    document.add_heading(joined(names["notes"]), level=2)
    document.add_paragraph()


def _say(
    paragraph: Paragraph, words: str, *, bold: bool = False, soft: bool = False, language: str = ""
) -> None:
    run = paragraph.add_run(cleaned(words))
    run.bold = bold or None
    if soft:
        run.font.color.rgb = SOFT
    if language:
        mark = OxmlElement("w:lang")
        mark.set(qn("w:val"), language)
        run._r.get_or_add_rPr().append(mark)


def _pictures(printed: Printed) -> list[bytes]:
    """Return a PNG for every drawing; Word shows no SVG that python-docx could place."""
    drawings = [one for block in printed.blocks for one in block.drawings]
    if not drawings:
        return []
    return typeset_pictures("drawings.typ", {"drawings": [_plain(one) for one in drawings]}, DOTS_PER_INCH)


def _plain(one: Drawn) -> dict[str, object]:
    scale = MILLIMETRES_PER_CENTIMETRE
    return {
        "svg": for_print(one.svg),
        "width": one.width_centimetres * scale,
        "height": one.height_centimetres * scale,
    }
