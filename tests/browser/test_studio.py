"""The studio in a teacher's hands: the whole journey, on a phone and on a desktop, in both languages."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page, expect

from noonwall.demo.sheets import WITH_MISTAKES
from tests.browser.conftest import VIEWPORTS
from tests.browser.studio_served import SONG_TITLE, Running, served

Enter = Callable[..., Page]


@pytest.fixture(scope="module")
def running(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    with served(tmp_path_factory.mktemp("studio")) as running:
        yield running


@pytest.fixture
def enter(browser: Browser, running: Running) -> Iterator[Enter]:
    """Let a browser in; messages of the console, errors and requests to elsewhere fail the test."""
    contexts: list[BrowserContext] = []
    complaints: list[str] = []

    def come_in(language: str = "en", viewport: str = "desktop", **given: object) -> Page:
        width, height = VIEWPORTS[viewport]
        contexts.append(browser.new_context(viewport={"width": width, "height": height}, **given))
        page = contexts[-1].new_page()
        page.on("console", lambda message: complaints.append(message.text))
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on("request", lambda request: complaints.append(request.url) if away(request.url) else None)
        page.goto(running.door)
        page.goto(f"{running.address}/?lang={language}")
        return page

    def away(url: str) -> bool:
        return not url.startswith((running.address, "blob:", "data:"))

    yield come_in
    for context in contexts:
        context.close()
    assert complaints == []


def wait_for_sound(page: Page) -> None:
    """Wait until sound can be played; the page's policy forbids the usual way, which evaluates text."""
    page.evaluate(
        """() => new Promise((done) => { const audio = document.getElementById('audio');
            const look = () => (audio.readyState >= 2 ? done() : setTimeout(look, 50)); look(); })"""
    )


def on_screen(page: Page) -> bool:
    """True if nothing is wider than the window."""
    return bool(page.evaluate("document.documentElement.scrollWidth <= innerWidth"))


PASTED = WITH_MISTAKES.replace("FOGHORN SHUFFLE", "FOGHORN {0} SHUFFLE")
WORDS = {
    "en": {"wrong": "2 things are wrong", "clean": "nothing wrong found", "saved": "Saved as version 2"},
    "fr": {"wrong": "2 erreurs", "clean": "rien de faux", "saved": "version 2"},
}


@pytest.mark.parametrize(("language", "viewport"), [("en", "desktop"), ("fr", "phone")])
def test_the_journey(enter: Enter, running: Running, language: str, viewport: str) -> None:
    """Paste, mend, save, lay on a song, correct its one, plan, teach on the floor, make, search, restore."""
    page, words = enter(language, viewport, reduced_motion="reduce"), WORDS[language]
    page.locator("#sheet").fill(PASTED.format(viewport.upper()))
    page.locator("#paste button").click()
    page.wait_for_url(re.compile(r"/dances/\d+$"))
    dance = page.url
    # mended by two clicks; the page proves the text anew after each
    expect(page.locator("#verdict")).to_contain_text(words["wrong"])
    for left in (1, 0):
        page.locator("#notes .use").first.click()
        expect(page.locator("#notes .wrong")).to_have_count(left)
    expect(page.locator("#verdict")).to_contain_text(words["clean"])
    expect(page.locator("#floor")).to_be_visible()
    page.locator("#save").click()
    expect(page.locator("#state")).to_contain_text(words["saved"])
    assert on_screen(page)
    # a song: laid on it, its one moved, the run kept
    page.goto(f"{dance}/music")
    if viewport == "desktop":
        # brought as a file: it is known by its content, and stays one song
        page.locator("#file").set_input_files(running.studio.songs_folder / "ferry.mp3")
    else:
        page.get_by_text(SONG_TITLE).click()
    page.wait_for_url(re.compile("song="))
    expect(page.locator(".plans li").first).to_be_visible()
    expect(page.locator("#rows .piece").first).to_be_visible()
    page.locator("#later").click()
    page.locator("#keep-corrections").click()
    expect(page.locator("#corrections li")).to_have_count(1)
    expect(page.locator("#keep-bar")).to_be_hidden()
    page.locator("#keep-run").click()
    expect(page.locator("#run-told")).not_to_be_empty()
    assert on_screen(page)
    running.studio.shelf.set_corrections(1, [])
    # the lesson, then the floor
    page.goto(f"{dance}/lesson?minutes=20")
    expect(page.locator(".drills li").first).to_be_visible()
    expect(page.locator(".learned li").first).to_be_visible()
    assert on_screen(page)
    page.locator(".learned a").nth(1).click()
    page.wait_for_url(re.compile("/floor#c"))
    expect(page.locator("#cue")).not_to_be_empty()
    assert on_screen(page)
    # something made
    page.goto(f"{dance}/make")
    form = page.locator('[data-what="text"]')
    form.locator("button").click()
    with page.expect_download() as fetched:
        form.locator("a").click()
    assert "FOGHORN" in Path(fetched.value.path()).read_text("utf-8").upper()
    assert on_screen(page)
    # found as one types, and the first version restored
    page.goto(running.address)
    page.locator("#find").fill(f"foghorn {viewport}")
    expect(page.locator(".dances li")).to_have_count(1)
    page.locator(".dances a").click()
    page.goto(f"{dance}/versions")
    page.locator('[data-restore="1"]').click()
    page.wait_for_url(dance)
    expect(page.locator("#text")).to_have_value(PASTED.format(viewport.upper()).rstrip("\n") + "\n")
    expect(page.locator("#verdict")).to_contain_text(words["wrong"])


