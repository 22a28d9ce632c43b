"""What scripts and programs ask of the studio: sheets checked and danced, kept in versions, found, made."""

from __future__ import annotations

import io
import time
import zipfile
from pathlib import Path

import pytest

from noonwall.demo.sheets import WITH_MISTAKES
from noonwall.pipeline import prove, report
from noonwall.pipeline.studio_making import MAKES
from noonwall.pipeline.studio_words import studio_language
from tests.studio.house import Visit, texts, visiting

BESIDE = "1-2 Step R fwd, step L beside R"


def test_a_text_is_checked_as_the_command_does(visit: Visit) -> None:
    """Outside check of the page: the report of `noonwall check --json`, field by field."""
    told = visit.send("POST", "/api/checked", json={"text": WITH_MISTAKES, "language": "fr"}).json()
    wanted = report(prove(WITH_MISTAKES), "fr")
    assert [(f["severity"], f["line"], f["column"], f["mend"], f["message"]) for f in told["findings"]] == [
        (f["severity"], f["line"], f["column"], f["mend"], f["message"]) for f in wanted["findings"]
    ]
    assert told["title"] == wanted["title"] and told["is_danced"]
    assert [verdict["kind"] for verdict in told["verdicts"]] == ["wrong"]


def test_every_first_step_is_that_of_its_line(visit: Visit) -> None:
    told = visit.send("POST", "/api/checked", json={"text": WITH_MISTAKES}).json()
    film = visit.send("POST", "/api/danced", json={"text": WITH_MISTAKES}).json()["data"]["films"][0]
    lines = [row[5] for row in film["steps"]]
    for first in told["first_steps"]:
        assert lines.index(first["line"]) == first["step"]
    assert {line for line in lines if line} == {first["line"] for first in told["first_steps"]}


def test_a_text_without_steps_is_no_fault(visit: Visit) -> None:
    for text in ("", "Dear class, see you on Monday.", "\x00\ud7ff\u2028"):
        assert visit.send("POST", "/api/checked", json={"text": text}).json()["is_danced"] is False
        assert visit.send("POST", "/api/danced", json={"text": text}).json()["data"]["films"] == []


def test_saving_restoring_and_finding(tmp_path: Path) -> None:
    with visiting(tmp_path) as visit:
        assert visit.browser.get("/api/dances", params={"find": "bouee"}).json()["total"] == 0
        text = f"LA BOUÉE VERTE\n32 count - 4 wall - Beginner\n\n[1-8] WALKS\n{BESIDE}"
        kept = visit.send("POST", "/api/dances", json={"text": text})
        assert kept.status_code == 201
        number = kept.json()["id"]
        found = visit.browser.get("/api/dances", params={"find": "bouee verte"}).json()
        assert [dance["id"] for dance in found["dances"]] == [number]
        saved = visit.send("PUT", f"/api/dances/{number}", json={"text": text + "\nmore", "based_on": 1})
        assert saved.json() == {"id": number, "version": 2, "current": 2, "is_aside": False}
        assert visit.browser.get(f"/api/dances/{number}").json()["text"].endswith("more")
        restored = visit.send("POST", f"/api/dances/{number}/restored", json={"version": 1}).json()
        assert restored["version"] == 3
        assert visit.browser.get(f"/api/dances/{number}").json()["text"] == text
        assert visit.send("DELETE", f"/api/dances/{number}").status_code == 204
        assert visit.browser.get("/api/dances", params={"find": "verte"}).json()["total"] == 0


def test_two_tabs_keep_both(visit: Visit) -> None:
    base = visit.browser.get("/api/dances/2").json()
    one = {"text": base["text"] + "\nfrom one tab", "based_on": base["version"]}
    other = {"text": base["text"] + "\nfrom the other", "based_on": base["version"]}
    first = visit.send("PUT", "/api/dances/2", json=one).json()
    second = visit.send("PUT", "/api/dances/2", json=other).json()
    assert second["is_aside"] and second["current"] == first["version"]
    kept = {version.number: version.text for version in visit.studio.shelf.versions(2)}
    assert kept[first["version"]] == one["text"] and kept[second["version"]] == other["text"]
    assert f"old={first['version']}&new={second['version']}" in visit.browser.get("/dances/2").text
    settled = visit.send("PUT", "/api/dances/2", json=other | {"based_on": second["current"]}).json()
    assert not settled["is_aside"]
    assert visit.browser.get("/api/dances/2").json()["text"] == other["text"]
    assert "see_both" not in visit.browser.get("/dances/2").text


