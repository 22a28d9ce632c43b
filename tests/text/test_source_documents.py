"""HTML, Markdown, Word and PDF: the line structure of each."""

from __future__ import annotations

import io
import time

import docx
import pytest
from reportlab.pdfbase.pdfmetrics import stringWidth

from noonwall.errors import BrokenFile
from noonwall.text.source import text_of_bytes
from noonwall.text.source_html import html_text
from noonwall.text.source_markdown import markdown_text
from noonwall.text.source_pdf_lines import _LETTER_WIDTH
from noonwall.text.source_rows import row_lines
from tests.text.source_files import SHEET, docx_with_body, drawn_pdf, raw_pdf, zip_of

HTML = {
    "line breaks": ("1-2 Step<br>3-4 Touch<br/>5-6 Hold", "1-2 Step\n3-4 Touch\n5-6 Hold\n"),
    "paragraphs": ("<p>1-2 Step<p>3-4 Touch</p>", "1-2 Step\n3-4 Touch\n"),
    "empty paragraph": ("<p>A<p>&nbsp;<p>B", "A\n\nB\n"),
    "heading apart": (
        "<h2>Section 1</h2>1-2 Step<h3>Section 2</h3>3-4",
        "Section 1\n\n1-2 Step\n\nSection 2\n\n3-4\n",
    ),
    "numbered list": ("<ol start=3><li>Step<li><p>Touch</p></ol>", "3. Step\n4. Touch\n"),
    "open table": (
        "<table><tr><td>1-2<td>Step<tr><td>3&amp;4<td>Shuffle</table>",
        "1-2\tStep\n3&4\tShuffle\n",
    ),
    "breaks in cells": (
        "<table><tr><td>1-2<br>3-4<td>Step<br>Touch<td>(3:00)</table>",
        "1-2\tStep\n3-4\tTouch\t(3:00)\n",
    ),
    "table in a table": (
        "<table><tr><td><table><tr><td>1<td>Step</table><td>side bar</table>",
        "1\tStep\tside bar\n",
    ),
    "preformatted": ("<pre>1-2\tStep\n3-4\tTouch</pre>end", "1-2\tStep\n3-4\tTouch\nend\n"),
    "silent parts": (
        "<head><title>x</title></head><body>A<style>b</style><!-- <p>c --><nav>d</nav>e",
        "Ae\n",
    ),
    "open head": ("<head><title>x</title><body>A", "A\n"),
    "signs in text": ("1&2 a < b, 5&6 &frac12; &#188; <b>R</b>ight", "1&2 a < b, 5&6 ½ ¼ Right\n"),
    "picture of a sign": ('<img alt="¼"> turn <img alt="A dancer on a floor">', "¼ turn\n"),
    "raised figures": ("<sup>1</sup>/<sub>4</sub> turn", "1/4 turn\n"),
    "greater sign in a value": ('<p title="a > b">1-2 Step', "1-2 Step\n"),
}
MARKDOWN = {
    "headings": ("# Title #\nx\n\nSection\n-------\n## Next", "Title\nx\n\nSection\n\nNext\n"),
    "emphasis": ("**1-2** Step *right*, __hold__ _now_ ~~not~~", "1-2 Step right, hold now not\n"),
    "a sheet's own stars": ("*Restart here\n** Tag\n1-2 Hold *", "*Restart here\n** Tag\n1-2 Hold *\n"),
    "snake and counts": ("kick_ball_change 1&2 3*4*5", "kick_ball_change 1&2 3*4*5\n"),
    "lists": ("- 1-2 Step\n* 3-4 Touch\n3. Hold", "1-2 Step\n3-4 Touch\n3. Hold\n"),
    "table": ("| N | Step |\n|---|:-:|\n| 1-2 | Step \\| side |\n| 3&amp;4 | a<br>b |",
              "N\tStep\n1-2\tStep | side\n3&4\ta\nb\n"),
    "escapes and links": ("1\\-2 \\*Step\\* [side](http://x.example/a)", "1-2 *Step* side\n"),
    "fences": ("```\n**as is**\n```\n> quoted", "**as is**\nquoted\n"),
}  # fmt: skip


