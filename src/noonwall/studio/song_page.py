"""Songs: brought as a file, heard apart, seen with their beats and phrases, a dance laid on them."""

from __future__ import annotations

import tempfile
from hashlib import sha256
from pathlib import Path, PurePosixPath
from typing import Annotated

from fastapi import APIRouter, Query, Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import FileResponse, HTMLResponse, Response

from noonwall import __version__
from noonwall.pipeline.studio_song import (
    SongHeard,
    Sound,
    fitted,
    hear_song,
    run_kept,
    song_heard,
    song_shown,
    sound_of,
)
from noonwall.shelf import Dance, Song
from noonwall.studio.dance_page import NOT_THERE
from noonwall.studio.models import Corrections, RunChosen, RunKeptAs, SongKept
from noonwall.studio.studio import Here, Id, Studio, raise_trouble

router = APIRouter()
BYTES = {"type": "string", "format": "binary"}
MOST_NAMED = 120
PER_PAGE = 60


@router.get("/songs", response_class=HTMLResponse, include_in_schema=False)
def songs_page(request: Request, studio: Here) -> Response:
    """Every song of the shelf, and a place to bring one."""
    found = studio.shelf.find_songs(per_page=PER_PAGE)
    return studio.pages.page(request, "songs.html", songs=found.rows, dance=None)


@router.get("/songs/{song_id}", response_class=HTMLResponse, include_in_schema=False)
def song_page(song_id: Id, request: Request, studio: Here) -> Response:
    """A song alone: played, seen, corrected."""
    return _shown(request, studio, studio.shelf.song(song_id), None)


@router.get("/dances/{dance_id}/music", response_class=HTMLResponse, include_in_schema=False)
def music_page(
    dance_id: Id,
    request: Request,
    studio: Here,
    song: Annotated[int, Query(ge=0, le=2**53)] = 0,
    plan: Annotated[int, Query(ge=-1, le=99)] = -1,
) -> Response:
    """A dance on a song: the one asked for, else that of its latest run, else a choice of songs."""
    dance = studio.shelf.dance(dance_id)
    runs = studio.shelf.runs(dance_id)
    kept = next((run for run in runs if not song or run.song_id == song), None)
    chosen = song or (kept.song_id if kept else 0)
    if not chosen or "choose" in request.query_params:
        found = studio.shelf.find_songs(per_page=PER_PAGE)
        return studio.pages.page(request, "songs.html", songs=found.rows, dance=dance)
    number = plan if plan >= 0 else int(kept.run.get("plan", 0)) if kept else 0
    return _shown(request, studio, studio.shelf.song(chosen), dance, number)


def _shown(request: Request, studio: Studio, song: Song, dance: Dance | None, plan: int = 0) -> Response:
    heard, sound = heard_and_sound(studio, song)
    shown = song_shown(
        heard,
        sound,
        dance.row.title if dance else song.title,
        f"/songs/{song.id}/sound",
        studio.pages.language_of(request),
        dance.text if dance else "",
        plan,
    )
    return studio.pages.page(request, "song.html", song=song, dance=dance, shown=shown, plan=plan)


def heard_and_sound(studio: Studio, song: Song) -> tuple[SongHeard, Sound]:
    """Return a song with what its page draws; a song that was not yet heard here is heard now.

    Raises:
        NoonwallError: it cannot be heard.
        HTTPException: its file is gone.
    """
    beside = _beside(studio, song.sha256)
    sound = sound_of(beside)
    if song.map is None or sound is None:
        file = studio.shelf.song_file(song.id, [studio.songs_folder])
        if file is None:
            raise_trouble(404, f"{song.title}: the sound file is gone; bring it again.")
        heard = hear_song(file, beside)
        studio.shelf.set_heard(song.id, heard, __version__)
        sound = sound_of(beside)
        assert sound is not None
        return song_heard(heard, song.corrections), sound
    return song_heard(song.map, song.corrections), sound


def _beside(studio: Studio, digest: str) -> Path:
    return studio.songs_folder / f"{digest}.json"


@router.get("/songs/{song_id}/sound", include_in_schema=False)
def sound_file(song_id: Id, studio: Here) -> Response:
    """The sound of a song, whole or in the parts that a player asks for."""
    song = studio.shelf.song(song_id)
    file = studio.shelf.song_file(song_id, [studio.songs_folder])
    if file is None:
        raise_trouble(404, f"{song.title}: the sound file is gone; bring it again.")
    sound = sound_of(_beside(studio, song.sha256))
    return FileResponse(file, media_type=sound.mime if sound else "application/octet-stream")


@router.post(
    "/api/songs",
    tags=["music"],
    status_code=201,
    openapi_extra={
        "requestBody": {"required": True, "content": {"application/octet-stream": {"schema": BYTES}}}
    },
)
async def bring_song(
    request: Request, studio: Here, name: Annotated[str, Query(max_length=200, description="its file name")]
) -> SongKept:
    """Keep a song and hear it, apart and with limits; the same song again is the same song."""
    digest = sha256()
    with tempfile.NamedTemporaryFile(dir=studio.songs_folder, prefix="coming-", delete=False) as coming:
        arriving = Path(coming.name)
        try:
            async for block in request.stream():
                digest.update(block)
                await run_in_threadpool(coming.write, block)
            coming.close()
            return await run_in_threadpool(_keep, studio, arriving, digest.hexdigest(), name)
        finally:
            arriving.unlink(missing_ok=True)


def _keep(studio: Studio, arriving: Path, digest: str, name: str) -> SongKept:
    plain = PurePosixPath(name.replace("\\", "/"))
    heard = hear_song(arriving, _beside(studio, digest))
    # The name on the disk is ours: what the sender calls the file is its title and nothing else.
    kept = studio.songs_folder / f"{digest}.sound"
    arriving.replace(kept)
    title = plain.stem.replace("_", " ").strip()[:MOST_NAMED] or digest[:8]
    song_id = studio.shelf.add_song(kept, title=title, heard=heard, edition=__version__)
    return SongKept(id=song_id, title=studio.shelf.song(song_id).title)


@router.put("/api/songs/{song_id}/corrections", tags=["music"], responses=NOT_THERE)
def correct_song(song_id: Id, given: Corrections, studio: Here) -> SongKept:
    """Keep what a teacher put right in a song: the whole list, which replaces the one before."""
    song = studio.shelf.song(song_id)
    rows = [each.model_dump() for each in given.corrections]
    if song.map is not None:
        # Corrections that cannot be made in this song are refused before they are kept.
        _ = song_heard(song.map, rows).map
    studio.shelf.set_corrections(song_id, rows)
    return SongKept(id=song_id, title=song.title)


@router.post("/api/dances/{dance_id}/runs", tags=["music"], status_code=201, responses=NOT_THERE)
def keep_run(dance_id: Id, chosen: RunChosen, studio: Here) -> RunKeptAs:
    """Keep a dance on a song as planned; its page, its lesson and all that is made of it go by this run."""
    dance, song = studio.shelf.dance(dance_id), studio.shelf.song(chosen.song)
    heard, _ = heard_and_sound(studio, song)
    run = fitted(dance.text, heard, chosen.plan)
    return RunKeptAs(
        id=studio.shelf.add_run(dance_id, dance.version, song.id, run_kept(run, chosen.plan)),
        walls=len(run.walls),
    )
