"""The guard: what another site, another name, another user or a huge body gets is a refusal.

Outside check: the rules follow the OWASP cheat sheets on cross-site request forgery (token, origin), on DNS
rebinding (Host) and on content security policy (from memory), and the header values are those of the Fetch,
CSP Level 3 and Fetch Metadata specifications.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from noonwall.studio import security
from noonwall.studio.keys import CODE_SECONDS, MOST_WRONG_CODES, Keys
from tests.studio.house import ORIGIN, PORT, Visit, visiting

NAVIGATION = {"sec-fetch-site": "cross-site", "sec-fetch-mode": "navigate", "sec-fetch-dest": "document"}
SHEET = {"text": "HALYARD\n32 count - 4 wall\n\n1-4 Walk R, L, R, L"}


@pytest.mark.parametrize(
    ("host", "status"),
    [
        (f"127.0.0.1:{PORT}", 200),
        (f"localhost:{PORT}", 200),
        (f"[::1]:{PORT}", 200),
        ("attacker.example", 421),
        (f"attacker.example:{PORT}", 421),
        (f"127.0.0.1.attacker.example:{PORT}", 421),
        ("127.0.0.1", 421),
        (f"192.168.1.20:{PORT}", 421),
        ("", 421),
    ],
)
def test_only_own_names_are_answered(visit: Visit, host: str, status: int) -> None:
    """A foreign name that was rebound to this address still stands in Host."""
    assert visit.browser.get("/pair", headers={"host": host}).status_code == status


@pytest.mark.parametrize(
    "origin",
    ["http://attacker.example", "null", f"https://127.0.0.1:{PORT}", "http://127.0.0.1:9", "file://", ""],
)
def test_a_change_from_another_origin_is_refused(visit: Visit, origin: str) -> None:
    before = visit.studio.shelf.find().total
    answer = visit.send("POST", "/api/dances", json=SHEET, headers={"origin": origin})
    assert answer.status_code == 403
    assert visit.studio.shelf.find().total == before


@pytest.mark.parametrize("token", ["", "0" * 64, "not a token", "é"])
def test_a_change_without_the_token_is_refused(visit: Visit, token: str) -> None:
    before = visit.studio.shelf.find().total
    headers = {"origin": ORIGIN, "x-noonwall-token": token.encode()}
    assert visit.browser.post("/api/dances", json=SHEET, headers=headers).status_code == 403
    assert visit.studio.shelf.find().total == before


def test_the_token_of_another_session_is_refused(visit: Visit) -> None:
    other = visit.studio.keys.open(visit.studio.keys.opening)
    assert other is not None
    stolen = visit.studio.keys.form_token(other)
    answer = visit.send("POST", "/api/dances", json=SHEET, headers={"x-noonwall-token": stolen})
    assert answer.status_code == 403


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"sec-fetch-site": "same-origin", "sec-fetch-mode": "cors"}, 200),
        ({"sec-fetch-site": "none", "sec-fetch-mode": "navigate"}, 200),
        (NAVIGATION, 200),
        ({"sec-fetch-site": "cross-site", "sec-fetch-mode": "no-cors", "sec-fetch-dest": "image"}, 403),
        ({"sec-fetch-site": "same-site", "sec-fetch-mode": "cors"}, 403),
        ({**NAVIGATION, "sec-fetch-dest": "iframe"}, 403),
    ],
)
def test_other_sites_may_lead_here_and_nothing_more(
    visit: Visit, headers: dict[str, str], status: int
) -> None:
    """Another port of this computer is the same site, and another origin."""
    assert visit.browser.get("/", headers=headers).status_code == status


@pytest.mark.parametrize(
    "path", ["/", "/dances/1", "/songs", "/hall", "/dances/1/floor", "/worker.js", "/nowhere"]
)
def test_a_browser_without_a_session_sees_the_door_alone(visit: Visit, path: str) -> None:
    visit.browser.cookies.clear()
    try:
        answer = visit.browser.get(path)
        assert answer.status_code == 403 and "Foghorn" not in answer.text
        assert visit.browser.get("/api/dances").status_code == 401
        assert visit.browser.get("/openapi.json").status_code == 401
        assert visit.browser.get("/open?key=wrong").url.path == "/pair"
    finally:
        visit.browser.get(f"/open?key={visit.studio.keys.opening}")


def test_every_answer_carries_the_policy(visit: Visit) -> None:
    for path in ("/", "/dances/1", "/api/dances", "/static/icon.svg", "/nowhere", "/static/nothing.js"):
        headers = visit.browser.get(path).headers
        policy = dict(part.strip().split(" ", 1) for part in headers["content-security-policy"].split(";"))
        assert policy["default-src"] == "'none'" and policy["frame-ancestors"] == "'none'"
        assert policy["script-src"] == policy["style-src"] == "'self'"
        assert headers["x-content-type-options"] == "nosniff" and headers["x-frame-options"] == "DENY"
        assert headers["cross-origin-resource-policy"] == "same-origin"
        assert "access-control-allow-origin" not in headers
    cookie = visit.browser.get(f"/open?key={visit.studio.keys.opening}", follow_redirects=False).headers[
        "set-cookie"
    ]
    assert "HttpOnly" in cookie and "SameSite=strict" in cookie


@pytest.mark.parametrize(
    "path", ["/", "/dances/1", "/dances/1/versions", "/dances/1/make", "/songs", "/hall"]
)
def test_pages_hold_no_script_or_style_of_their_own(visit: Visit, path: str) -> None:
    """What a strict policy forbids would be broken on the page: none may be there."""
    page = visit.browser.get(path).text
    assert "<style" not in page and ' style="' not in page and " onclick" not in page
    for script in page.split("<script")[1:]:
        assert 'type="application/json"' in script[:60] or 'src="/static/' in script[:60]


@pytest.mark.parametrize(
    "path",
    [
        "/static/../app.py",
        "/static/..%2fapp.py",
        "/static/%2e%2e/%2e%2e/cli/main.py",
        "/static/studio.css%00.js",
        "/static//etc/passwd",
        "/static/..%5c..%5capp.py",
    ],
)
def test_no_path_reaches_a_file(visit: Visit, path: str) -> None:
    answer = visit.browser.get(path)
    assert answer.status_code in (403, 404)
    assert "import" not in answer.text and "root:" not in answer.text


@pytest.mark.parametrize(
    "name", ["../../evil.txt", "..\\..\\evil.txt", "/etc/passwd", "C:\\evil.txt", "\x00.txt", "."]
)
def test_a_name_of_a_file_goes_nowhere(visit: Visit, name: str) -> None:
    folder = visit.studio.songs_folder.parent
    before = {path for path in folder.rglob("*") if "sqlite" not in path.name}
    answer = visit.send("POST", "/api/sheets", params={"name": name}, content=SHEET["text"].encode())
    assert answer.status_code == 201
    assert {path for path in folder.rglob("*") if "sqlite" not in path.name} - before == set()


def test_a_title_is_text_and_nothing_else(visit: Visit) -> None:
    evil = "<script>alert(1)</script><img src=x onerror=alert(2)>\"'&"
    text = f"{evil}\n32 count - 4 wall - {evil}\n\n[1-8] {evil}\n1-2 Walk R, L {evil}\n</textarea>"
    number = visit.send("POST", "/api/dances", json={"text": text}).json()["id"]
    visit.send("PUT", f"/api/dances/{number}", json={"text": text + "\nmore", "based_on": 1})
    try:
        paths = ["/", f"/dances/{number}", f"/dances/{number}/versions", f"/dances/{number}/beside"]
        paths += [f"/dances/{number}/lesson", f"/dances/{number}/floor", f"/dances/{number}/make"]
        for path in paths:
            page = visit.browser.get(path)
            assert page.status_code == 200, path
            assert "<script>alert" not in page.text and "<img src=x" not in page.text, path
            assert page.text.count("</textarea>") <= 1, path
    finally:
        visit.send("DELETE", f"/api/dances/{number}")


def test_a_body_that_is_too_large_is_refused(visit: Visit, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(security, "MOST_BYTES", 2_000)
    monkeypatch.setattr(security, "MOST_SHEET_BYTES", 3_000)
    monkeypatch.setattr(security, "MOST_SONG_BYTES", 4_000)
    large = visit.send("POST", "/api/checked", json={"text": "x" * 2_100})
    assert large.status_code == 413 and "the most" in large.json()["detail"]
    assert (
        visit.send("POST", "/api/sheets", params={"name": "a.txt"}, content=b"x" * 3_100).status_code == 413
    )

    def in_pieces():  # type: ignore[no-untyped-def]
        # no length is told before: it is counted while it comes
        for _ in range(5):
            yield b"x" * 1_000

    before = list(visit.studio.songs_folder.iterdir())
    assert visit.send("POST", "/api/songs", params={"name": "a.wav"}, content=in_pieces()).status_code == 413
    assert list(visit.studio.songs_folder.iterdir()) == before
    assert visit.send("POST", "/api/checked", json={"text": "x" * 900}).status_code == 200


def test_a_session_is_one_of_this_run_alone(visit: Visit) -> None:
    keys = visit.studio.keys
    assert keys.session("") is None and keys.session("x" * 43) is None
    assert keys.open("") is None and keys.open("é") is None


# --- pairing ------------------------------------------------------------------------------------------------


class Clock:
    """A clock that a test moves."""

    def __init__(self) -> None:
        self.now = 0.0

    def __call__(self) -> float:
        return self.now


def wrong(digits: str) -> str:
    return f"{(int(digits) + 1) % 1_000_000:06d}"


def test_a_code_is_good_for_one_device() -> None:
    keys = Keys(Clock())
    code = keys.new_code().digits
    first = keys.pair(code, "Tablet")
    assert first is not None and first.is_paired and keys.session(first.token) == first
    assert keys.pair(code, "Another") is None
    assert [device.name for device in keys.devices] == ["Tablet"]


def test_a_code_ends_after_some_wrong_guesses() -> None:
    keys = Keys(Clock())
    code = keys.new_code().digits
    for _ in range(MOST_WRONG_CODES):
        assert keys.pair(wrong(code), "") is None
    assert keys.pair(code, "too late") is None
    # four wrong ones are a slip of the thumb
    code = keys.new_code().digits
    for _ in range(MOST_WRONG_CODES - 1):
        keys.pair(wrong(code), "")
    assert keys.pair(code, "") is not None


def test_a_code_ends_with_time_and_by_a_newer_one() -> None:
    clock = Clock()
    keys = Keys(clock)
    old = keys.new_code().digits
    clock.now = CODE_SECONDS
    assert keys.pair(old, "") is None
    keys.new_code()
    assert keys.code is not None
    assert keys.pair(old, "") is None or old == keys.code


def test_a_device_that_is_shut_out_stays_out(tmp_path: Path) -> None:
    with visiting(tmp_path, "192.168.7.20") as visit:
        told = visit.send("POST", "/api/hall/code").json()
        assert told["drawing"].startswith("<svg") and told["address"] == f"http://192.168.7.20:{PORT}"
        own = dict(visit.browser.cookies)
        visit.browser.cookies.clear()
        origin = {"origin": ORIGIN}
        refused = visit.browser.post("/pair", data={"code": wrong(told["code"])}, headers=origin)
        assert refused.status_code == 403
        form = {"code": told["code"], "name": "<b>Tablet</b>"}
        assert visit.browser.post("/pair", data=form, headers=origin).url.path == "/"
        assert visit.browser.get("/dances/1").status_code == 200
        # a device neither lets others in nor shuts them out
        token = visit.studio.keys.form_token(visit.studio.keys.devices[0])
        answer = visit.send("POST", "/api/hall/code", headers={"x-noonwall-token": token})
        assert answer.status_code == 403
        device, paired = visit.studio.keys.devices[0], dict(visit.browser.cookies)
        visit.browser.cookies.update(own)
        assert "&lt;b&gt;Tablet" in visit.browser.get("/hall").text
        assert visit.send("POST", "/api/hall/revoked", json={"id": device.id}).status_code == 204
        assert visit.send("POST", "/api/hall/revoked", json={"id": device.id}).status_code == 404
        visit.browser.cookies.update(paired)
        assert visit.browser.get("/dances/1").status_code == 403


def test_pairing_needs_the_hall(visit: Visit) -> None:
    assert visit.send("POST", "/api/hall/code").status_code == 409
    assert visit.browser.get("/pair", headers={"host": f"192.168.7.20:{PORT}"}).status_code == 421
    answer = visit.browser.post(
        "/pair", data={"code": "123456"}, headers={"origin": "http://attacker.example"}
    )
    assert answer.status_code == 403
