"""What the floor shows is what was danced, whatever moves it."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from noonwall.dance.turns import clock
from noonwall.outputs.page_data import Film, Frame
from noonwall.outputs.soles import contact_shown
from tests.browser.conftest import VIEWPORTS, OpenPage
from tests.outputs.harbour_lights import page_data

EVERY = [(language, viewport) for language in ("en", "fr") for viewport in VIEWPORTS]
RESTING_MILLISECONDS = 600
"""A glide takes 450 ms."""


def _index(page: Page) -> int:
    return int(page.locator("#floor").get_attribute("data-index") or -1)


def _shown(page: Page) -> dict[str, str]:
    return page.evaluate(
        """() => {
            const floor = document.getElementById('floor').dataset;
            const foot = (name) => document.getElementById(name).dataset.state;
            const place = (name) => document.getElementById(name).getAttribute('transform');
            return { index: floor.index, weight: floor.weight, facing: floor.facing,
                     L: foot('foot-L'), R: foot('foot-R'), at: place('foot-L') + place('foot-R'),
                     count: document.getElementById('say-count').textContent,
                     clock: document.getElementById('say-facing').textContent };
        }"""
    )


def _state(frame: Frame, foot: str) -> str:
    stance = frame.stance
    contact = contact_shown((stance.left if foot == "L" else stance.right).contact)
    has_weight = stance.weight.value in (foot, "B") and contact != "air"
    return f"{'weight' if has_weight else 'free'} {contact}"


def _expected(film: Film, index: int) -> dict[str, str]:
    frame = film.frames[index]
    label = film.steps[index - 1].label if index else "–"
    facing = clock(frame.stance.facing)
    return {
        "index": str(index),
        "weight": frame.stance.weight.value,
        "facing": facing,
        "clock": facing,
        "count": label,
        "L": _state(frame, "L"),
        "R": _state(frame, "R"),
    }


@pytest.mark.parametrize(("language", "viewport"), EVERY)
def test_stepping_through_the_wall_and_back(open_page: OpenPage, language: str, viewport: str) -> None:
    data = page_data(language)
    film = data.films[0]
    page = open_page(data, language, viewport, reduced_motion="reduce")
    order = [*range(len(film.frames)), *range(len(film.frames) - 2, -1, -1)]
    previous = -1
    for index in order:
        if previous >= 0:
            page.keyboard.press("ArrowRight" if index > previous else "ArrowLeft")
        previous = index
        page.evaluate("() => new Promise(requestAnimationFrame)")
        shown = _shown(page)
        at = shown.pop("at")
        assert shown == _expected(film, index)
        left = film.frames[index].stance.left
        x, y = (float(n) for n in at.split("(")[1].split(")")[0].split())
        assert x == pytest.approx(left.x * 100, abs=0.06) and y == pytest.approx(-left.y * 100, abs=0.06)


def test_a_glide_ends_where_the_step_lands(open_page: OpenPage) -> None:
    data = page_data()
    page = open_page(data)
    for key, index in [("ArrowRight", 1), ("ArrowRight", 2), ("ArrowLeft", 1), ("End", 37), ("Home", 0)]:
        page.keyboard.press(key)
        page.wait_for_timeout(RESTING_MILLISECONDS)
        shown = _shown(page)
        shown.pop("at")
        assert shown == _expected(data.films[0], index if key != "End" else len(data.films[0].steps))


def test_a_moving_foot_is_off_the_floor(open_page: OpenPage) -> None:
    page = open_page(page_data())
    page.keyboard.press("ArrowRight")
    page.locator("#speed").fill("20")
    page.locator("#floor").focus()
    page.keyboard.press("Space")
    expect(page.locator("#foot-L")).to_have_attribute("data-state", "free air")
    expect(page.locator("#foot-L")).to_have_attribute("data-state", "weight flat")


def test_turn_me_to_the_front_turns_the_room_and_keeps_the_truth(open_page: OpenPage) -> None:
    data = page_data()
    page = open_page(data, reduced_motion="reduce")
    walls = """() => [...document.querySelectorAll('#walls text')]
        .sort((a, b) => a.getAttribute('y') - b.getAttribute('y'))[0].textContent"""
    assert page.evaluate(walls) == "12:00"
    page.keyboard.press("3")
    page.keyboard.press("f")
    page.evaluate("() => new Promise(requestAnimationFrame)")
    # Section 3 begins facing 6:00, so that wall is now at the top, while the label tells the truth.
    assert page.evaluate(walls) == "6:00"
    assert page.locator("#say-facing").inner_text() == "6:00"
    expect(page.locator("#say-under")).to_contain_text("Truly facing 6:00")
    expect(page.locator("#front")).to_have_attribute("aria-pressed", "true")
    arrow = """() => { const m = document.getElementById('body').getScreenCTM();
        return Math.round(Math.atan2(m.b, m.a) * 180 / Math.PI); }"""
    assert page.evaluate(arrow) == 0
    page.locator("#front").click()
    page.evaluate("() => new Promise(requestAnimationFrame)")
    assert page.evaluate(walls) == "12:00"
    assert abs(page.evaluate(arrow)) == 180


def test_turning_to_the_front_glides_there_and_settles(open_page: OpenPage) -> None:
    page = open_page(page_data())
    page.keyboard.press("4")
    page.keyboard.press("f")
    page.wait_for_timeout(2000)
    angle = page.evaluate("() => document.getElementById('world').transform.baseVal[1].angle")
    # 3:00 is up: the room has turned a quarter to the left.
    assert (angle + 360) % 360 == pytest.approx(270, abs=0.5)


def test_mirror_swaps_sides_but_not_letters(open_page: OpenPage) -> None:
    page = open_page(page_data(), reduced_motion="reduce")
    box = "(id) => document.getElementById(id).getBoundingClientRect().x"
    assert page.evaluate(box, "foot-L") < page.evaluate(box, "foot-R")
    page.keyboard.press("m")
    page.evaluate("() => new Promise(requestAnimationFrame)")
    assert page.evaluate(box, "foot-L") > page.evaluate(box, "foot-R")
    assert page.evaluate("() => document.getElementById('letter-L').getScreenCTM().a") > 0


def test_playing_reaches_the_end_and_stops(open_page: OpenPage) -> None:
    page = open_page(page_data())
    page.locator("#floor").focus()
    page.keyboard.press("End")
    for _ in range(3):
        page.keyboard.press("ArrowLeft")
    page.keyboard.press("Space")
    expect(page.locator("#play-name")).to_have_text("Pause")
    expect(page.locator("#play-name")).to_have_text("Play", timeout=5000)
    assert _index(page) == len(page_data().films[0].steps)


def test_playing_keeps_the_tempo(open_page: OpenPage) -> None:
    page = open_page(page_data())
    page.locator("#floor").focus()
    page.keyboard.press("Space")
    milliseconds = page.evaluate(
        """() => new Promise((done) => { let start = 0; const floor = document.getElementById('floor');
            new MutationObserver(() => { if (floor.dataset.index === '1') start = performance.now();
                if (floor.dataset.index === '10') done(performance.now() - start); })
                .observe(floor, { attributes: true, attributeFilter: ['data-index'] }); })"""
    )
    # Step 10 lies seven counts after step 1; a late frame may add a little.
    assert milliseconds / 1000 * 112 / 60 == pytest.approx(7, abs=0.15)


def test_a_loop_stays_in_its_section(open_page: OpenPage) -> None:
    page = open_page(page_data())
    page.locator("#speed").fill("200")
    page.locator("#floor").focus()
    page.keyboard.press("2")
    page.keyboard.press("l")
    page.keyboard.press("Space")
    page.evaluate(
        """() => { window.seen = []; const floor = document.getElementById('floor');
            new MutationObserver(() => window.seen.push(Number(floor.dataset.index)))
                .observe(floor, { attributes: true, attributeFilter: ['data-index'] }); }"""
    )
    page.wait_for_timeout(3500)
    seen = page.evaluate("window.seen")
    # Eight counts at 224 a minute are 2.1 s: it has gone round at least once, through frames 10 to 19 alone.
    assert min(seen) == 10 and max(seen) == 19
    assert seen.count(11) >= 1 and len(seen) > 10


def test_reduced_motion_jumps(open_page: OpenPage) -> None:
    page = open_page(page_data(), reduced_motion="reduce")
    page.keyboard.press("ArrowRight")
    expect(page.locator("#foot-R")).to_have_attribute("transform", re.compile("rotate"))
    page.evaluate(
        """() => { window.places = new Set(); const foot = document.getElementById('foot-R');
            const look = () => { window.places.add(foot.getAttribute('transform').replace(/rotate.*/, ''));
                requestAnimationFrame(look); };
            look(); }"""
    )
    page.keyboard.press("Space")
    expect(page.locator("#floor")).to_have_attribute("data-index", "5", timeout=8000)
    page.keyboard.press("Space")
    data = page_data()
    allowed = {
        (round(f.stance.right.x * 100, 1), round(-f.stance.right.y * 100, 1)) for f in data.films[0].frames
    }
    for place in page.evaluate("[...window.places]"):
        x, y = (float(n) for n in place.split("(")[1].split(")")[0].split())
        assert (round(x, 1), round(y, 1)) in allowed


def test_whole_run_shows_walls_restart_and_tag(open_page: OpenPage) -> None:
    data = page_data("fr")
    page = open_page(data, "fr", reduced_motion="reduce")
    page.get_by_label("Tous les murs").check()
    names = page.locator("#strip-1 .to-section").all_inner_texts()
    assert len(names) == 6
    assert "Mur 3" in names[2] and "restart après le compte 16" in names[2] and "6:00" in names[2]
    assert "Tag après le mur 4" in names[4]
    page.locator("#floor").focus()
    page.keyboard.press("5")
    run = data.films[1]
    assert _index(page) == run.sections[4].first + 1
    expect(page.locator("#strip-0")).to_be_hidden()


@pytest.mark.parametrize("viewport", VIEWPORTS)
def test_frames_per_second(
    open_page: OpenPage, viewport: str, record_property: pytest.RecordProperty
) -> None:
    page = open_page(page_data(), "en", viewport)
    page.keyboard.press("Space")
    rate = page.evaluate(
        """() => new Promise((done) => { let frames = 0; const start = performance.now();
            const tick = (now) => { frames += 1; if (now - start > 2000) done(frames * 1000 / (now - start));
            else requestAnimationFrame(tick); }; requestAnimationFrame(tick); })"""
    )
    record_property(f"frames_per_second_{viewport}", rate)
    print(f"{viewport}: {rate:.1f} frames a second")
    # The bar is 60; a shared machine without a graphics card is given room.
    assert rate > 40
