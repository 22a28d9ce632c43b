"""Printed sheets: read back by readers that are not ours."""

from __future__ import annotations

import io
import re
import tomllib
from dataclasses import replace
from pathlib import Path

import docx
import pytest

import noonwall
from noonwall.dance.turns import clock_hour
from noonwall.outputs import chart, cue_card, printed, printed_docx, printed_html
from noonwall.outputs.print_words import print_word
from noonwall.outputs.printed_data import Printed, Remark
from noonwall.outputs.typeset import STAND_IN
from noonwall.pipeline.charting import chart_of
from noonwall.pipeline.printed_sheet import printed_of
from noonwall.pipeline.proving import prove
from tests.outputs import printing_kit as kit
from tests.outputs.reading import read_page

EVERY = [(name, languages) for name in kit.SHEETS for languages in kit.LANGUAGES]
HOSTILE = [
    "<script>alert(1)</script>",
    '#panic("x") #sys.inputs $x^2$ *bold* _em_ @label [box] \\ // /* `raw`',
    '" onload="alert(1) {{title}} {n}',
    "= Heading\n- item",
    "رقصة الميناء",
    "Harbour 🎉 👩‍👩‍👧 ✈️ Lights",
    "nul\x00 bell\x07 lone \ud800 surrogate \u202e",
    "W" * 300,
]


def dev_sheets() -> list[str]:
    return sorted(str(path.relative_to(kit.HAND).with_suffix("")) for path in kit.HAND.glob("*/dev/*.txt"))


# --- what is printed ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", dev_sheets())
def test_rows_hold_the_same_counts_in_both_languages_and_miss_none(name: str) -> None:
    both = kit.printed(name, ("en", "fr"))
    for block in both.blocks:
        ends = [int(re.findall(r"\d+", row.label)[-1]) for row in block.rows]
        assert ends == sorted(set(ends))
        if block.kind == "section":
            first, last = (int(number) for number in re.findall(r"\d+", f"{block.counts}–{block.counts}")[:2])
            assert ends[-1] == last - first + 1
        assert all(len(row.texts) == 2 and all(row.texts) for row in block.rows)


@pytest.mark.parametrize("name", dev_sheets())
def test_facings_are_those_of_the_floor(name: str) -> None:
    facts = kit.proved(name).facts
    if "parts" in facts:
        pytest.skip("the facts of a phrased dance tell facings from the start of each part")
    blocks = [block for block in kit.printed(name, ("en", "fr")).blocks if block.kind == "section"]
    told = [clock_hour(block.facing or 0) for block in blocks]
    assert told == [section["facing_after"] for section in facts["sections"]]
    assert [clock_hour(block.rows[-1].facing or 0) for block in blocks] == told


def test_both_languages_have_the_same_words_for_print() -> None:
    tables = {}
    for language in ("en", "fr"):
        file = Path(noonwall.__file__).parent / "words" / language / "print.toml"
        table = tomllib.loads(file.read_text("utf-8"))
        tables[language] = {
            f"{section}.{name}": sorted(re.findall(r"\{\w+\}", text))
            for section, words in table.items()
            for name, text in words.items()
        }
    assert tables["en"] == tables["fr"]


def test_every_word_for_print_is_used() -> None:
    """A name is used if it stands quoted in the code that prints; facts and weights are put together."""
    package = Path(noonwall.__file__).parent
    paths = [*package.glob("pipeline/*.py"), *package.glob("outputs/*.py"), package / "cli" / "print.py"]
    code = "\n".join(path.read_text("utf-8") for path in paths)
    table = tomllib.loads((package / "words" / "en" / "print.toml").read_text("utf-8"))
    names = {name for words in table.values() for name in words if not name.startswith("weight_")}
    assert sorted(name for name in names if f'"{name}"' not in code) == []


# --- the PDF, read by pypdf --------------------------------------------------------------------------------


