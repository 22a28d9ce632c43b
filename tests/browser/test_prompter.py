"""The teleprompter in Chromium: readable by all, at the pace it says, with keys, without needless motion."""

from __future__ import annotations

from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from noonwall.outputs import prompter
from tests.outputs.test_lesson_sheet import lesson

SIZES = {"phone": (360, 740), "desktop": (1280, 800)}


def opened(
    browser: Browser, folder: Path, size: str = "desktop", **context: object
) -> tuple[Page, list[str]]:
    file = folder / "prompter.html"
    file.write_bytes(prompter.make(lesson()).content)
    width, height = SIZES[size]
    page = browser.new_context(viewport={"width": width, "height": height}, **context).new_page()  # type: ignore[arg-type]
    complaints: list[str] = []
    page.on("console", lambda message: complaints.append(message.text))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.goto(file.as_uri())
    return page, complaints


@pytest.mark.parametrize("size", list(SIZES))
def test_axe_finds_nothing_and_nothing_is_too_wide(browser: Browser, tmp_path: Path, size: str) -> None:
    """Outside check: the rules of axe-core."""
    page, complaints = opened(browser, tmp_path, size, bypass_csp=True)
    assert Axe().run(page).response["violations"] == []
    assert page.evaluate("document.documentElement.scrollWidth") <= SIZES[size][0]
    buttons = "[...document.querySelectorAll('button')]"
    small = page.evaluate(f"{buttons}.filter(b => b.offsetHeight < 44 || b.offsetWidth < 44).length")
    assert (small, complaints) == (0, [])
    page.context.close()


def test_it_runs_at_the_pace_it_says(browser: Browser, tmp_path: Path) -> None:
    page, complaints = opened(browser, tmp_path)
    left = page.locator("#left")

    def seconds() -> int:
        minutes, rest = left.inner_text().split(" ")[0].split(":")
        return int(minutes) * 60 + int(rest)

    whole = seconds()
    takes = [take for take in lesson().takes if take.language in ("", "en")]
    assert whole == pytest.approx(sum(take.seconds for take in takes), abs=2)
    page.keyboard.press("ArrowDown")
    began, top = seconds(), page.evaluate("document.getElementById('stage').scrollTop")
    assert whole - began == pytest.approx(takes[0].seconds, abs=1)
    page.keyboard.press(" ")
    page.wait_for_timeout(3000)
    page.keyboard.press(" ")
    assert began - seconds() == pytest.approx(3, abs=1)
    assert page.evaluate("document.getElementById('stage').scrollTop") > top
    stopped = seconds()
    page.wait_for_timeout(300)
    assert (seconds(), complaints) == (stopped, [])
    page.context.close()


def test_languages_takes_size_and_mirror_can_be_chosen(browser: Browser, tmp_path: Path) -> None:
    page, complaints = opened(browser, tmp_path, "phone")
    page.click("button[value=fr]")
    shown = page.evaluate(
        "[...document.querySelectorAll('section:not([hidden])')].map(s => s.dataset.language)"
    )
    assert set(shown) == {"", "fr"} and shown[0] == ""
    page.select_option("#takes", index=2)
    assert page.locator("section.now").get_attribute("data-title") == "Précautions"
    before = page.evaluate("getComputedStyle(document.querySelector('section.now p')).fontSize")
    page.keyboard.press("+")
    after = page.evaluate("getComputedStyle(document.querySelector('section.now p')).fontSize")
    assert float(after[:-2]) > float(before[:-2])
    page.click("#mirror")
    assert "-1" in page.evaluate("getComputedStyle(document.getElementById('roll')).transform")
    assert complaints == []
    page.context.close()


def test_with_reduced_motion_it_steps_instead_of_sliding(browser: Browser, tmp_path: Path) -> None:
    page, _ = opened(browser, tmp_path, reduced_motion="reduce")
    page.keyboard.press("ArrowDown")
    page.keyboard.press(" ")
    page.wait_for_timeout(1700)
    tops = []
    for _ in range(8):
        page.wait_for_timeout(60)
        tops.append(page.evaluate("document.getElementById('stage').scrollTop"))
    assert len(set(tops)) <= 2
    page.context.close()


def test_without_script_everything_can_be_read(browser: Browser, tmp_path: Path) -> None:
    page, _ = opened(browser, tmp_path, java_script_enabled=False)
    told = page.locator("body").inner_text()
    assert all(words in told for take in lesson().takes for words in take.said[:1])
    page.context.close()