PLACES = ("/", "/dances/1", "/dances/1/beside", "/dances/2/versions", "/dances/3/music?song=1", "/songs")
PLACES = (*PLACES, "/songs/1", "/dances/2/lesson", "/dances/2/floor", "/dances/2/make", "/hall", "/nowhere")


@pytest.mark.parametrize(
    ("language", "viewport", "scheme"), [("en", "desktop", "dark"), ("fr", "phone", "light")]
)
def test_axe_finds_nothing(
    browser: Browser, running: Running, language: str, viewport: str, scheme: str
) -> None:
    """Outside check: the rules of axe-core on every page, light and dark, narrow and wide."""
    width, height = VIEWPORTS[viewport]
    context = browser.new_context(
        viewport={"width": width, "height": height}, color_scheme=scheme, reduced_motion="reduce"
    )
    page = context.new_page()
    page.goto(running.door)
    found = []
    for place in PLACES:
        page.goto(f"{running.address}{place}{'&' if '?' in place else '?'}lang={language}")
        page.wait_for_load_state()
        for violation in Axe().run(page).response["violations"]:
            found.append((place, violation["id"], violation["nodes"][0]["html"][:120]))
        for pixels in (width, 1920):
            page.set_viewport_size({"width": pixels, "height": height})
            if not on_screen(page):
                found.append((place, f"wider than {pixels} pixels", ""))
        page.set_viewport_size({"width": width, "height": height})
    context.close()
    assert found == []


def test_remarks_come_as_one_types(enter: Enter, running: Running, record_property) -> None:  # type: ignore[no-untyped-def]
    page = enter()
    page.goto(f"{running.address}/dances/2")
    text = page.locator("#text")
    expect(page.locator("#notes li")).to_have_count(0)
    value = text.input_value()
    text.fill(value.replace("pivot 1/4 left (9:00)", "pivot 1/4 left (3:00)"))
    expect(page.locator("#notes .wrong")).to_have_count(1)
    expect(page.locator("#folds mark.wrong")).to_have_text("3:00")
    expect(page.locator("#save")).to_be_enabled()
    milliseconds = float(page.locator("#editor").get_attribute("data-checked-milliseconds") or 0)
    record_property("checked_milliseconds", milliseconds)
    print(f"checked and shown {milliseconds:.0f} ms after asking")
    assert 0 < milliseconds < 500  # the bar is 100 on a quiet machine; see docs/measured.md
    # each mark lies under the letters that it is about, wherever the line wraps
    page.locator("#notes .on-line").click()
    assert page.evaluate("getSelection().toString()") == "3:00"
    page.keyboard.press("Control+z")
    expect(page.locator("#notes li")).to_have_count(0)
    expect(page.locator("#save")).to_be_disabled()


