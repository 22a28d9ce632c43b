"""The printed lesson plan and the teleprompter, read back by readers that are not ours."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from html.parser import HTMLParser

import pytest

from noonwall.outputs import lesson_sheet, prompter
from noonwall.outputs.typeset import STAND_IN
from noonwall.pipeline.proving import prove
from noonwall.pipeline.teaching import lesson_of
from noonwall.teach.values import Lesson
from tests.outputs import printing_kit as kit
from tests.outputs.test_printed import HOSTILE
from tests.teach.lesson_kit import ROOT

MARK = ("NOT PROVED: this is a test", "NON PROUVÉE : ceci est un essai")


@cache
def lesson(
    name: str = "tide-table", languages: tuple[str, ...] = ("en", "fr"), minutes: float = 25
) -> Lesson:
    return lesson_of(prove((ROOT / "examples" / f"{name}.txt").read_text("utf-8")), languages, minutes)


@pytest.mark.parametrize("languages", [("en",), ("fr",), ("fr-CA", "en")])
def test_the_plan_holds_every_drill_piece_and_word(languages: tuple[str, ...]) -> None:
    # the takes say the same words again
    plan = replace(lesson("tide-table", languages), takes=())
    made = lesson_sheet.make(plan)
    text = bare(kit.all_text(kit.pdf_of(made.content)))
    wanted = [words for drill in plan.drills for words in drill.told.texts]
    wanted += [words for piece in plan.pieces for line in piece.lines for words in line.texts]
    wanted += [words for remark in (*plan.opening, *plan.finish, *plan.closing) for words in remark.texts]
    wanted += [words for way in plan.ways for words in way.told.texts]
    assert [words for words in wanted if bare(words) not in text] == []
    assert made.not_shown == ()


def bare(text: str) -> str:
    """Return text without spaces: a reader of PDFs guesses them from gaps."""
    return re.sub(r"[\s\u00a0]+", "", text)


def test_the_plan_is_tagged_and_its_fonts_are_embedded() -> None:
    """Outside check: what PDF/UA-1 (ISO 14289-1) asks for, read by pypdf."""
    reader = kit.pdf_of(lesson_sheet.make(lesson()).content)
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"] and str(root["/Lang"]).startswith("en")
    assert reader.metadata is not None and reader.metadata.title == "Tide Table"
    kinds = [str(one["/S"]) for one in kit.structure(reader)]
    assert {"/H1", "/H2", "/H3", "/Table", "/TH"} <= set(kinds)
    fonts = list(kit.fonts_of(reader))
    assert fonts and all(
        "/FontFile2" in f["/FontDescriptor"] or "/FontFile3" in f["/FontDescriptor"] for f in fonts
    )


@pytest.mark.parametrize(("paper", "width"), [("a4", 210.0), ("letter", 215.9), ("a5", 148.0)])
def test_one_language_is_upright_on_the_paper_asked_for(paper: str, width: float) -> None:
    """Sizes: ISO 216; ANSI letter."""
    page = kit.pdf_of(lesson_sheet.make(lesson("tide-table", ("en",)), "pdf", paper).content).pages[0]
    assert float(page.mediabox.width) == pytest.approx(width * 72 / 25.4, abs=1)


def test_a_dance_that_is_not_proved_is_marked_on_every_page() -> None:
    short = replace(lesson("lantern-walk", ("en", "fr"), 3), takes=lesson().takes[:3])
    reader = kit.pdf_of(lesson_sheet.make(replace(short, unproved=MARK)).content)
    assert len(reader.pages) > 1
    for page in reader.pages:
        assert bare(MARK[0]) in bare(page.extract_text()) and bare(MARK[1]) in bare(page.extract_text())
    assert "NOT PROVED" not in kit.all_text(kit.pdf_of(lesson_sheet.make(short).content))
    page_ = prompter.make(replace(lesson(), unproved=MARK)).content.decode()
    assert MARK[0] in page_ and MARK[1] in page_


@pytest.mark.parametrize("text", HOSTILE)
def test_any_text_is_printed_as_text(text: str) -> None:
    plan = lesson("lantern-walk", ("en", "fr"), 3)
    opening = (replace(plan.opening[0], texts=(text, text)), *plan.opening[1:])
    takes = (replace(plan.takes[1], title=text, said=(text,)),)
    made = lesson_sheet.make(replace(plan, title=text, class_name=text, opening=opening, takes=takes))
    found = kit.all_text(kit.pdf_of(made.content))
    word = re.search(r"[A-Za-z]{4,}", text)
    assert word is None or word[0][:20] in bare(found)
    assert bool(made.not_shown) == (STAND_IN in found or "🎉" in text)


class Reading(HTMLParser):
    """What a browser would make of the page: its scripts, its takes, and what they say."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.said: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.said.append(data)


def read(plan: Lesson) -> Reading:
    reading = Reading()
    reading.feed(prompter.make(plan).content.decode())
    return reading


def test_the_teleprompter_holds_every_take_with_its_seconds() -> None:
    plan = lesson()
    reading = read(plan)
    sections = [held for tag, held in reading.tags if tag == "section"]
    assert [held["data-number"] for held in sections] == [str(take.number) for take in plan.takes]
    assert [held["data-language"] for held in sections] == [take.language for take in plan.takes]
    seconds = sum(float(held["data-seconds"] or 0) for _, held in reading.tags if "data-seconds" in held)
    assert seconds == pytest.approx(sum(one.speech_seconds + one.danced_seconds for one in plan.takes), abs=2)
    told = "".join(reading.said)
    assert all(words in told for take in plan.takes for words in take.said)


@pytest.mark.parametrize("text", HOSTILE)
def test_no_text_becomes_a_tag_of_the_teleprompter(text: str) -> None:
    plan = lesson("lantern-walk", ("en", "fr"), 3)
    takes = tuple(replace(take, title=text, said=(text, *take.said)) for take in plan.takes)
    plain, hostile = read(plan), read(replace(plan, title=text, takes=takes))
    count = [tag for tag, _ in hostile.tags].count
    assert (count("script"), count("img")) == (1, 0)
    assert {name for _, held in hostile.tags for name in held} == {
        name for _, held in plain.tags for name in held
    }


def test_a_waltz_is_counted_in_sixes() -> None:
    eights = {held["data-eight"] for _, held in read(lesson("mill-pond-waltz")).tags if "data-eight" in held}
    assert eights == {"6"}
