"""Making: everything that can be made of a dance, with progress, fetched when it is done."""

from __future__ import annotations

import re
import tempfile
import unicodedata
from collections.abc import Callable
from typing import Annotated
from urllib.parse import quote

from fastapi import APIRouter, Request
from fastapi import Path as InPath
from starlette.responses import HTMLResponse, Response

from noonwall.errors import NoonwallError
from noonwall.pipeline import fault_words
from noonwall.pipeline.studio_making import IN_BOTH, KINDS, MAKES, NEEDS_SONG, MakeOrder, make_apart
from noonwall.shelf import Dance
from noonwall.studio.dance_page import NOT_THERE
from noonwall.studio.floor_page import latest_run
from noonwall.studio.making_jobs import Job, Product
from noonwall.studio.models import Making, MakingOrder
from noonwall.studio.studio import Here, Id, Studio, raise_trouble

router = APIRouter()
JobId = Annotated[str, InPath(pattern="^[0-9a-f]{32}$")]
LONGEST_NAME = 60


@router.get("/dances/{dance_id}/make", response_class=HTMLResponse, include_in_schema=False)
def making_page(dance_id: Id, request: Request, studio: Here) -> Response:
    """What can be made of a dance."""
    dance = studio.shelf.dance(dance_id)
    runs = studio.shelf.runs(dance_id)
    song = studio.shelf.song(runs[0].song_id) if runs else None
    return studio.pages.page(
        request, "making.html", dance=dance, song=song, makes=MAKES, in_both=IN_BOTH, needs_song=NEEDS_SONG
    )


@router.post(
    "/api/dances/{dance_id}/makings",
    tags=["making"],
    status_code=202,
    responses=NOT_THERE,
)
def make(dance_id: Id, wish: MakingOrder, request: Request, studio: Here) -> Making:
    """Begin to make something of a dance; ask for the making again to learn how far it is."""
    dance = studio.shelf.dance(dance_id)
    words = studio.pages.words_of(request)
    if wish.format not in MAKES[wish.what]:
        raise_trouble(422, words.say("making", "no_format"))
    song, heard, plan = latest_run(studio, dance)
    file = studio.shelf.song_file(song.id, [studio.songs_folder]) if song else None
    if wish.what in NEEDS_SONG and file is None:
        raise_trouble(422, words.say("making", "needs_song"))
    languages = tuple(wish.languages) if wish.what in IN_BOTH else tuple(wish.languages[:1])

    def order(folder: str) -> MakeOrder:
        return MakeOrder(
            wish.what,
            wish.format,
            languages,
            dance.text,
            folder,
            wish.paper,
            tuple(wish.speeds),
            wish.shape,
            wish.minutes,
            str(file) if file else "",
            song.title if song and file else "",
            heard.heard if heard and file else "",
            heard.corrections if heard and file else "[]",
            plan,
        )

    def trouble(error: Exception) -> str:
        if isinstance(error, NoonwallError):
            return fault_words(error, words.language)
        return words.say("trouble", "fault")

    return _told(studio.bench.begin(_maker(order, dance, wish), trouble))


def _maker(
    order: Callable[[str], MakeOrder], dance: Dance, wish: MakingOrder
) -> Callable[[Callable[[float], None]], Product]:
    def work(tell: Callable[[float], None]) -> Product:
        with tempfile.TemporaryDirectory(prefix="noonwall-") as folder:
            made = make_apart(order(folder), tell)
            ending = made.path.suffix.lstrip(".")
            kind = KINDS.get(ending, made.kind)
            return Product(made.path.read_bytes(), kind, f"{_plain(dance.row.title)}-{wish.what}.{ending}")

    return work


def _plain(title: str) -> str:
    """Return a title as the name of a file: letters, digits and hyphens."""
    bare = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode()
    return re.sub(r"[^A-Za-z0-9]+", "-", bare).strip("-").lower()[:LONGEST_NAME] or "dance"


def _told(job: Job) -> Making:
    return Making(
        id=job.id,
        state=job.state,
        share=round(job.share, 3),
        sentence=job.sentence,
        file=f"/makings/{job.id}/file" if job.product else "",
    )


@router.get("/api/makings/{job_id}", tags=["making"], responses=NOT_THERE)
def making(job_id: JobId, studio: Here, request: Request) -> Making:
    """Return how far a making is."""
    return _told(_job(studio, job_id, request))


@router.get("/makings/{job_id}/file", include_in_schema=False)
def made_file(job_id: JobId, studio: Here, request: Request) -> Response:
    """The file that was made, to be saved."""
    product = _job(studio, job_id, request).product
    if product is None:
        raise_trouble(404, studio.pages.words_of(request).say("trouble", "not_found"))
    named = f"attachment; filename*=UTF-8''{quote(product.name)}"
    return Response(product.content, media_type=product.kind, headers={"content-disposition": named})


def _job(studio: Studio, job_id: str, request: Request) -> Job:
    job = studio.bench.job(job_id)
    if job is None:
        raise_trouble(404, studio.pages.words_of(request).say("trouble", "not_found"))
    return job
