"""A dance: its sheet proved as one types, danced beside it, kept in versions, in both languages."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import SequenceMatcher
from itertools import zip_longest
from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, Response

from noonwall.errors import CannotDance
from noonwall.pipeline.studio_dance import (
    beside_each_other,
    check_sheet,
    empty_stage,
    facts_for_shelf,
    film_of_text,
)
from noonwall.shelf import Conflict
from noonwall.studio.models import (
    ChangedSheet,
    Checked,
    Danced,
    DanceKept,
    SavedAs,
    SheetText,
    Trouble,
    VersionNumber,
    checked,
    danced,
)
from noonwall.studio.studio import Here, Id

router = APIRouter()
NOT_THERE: dict[int | str, dict[str, Any]] = {
    404: {"model": Trouble, "description": "there is no such dance or version"}
}


@router.get("/dances/{dance_id}", response_class=HTMLResponse, include_in_schema=False)
def dance_page(dance_id: Id, request: Request, studio: Here) -> Response:
    """The page of a dance: facts, floor, sheet and counts."""
    dance = studio.shelf.dance(dance_id)
    told = studio.pages.language_of(request)
    symbols, stage = empty_stage(told)
    return studio.pages.page(
        request,
        "dance.html",
        dance=dance,
        asides=[
            each.number
            for each in studio.shelf.versions(dance_id)
            if each.is_aside and each.number > dance.version
        ][-1:],
        checked=checked(check_sheet(dance.text, told)).model_dump(),
        symbols=symbols,
        stage=stage,
    )


@router.get("/dances/{dance_id}/beside", response_class=HTMLResponse, include_in_schema=False)
def beside_page(dance_id: Id, request: Request, studio: Here) -> Response:
    """The sheet in English and French, side by side."""
    dance = studio.shelf.dance(dance_id)
    try:
        lines = beside_each_other(dance.text)
    except CannotDance:
        lines = ()
    return studio.pages.page(request, "beside.html", dance=dance, lines=lines)


@dataclass(frozen=True, slots=True)
class LinePair:
    """One line of two versions side by side; ``kind`` is "same", "changed", "gone" or "new"."""

    kind: str
    old: str
    new: str


@router.get("/dances/{dance_id}/versions", response_class=HTMLResponse, include_in_schema=False)
def versions_page(dance_id: Id, request: Request, studio: Here) -> Response:
    """Every version of the sheet, and any two of them side by side."""
    dance = studio.shelf.dance(dance_id)
    versions = studio.shelf.versions(dance_id)
    numbers = [version.number for version in versions]
    old = _number(request, "old", numbers, numbers[max(0, numbers.index(dance.version) - 1)])
    new = _number(request, "new", numbers, dance.version)
    texts = {version.number: version.text for version in versions if version.number in (old, new)}
    return studio.pages.page(
        request,
        "versions.html",
        dance=dance,
        versions=versions[::-1],
        old=old,
        new=new,
        pairs=_compared(texts[old], texts[new]),
    )


def _number(request: Request, name: str, numbers: list[int], usual: int) -> int:
    asked = request.query_params.get(name, "")
    return int(asked) if asked.isdecimal() and len(asked) < 10 and int(asked) in numbers else usual


def _compared(old: str, new: str) -> list[LinePair]:
    before, after = old.split("\n"), new.split("\n")
    pairs: list[LinePair] = []
    for kind, i, j, k, m in SequenceMatcher(None, before, after, autojunk=False).get_opcodes():
        named = {"equal": "same", "replace": "changed", "delete": "gone", "insert": "new"}[kind]
        for left, right in zip_longest(before[i:j], after[k:m], fillvalue=""):
            pairs.append(LinePair(named, left, right))
    return pairs


@router.get("/api/dances/{dance_id}", tags=["dance"], responses=NOT_THERE)
def read_dance(dance_id: Id, studio: Here) -> DanceKept:
    """Return a dance with its current text."""
    dance = studio.shelf.dance(dance_id)
    return DanceKept(id=dance.id, title=dance.row.title, version=dance.version, text=dance.text)


@router.put("/api/dances/{dance_id}", tags=["dance"], responses=NOT_THERE)
def save_dance(dance_id: Id, sheet: ChangedSheet, studio: Here) -> SavedAs:
    """Keep a changed text; if somebody saved before, both are kept and ``is_aside`` says so."""
    saved = studio.shelf.save_version(
        dance_id, sheet.text, facts_for_shelf(sheet.text), based_on=sheet.based_on
    )
    if isinstance(saved, Conflict):
        return SavedAs(id=dance_id, version=saved.kept, current=saved.current, is_aside=True)
    return SavedAs(id=dance_id, version=saved.version, current=saved.version, is_aside=False)


@router.post("/api/dances/{dance_id}/restored", tags=["dance"], responses=NOT_THERE)
def restore_version(dance_id: Id, wanted: VersionNumber, studio: Here) -> SavedAs:
    """Make an older version current again, as a new version."""
    saved = studio.shelf.restore(dance_id, wanted.version)
    return SavedAs(id=dance_id, version=saved.version, current=saved.version, is_aside=False)


@router.delete("/api/dances/{dance_id}", tags=["dance"], responses=NOT_THERE, status_code=204)
def remove_dance(dance_id: Id, studio: Here) -> None:
    """Take a dance off the shelf; it can be put back."""
    studio.shelf.remove("dance", dance_id)


@router.post("/api/checked", tags=["sheet"])
def check_text(sheet: SheetText) -> Checked:
    """Check a sheet without keeping it: facts, remarks beside their lines, what was not understood."""
    return checked(check_sheet(sheet.text, sheet.language))


@router.post("/api/danced", tags=["sheet"])
def dance_text(sheet: SheetText) -> Danced:
    """Dance a sheet without keeping it."""
    return danced(film_of_text(sheet.text, sheet.language))