def test_typing_letters_does_not_move_the_floor(enter: Enter, running: Running) -> None:
    page = enter()
    page.goto(f"{running.address}/dances/2")
    page.locator("#text").focus()
    for key in ("f", "l", "m", "3", "Space", "ArrowRight", "Home"):
        page.keyboard.press(key)
    assert page.locator("#front").get_attribute("aria-pressed") == "false"
    assert page.locator("#floor").get_attribute("data-index") == "0"
    expect(page.locator("#play-name")).to_have_text("Play")
    page.once("dialog", lambda dialog: dialog.accept())
    page.goto(running.address)


def test_the_floor_follows_the_text(enter: Enter, running: Running) -> None:
    page = enter(reduced_motion="reduce")
    page.goto(f"{running.address}/dances/2")
    page.locator("#line-12 .number").click()
    assert page.locator("#floor").get_attribute("data-index") == "9"
    cells = page.locator("#strip-0 button.cell").count()
    page.locator("#text").fill(page.locator("#text").input_value() + "\n[33-40] WALKS\n1-4 Walk R, L, R, L\n")
    expect(page.locator("#strip-0 button.cell")).to_have_count(cells + 4)
    page.locator(".films label").nth(1).click()
    expect(page.locator("#strip-1")).to_be_visible()
    page.once("dialog", lambda dialog: dialog.accept())
    page.goto(running.address)


def test_two_tabs_lose_nothing(enter: Enter, running: Running) -> None:
    one = enter()
    one.goto(f"{running.address}/dances/4")
    other = one.context.new_page()
    other.goto(f"{running.address}/dances/4")
    for tab, words in ((one, "first"), (other, "second")):
        tab.locator("#text").fill(tab.locator("#text").input_value() + words)
        tab.locator("#save").click()
    expect(other.locator("#conflict")).to_be_visible()
    versions = [version.text for version in running.studio.shelf.versions(4)]
    assert any(text.endswith("first") for text in versions)
    assert any(text.endswith("second") for text in versions)
    other.locator("#mine").click()
    expect(other.locator("#conflict")).to_be_hidden()
    assert running.studio.shelf.dance(4).text.endswith("second")


# --- floor mode ---------------------------------------------------------------------------------------------

WATCH = """() => { window.seen = []; let gap = 0; let last = performance.now();
    const look = () => { const now = performance.now(); gap = now - last; last = now;
        requestAnimationFrame(look); };
    requestAnimationFrame(look);
    const audio = document.getElementById('audio'); const main = document.getElementById('main');
    new MutationObserver(() => { if (!audio.paused) window.seen.push([Number(main.dataset.beat),
        audio.currentTime, Math.max(gap, performance.now() - last)]); })
        .observe(main, { attributes: true, attributeFilter: ['data-beat'] }); }"""
TOLERANCE_SECONDS = 0.030
STALLED_MILLISECONDS = 30


@pytest.fixture(scope="module")
def on_song(running: Running) -> str:
    """Return the address of the floor mode of a dance on the song."""
    shelf = running.studio.shelf
    shelf.add_run(3, shelf.dance(3).version, 1, {"plan": 0})
    return f"{running.address}/dances/3/floor"


def test_counts_change_with_the_audio_clock(
    enter: Enter, on_song: str, record_property: Callable[[str, object], None]
) -> None:
    """Every change of the huge count lies within 30 ms of its beat, by the audio element's own clock."""
    page = enter()
    page.goto(on_song)
    wait_for_sound(page)
    beats = page.evaluate("JSON.parse(document.getElementById('begin').textContent).run.beats")
    page.evaluate(WATCH)
    page.locator("#play").click()
    page.wait_for_timeout(6000)
    seen = page.evaluate("window.seen")[1:]
    late = [now - beats[beat][0] for beat, now, gap in seen if gap < STALLED_MILLISECONDS]
    if len(late) < 2 * len(seen) / 3:
        pytest.skip(f"the machine is too busy: {len(seen) - len(late)} of {len(seen)} frames were held up")
    worst = max(late, key=abs)
    record_property("worst_milliseconds", 1000 * worst)
    print(f"floor mode: {len(late)} changes, worst {1000 * worst:.1f} ms")
    assert len(late) >= 5 and abs(worst) < TOLERANCE_SECONDS


