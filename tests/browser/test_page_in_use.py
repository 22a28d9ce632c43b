"""The page in a hand: keys, touch, small screens, paper, and people who do not see it."""

from __future__ import annotations

import io
import unicodedata
from dataclasses import replace

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from noonwall.outputs.page import check_page
from noonwall.outputs.page_words import LANGUAGES
from tests.browser.conftest import VIEWPORTS, OpenPage
from tests.outputs.harbour_lights import page_data

pypdf = pytest.importorskip("pypdf")


def _index(page: Page) -> int:
    return int(page.locator("#floor").get_attribute("data-index") or -1)


def _violations(page: Page) -> list[str]:
    return [f"{v['id']}: {v['nodes'][0]['html'][:120]}" for v in Axe().run(page).response["violations"]]


@pytest.mark.parametrize("viewport", VIEWPORTS)
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("language", LANGUAGES)
def test_axe_finds_nothing(open_page: OpenPage, language: str, scheme: str, viewport: str) -> None:
    """Outside check: the rules of axe-core, run in the page in each of its states."""
    page = open_page(page_data(language), language, viewport, color_scheme=scheme, reduced_motion="reduce")
    assert _violations(page) == []
    page.keyboard.press("3")
    page.keyboard.press("f")
    page.locator(".legend summary").click()
    page.locator(".keys summary").click()
    page.locator('.films input[value="1"]').check(force=True)
    assert _violations(page) == []


def test_every_control_can_be_reached_and_seen_by_keyboard(open_page: OpenPage) -> None:
    page = open_page(page_data())
    reached = []
    for _ in range(80):
        page.keyboard.press("Tab")
        name, outline = page.evaluate(
            """() => { const e = document.activeElement; const s = getComputedStyle(e);
                const shown = e.matches('.films input') ? getComputedStyle(e.nextElementSibling) : s;
                return [e.id || e.className || e.tagName, parseFloat(shown.outlineWidth)]; }"""
        )
        if name == "BODY":
            break
        assert outline >= 2, name
        reached.append(name)
    assert {"floor", "start", "back", "play", "next", "front", "loop", "mirror", "speed"} <= set(reached)
    # One stop for all cells, one for each section.
    assert sum(name.startswith("cell") for name in reached) == 1
    assert reached.count("to-section") == 4


def test_space_works_the_control_that_has_the_focus(open_page: OpenPage) -> None:
    page = open_page(page_data())
    page.locator("#front").focus()
    page.keyboard.press("Space")
    expect(page.locator("#front")).to_have_attribute("aria-pressed", "true")
    expect(page.locator("#play-name")).to_have_text("Play")


def test_arrow_keys_move_a_focused_slider_and_not_the_dance(open_page: OpenPage) -> None:
    page = open_page(page_data())
    page.locator("#speed").focus()
    page.keyboard.press("ArrowRight")
    assert page.locator("#speed").input_value() == "105"
    assert _index(page) == 0
    expect(page.locator("#say-speed")).to_have_text("105% · 118 counts a minute")


def test_a_pedal_turns_steps_on_the_floor(open_page: OpenPage) -> None:
    page = open_page(page_data())
    page.locator("#floor").focus()
    page.keyboard.press("PageDown")
    page.keyboard.press("PageDown")
    page.keyboard.press("PageUp")
    assert _index(page) == 1


def test_letter_keys_can_be_switched_off(open_page: OpenPage) -> None:
    """WCAG 2.1.4: single-character shortcuts can be turned off; the others stay."""
    page = open_page(page_data())
    page.locator(".keys summary").click()
    page.locator("#keys-on").uncheck()
    page.locator("#floor").focus()
    page.keyboard.press("f")
    page.keyboard.press("3")
    expect(page.locator("#front")).to_have_attribute("aria-pressed", "false")
    assert _index(page) == 0
    page.keyboard.press("ArrowRight")
    assert _index(page) == 1


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", "2: Left step together, weight on the left, Facing 12:00"),
        ("fr", "2: Gauche pas assemblé, appui à gauche, Face à 12:00"),
    ],
)
def test_each_step_is_announced(open_page: OpenPage, language: str, said: str) -> None:
    page = open_page(page_data(language), language)
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    expect(page.locator("#live")).to_have_text(said)
    assert page.locator("#live").get_attribute("aria-live") == "polite"


def test_focus_follows_the_cells(open_page: OpenPage) -> None:
    page = open_page(page_data())
    page.locator('button.cell[data-step="4"]').click()
    assert _index(page) == 5
    page.keyboard.press("ArrowRight")
    assert page.evaluate("document.activeElement.dataset.step") == "5"
    expect(page.locator('button.cell[data-step="5"]')).to_have_attribute("aria-current", "step")


