"""The lesson: its minutes, its pieces and what to say, for a class and the time at hand."""

from __future__ import annotations

from datetime import date
from typing import Annotated

from fastapi import APIRouter, Query, Request
from starlette.responses import HTMLResponse, Response

from noonwall.pipeline.studio_lesson import (
    FEWEST_MINUTES,
    MOST_MINUTES,
    USUAL_MINUTES,
    ClassKnows,
    SongOfLesson,
    class_knows,
    lesson_shown,
)
from noonwall.shelf import ClassKept
from noonwall.studio.dance_page import NOT_THERE
from noonwall.studio.floor_page import latest_run
from noonwall.studio.models import LARGEST_ID, ClassNamed, TaughtTo, TaughtWritten
from noonwall.studio.studio import Here, Id

router = APIRouter()


@router.get("/dances/{dance_id}/lesson", response_class=HTMLResponse, include_in_schema=False)
def lesson_page(
    dance_id: Id,
    request: Request,
    studio: Here,
    minutes: Annotated[int, Query(ge=FEWEST_MINUTES, le=MOST_MINUTES)] = USUAL_MINUTES,
    to: Annotated[int, Query(ge=0, le=LARGEST_ID, description="the class")] = 0,
) -> Response:
    """The plan of a lesson, anew for every class and time."""
    dance = studio.shelf.dance(dance_id)
    classes = studio.shelf.classes()
    kept = next((one for one in classes if one.id == to), None)
    song, heard, plan = latest_run(studio, dance)
    on_song = SongOfLesson(song.title, heard, plan) if song and heard else None
    told = studio.pages.language_of(request)
    shown = lesson_shown(dance.text, told, minutes, _knows(kept), on_song)
    return studio.pages.page(
        request,
        "lesson.html",
        dance=dance,
        lesson=shown.page,
        classes=classes,
        to=to if kept else 0,
        minutes=minutes,
        limits=(FEWEST_MINUTES, MOST_MINUTES),
        song=song,
        today=date.today().isoformat(),
    )


def _knows(kept: ClassKept | None) -> ClassKnows:
    if kept is None:
        return class_knows("", {}, ())
    return class_knows(kept.name, kept.knows, [(one.title, one.figures) for one in kept.taught])


@router.post("/api/dances/{dance_id}/taught", tags=["lesson"], status_code=201, responses=NOT_THERE)
def write_down(dance_id: Id, taught: TaughtTo, studio: Here) -> TaughtWritten:
    """Write down that a dance was taught to a class on a day."""
    note = studio.shelf.teach(taught.to, dance_id, taught.day, notes=taught.notes)
    return TaughtWritten(id=note, day=taught.day)


@router.post("/api/classes", tags=["lesson"], status_code=201)
def add_class(named: ClassNamed, studio: Here) -> ClassNamed:
    """Keep a new class."""
    studio.shelf.add_class(named.name, named.members)
    return named
