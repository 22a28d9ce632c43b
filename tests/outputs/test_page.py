"""The page as a file: complete, closed, safe, and in both languages."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from noonwall.errors import NoonwallError
from noonwall.findings import Severity
from noonwall.outputs.markup import data_script, fill, text
from noonwall.outputs.page import ASSUMED_BPM, check_page
from noonwall.outputs.page_data import NotUnderstood, PageData, PageFinding
from noonwall.outputs.page_words import LANGUAGES
from tests.outputs.harbour_lights import page_data
from tests.outputs.reading import read_page

HOSTILE = [
    "<script>alert(1)</script>",
    "</script><!--<script>",
    '" onload="alert(1)',
    "{{script}} {{data}} {n}",
    "رقصة الميناء",
    "Harbour 💃🏽 & <b>Lights</b>",
    "line\u2028separator\u2029",
    "\u202eright to left",
    "nul\x00 bell\x07 lone \ud800 surrogate",
]


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_element_closes_and_every_id_is_alone(language: str) -> None:
    page = read_page(check_page(page_data(language), language))
    assert page.problems == []
    ids = [each.attributes["id"] for each in page.root.all() if "id" in each.attributes]
    assert len(ids) == len(set(ids))
    assert page.root.all("html")[0].attributes["lang"] == language


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_reference_inside_the_page_leads_somewhere(language: str) -> None:
    page = read_page(check_page(page_data(language), language))
    ids = {each.attributes["id"] for each in page.root.all() if "id" in each.attributes}
    for each in page.root.all():
        for name in ("href", "aria-labelledby", "for"):
            for target in each.attributes.get(name, "").split():
                assert target.lstrip("#") in ids, target


def test_html_standard_parser_finds_no_error() -> None:
    html5lib = pytest.importorskip(
        "html5lib", reason="html5lib (the reference HTML parser in Python) is not installed"
    )
    parser = html5lib.HTMLParser()
    parser.parse(check_page(page_data("en"), "en"))
    assert parser.errors == []


def test_nothing_is_fetched() -> None:
    html = check_page(page_data(), "en")
    # The only address is the name of the SVG vocabulary, which is never fetched.
    assert set(re.findall(r"https?://[^\"' <>]+", html)) == {"http://www.w3.org/2000/svg"}
    assert not re.search(r"\bsrc=|<link|@import|url\((?!#)", html)


def test_policy_allows_the_page_its_own_style_and_script_alone() -> None:
    page = read_page(check_page(page_data(), "en"))
    (policy,) = page.root.all("meta", **{"http-equiv": "Content-Security-Policy"})
    allowed = dict(part.split(" ", 1) for part in policy.attributes["content"].split("; "))

    def digest(body: str) -> str:
        return "'sha256-" + base64.b64encode(hashlib.sha256(body.encode()).digest()).decode() + "'"

    (style,) = page.root.all("style")
    (script,) = page.root.all("script", type="module")
    assert allowed == {
        "default-src": "'none'",
        "style-src": digest(style.text),
        "script-src": digest(script.text),
        "base-uri": "'none'",
        "form-action": "'none'",
    }
    assert not [
        each for each in page.root.all() if any(n == "style" or n.startswith("on") for n in each.attributes)
    ]


@pytest.mark.parametrize("title", HOSTILE)
def test_hostile_strings_stay_text_everywhere(title: str) -> None:
    plain = page_data()
    film = plain.films[0]
    steps = tuple(replace(step, words=title, figure=title, label=title) for step in film.steps)
    sections = tuple(replace(section, label=title, note=title) for section in film.sections)
    data = replace(
        plain,
        title=title,
        subtitle=title,
        lines=(title, *plain.lines[1:]),
        facts=tuple(replace(fact, label=title, value=title, note=title) for fact in plain.facts),
        findings=(
            PageFinding(Severity.WRONG, title, title, 1, 2, 4),
            PageFinding(Severity.WRONG, title, title),
        ),
        not_understood=(NotUnderstood(1, 1, 3, title),),
        films=(replace(film, steps=steps, sections=sections, label=title), plain.films[1]),
    )
    html = check_page(data, "en")
    html.encode("utf-8")
    page = read_page(html)
    assert page.problems == []
    assert len(page.root.all("script")) == 2
    shown = re.sub("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff]", "\ufffd", title)
    assert page.root.all("h1")[0].text == shown
    assert page.root.all("title")[0].text == shown
    assert page.root.all("dt")[0].text == shown
    assert page.root.all("li", id="line-1")[0].all("span", class_="text")[0].text == shown
    assert title in page.data["strings"]


@given(st.recursive(st.text() | st.integers() | st.booleans(), lambda inner: st.lists(inner, max_size=4)))
def test_embedded_data_survives_and_cannot_leave_its_element(value: object) -> None:
    embedded = data_script(value)
    assert json.loads(embedded) == value
    assert embedded.isascii() and not set("<>&") & set(embedded)


def test_not_a_number_never_reaches_the_page() -> None:
    with pytest.raises(ValueError):
        data_script(float("nan"))


def test_template_blanks_are_filled_once() -> None:
    assert fill("{{a}}-{{b}}", {"a": "{{b}}", "b": "x"}) == "{{b}}-x"
    with pytest.raises(KeyError):
        fill("{{missing}}", {})


@settings(max_examples=25, deadline=None)
@given(st.lists(st.text(st.characters(exclude_categories=["C", "Zl", "Zp"]), max_size=60), max_size=6))
def test_any_text_is_shown_whole(lines: list[str]) -> None:
    page = read_page(check_page(PageData("x", (), tuple(lines), ()), "en"))
    assert page.problems == []
    assert [each.text for each in page.root.all("span", class_="text")] == lines


@pytest.mark.parametrize("language", LANGUAGES)
def test_facts_findings_and_steps_are_all_there(language: str) -> None:
    data = page_data(language)
    page = read_page(check_page(data, language))
    facts = [
        (d.all("dt")[0].text, d.all("dd")[0].text)
        for d in page.root.all("section", class_="facts")[0].all("div")
    ]
    assert facts == [(f.label, f.value + (f" {f.note}" if f.note else "")) for f in data.facts]
    notes = " ".join(each.text for each in page.root.all("ul", class_="notes"))
    for finding in data.findings:
        assert finding.message in notes and finding.mend in notes
    cells = page.root.all("div", id="strip-0")[0].all("button", class_="cell")
    assert [cell.all("b")[0].text for cell in cells] == [step.label for step in data.films[0].steps]
    assert [cell.attributes["data-step"] for cell in cells] == [str(i) for i in range(len(cells))]
    films = page.data["films"]
    assert [len(film["frames"]) for film in films] == [len(film.frames) for film in data.films]
    assert page.data["bpm"] == 112 and page.data["tempoKnown"] is True


def test_frame_rows_hold_the_floor() -> None:
    data = page_data()
    rows = read_page(check_page(data, "en")).data["films"][0]["frames"]
    for row, frame in zip(rows, data.films[0].frames, strict=True):
        stance = frame.stance
        assert row[0] == float(frame.count)
        assert row[1:4] == [round(stance.left.x * 100, 1), round(stance.left.y * 100, 1), stance.left.points]
        assert row[9:11] == [stance.weight.value, stance.facing]


def test_unknown_tempo_is_said() -> None:
    page = read_page(check_page(replace(page_data(), bpm=None), "en"))
    assert page.data["bpm"] == ASSUMED_BPM and page.data["tempoKnown"] is False
    assert "no tempo" in page.data["say"]["speed_assumed"]


def test_clean_sheet_says_so_and_a_faulty_one_does_not() -> None:
    clean = check_page(replace(page_data(), findings=(), not_understood=()), "en")
    (verdict,) = read_page(clean).root.all("ul", class_="verdict")
    assert verdict.text == "Danced from start to finish: nothing wrong found"
    (verdict,) = read_page(check_page(page_data(), "en")).root.all("ul", class_="verdict")
    assert [each.text for each in verdict.all("li")] == [
        "1 thing is wrong",
        "1 doubtful point",
        "1 piece of advice",
        "1 passage not understood",
    ]


def test_sheet_without_steps_has_a_page_without_floor() -> None:
    page = read_page(check_page(replace(page_data(), films=()), "en"))
    assert "hidden" in page.root.all("section", id="stage")[0].attributes
    assert page.root.all("p", class_="no-steps")
    assert page.data["films"] == []
    assert not page.root.all("ul", class_="verdict")[0].all("li", class_="clean")


def test_unknown_language_is_refused() -> None:
    with pytest.raises(NoonwallError):
        check_page(page_data(), "de")


@pytest.mark.parametrize("value", ['<a href="x">', "'", "&amp;", 12])
def test_text_is_escaped(value: object) -> None:
    escaped = text(value)
    assert not set("<>\"'") & set(escaped)


def test_waltz_strip_is_laid_in_sixes() -> None:
    html = check_page(replace(page_data(), beats_per_bar=3), "en")
    rows = read_page(html).root.all("div", id="strip-0")[0].all("div", class_="row")
    assert [len(line.all("div", class_="count")) for line in rows[0].all("div", class_="counts")] == [6, 2]