@pytest.mark.parametrize("name", HTML)
def test_html(name: str) -> None:
    markup, text = HTML[name]
    assert html_text(markup) == text


@pytest.mark.parametrize("name", MARKDOWN)
def test_markdown(name: str) -> None:
    source, text = MARKDOWN[name]
    assert markdown_text(source) == text


@pytest.mark.parametrize(
    "piece", ["*a", "[a", "<!--", "|", "-|", "\n", "a\n", "# #", "`", "_a", "<a", "[a]("]
)
def test_hostile_markdown_ends_in_time(piece: str) -> None:
    started = time.process_time()
    try:
        text_of_bytes((piece * (980_000 // len(piece))).encode() + b"|x", name="x", suffix=".md")
    except BrokenFile as error:
        assert error.code in ("source.tangled", "source.no-text")
    assert time.process_time() - started < 2


@pytest.mark.parametrize(
    "piece", ["</", "<!--", "<a ", '<a b="', "<", "&#1", "<![", "<script>", "<table><tr><td>"]
)
def test_hostile_pages_end_in_time(piece: str) -> None:
    started = time.process_time()
    try:
        text_of_bytes((piece * (1_900_000 // len(piece))).encode(), name="x", suffix=".html")
    except BrokenFile as error:
        assert error.code in ("source.tangled", "source.no-text")
    assert time.process_time() - started < 2


def test_rows_whose_cells_do_not_match_lose_nothing() -> None:
    assert row_lines([["a", "b"], ["c", "d", "e"], [""]]) == ["a", "b", "c", "d", "e"]


# ---- Word ----


def docx_lines(body: str, extra: dict[str, str] | None = None) -> str:
    return text_of_bytes(docx_with_body(body, extra), name="a.docx").text


def test_text_boxes_are_read_once() -> None:
    box = "<w:txbxContent><w:p><w:r><w:t>1-2 Step</w:t></w:r></w:p></w:txbxContent>"
    choice = f"<mc:AlternateContent><mc:Choice>{box}</mc:Choice><mc:Fallback>{box}</mc:Fallback>"
    body = f"<w:p><w:r><w:t>Title</w:t>{choice}"
    assert docx_lines(body + "</mc:AlternateContent></w:r></w:p>") == "Title\n1-2 Step\n"


def test_tracked_changes_are_read_as_accepted() -> None:
    body = (
        "<w:p><w:r><w:t>1-2 </w:t></w:r><w:del><w:r><w:delText>Touch</w:delText></w:r></w:del>"
        "<w:ins><w:r><w:t>Step</w:t></w:r></w:ins></w:p>"
    )
    assert docx_lines(body) == "1-2 Step\n"


def test_breaks_tabs_and_controls() -> None:
    run = "<w:r><w:t>1</w:t><w:noBreakHyphen/><w:t>2</w:t><w:tab/><w:t>Step</w:t><w:br/><w:t>3-4</w:t></w:r>"
    tabs = '<w:pPr><w:tabs><w:tab w:pos="720"/></w:tabs></w:pPr>'
    body = f"<w:sdt><w:sdtContent><w:p>{tabs}{run}</w:p></w:sdtContent></w:sdt>"
    assert docx_lines(body) == "1-2\tStep\n3-4\n"


def test_list_numbers_that_word_only_shows() -> None:
    space = 'xmlns:w="http://schemas.openxmlformats.org/wordprocessingml/2006/main"'
    form = '<w:start w:val="3"/><w:numFmt w:val="decimal"/><w:lvlText w:val="Section %1:"/>'
    level = f'<w:lvl w:ilvl="0">{form}</w:lvl>'
    numbering = (
        f'<w:numbering {space}><w:abstractNum w:abstractNumId="7">{level}</w:abstractNum>'
        '<w:num w:numId="2"><w:abstractNumId w:val="7"/></w:num></w:numbering>'
    )
    numbered = '<w:pPr><w:numPr><w:ilvl w:val="0"/><w:numId w:val="2"/></w:numPr></w:pPr>'
    item = f"<w:p>{numbered}<w:r><w:t>{{}}</w:t></w:r></w:p>"
    body = item.format("Vine") + item.format("Rock")
    assert docx_lines(body, {"word/numbering.xml": numbering}) == "Section 3: Vine\nSection 4: Rock\n"


def test_lists_of_an_independent_writer() -> None:
    document = docx.Document()
    for words in ("Step side", "Touch", "Hold"):
        document.add_paragraph(words, style="List Number")
    document.add_paragraph("Clap", style="List Bullet")
    stream = io.BytesIO()
    document.save(stream)
    lines = text_of_bytes(stream.getvalue(), name="a.docx").text.split("\n")
    assert [line.split(". ")[-1] for line in lines[:4]] == ["Step side", "Touch", "Hold", "Clap"]


def test_entity_bombs_are_refused() -> None:
    levels = "".join(f'<!ENTITY a{n} "{f"&a{n - 1};" * 10}">' for n in range(1, 10))
    bomb = docx_with_body(
        "<w:p><w:r><w:t>&a9;</w:t></w:r></w:p>", head=f'<!DOCTYPE x [<!ENTITY a0 "ha">{levels}]>'
    )
    with pytest.raises(BrokenFile) as caught:
        text_of_bytes(bomb, name="a.docx")
    assert caught.value.code == "source.docx-bomb"


@pytest.mark.parametrize("kind", ["one part", "one run", "many entries", "deep"])
def test_bombs_are_refused_in_time(kind: str) -> None:
    started = time.process_time()
    if kind == "one part":
        bomb = zip_of({"word/document.xml": b"<a>" + b" " * 60_000_000})
    elif kind == "one run":
        bomb = docx_with_body("<w:p><w:r><w:t>" + "9" * 50_000_000 + "</w:t></w:r></w:p>")
    elif kind == "deep":
        bomb = docx_with_body("<w:tbl>" * 100_000 + "</w:tbl>" * 100_000)
    else:
        bomb = zip_of({f"word/{number}.xml": b"" for number in range(9000)})
    started = time.process_time()
    with pytest.raises(BrokenFile) as caught:
        text_of_bytes(bomb, name="a.docx")
    assert caught.value.code in ("source.docx-bomb", "source.tangled")
    assert time.process_time() - started < 2


# ---- PDF ----


def pdf_lines(pages: list[list[tuple[float, float, str]]]) -> list[str]:
    return text_of_bytes(drawn_pdf(pages), name="a.pdf").text.rstrip("\n").split("\n")


def test_two_columns_of_counts_are_read_one_after_the_other() -> None:
    left = ["1-2 Walk R, L", "3-4 Rock R forward", "5-6 Back R, L", "7-8 Hold, touch"]
    right = ["1-2 Side right, together", "3-4 Side left, touch", "5-6 Back L, R", "7-8 Hold, clap"]
    page = [(50, 800, "Harbour Lamps, a title over both of the columns of the page")]
    for row, (first, second) in enumerate(zip(left, right, strict=True)):
        page += [(50, 780 - 14 * row, first), (320, 780 - 14 * row, second)]
    page.append((50, 700, "Repeat and enjoy"))
    assert [line for line in pdf_lines([page]) if line][1:-1] == left + right


def test_counts_beside_steps_stay_with_them() -> None:
    page = [(50, 700, "1-2"), (120, 700, "Step R, touch L"), (50, 686, "3&4"), (120, 686, "Shuffle left")]
    assert pdf_lines([page]) == ["1-2\tStep R, touch L", "3&4\tShuffle left"]


def test_counts_in_the_middle_of_tall_rows_begin_them() -> None:
    page = [
        (50, 693, "1-2"),
        (120, 700, "Step R"),
        (120, 686, "and touch L"),
        (50, 664, "3&4"),
        (120, 664, "Shuffle left"),
    ]
    assert pdf_lines([page]) == ["1-2\tStep R", "and touch L", "3&4\tShuffle left"]


def test_page_numbers_and_repeated_headings_go_and_are_told() -> None:
    pages = [
        [(50, 820, "Harbour Hall"), (50, 700, f"1-2 Step {n}"), (50, 20, f"Sheet {n} of 3")]
        for n in (1, 2, 3)
    ]
    loaded = text_of_bytes(drawn_pdf(pages), name="a.pdf")
    assert [line for line in loaded.text.split("\n") if line] == [
        "Harbour Hall",
        *(f"1-2 Step {n}" for n in (1, 2, 3)),
    ]
    assert [(found.code, found.facts) for found in loaded.notes] == [("source.page-lines", {"count": 5})]


def test_a_count_of_its_own_column_is_not_moved_over_a_counted_line() -> None:
    page = [(70, 700, "1-2 Step R"), (70, 688, "3-4 Touch"), (50, 676, "&"), (70, 676, "Hold")]
    assert pdf_lines([page]) == ["1-2 Step R", "3-4 Touch", "&\tHold"]


@pytest.mark.parametrize("last", ["8", "1/4", "7-8"])
def test_a_last_line_that_may_be_a_count_is_kept(last: str) -> None:
    assert pdf_lines([[(50, 700, "1-2 Step"), (50, 688, last)]])[-1] == last


def test_words_broken_at_line_ends() -> None:
    page = [
        (50, 700, "Walk forward, then go for-"),
        (50, 688, "ward on the right, kick-ball-"),
        (50, 676, "change"),
    ]
    assert pdf_lines([page]) == ["Walk forward, then go forward on the right, kick-ball-change"]


def test_letter_width_against_published_font_metrics() -> None:
    """Adobe's metrics of the core fonts, as reportlab carries them."""
    words = SHEET.replace("\n", "").replace("\t", " ")
    for font in ("Helvetica", "Times-Roman"):
        assert stringWidth(words, font, 1) / len(words) == pytest.approx(_LETTER_WIDTH, abs=0.06)


PAINTED = b"BT /F1 10 Tf 50 700 Td (1-2 Step side) Tj ET\n"


def test_a_pdf_written_by_hand() -> None:
    assert text_of_bytes(raw_pdf(PAINTED), name="a.pdf").text == "1-2 Step side\n"


HOSTILE = {
    "packed": (raw_pdf(b" " * 50_000_000), "source.tangled"),
    "operators": (raw_pdf(PAINTED * 100_000), "source.tangled"),
    "operators on every page": (raw_pdf(PAINTED * 9_000, pages=50), "source.tangled"),
    "one long string": (raw_pdf(b"BT /F1 10 Tf (" + b"a" * 7_000_000 + b") Tj ET"), "source.tangled"),
    "open dictionaries": (raw_pdf(b"<<" * 500_000), "source.tangled"),
    "index": (raw_pdf(PAINTED, index_entries=900_000), "source.tangled"),
    "no index": (b"%PDF-1.4\n" + b"1 0 obj<<>>endobj\n" * 1_000_000, "source.pdf-broken"),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_pdfs_end_in_time(name: str) -> None:
    data, code = HOSTILE[name]
    started = time.process_time()
    with pytest.raises(BrokenFile) as caught:
        text_of_bytes(data, name="a.pdf")
    assert caught.value.code == code
    # The reader gives up after 1.2 s by the clock; loading pypdf and packing up come on top.
    assert time.process_time() - started < 2
