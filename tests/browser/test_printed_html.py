"""The printed sheet as a page: readable by all, and printed by Chromium as it says."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser
from pypdf import PdfReader

from noonwall.outputs import printed_html
from noonwall.outputs.printed_data import Printed
from tests.outputs import printing_kit as kit


@pytest.mark.parametrize("languages", [("en",), ("fr", "en")])
@pytest.mark.parametrize("width", [360, 1280])
def test_axe_finds_nothing(browser: Browser, tmp_path: Path, languages: tuple[str, ...], width: int) -> None:
    """Outside check: the rules of axe-core."""
    data = kit.printed("english/dev/10", languages)
    page = _open(browser, tmp_path, data, width)
    assert Axe().run(page).response["violations"] == []
    page.close()


def test_paper_is_marked_on_every_page_and_has_the_size_asked_for(browser: Browser, tmp_path: Path) -> None:
    mark = "NOT PROVED: this is a test"
    data = replace(kit.printed("english/dev/10", ("en", "fr")), unproved=(mark, mark))
    page = _open(browser, tmp_path, data, 1280)
    reader = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True)))
    page.close()
    assert len(reader.pages) > 1
    for sheet in reader.pages:
        assert mark in sheet.extract_text()
        # ISO 216: A4 lying, in points
        assert float(sheet.mediabox.width) == pytest.approx(297 * 72 / 25.4, abs=1.5)


def _open(browser: Browser, folder: Path, data: Printed, width: int):  # type: ignore[no-untyped-def]
    file = folder / "sheet.html"
    file.write_bytes(printed_html.make(data).content)
    page = browser.new_page(viewport={"width": width, "height": 800}, bypass_csp=True)
    page.goto(file.as_uri())
    return page
