"""A Chromium for the pages; without one these tests are skipped and say so."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from noonwall.outputs.page import check_page
from noonwall.outputs.page_data import PageData

sync_api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
VIEWPORTS = {"phone": (360, 740), "desktop": (1280, 800)}

OpenPage = Callable[..., "sync_api.Page"]


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line("markers", "browser: needs Chromium (apt-get install chromium)")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents:
            item.add_marker(pytest.mark.browser)
            if CHROMIUM is None:
                item.add_marker(pytest.mark.skip(reason="no Chromium here: apt-get install chromium"))


@pytest.fixture(scope="session")
def browser() -> Iterator[sync_api.Browser]:
    with sync_api.sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield browser
        browser.close()


@pytest.fixture
def open_page(browser: sync_api.Browser, tmp_path: Path) -> Iterator[OpenPage]:
    """Open a page from page data; console errors, page errors and requests fail the test at its end."""
    contexts, complaints, requests = [], [], []

    def open_it(
        data: PageData, language: str = "en", viewport: str = "desktop", **context: object
    ) -> sync_api.Page:
        width, height = VIEWPORTS[viewport]
        file = tmp_path / f"{len(contexts)}.html"
        file.write_text(check_page(data, language), "utf-8", newline="\n")
        contexts.append(browser.new_context(viewport={"width": width, "height": height}, **context))
        page = contexts[-1].new_page()
        page.on("console", lambda message: complaints.append(message.text))
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on("request", lambda request: requests.append(request.url))
        page.goto(file.as_uri())
        return page

    yield open_it
    for context in contexts:
        context.close()
    assert complaints == []
    assert len(requests) == len(contexts), "a page asked for something beside itself"
