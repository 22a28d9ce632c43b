"""Sheets to print, and readers of what was printed that are not ours: pypdf, python-docx, html.parser."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

from pypdf import PdfReader
from pypdf.generic import ArrayObject, DictionaryObject

from noonwall.outputs.printed_data import Printed
from noonwall.pipeline.printed_sheet import printed_of
from noonwall.pipeline.proving import Proved, prove

HAND = Path(__file__).parents[1] / "data" / "hand"
SHEETS = ("english/dev/01", "english/dev/08", "english/dev/10", "french/dev/03", "french/dev/06")
"""A short one, a phrased one, one with tag, restart and ending, one of Québec, one of 64 counts."""

LANGUAGES = (("en",), ("fr",), ("en", "fr"), ("fr-CA", "en"))


def sheet_text(name: str) -> str:
    return (HAND / f"{name}.txt").read_text("utf-8")


@cache
def proved(name: str) -> Proved:
    return prove(sheet_text(name))


@cache
def printed(name: str, languages: tuple[str, ...] = ("en",)) -> Printed:
    return printed_of(proved(name), None, languages)


def pdf_of(content: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(content))


def words_of(text: str) -> str:
    """Return text with every run of spaces and line ends as one space."""
    return re.sub(r"\s+", " ", text).strip()


def all_text(reader: PdfReader) -> str:
    return words_of(" ".join(page.extract_text() for page in reader.pages))


def structure(reader: PdfReader) -> Iterator[DictionaryObject]:
    """Yield every element of the tree of tags."""
    queue: list[Any] = [reader.trailer["/Root"]["/StructTreeRoot"]]
    while queue:
        one = queue.pop(0).get_object()
        if isinstance(one, ArrayObject):
            queue += list(one)
        elif isinstance(one, DictionaryObject):
            if "/S" in one:
                yield one
            if "/K" in one:
                queue.append(one["/K"])


def fonts_of(reader: PdfReader) -> Iterator[DictionaryObject]:
    for page in reader.pages:
        for font in page["/Resources"].get("/Font", {}).values():
            for inner in font.get_object().get("/DescendantFonts", [font]):
                yield inner.get_object()


def sizes_of(reader: PdfReader, page: int) -> dict[str, float]:
    """Return the type size in points of every piece of text on a page, as pypdf measures it."""
    sizes: dict[str, float] = {}

    def note(text: str, _: Any, matrix: Any, __: Any, size: float) -> None:
        if text.strip():
            sizes[text.strip()] = size * abs(matrix[3] or matrix[0])

    reader.pages[page].extract_text(visitor_text=note)
    return sizes