@pytest.mark.parametrize("viewport", VIEWPORTS)
def test_a_line_of_the_sheet_jumps_to_its_first_step(open_page: OpenPage, viewport: str) -> None:
    page = open_page(page_data(), "en", viewport, reduced_motion="reduce")
    page.get_by_role("button", name="Dance line 14").click()
    assert _index(page) == 13
    expect(page.locator("#line-14")).to_have_attribute("aria-current", "true")
    expect(page.locator("#floor")).to_be_in_viewport()


def test_a_line_clicked_during_a_run_goes_back_to_the_wall(open_page: OpenPage) -> None:
    page = open_page(page_data())
    page.get_by_label("Whole run").check()
    page.locator("#line-9 .text").click()
    expect(page.get_by_label("One wall")).to_be_checked()
    assert _index(page) == 6


def test_a_chip_leads_to_its_finding(open_page: OpenPage) -> None:
    page = open_page(page_data(), "en", "phone")
    page.get_by_role("link", name="1 thing is wrong").click()
    expect(page.locator("#line-20")).to_be_in_viewport()


@pytest.mark.parametrize("width", [320, 360, 768, 1024, 1280, 1920])
@pytest.mark.parametrize("language", LANGUAGES)
def test_no_width_scrolls_sideways(open_page: OpenPage, language: str, width: int) -> None:
    """WCAG 1.4.10 asks for 320 px."""
    page = open_page(page_data(language, "Donaudampfschifffahrtsgesellschaft" * 3), language)
    page.set_viewport_size({"width": width, "height": 800})
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_controls_are_large_enough_to_touch(open_page: OpenPage) -> None:
    """44 px is WCAG 2.5.5 (AAA) for the controls; the cells keep 24 px, WCAG 2.5.8 (AA)."""
    page = open_page(page_data("fr"), "fr", "phone")
    page.locator(".keys summary").click()
    sizes = page.evaluate(
        """() => [...document.querySelectorAll('button, a, summary, .check, input[type=range], .films label')]
            .filter((e) => e.getClientRects().length && !e.matches('.skip'))
            .map((e) => [e.id || e.className || e.tagName, e.getBoundingClientRect()])
            .map(([name, box]) => [name, box.width, box.height])"""
    )
    assert len(sizes) > 60
    for name, width, height in sizes:
        assert height >= 44, name
        assert width >= (24 if name.startswith("cell") else 44), name


@pytest.mark.parametrize("language", LANGUAGES)
def test_paper_holds_facts_findings_counts_and_drawings(open_page: OpenPage, language: str) -> None:
    data = page_data(language)
    page = open_page(data, language)
    paper = pypdf.PdfReader(io.BytesIO(page.pdf(format="A4")))
    # The font joins "ff" and the like into one sign; compatibility forms take them apart.
    written = unicodedata.normalize("NFKC", " ".join(leaf.extract_text() for leaf in paper.pages))
    said = " ".join(written.split())
    assert len(paper.pages) <= 4
    for fact in data.facts:
        assert fact.value in said
    for finding in data.findings:
        assert unicodedata.normalize("NFKC", finding.message) in said
    for section in data.films[0].sections:
        assert said.count(section.label) == 2, "once over its counts, once over its drawings"
    page.emulate_media(media="print")
    expect(page.locator("#stage")).to_be_hidden()
    # One drawing a figure, save that line 24 and the like are never cut and eight counts of vine are two.
    assert page.locator(".drawings svg").count() == 13


@pytest.mark.parametrize(
    "title", ["<img src=x onerror=alert(1)>", "</script><script>alert(1)</script>", "مرسى 💃"]
)
def test_hostile_titles_are_shown_as_written(open_page: OpenPage, title: str) -> None:
    data = page_data(title=title)
    page = open_page(replace(data, lines=(title, *data.lines[1:])))
    assert page.locator("h1").inner_text() == title
    assert page.title() == title
    page.keyboard.press("ArrowRight")
    assert _index(page) == 1


def test_a_foreign_script_does_not_run(browser: Browser) -> None:
    """The policy is real: a script put into the page after it was made is refused."""
    page = browser.new_page()
    page.set_content(check_page(page_data(), "en"))
    ran = page.evaluate(
        """() => new Promise((done) => {
            document.addEventListener('securitypolicyviolation', (event) => done(event.effectiveDirective));
            const script = document.createElement('script'); script.textContent = 'window.foreign = true';
            document.body.append(script); if (window.foreign) done('ran'); })"""
    )
    page.close()
    assert ran == "script-src-elem"


def test_a_sheet_without_steps_opens_quietly(open_page: OpenPage) -> None:
    page = open_page(replace(page_data(), films=()))
    expect(page.locator("#stage")).to_be_hidden()
    expect(page.locator(".no-steps")).to_be_visible()
    assert _violations(page) == []


def test_the_page_opens_fast(open_page: OpenPage, record_property: pytest.RecordProperty) -> None:
    page = open_page(page_data())
    ready = page.evaluate("performance.getEntriesByType('navigation')[0].domContentLoadedEventEnd")
    record_property("ready_milliseconds", ready)
    print(f"ready after {ready:.0f} ms")
    assert ready < 1000