@pytest.mark.parametrize(
    ("method", "path", "body", "status"),
    [
        ("GET", "/api/dances/999999", None, 404),
        ("PUT", "/api/dances/999999", {"text": "x", "based_on": 1}, 404),
        ("PUT", "/api/dances/1", {"text": "x", "based_on": 99}, 404),
        ("PUT", "/api/dances/1", {"text": "", "based_on": 1}, 422),
        ("POST", "/api/dances/1/restored", {"version": 77}, 404),
        ("POST", "/api/dances", {"text": "x" * 200_001}, 422),
        ("POST", "/api/checked", {"text": "x", "language": "de"}, 422),
        ("GET", "/dances/999999", None, 404),
        ("GET", "/dances/zero", None, 422),
        ("GET", "/dances/99999999999999999999", None, 422),
        ("GET", "/songs/999999", None, 404),
        ("GET", "/api/makings/" + "0" * 32, None, 404),
        ("POST", "/api/dances/1/makings", {"what": "sheet", "format": "exe"}, 422),
        ("POST", "/api/dances/1/makings", {"what": "clip", "format": "mp4"}, 422),
        ("POST", "/api/dances/1/taught", {"to": 99, "day": "2026-11-25"}, 404),
        ("POST", "/api/dances/1/runs", {"song": 99}, 404),
        ("PUT", "/api/songs/99/corrections", {"corrections": []}, 404),
    ],
)
def test_what_cannot_be_is_said(
    visit: Visit, method: str, path: str, body: dict[str, object] | None, status: int
) -> None:
    answer = visit.send(method, path, **({"json": body} if body is not None else {}))
    assert answer.status_code == status
    assert "Traceback" not in answer.text


def test_french_is_asked_for_once(visit: Visit) -> None:
    assert "L&#39;étagère" in visit.browser.get("/?lang=fr").text
    try:
        assert "L&#39;étagère" in visit.browser.get("/").text
        assert "Il n&#39;y a rien" in visit.browser.get("/nowhere").text
        french = visit.browser.get("/api/dances/999999").json()["detail"]
        assert "999999" in french
    finally:
        assert "The shelf" in visit.browser.get("/?lang=en").text


@pytest.mark.parametrize(
    ("asked", "language"),
    [("fr-CA,fr;q=0.9,en;q=0.8", "fr"), ("en;q=0.2,fr;q=0.7", "fr"), ("de,nl;q=0.5", "en"), (";;q=x", "en")],
)
def test_the_browsers_language(asked: str, language: str) -> None:
    """Outside check: quality values as RFC 9110, 12.5.4, orders them."""
    assert studio_language(asked) == language


def test_a_sheet_comes_as_a_file(visit: Visit) -> None:
    page = "<html><body><h1>HALYARD</h1><p>32 count 4 wall</p><p>1-4 Walk R, L, R, L</p></body></html>"
    kept = visit.send("POST", "/api/sheets", params={"name": "halyard.html"}, content=page.encode())
    assert "1-4 Walk R, L, R, L" in visit.browser.get(f"/api/dances/{kept.json()['id']}").json()["text"]
    broken = visit.send("POST", "/api/sheets", params={"name": "x.pdf"}, content=b"%PDF-1.7 broken")
    assert broken.status_code == 422 and broken.json()["detail"].endswith((".", "!"))


@pytest.mark.parametrize("what", ["sheet", "captions", "text"])
def test_things_are_made(visit: Visit, what: str) -> None:
    wish = {"what": what, "format": MAKES[what][0], "languages": ["fr", "en"]}
    making = visit.send("POST", "/api/dances/4/makings", json=wish).json()
    ends = time.monotonic() + 40
    while making["state"] in ("waiting", "working") and time.monotonic() < ends:
        time.sleep(0.1)
        making = visit.browser.get(f"/api/makings/{making['id']}").json()
    assert (making["state"], making["share"], making["sentence"]) == ("done", 1.0, "")
    file = visit.browser.get(making["file"])
    assert file.headers["content-disposition"].startswith("attachment; filename*=UTF-8''valse-du-moulin-")
    if what == "sheet":
        assert file.content.startswith(b"%PDF-")
    if what == "text":
        assert "Valse du moulin" in file.text
    if what == "captions":
        names = zipfile.ZipFile(io.BytesIO(file.content)).namelist()
        assert {"captions.fr.vtt", "captions.en.vtt", "captions.click.mid"} <= set(names)


def test_a_class_and_what_it_was_taught(visit: Visit) -> None:
    visit.send("POST", "/api/classes", json={"name": "Saturday <matinée>", "members": 12})
    number = visit.studio.shelf.class_named("Saturday <matinée>").id
    body = {"to": number, "day": "2026-11-21", "notes": "the turn in piece 3"}
    assert visit.send("POST", "/api/dances/3/taught", json=body).status_code == 201
    page = visit.browser.get("/dances/3/lesson", params={"to": number, "minutes": 20}).text
    assert "Saturday &lt;matinée&gt;" in page and "20:00" in page
    assert "taught once" in visit.browser.get("/", params={"find": "rope"}).text


def test_filters_narrow_the_shelf(visit: Visit) -> None:
    rows = visit.browser.get("/", params={"part": "rows", "walls": "2", "order": "title"}).text
    assert "Foghorn" in rows and "Rope and Pulley" not in rows and "<html" not in rows
    odd = {"level": "'; DROP TABLE dance;--", "page": "x", "walls": "seven", "find": "lantern"}
    assert "Lantern Walk" in visit.browser.get("/", params=odd).text
    assert len(texts()) <= visit.studio.shelf.find().total