@pytest.mark.parametrize(("name", "languages"), EVERY)
def test_the_pdf_tells_everything_in_order(name: str, languages: tuple[str, ...]) -> None:
    data = kit.printed(name, languages)
    made = printed.make(data)
    reader = kit.pdf_of(made.content)
    text = kit.all_text(reader)
    assert 1 <= len(reader.pages) == made.pages <= 2
    assert made.not_shown == ()
    at = 0
    for wanted in [data.title, data.writer, *(fact.value[0] for fact in data.facts[:3])]:
        at = text.index(kit.words_of(wanted), at)
    for block in data.blocks:
        for row in block.rows:
            at = text.index(row.label, at)
            for words in row.texts:
                at = text.index(kit.words_of(words), at)
    for remark in data.remarks:
        if remark.kind not in ("short", "open"):
            assert all(kit.words_of(words) in text for words in remark.texts), remark


@pytest.mark.parametrize(("name", "languages"), EVERY[::3])
def test_the_pdf_is_tagged_as_pdf_ua_asks(name: str, languages: tuple[str, ...]) -> None:
    """ISO 14289-1 (PDF/UA-1): tagged, a language, a title shown, a word for every picture, fonts embedded."""
    data = kit.printed(name, languages)
    reader = kit.pdf_of(printed.make(data).content)
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"].value is True
    assert str(root["/Lang"]).startswith(languages[0][:2])
    assert root["/ViewerPreferences"]["/DisplayDocTitle"].value is True
    assert reader.metadata is not None and reader.metadata.title == data.title
    assert b"pdfuaid:part>1<" in root["/Metadata"].get_data()
    tags = list(kit.structure(reader))
    figures = [tag for tag in tags if tag["/S"] == "/Figure"]
    assert len(figures) == sum(len(block.drawings) for block in data.blocks) > 0
    assert all(len(str(figure["/Alt"])) > 20 for figure in figures)
    headings = [str(tag["/S"]) for tag in tags if re.fullmatch(r"/H\d", str(tag["/S"]))]
    assert headings.count("/H1") == 1 and set(headings) == {"/H1", "/H2"}
    fonts = list(kit.fonts_of(reader))
    assert fonts and all({"/FontFile2", "/FontFile3"} & set(font["/FontDescriptor"]) for font in fonts)


def test_the_same_dance_gives_the_same_bytes() -> None:
    data = kit.printed("english/dev/10", ("en", "fr"))
    assert printed.make(data).content == printed.make(data).content
    assert cue_card.make(data).content == cue_card.make(data).content


@pytest.mark.parametrize("paper", ["a4", "a5", "letter"])
def test_paper_has_the_size_it_is_called_by(paper: str) -> None:
    """ISO 216 (A4, A5) and ANSI/ASME Y14.1 (letter), in millimetres."""
    wanted = {"a4": (210.0, 297.0), "a5": (148.0, 210.0), "letter": (215.9, 279.4)}[paper]
    data = kit.printed("english/dev/01")
    for made, lies in ((printed.make(data, "pdf", paper), False), (cue_card.make(data, "pdf", paper), True)):
        box = kit.pdf_of(made.content).pages[0].mediabox
        size = (float(box.width) * 25.4 / 72, float(box.height) * 25.4 / 72)
        assert size == pytest.approx(wanted[::-1] if lies else wanted, abs=0.1)


# --- not proved --------------------------------------------------------------------------------------------


def wrong(languages: tuple[str, ...]) -> Printed:
    text = kit.sheet_text("english/dev/10").replace("64", "48")
    return printed_of(prove(text), None, languages)


def test_a_sheet_that_is_wrong_is_marked_on_every_page() -> None:
    assert kit.printed("english/dev/01").unproved == ()
    data = wrong(("en", "fr"))
    reader = kit.pdf_of(printed.make(data).content)
    assert len(reader.pages) == 2
    for page in reader.pages:
        text = kit.words_of(page.extract_text())
        assert "NOT PROVED" in text and "NON PROUVÉE" in text
    text = kit.all_text(reader)
    assert all(kit.words_of(words) in text for words in data.told("open")[0])
    # what was found by dancing is not claimed of a sheet that is not proved
    assert print_word("en", "sheet", "made") not in text


