"""The page of a song in Chromium: the picture against the audio clock, taps, keys, small screens, paper."""

from __future__ import annotations

import io
import json
import random
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from noonwall.fit import Run
from noonwall.music.layout import Correction
from noonwall.music.map import MusicMap, reapply
from noonwall.outputs import song_audio
from noonwall.outputs.page_words import LANGUAGES
from noonwall.outputs.song_audio import audio_for_page
from noonwall.outputs.song_page import song_page
from tests.browser.conftest import VIEWPORTS
from tests.outputs.ferry_song import ferry_film, ferry_run, true_map, write_song

pypdf = pytest.importorskip("pypdf")

OpenSong = Callable[..., Page]
TOLERANCE_SECONDS = 0.030


@pytest.fixture(scope="session")
def song(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_song(tmp_path_factory.mktemp("song"))


@pytest.fixture
def open_song(browser: Browser, song: Path) -> Iterator[OpenSong]:
    """Open a page of the song beside its sound; console or page errors and foreign requests fail the test."""
    contexts, complaints, requests = [], [], []

    def open_it(
        language: str = "en",
        viewport: str = "desktop",
        music: MusicMap | None = None,
        run: Run | None = None,
        embed: bool = False,
        dance: bool = True,
        **context: object,
    ) -> Page:
        width, height = VIEWPORTS[viewport]
        audio = audio_for_page(song, embed=embed, title="The Ferry Was Late Again")
        run = (run or ferry_run()) if dance else None
        film = ferry_film(language, run) if run else None
        file = song.parent / f"page-{len(contexts)}.html"
        file.write_text(song_page(music or true_map(), audio, run, film, language), "utf-8", newline="\n")
        contexts.append(browser.new_context(viewport={"width": width, "height": height}, **context))
        page = contexts[-1].new_page()
        page.on("console", lambda message: complaints.append(message.text))
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on("request", lambda request: requests.append(request.url))
        page.goto(file.as_uri())
        page.wait_for_function("document.getElementById('audio').readyState >= 2")
        return page

    yield open_it
    for context in contexts:
        context.close()
    assert complaints == []
    folder = song.parent.as_uri()
    assert [url for url in requests if not url.startswith((folder, "data:audio/", "blob:"))] == []


def _seek(page: Page, seconds: float) -> None:
    page.evaluate(
        """(seconds) => new Promise((done) => { const audio = document.getElementById('audio');
            audio.addEventListener('seeked', () => requestAnimationFrame(() => requestAnimationFrame(done)),
                { once: true });
            audio.currentTime = seconds; })""",
        seconds,
    )


def _count(page: Page) -> str:
    return page.locator("#say-count").inner_text()


def _phrases(page: Page) -> list[list[int]]:
    """First beat and length of every phrase as drawn, the pickup left out."""
    return page.evaluate(  # type: ignore[no-any-return]
        """() => [...document.querySelectorAll('.phrase')].map((box) => {
            const lanes = [...box.querySelectorAll('.lane')];
            return [Number(lanes[0].dataset.from), Number(lanes.at(-1).dataset.to)]; })
            .map(([from, to]) => [from, to - from])"""
    )


def _corrections(page: Page) -> list[Correction]:
    return [Correction(**each) for each in json.loads(page.locator("#json").input_value())]


# --- the picture and the sound

# Notes every change of an attribute with the audio clock, and how long the frame before it lasted.
WATCH = """([id, name]) => { window.seen = []; let gap = 0; let last = performance.now();
    const look = () => { const now = performance.now(); gap = now - last; last = now;
        requestAnimationFrame(look); };
    requestAnimationFrame(look);
    const audio = document.getElementById('audio'); const watched = document.getElementById(id);
    new MutationObserver(() => { if (!audio.paused) window.seen.push([Number(watched.getAttribute(name)),
        audio.currentTime, Math.max(gap, performance.now() - last)]); })
        .observe(watched, { attributes: true, attributeFilter: [name] }); }"""
STALLED_MILLISECONDS = 30


def _lateness(seen: list[list[float]], when: Callable[[int], float]) -> list[float]:
    """Seconds by which each change came after its moment; a frame that the machine held up is left out.

    The page cannot draw in a frame it is not given, so those changes say nothing of it; if more than a third
    were held up, the machine is too busy to measure on.
    """
    moving = seen[1:]  # the first change is that of starting to play
    kept = [heard - when(int(value)) for value, heard, gap in moving if gap < STALLED_MILLISECONDS]
    if len(kept) < 2 * len(moving) / 3:
        held = len(moving) - len(kept)
        pytest.skip(f"the machine is too busy: {held} of {len(moving)} frames were held up")
    return kept


def _tell(record_property: Callable[[str, object], None], what: str, late: list[float]) -> None:
    worst, mean = 1000 * max(late, key=abs), 1000 * sum(late) / len(late)
    record_property(f"worst_milliseconds_{what}", worst)
    print(f"{what}: {len(late)} changes, worst {worst:.1f} ms, mean {mean:.1f} ms")


@pytest.mark.parametrize(("percent", "embed"), [(100, False), (75, True)])
def test_counts_change_with_the_audio_clock(
    open_song: OpenSong, percent: int, embed: bool, record_property: Callable[[str, object], None]
) -> None:
    """Every change of the large count lies within 30 ms of its beat, by the audio element's own clock."""
    page = open_song(embed=embed)
    page.locator("#speed").fill(str(percent))
    _seek(page, 21.0)
    page.evaluate(WATCH, ["stage", "data-beat"])
    page.locator("#play").click()
    page.wait_for_timeout(6500)
    assert page.evaluate("document.getElementById('audio').preservesPitch") is True
    late = _lateness(page.evaluate("window.seen"), lambda beat: true_map().beats[beat])
    _tell(record_property, f"counts at {percent}%", late)
    assert len(late) >= 6
    assert all(abs(each) <= TOLERANCE_SECONDS for each in late)


def test_the_count_is_that_of_the_wall(open_song: OpenSong) -> None:
    """Counts begin anew with each wall and tag: wall 1 on beat 16, the tag on beat 80, wall 3 on beat 84."""
    page = open_song()
    wanted = {0: 1, 15: 8, 16: 1, 47: 8, 48: 1, 79: 8, 80: 1, 83: 4, 84: 1, 91: 8}
    for beat, count in wanted.items():
        _seek(page, true_map().beats[beat] + 0.1)
        assert _count(page) == str(count), beat


def test_feet_land_on_their_counts(
    open_song: OpenSong, record_property: Callable[[str, object], None]
) -> None:
    """Every step is shown within 30 ms of the moment it sounds, "&" included."""
    page = open_song()
    beats, frames = true_map().beats, ferry_film().frames
    _seek(page, 7.6)
    page.evaluate(WATCH, ["floor", "data-index"])
    page.keyboard.press("Space")
    page.wait_for_timeout(5500)
    seen = page.evaluate("window.seen")
    late = _lateness(seen, lambda index: beats[16] + float(frames[index].count) * 0.5)
    _tell(record_property, "steps", late)
    assert len(late) >= 6
    assert any(frames[int(index)].count.denominator == 2 for index, _, _ in seen)
    assert all(abs(each) <= TOLERANCE_SECONDS for each in late)


def test_swung_half_counts_land_late(open_song: OpenSong) -> None:
    """With swing .667 the "&" of the shuffle in counts 3&4 sounds two thirds through the beat."""
    page = open_song(music=replace(true_map(), swing=2 / 3))
    index = next(i for i, frame in enumerate(ferry_film().frames) if frame.count.denominator == 2)
    beat = true_map().beats[16] + 0.5 * int(ferry_film().frames[index].count)
    _seek(page, beat + 0.5 * 0.60)
    assert page.locator("#floor").get_attribute("data-index") == str(index - 1)
    _seek(page, beat + 0.5 * 0.70)
    assert page.locator("#floor").get_attribute("data-index") == str(index)


def test_a_late_loudspeaker_moves_the_picture(open_song: OpenSong) -> None:
    page = open_song()
    page.locator(".delay summary").click()
    page.locator("#delay").fill("300")
    _seek(page, 20.0)
    page.evaluate(WATCH, ["stage", "data-beat"])
    page.locator("#play").click()
    page.wait_for_timeout(3500)
    late = _lateness(page.evaluate("window.seen")[1:], lambda beat: true_map().beats[beat])
    assert len(late) >= 2
    assert late == pytest.approx([0.3] * len(late), abs=TOLERANCE_SECONDS)


def test_a_wall_is_played_from_its_start_by_a_click(open_song: OpenSong) -> None:
    page = open_song()
    page.get_by_role("button", name="Wall 3, starts facing 6:00").click()
    start = ferry_run().walls[2].start_seconds
    page.wait_for_timeout(300)
    assert start - 0.01 <= page.evaluate("document.getElementById('audio').currentTime") <= start + 5
    expect(page.locator("#play-name")).to_have_text("Pause")
    expect(page.locator("#say-place")).to_contain_text("Wall 3")
    page.keyboard.press("Space")
    page.get_by_role("button", name="Phrase 2").click()
    page.wait_for_timeout(200)
    assert page.evaluate("document.getElementById('audio').currentTime") == pytest.approx(26.6, abs=2.5)


def test_a_loop_stays_in_its_wall(open_song: OpenSong) -> None:
    page = open_song()
    wall = ferry_run().walls[2]
    page.keyboard.press("l")
    _seek(page, wall.end_seconds - 1.0)
    page.keyboard.press("Space")
    page.wait_for_timeout(2500)
    now = page.evaluate("document.getElementById('audio').currentTime")
    assert wall.start_seconds <= now <= wall.start_seconds + 8, "it went on into the next wall"


def test_the_dance_stops_where_the_song_does(open_song: OpenSong) -> None:
    page = open_song(reduced_motion="reduce")
    run = ferry_run()
    _seek(page, run.finish.at_seconds + 0.2)
    facing = page.locator("#say-facing").inner_text()
    assert facing == "12:00" and run.finish.facing == 0
    index = page.locator("#floor").get_attribute("data-index")
    _seek(page, true_map().audio_end - 0.3)
    assert page.locator("#floor").get_attribute("data-index") == index
    assert _count(page) == "–"
    assert "ends on wall 4, count 33, facing 12:00" in page.locator("#finish").inner_text()


# --- corrections


def test_script_and_python_correct_alike(open_song: OpenSong) -> None:
    """The rules are written twice, once in each language: here both answer 400 random lists alike."""
    rng = random.Random(20)
    folder = Path(song_audio.__file__).parent / "page_assets"
    cases = [_random_case(rng) for _ in range(400)]
    answers = [_python_answer(song, corrections) for song, corrections in cases]
    rows = [
        [list(song.beats), song.beats_per_bar, list(song.layout().starts), song.layout().intro_phrases,
         song.audio_end,
         [{"kind": c.kind, "seconds": c.seconds, "counts": c.counts} for c in corrections]]
        for song, corrections in cases
    ]  # fmt: skip
    page = open_song()
    found = page.evaluate(
        "(rows) => {"
        + (folder / "song_grid.js").read_text("utf-8")
        + """
            return rows.map(([beats, bar, starts, intro, end, list]) => {
                let layout = { beats, bar, starts, intro, end };
                for (const each of list) layout = corrected(layout, each) ?? layout;
                return [layout.beats, phrasesOf(layout), layout.intro, oddStarts(layout)]; }); }""",
        rows,
    )
    kinds = {correction.kind for _, corrections in cases for correction in corrections}
    assert kinds == {"tap_one", "shift", "halve", "double", "mark_phrase", "odd_phrase"}
    for (song, corrections), wanted, got in zip(cases, answers, found, strict=True):
        beats, phrases, intro, odd = got
        told = (song.beats_per_bar, song.phrases, corrections)
        assert [tuple(p) for p in phrases] == list(wanted.phrases), told
        assert beats == pytest.approx(list(wanted.beats), abs=1e-9), told
        assert intro == wanted.intro_phrases, told
        assert [wanted.beats[at] for at in odd] == [start for start, _ in wanted.odd_phrases], told


def _random_case(rng: random.Random) -> tuple[MusicMap, list[Correction]]:
    bar = rng.choice((2, 3, 4, 6))
    first, beat = rng.uniform(0, 2), rng.uniform(0.3, 1.0)
    counts = rng.randrange(20, 240)
    beats = tuple(first + beat * n + rng.uniform(-0.02, 0.02) for n in range(counts))
    at, starts = rng.randrange(0, 6), []
    while at < counts:
        starts.append(at)
        at += rng.choice((8, 12, 16, 24, 32, 32, 36, 64))
    ends = [*starts[1:], counts]
    phrases = tuple((start, end - start) for start, end in zip(starts, ends, strict=True))
    song = replace(
        true_map(), beats_per_bar=bar, beats=beats, phrases=phrases,
        audio_end=beats[-1] + rng.uniform(0.1, 3),
        intro_phrases=rng.randrange(0, min(2, len(phrases))),
    )  # fmt: skip
    return song, [_random_correction(rng, song) for _ in range(rng.randrange(1, 5))]


def _random_correction(rng: random.Random, song: MusicMap) -> Correction:
    kind = rng.choice(("tap_one", "tap_one", "shift", "halve", "double", "mark_phrase", "odd_phrase"))
    seconds = round(rng.uniform(-0.5, song.audio_end + 0.5), 4)
    if kind == "shift":
        return Correction(kind, counts=rng.choice((-3, -1, -0.5, 0.5, 1, 2)))
    if kind == "odd_phrase":
        return Correction(kind, seconds=seconds, counts=rng.randrange(1, 70))
    return Correction(kind, seconds=seconds) if kind in ("tap_one", "mark_phrase") else Correction(kind)


def _python_answer(song: MusicMap, corrections: list[Correction]) -> MusicMap:
    for correction in corrections:
        try:
            song = song.corrected(correction)
        except ValueError:  # too few beats to halve: the page leaves the song as it was
            continue
    return song


def test_tapping_the_one_moves_the_grid_and_undo_brings_it_back(open_song: OpenSong) -> None:
    page = open_song()
    before = _phrases(page)
    assert before == [list(phrase) for phrase in true_map().phrases]
    _seek(page, true_map().beats[51] + 0.04)
    assert _count(page) == "4"
    page.keyboard.press("o")
    expect(page.locator("#say-count")).to_have_text("1")
    assert len(_corrections(page)) == 1
    wanted = reapply(_corrections(page), true_map())
    assert _phrases(page)[1:] == [list(phrase) for phrase in wanted.phrases]
    assert wanted.phrases[0][0] == 3
    expect(page.locator("#provisional")).to_be_visible()
    page.keyboard.press("u")
    assert _phrases(page) == before
    assert _count(page) == "4"
    expect(page.locator("#kept")).to_be_hidden()


def test_the_list_of_corrections_gives_the_same_map_to_python(open_song: OpenSong) -> None:
    page = open_song(dance=False)
    page.keyboard.press("d")
    page.keyboard.press("h")
    page.keyboard.press(".")
    page.keyboard.press(",")
    _seek(page, 50.0)
    page.locator("#odd-counts").fill("28")
    page.locator("#odd-set").click()
    _seek(page, 66.2)
    page.locator("#phrase-here").click()
    corrections = _corrections(page)
    assert [c.kind for c in corrections] == ["double", "halve", "shift", "shift", "odd_phrase", "mark_phrase"]
    wanted = reapply(corrections, true_map())
    assert _phrases(page) == [list(phrase) for phrase in wanted.phrases]
    with page.expect_download() as download:
        page.locator("#download").click()
    assert download.value.suggested_filename == "corrections.json"
    saved = json.loads(Path(download.value.path()).read_text("utf-8"))
    assert [Correction(**each) for each in saved] == corrections


def _tap_on(page: Page, beats: list[float]) -> None:
    """Press T in the page when the audio clock passes each time."""
    page.evaluate(
        """(times) => new Promise((done) => { const audio = document.getElementById('audio');
            const look = () => {
                if (audio.currentTime >= times[0]) { times.shift();
                    document.body.dispatchEvent(new KeyboardEvent('keydown', { key: 't', bubbles: true })); }
                if (times.length) setTimeout(look, 4); else done(); };
            look(); })""",
        beats,
    )


@pytest.mark.parametrize(
    ("every", "offset", "kinds", "said"),
    [
        (1, 0.0, [], "the page counts the same"),
        (1, 0.5, ["shift"], "between the counts"),
        (2, 0.0, ["halve"], "half of what the page counts"),
        (0.5, 0.0, ["double"], "twice what the page counts"),
        (1.5, 0.0, None, "neither the same, half nor double"),
    ],
)
def test_tapping_along_tells_the_tempo(
    open_song: OpenSong, every: float, offset: float, kinds: list[str] | None, said: str
) -> None:
    page = open_song()
    _seek(page, 23.5)
    page.keyboard.press("Space")
    beats = true_map().beats
    _tap_on(page, [beats[48] + 0.5 * (offset + every * n) for n in range(6)])
    expect(page.locator("#tapped")).to_contain_text(said)
    page.keyboard.press("Space")
    if not kinds:
        expect(page.locator("#tap-use")).to_be_hidden()
        return
    page.locator("#tap-use").click()
    assert [c.kind for c in _corrections(page)] == kinds
    wanted = reapply(_corrections(page), true_map())
    drawn = [phrase for phrase in _phrases(page) if phrase[0] >= wanted.phrases[0][0]]
    assert drawn == [list(phrase) for phrase in wanted.phrases]


def test_tapping_in_silence_asks_to_play_first(open_song: OpenSong) -> None:
    page = open_song()
    page.locator("#tap-along").click()
    expect(page.locator("#tapped")).to_contain_text("Play the song first")


# --- in a hand


def _violations(page: Page) -> list[str]:
    return [f"{v['id']}: {v['nodes'][0]['html'][:120]}" for v in Axe().run(page).response["violations"]]


@pytest.mark.parametrize("viewport", VIEWPORTS)
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("language", LANGUAGES)
def test_axe_finds_nothing(open_song: OpenSong, language: str, scheme: str, viewport: str) -> None:
    """Outside check: the rules of axe-core, at rest, and with everything opened and corrected."""
    page = open_song(language, viewport, color_scheme=scheme, reduced_motion="reduce")
    assert _violations(page) == []
    _seek(page, 30.0)
    page.keyboard.press(".")
    for summary in page.locator("summary").all():
        summary.click()
    page.locator("#loop").click()
    assert _violations(page) == []


def test_axe_finds_nothing_without_a_dance(open_song: OpenSong) -> None:
    page = open_song(dance=False)
    expect(page.locator("#floor")).to_be_hidden()
    assert _violations(page) == []


@pytest.mark.parametrize("width", [320, 360, 768, 1280, 1920])
@pytest.mark.parametrize("language", LANGUAGES)
def test_no_width_scrolls_sideways(open_song: OpenSong, language: str, width: int) -> None:
    """WCAG 1.4.10 asks for 320 px."""
    page = open_song(language)
    page.keyboard.press(".")
    page.set_viewport_size({"width": width, "height": 800})
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_controls_are_large_enough_to_touch(open_song: OpenSong) -> None:
    """44 px high (WCAG 2.5.5); a short piece of the ribbon keeps 24 px of width (WCAG 2.5.8)."""
    page = open_song("fr", "phone")
    page.keyboard.press(".")
    for summary in page.locator("summary").all():
        summary.click()
    sizes = page.evaluate(
        """() => [...document.querySelectorAll('button, summary, .check, [type=range], [type=number]')]
            .filter((e) => e.getClientRects().length)
            .map((e) => [e.id || e.className || e.tagName, e.getBoundingClientRect()])
            .map(([name, box]) => [name, box.width, box.height])"""
    )
    assert len(sizes) > 30
    for name, width, height in sizes:
        assert height >= 44, name
        assert width >= (24 if name.startswith("piece") else 44), name


def test_keys_move_play_and_can_be_switched_off(open_song: OpenSong) -> None:
    page = open_song()
    beats, run = true_map().beats, ferry_run()
    now = "document.getElementById('audio').currentTime"
    # From before the first beat: to beat 0, 8, 16.
    for _ in range(3):
        page.keyboard.press("ArrowRight")
    assert page.evaluate(now) == pytest.approx(beats[16], abs=0.001)
    assert _count(page) == "1"
    page.keyboard.press("ArrowLeft")
    assert page.evaluate(now) == pytest.approx(beats[8], abs=0.001)
    page.keyboard.press("3")
    assert page.evaluate(now) == pytest.approx(run.walls[2].start_seconds, abs=0.001)
    page.locator("#floor").focus()
    page.keyboard.press("PageUp")
    assert page.evaluate(now) == pytest.approx(run.walls[1].start_seconds, abs=0.001)
    page.locator(".keys summary").click()
    page.locator("#keys-on").uncheck()
    page.locator("#floor").focus()
    page.keyboard.press("o")
    page.keyboard.press("1")
    expect(page.locator("#kept")).to_be_hidden()
    assert page.evaluate(now) == pytest.approx(run.walls[1].start_seconds, abs=0.001)


def test_every_control_can_be_reached_and_seen_by_keyboard(open_song: OpenSong) -> None:
    page = open_song()
    page.keyboard.press(".")
    reached = []
    for _ in range(80):
        page.keyboard.press("Tab")
        name, outline = page.evaluate(
            """() => { const e = document.activeElement;
                const shown = e.id === 'place' ? e.parentElement : e;
                const outline = getComputedStyle(shown).outlineWidth;
                return [e.id || e.className || e.tagName, parseFloat(outline)]; }"""
        )
        if name == "BODY":
            break
        assert outline >= 2, name
        reached.append(name)
    wanted = {"floor", "play", "back", "next", "loop", "speed", "place", "tap-one", "tap-along"}
    wanted |= {"earlier", "later", "halve", "double", "phrase-here", "odd-counts", "odd-set"}
    wanted |= {"undo", "reset", "copy", "download"}
    assert wanted <= set(reached)
    assert sum(name.startswith("piece") for name in reached) >= 4


@pytest.mark.parametrize(("language", "said"), [("en", "Phrase 2"), ("fr", "Phrase 2")])
def test_paper_holds_the_chart_of_walls_and_phrases(open_song: OpenSong, language: str, said: str) -> None:
    page = open_song(language)
    paper = pypdf.PdfReader(io.BytesIO(page.pdf(format="A4")))
    written = " ".join(" ".join(leaf.extract_text() for leaf in paper.pages).split())
    assert len(paper.pages) <= 2
    assert said in written
    for wall in ferry_run().walls:
        assert f"{'Mur' if language == 'fr' else 'Wall'} {wall.wall}" in written
    page.emulate_media(media="print")
    expect(page.locator("#stage")).to_be_hidden()
    expect(page.locator(".correct")).to_be_hidden()


def test_a_missing_song_is_told_in_one_sentence(browser: Browser, song: Path, tmp_path: Path) -> None:
    audio = audio_for_page(song, embed=False)
    file = tmp_path / "page.html"
    file.write_text(song_page(true_map(), audio, ferry_run(), ferry_film(), "en"), "utf-8")
    page = browser.new_page()
    page.goto(file.as_uri())
    expect(page.locator("#trouble")).to_contain_text("not where this page looks for it")
    page.close()


def test_nothing_flashes(open_song: OpenSong) -> None:
    """WCAG 2.3.1: no cell of the count strip lights up more than three times in any second."""
    page = open_song()
    page.locator("#speed").fill("125")
    _seek(page, 20.0)
    page.evaluate(
        """() => { window.lit = []; for (const cell of document.querySelectorAll('#eight li'))
            new MutationObserver(() => { if (cell.classList.contains('on'))
                window.lit.push([cell.textContent, performance.now()]); })
                .observe(cell, { attributes: true }); }"""
    )
    page.locator("#play").click()
    page.wait_for_timeout(4000)
    lit = page.evaluate("window.lit")
    assert len(lit) >= 8
    for name, moment in lit:
        same = [other for each, other in lit if each == name and moment <= other < moment + 1000]
        assert len(same) <= 3
