"""The ways in and out: the opening key, pairing a device, the hall page, and what all browsers may ask."""

from __future__ import annotations

from typing import Annotated
from urllib.parse import parse_qs

from fastapi import APIRouter, Query, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from noonwall.studio.assets import worker_script
from noonwall.studio.hall_code import code_drawing
from noonwall.studio.keys import CODE_SECONDS, Session
from noonwall.studio.models import DeviceId, PairingCode, Trouble
from noonwall.studio.studio import Here, Studio, raise_trouble

router = APIRouter()
A_YEAR = "public, max-age=31536000, immutable"
A_MONTH_SECONDS = 2_592_000


@router.get("/static/{name}", include_in_schema=False)
def asset(name: str, request: Request, studio: Here) -> Response:
    """A script, a style or a picture, by a name that is known."""
    found = studio.pages.assets.get(name)
    if found is None:
        return Response(status_code=404)
    lasting = A_YEAR if request.query_params.get("v") == found.mark else "no-cache"
    return Response(found.content, media_type=found.kind, headers={"cache-control": lasting})


@router.get("/worker.js", include_in_schema=False)
def worker(studio: Here) -> Response:
    """The script that keeps the floor mode for the time without a network."""
    kept = [studio.pages.address(name) for name in ("song.css", "floor.js", "icon.svg")]
    return Response(worker_script(kept), media_type="text/javascript; charset=utf-8")


@router.get("/open", include_in_schema=False)
def open_studio(studio: Here, key: Annotated[str, Query(max_length=200)] = "") -> Response:
    """Let the browser in that the command opened."""
    session = studio.keys.open(key)
    return _let_in(studio, session) if session else RedirectResponse("/pair", 303)


@router.get("/pair", response_class=HTMLResponse, include_in_schema=False)
def pair_page(request: Request, studio: Here, code: Annotated[str, Query(max_length=12)] = "") -> Response:
    """Where a device types the pairing code; a QR code brings it along."""
    return studio.pages.page(request, "pair.html", wrong=False, code=code if code.isdecimal() else "")


@router.post("/pair", response_class=HTMLResponse, include_in_schema=False)
async def pair(request: Request, studio: Here) -> Response:
    """Let a device in that shows the pairing code."""
    form = parse_qs((await request.body()).decode("utf-8", "replace"), max_num_fields=4)
    session = studio.keys.pair(form.get("code", [""])[0].strip(), form.get("name", [""])[0])
    if session is None:
        return studio.pages.page(request, "pair.html", 403, wrong=True, code="")
    return _let_in(studio, session)


def _let_in(studio: Studio, session: Session) -> Response:
    answer = RedirectResponse("/", 303)
    answer.set_cookie(
        studio.doors.cookie, session.token, max_age=A_MONTH_SECONDS, httponly=True, samesite="strict"
    )
    return answer


@router.get("/hall", response_class=HTMLResponse, include_in_schema=False)
def hall_page(request: Request, studio: Here) -> Response:
    """The pairing code, and the devices that were let in."""
    return studio.pages.page(request, "hall.html", address=studio.hall_address, devices=studio.keys.devices)


@router.post(
    "/api/hall/code",
    tags=["hall"],
    responses={409: {"model": Trouble, "description": "the studio does not serve the local network"}},
)
def new_code(request: Request, studio: Here) -> PairingCode:
    """Make a pairing code for one device; an older one is void."""
    _only_owner(request)
    if not studio.hall_address:
        raise_trouble(409, studio.pages.words_of(request).say("hall", "closed"))
    code = studio.keys.new_code()
    address = f"{studio.hall_address}/pair?code={code.digits}"
    return PairingCode(
        code=code.digits,
        address=studio.hall_address,
        seconds=int(CODE_SECONDS),
        drawing=code_drawing(address, studio.pages.words_of(request).say("hall", "drawing")),
    )


@router.post(
    "/api/hall/revoked",
    tags=["hall"],
    status_code=204,
    responses={404: {"model": Trouble, "description": "there is no such device"}},
)
def revoke(device: DeviceId, request: Request, studio: Here) -> None:
    """Shut a device out from now on."""
    _only_owner(request)
    if not studio.keys.revoke(device.id):
        raise_trouble(404, studio.pages.words_of(request).say("trouble", "not_found"))


def _only_owner(request: Request) -> None:
    session: Session = request.scope["state"]["session"]
    if session.is_paired:
        raise_trouble(403, "Only the computer that runs the studio lets devices in and out.")
