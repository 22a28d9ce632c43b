"""Floor mode: one huge cue at a time for a phone in the hall, kept for the time without a network."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request
from starlette.responses import HTMLResponse, Response

from noonwall.pipeline.studio_dance import empty_stage
from noonwall.pipeline.studio_floor import floor_run
from noonwall.pipeline.studio_song import SongHeard, song_heard
from noonwall.shelf import Dance, Song
from noonwall.studio.song_page import heard_and_sound
from noonwall.studio.studio import Here, Id, Studio

router = APIRouter()


@router.get("/dances/{dance_id}/floor", response_class=HTMLResponse, include_in_schema=False)
def floor_page(
    dance_id: Id,
    request: Request,
    studio: Here,
    click: Annotated[bool, Query(description="to an even click, though a song is kept")] = False,
) -> Response:
    """The run of a dance called beat by beat: on the song of its latest run, else to a click."""
    dance = studio.shelf.dance(dance_id)
    told = studio.pages.language_of(request)
    song, heard, plan = (None, None, 0) if click else latest_run(studio, dance)
    return studio.pages.page(
        request,
        "floor.html",
        dance=dance,
        song=song,
        has_song=bool(studio.shelf.runs(dance_id)),
        run=floor_run(dance.text, told, heard, plan),
        sound=f"/songs/{song.id}/sound" if song else "",
        symbols=empty_stage(told)[0],
    )


def latest_run(studio: Studio, dance: Dance) -> tuple[Song | None, SongHeard | None, int]:
    """Return the song of a dance's latest run, as heard, and the number of its plan, if there is one."""
    runs = studio.shelf.runs(dance.id)
    if not runs:
        return None, None, 0
    song = studio.shelf.song(runs[0].song_id)
    # What was heard is on the shelf even where the sound itself has moved away.
    heard = song_heard(song.map, song.corrections) if song.map else heard_and_sound(studio, song)[0]
    return song, heard, int(runs[0].run.get("plan", 0))
