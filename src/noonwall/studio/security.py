"""The guard before every request: host, origin, size, session and token are looked at first.

Loopback is not trust: another page in the same browser, another user of the computer and a name that is
rebound to 127.0.0.1 all reach the port. What each rule stops is said beside it.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Iterable
from dataclasses import dataclass
from http.cookies import CookieError, SimpleCookie
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from noonwall.studio.keys import Keys, Session

SAFE_METHODS = {"GET", "HEAD", "OPTIONS"}
TOKEN_HEADER = "x-noonwall-token"
OPEN_PATHS = ("/open", "/pair")
OPEN_FOLDER = "/static/"
"""What a browser without a session may ask for: the two ways in, and what their page looks like."""

MOST_BYTES = 1_000_000
MOST_SHEET_BYTES = 20_000_000
MOST_SONG_BYTES = 300_000_000
"""Largest body of a request: a change, a sheet as a file, a song (an hour of flac)."""

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; media-src 'self' blob:; "
    "connect-src 'self'; worker-src 'self'; manifest-src 'self'; form-action 'self'; base-uri 'none'; "
    "frame-ancestors 'none'"
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    # "no-referrer" would make browsers send "Origin: null" with forms, and the origin could not be checked.
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), geolocation=(), payment=(), usb=()",
}


@dataclass(frozen=True, slots=True)
class Doors:
    """Where the studio is reached: "host:port" as a browser writes it, and the name of its cookie."""

    hosts: frozenset[str]
    cookie: str

    @staticmethod
    def at(port: int, addresses: Iterable[str] = ()) -> Doors:
        """Return the doors of a port on loopback and on further addresses of the local network."""
        names = ["127.0.0.1", "localhost", "[::1]", *addresses]
        plain = [name for name in names if port == 80]
        # Cookies do not tell ports apart, so two studios on one computer need two names.
        return Doors(frozenset([*plain, *(f"{name}:{port}" for name in names)]), f"noonwall_{port}")


class Refused(Exception):
    """A request that goes no further: status and a sentence for who reads the answer."""

    def __init__(self, status: int, sentence: str) -> None:
        super().__init__(sentence)
        self.status, self.sentence = status, sentence


class Guard:
    """ASGI middleware that refuses what is not the teacher's own browser, and limits what comes in."""

    def __init__(self, app: ASGIApp, keys: Keys, doors: Doors, stranger: Callable[[str], bytes]) -> None:
        """Stand before ``app``; ``stranger`` makes the page for a browser without a session."""
        self.app, self.keys, self.doors, self.stranger = app, keys, doors, stranger

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a refusal, or hand the request on with its session in ``scope["state"]``."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            raise RuntimeError("The studio speaks HTTP only.")
        headers = Headers(scope=scope)
        sender = _with_headers(send, scope["path"])
        try:
            self._look_at_address(scope, headers)
            session = self.keys.session(_cookie(headers, self.doors.cookie))
            self._look_at_change(scope, headers, session)
        except Refused as refused:
            await _answer(sender, refused.status, "text/plain; charset=utf-8", refused.sentence.encode())
            return
        path = scope["path"]
        if session is None and path not in OPEN_PATHS and not path.startswith(OPEN_FOLDER):
            await self._turn_away(scope, headers, sender)
            return
        scope.setdefault("state", {})["session"] = session
        await self.app(scope, _limited(receive, _most_bytes(scope), headers), sender)

    def _look_at_address(self, scope: Scope, headers: Headers) -> None:
        # A foreign name that was rebound to this address still stands in Host.
        if headers.get("host", "") not in self.doors.hosts:
            raise Refused(421, "This studio is not reached under that name.")
        # Another site may lead a person here, but may not fetch, embed or post.
        site = headers.get("sec-fetch-site", "none")
        is_visit = scope["method"] == "GET" and headers.get("sec-fetch-mode") == "navigate"
        is_visit = is_visit and headers.get("sec-fetch-dest") == "document"
        if site not in ("same-origin", "none") and not is_visit:
            raise Refused(403, "Another site asked for this; open the studio itself.")

    def _look_at_change(self, scope: Scope, headers: Headers, session: Session | None) -> None:
        if scope["method"] in SAFE_METHODS:
            return
        origin = headers.get("origin")
        if origin is not None and not self._is_own(origin):
            raise Refused(403, "Another site asked for this change; nothing was changed.")
        if session is None:
            if scope["path"] == "/pair" and origin is not None:
                return
            raise Refused(401, "Open the studio with the address that its command printed.")
        if not self.keys.is_form_token(session, headers.get(TOKEN_HEADER, "")):
            raise Refused(403, "This page is too old to change anything; load it again.")

    def _is_own(self, origin: str) -> bool:
        parts = urlsplit(origin)
        return parts.scheme == "http" and parts.netloc in self.doors.hosts

    async def _turn_away(self, scope: Scope, headers: Headers, send: Send) -> None:
        if scope["path"].startswith("/api/") or scope["path"] == "/openapi.json":
            await _answer(send, 401, "application/json", b'{"detail":"Open the studio first."}')
            return
        page = self.stranger(headers.get("accept-language", ""))
        await _answer(send, 403, "text/html; charset=utf-8", page)


def _cookie(headers: Headers, name: str) -> str:
    try:
        found = SimpleCookie(headers.get("cookie", "")).get(name)
    except CookieError:
        return ""
    return found.value if found else ""


def _most_bytes(scope: Scope) -> int:
    if scope["path"] == "/api/songs":
        return MOST_SONG_BYTES
    return MOST_SHEET_BYTES if scope["path"] == "/api/sheets" else MOST_BYTES


def _limited(receive: Receive, most: int, headers: Headers) -> Receive:
    told = headers.get("content-length", "0")
    taken = 0

    async def limited() -> Message:
        nonlocal taken
        # Told before it is read where the sender tells it, counted while it is read where not.
        if told.isdigit() and int(told) > most:
            raise HTTPException(413, f"That is more than {most // 1_000_000} MB, the most that is taken.")
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > most:
            raise HTTPException(413, f"That is more than {most // 1_000_000} MB, the most that is taken.")
        return message

    return limited


def _with_headers(send: Send, path: str) -> Callable[[Message], Awaitable[None]]:
    async def sender(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers[name] = value
            if not path.startswith("/static/"):
                headers.setdefault("cache-control", "no-store")
        await send(message)

    return sender


async def _answer(send: Send, status: int, kind: str, body: bytes) -> None:
    headers = [(b"content-type", kind.encode()), (b"content-length", str(len(body)).encode())]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