def test_cards_charts_pages_and_documents_are_marked_too() -> None:
    data = wrong(("en",))
    assert "NOT PROVED" in kit.all_text(kit.pdf_of(cue_card.make(data).content))
    text = kit.sheet_text("english/dev/10").replace("64", "48")
    assert "NOT PROVED" in kit.all_text(kit.pdf_of(chart.make(chart_of(prove(text), None, ("en",))).content))
    assert 'class="mark"' in printed_html.make(data).content.decode()
    document = docx.Document(io.BytesIO(printed_docx.make(data).content))
    assert "NOT PROVED" in document.sections[0].header.paragraphs[0].text


# --- titles that break things ------------------------------------------------------------------------------


@pytest.mark.parametrize("title", HOSTILE)
def test_a_hostile_title_is_only_text(title: str) -> None:
    data = replace(
        kit.printed("english/dev/01"), title=title, writer=title, remarks=(Remark("song", (title,)),)
    )
    made = printed.make(data)
    text = kit.all_text(kit.pdf_of(made.content))
    shown = kit.words_of(re.sub("[\x00-\x1f\ud800-\udfff\ufe0f\u200d\u202e]", "", title).split("🎉")[0])
    if title.isascii() and "\n" not in title and len(title) < 200:
        assert text.count(shown) >= 3
    page = read_page(printed_html.make(data).content.decode())
    assert page.problems == []
    assert "<script" not in printed_html.make(data).content.decode()
    document = docx.Document(io.BytesIO(printed_docx.make(data).content))
    assert document.paragraphs[0].style.name == "Heading 1"
    for kind in ("pdf", "svg"):
        told = replace(chart_of(kit.proved("english/dev/01"), None, ("en",)), title=title)
        assert chart.make(told, kind).content


def test_what_no_font_has_is_said() -> None:
    data = replace(kit.printed("english/dev/01"), title="Harbour 🎉 北 é ¾")
    made = printed.make(data)
    assert made.not_shown == ("🎉", "北")
    text = kit.all_text(kit.pdf_of(made.content))
    assert f"Harbour {STAND_IN} {STAND_IN} é ¾" in text
    assert "U+1F389, U+5317" in text


def test_arabic_is_shown() -> None:
    made = printed.make(replace(kit.printed("english/dev/01"), title="رقصة الميناء"))
    assert made.not_shown == ()
    # pypdf may give the words of a line from right to left in either order
    assert {"رقصة", "الميناء"} <= set(kit.pdf_of(made.content).pages[0].extract_text().split())


# --- HTML and docx -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("name", "languages"), EVERY[::2])
def test_the_page_is_whole_and_needs_nothing(name: str, languages: tuple[str, ...]) -> None:
    data = kit.printed(name, languages)
    content = printed_html.make(data).content.decode()
    assert read_page(content).problems == []
    assert not re.search(r"(src|href)=|url\(|@import", content)
    for block in data.blocks:
        for row in block.rows:
            for language, words in zip(languages, row.texts, strict=True):
                assert f'<td lang="{language}" dir="auto">{words}</td>' in content.replace("&#x27;", "'")


@pytest.mark.parametrize(("name", "languages"), EVERY[1::4])
def test_the_docx_opens_and_can_be_edited(name: str, languages: tuple[str, ...]) -> None:
    data = kit.printed(name, languages)
    document = docx.Document(io.BytesIO(printed_docx.make(data).content))
    assert document.paragraphs[0].text == data.title
    assert document.core_properties.title == data.title
    rows = [[cell.text for cell in row.cells] for table in document.tables for row in table.rows]
    wanted = [row for block in data.blocks for row in block.rows]
    assert [(row[0], tuple(row[1:-1])) for row in rows] == [(row.label, row.texts) for row in wanted]
    drawings = [one for block in data.blocks for one in block.drawings]
    assert len(document.inline_shapes) == len(drawings)
    told = [shape._inline.docPr.get("descr") for shape in document.inline_shapes]
    assert told == [" ".join(dict.fromkeys(one.words)) for one in drawings]
