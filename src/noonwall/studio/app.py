"""The studio put together: pages, guard, troubles worded, and the server that runs it."""

from __future__ import annotations

import logging
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import uvicorn
from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.routing import APIRoute
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse, Response
from starlette.types import ASGIApp

from noonwall import __version__
from noonwall.errors import NoonwallError
from noonwall.pipeline import fault_words
from noonwall.pipeline.studio_words import studio_language, studio_words
from noonwall.shelf import Shelf
from noonwall.studio import (
    dance_page,
    door_pages,
    floor_page,
    lesson_page,
    making_page,
    shelf_page,
    song_page,
)
from noonwall.studio.assets import all_assets
from noonwall.studio.keys import Keys
from noonwall.studio.models import Trouble
from noonwall.studio.rendering import Pages, usual_environment
from noonwall.studio.security import Doors, Guard
from noonwall.studio.seeding import songs_folder
from noonwall.studio.studio import Studio

LOOPBACK, EVERYWHERE = "127.0.0.1", "0.0.0.0"
NOT_THERE = ("shelf.missing", "shelf.no-version")
NO_ROOM = 507
MODULES = (
    shelf_page,
    dance_page,
    song_page,
    floor_page,
    lesson_page,
    making_page,
    door_pages,
)
EVERYWHERE_SAID: dict[int | str, dict[str, Any]] = {
    400: {"model": Trouble, "description": "the body is not what its type says"},
    401: {"model": Trouble, "description": "the browser was not let in"},
    403: {"model": Trouble, "description": "the token is missing or old, or another site asked"},
    413: {"model": Trouble, "description": "the body is too large"},
    422: {"model": Trouble, "description": "a value is not allowed, or the file cannot be read"},
}
"""What any part of the API may answer."""
LOG = logging.getLogger("noonwall.studio")


@dataclass(frozen=True, slots=True)
class Served:
    """How a studio is served: port, language (None: the browser's), address in the hall or ""."""

    port: int
    language: str | None = None
    hall: str = ""


def make_studio(shelf: Shelf, served: Served, data_folder: Path) -> Studio:
    """Return the studio of a shelf.

    Args:
        shelf: an open shelf.
        served: how it is served.
        data_folder: where songs are kept if the shelf is a database.
    """
    keys = Keys()
    pages = Pages(usual_environment(), all_assets(), keys, served.language)
    doors = Doors.at(served.port, [served.hall] if served.hall else [])
    hall = f"http://{served.hall}:{served.port}" if served.hall else ""
    return Studio(shelf, pages, keys, doors, songs_folder(shelf, data_folder), hall)


def make_app(studio: Studio) -> ASGIApp:
    """Return the web application of a studio, with its guard before it."""
    return Guard(make_pages(studio), studio.keys, studio.doors, lambda asked: _stranger(studio, asked))


def make_pages(studio: Studio) -> FastAPI:
    """Return the pages without the guard (its OpenAPI description is asked of it)."""

    @asynccontextmanager
    async def life(app: FastAPI) -> AsyncIterator[None]:
        yield
        studio.bench.close()

    app = FastAPI(
        title="noonwall studio",
        version=__version__,
        description="The teacher's own shelf. Every change needs the page's token in X-Noonwall-Token.",
        docs_url=None,
        redoc_url=None,
        lifespan=life,
    )
    app.state.studio = studio
    for module in MODULES:
        app.include_router(module.router, responses=EVERYWHERE_SAID)
    app.add_exception_handler(NoonwallError, _trouble)
    app.add_exception_handler(HTTPException, _refusal)
    app.add_exception_handler(RequestValidationError, _not_understood)
    app.add_exception_handler(Exception, _fault)
    return app


def _stranger(studio: Studio, asked: str) -> bytes:
    words = studio_words(studio.pages.language or studio_language(asked))
    values = {"token": "", "is_device": False, "is_known": False, "path": "/pair"}
    return studio.pages.fill("pair.html", words, wrong=False, code="", **values).encode("utf-8")


async def _trouble(request: Request, error: Exception) -> Response:
    assert isinstance(error, NoonwallError)
    studio: Studio = request.app.state.studio
    sentence = fault_words(error, studio.pages.language_of(request))
    status = 404 if error.code in NOT_THERE else NO_ROOM if error.code == "shelf.full" else 422
    return _told(request, status, sentence)


async def _refusal(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    studio: Studio = request.app.state.studio
    is_lost = error.status_code == 404 and error.detail == "Not Found"
    lost = studio.pages.words_of(request).say("trouble", "not_found") if is_lost else ""
    answer = _told(request, error.status_code, lost or str(error.detail))
    answer.headers.update(error.headers or {})
    if error.status_code == 405:
        answer.headers["allow"] = ", ".join(sorted(_methods_of(request.url.path)))
    return answer


def _methods_of(path: str) -> set[str]:
    """Return every method that an address knows; the framework tells those of its first route alone."""
    routes = [route for module in MODULES for route in module.router.routes if isinstance(route, APIRoute)]
    return {method for route in routes if route.path_regex.match(path) for method in route.methods or ()}


async def _not_understood(request: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)
    studio: Studio = request.app.state.studio
    first = error.errors()[0]
    where = ".".join(str(step) for step in first["loc"][1:]) or str(first["loc"][0])
    sentence = studio.pages.words_of(request).say("trouble", "value", where=where, why=first["msg"])
    return _told(request, 400 if first["type"] == "json_invalid" else 422, sentence)


async def _fault(request: Request, error: Exception) -> Response:
    LOG.error("%s %s failed: %s: %s", request.method, request.url.path, type(error).__name__, error)
    studio: Studio = request.app.state.studio
    return _told(request, 500, studio.pages.words_of(request).say("trouble", "fault"))


def _told(request: Request, status: int, sentence: str) -> Response:
    if request.url.path.startswith("/api/"):
        return JSONResponse({"detail": sentence}, status)
    studio: Studio = request.app.state.studio
    return studio.pages.page(request, "trouble.html", status, sentence=sentence)


def serve(studio: Studio, port: int) -> None:
    """Serve a studio until it is stopped: on loopback, or on the local network if it has an address there."""
    host = EVERYWHERE if studio.hall_address else LOOPBACK
    uvicorn.run(make_app(studio), host=host, port=port, log_level="warning", server_header=False)