def test_floor_mode_works_when_the_network_is_gone(enter: Enter, on_song: str) -> None:
    page = enter("fr", "phone")
    page.goto(on_song)
    expect(page.locator("#ready")).to_have_text("Prêt, même sans réseau")
    page.evaluate(
        """() => new Promise((done) => { const look = async () => {
            const kept = await (await caches.open('noonwall-floor')).keys();
            if (kept.length >= 5) done(); else setTimeout(look, 50); }; look(); })"""
    )
    page.context.set_offline(True)
    page.locator("#play").click()
    expect(page.locator("#count")).not_to_have_text("–", timeout=15_000)
    page.reload()
    expect(page.locator("#cue")).not_to_be_empty()
    wait_for_sound(page)


def test_a_pedal_leads_through_the_calls(enter: Enter, running: Running) -> None:
    page = enter()
    page.goto(f"{running.address}/dances/2/floor")
    run = page.evaluate("JSON.parse(document.getElementById('begin').textContent).run")
    calls = [words for *_, words in run["calls"]]
    cue = page.locator("#cue")
    expect(cue).to_have_text(calls[0])
    for key, at in [("PageDown", 1), ("ArrowRight", 2), ("PageDown", 3), ("PageUp", 2), ("ArrowLeft", 1)]:
        page.keyboard.press(key)
        expect(cue).to_have_text(calls[at])
    page.locator("#piece").select_option("4")
    expect(page.locator("#wall")).to_have_text("Wall 2")
    expect(page.locator("#count")).to_have_text("1")
    expect(page.locator("#clock")).to_have_text("9:00")


def test_the_click_keeps_the_tempo_at_any_speed(enter: Enter, running: Running) -> None:
    page = enter()
    page.goto(f"{running.address}/dances/2/floor")
    page.locator("#speed").fill("120")
    page.locator("#piece").select_option("1")
    seen = page.evaluate(
        """() => new Promise((done) => { const main = document.getElementById('main'); const seen = [];
            let gap = 0; let last = performance.now();
            const look = () => { const now = performance.now(); gap = now - last; last = now;
                requestAnimationFrame(look); };
            requestAnimationFrame(look);
            new MutationObserver(() => { const now = performance.now();
                seen.push([now / 1000, Math.max(gap, now - last)]); if (seen.length === 16) done(seen); })
                .observe(main, { attributes: true, attributeFilter: ['data-beat'] });
            document.getElementById('play').click(); })"""
    )
    # a frame that the machine held up says nothing of the page
    kept = [(beat, now) for beat, (now, gap) in enumerate(seen) if beat and gap < STALLED_MILLISECONDS]
    if len(kept) < 6:
        pytest.skip("the machine is too busy: most frames were held up")
    (first, begun), (last, ended) = kept[0], kept[-1]
    # Lantern Walk is danced to 112 counts a minute, here at 120%.
    assert ended - begun == pytest.approx((last - first) * 60 / (112 * 1.2), abs=0.12)


def test_the_shelf_opens_dancing(enter: Enter) -> None:
    page = enter()
    foot, button = page.locator("#foot-R"), page.locator("#dancing-play")
    expect(button).to_have_attribute("aria-pressed", "true")
    before = foot.get_attribute("transform")
    expect(foot).not_to_have_attribute("transform", before or "")
    button.click()
    expect(button).to_have_attribute("aria-pressed", "false")


def test_the_shelf_rests_where_less_motion_is_wanted(enter: Enter) -> None:
    page = enter(reduced_motion="reduce")
    button = page.locator("#dancing-play")
    expect(button).to_be_visible()
    expect(button).to_have_attribute("aria-pressed", "false")
