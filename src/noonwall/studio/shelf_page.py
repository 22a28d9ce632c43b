"""The shelf: every dance found as one types, narrowed by filters, a sheet added as text or file."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from fastapi import APIRouter, Query, Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import HTMLResponse, Response

from noonwall.pipeline.studio_dance import MOST_CHARACTERS, facts_for_shelf, floor_picture
from noonwall.pipeline.studio_reading import read_sheet_bytes
from noonwall.shelf import LEVELS, DanceRow, Filters, Found
from noonwall.studio.models import DancesFound, NewSheet, SavedAs, listed
from noonwall.studio.studio import Here, Studio

router = APIRouter()
PER_PAGE = 30
LENGTHS: dict[str, tuple[float | None, float | None]] = {
    "short": (None, 31),
    "32": (32, 32),
    "long": (33, 63),
    "64": (64, None),
}
TEMPOS: dict[str, tuple[float | None, float | None]] = {
    "slow": (None, 99),
    "middle": (100, 124),
    "fast": (125, None),
}
"""Counts a minute of slow, middling and fast: our own cut through what beginners and improvers dance to."""

SheetOrder = Literal["best", "title", "added", "changed", "level", "tempo", "counts", "taught"]


class Wanted:
    """What a search asks for, as the address of the page says it; what it does not know it passes over."""

    def __init__(
        self,
        find: Annotated[str, Query(max_length=200)] = "",
        level: Annotated[str, Query(max_length=40)] = "",
        length: Annotated[str, Query(max_length=10)] = "",
        walls: Annotated[str, Query(max_length=10)] = "",
        tempo: Annotated[str, Query(max_length=10)] = "",
        taught: Annotated[str, Query(max_length=10)] = "",
        order: Annotated[str, Query(max_length=10)] = "",
        page: Annotated[int, Query(ge=1, le=100_000)] = 1,
    ) -> None:
        self.find, self.page = find, page
        self.level = level if level in LEVELS else ""
        self.length = length if length in LENGTHS else ""
        self.walls = walls if walls in ("1", "2", "4") else ""
        self.tempo = tempo if tempo in TEMPOS else ""
        self.taught = taught if taught in ("yes", "no") else ""
        self.order = order if order in ("title", "added", "changed", "level", "tempo", "taught") else ""

    def filters(self) -> Filters:
        """Return the filters of the shelf that this search asks for."""
        counts, tempo = LENGTHS.get(self.length, (None, None)), TEMPOS.get(self.tempo, (None, None))
        return Filters(
            levels=(self.level,) if self.level else (),
            walls=(int(self.walls),) if self.walls else (),
            counts_from=counts[0],
            counts_to=counts[1],
            bpm_from=tempo[0],
            bpm_to=tempo[1],
            taught={"yes": True, "no": False}.get(self.taught),
        )

    def found(self, studio: Studio) -> Found[DanceRow]:
        """Return the page of dances asked for."""
        order: Any = self.order or ("best" if self.find.strip() else "changed")
        return studio.shelf.find(self.find, self.filters(), order=order, page=self.page, per_page=PER_PAGE)


@router.get("/", response_class=HTMLResponse, include_in_schema=False)
def shelf_page(request: Request, studio: Here) -> Response:
    """The page itself, or with ``part=rows`` the list alone, for a search as one types."""
    known = {name: value for name, value in request.query_params.items() if name in _ASKED}
    page = known.pop("page", "1")
    number = min(max(int(page), 1), 100_000) if page.isdecimal() and len(page) < 8 else 1
    wanted = Wanted(**{name: value[:200] for name, value in known.items()}, page=number)
    found = wanted.found(studio)
    if request.query_params.get("part") == "rows":
        return studio.pages.page(request, "shelf_rows.html", wanted=wanted, found=found)
    clean = studio.shelf.find("", Filters(clean=True), order="changed", per_page=1).rows
    symbols, floor = floor_picture(studio.pages.language_of(request))
    return studio.pages.page(
        request,
        "shelf.html",
        wanted=wanted,
        found=found,
        dancing=clean[0] if clean else None,
        symbols=symbols,
        floor=floor,
        levels=LEVELS,
        lengths=tuple(LENGTHS),
        tempos=tuple(TEMPOS),
        most=MOST_CHARACTERS,
    )


_ASKED = ("find", "level", "length", "walls", "tempo", "taught", "order", "page")


@router.get("/api/dances", tags=["shelf"])
def find_dances(
    studio: Here,
    find: Annotated[str, Query(max_length=200, description="words of title, text or figures")] = "",
    page: Annotated[int, Query(ge=1, le=100_000)] = 1,
    order: SheetOrder = "best",
) -> DancesFound:
    """Find dances of the shelf by words, in both languages, without regard to accents."""
    found = studio.shelf.find(find, Filters(), order=order, page=page, per_page=PER_PAGE)
    return DancesFound(
        dances=[listed(row) for row in found.rows], total=found.total, page=found.page, pages=found.pages
    )


@router.post("/api/dances", tags=["shelf"], status_code=201)
def add_dance(sheet: NewSheet, studio: Here) -> SavedAs:
    """Keep a new sheet."""
    return _kept(studio, sheet.text)


@router.post(
    "/api/sheets",
    tags=["shelf"],
    status_code=201,
    openapi_extra={
        "requestBody": {
            "required": True,
            "content": {"application/octet-stream": {"schema": {"type": "string", "format": "binary"}}},
        }
    },
)
async def add_sheet_file(
    request: Request, studio: Here, name: Annotated[str, Query(max_length=200, description="its file name")]
) -> SavedAs:
    """Keep a sheet that comes as a file (txt, md, html, docx, pdf); it is read apart, with limits."""
    text = await run_in_threadpool(read_sheet_bytes, await request.body(), name)
    return _kept(studio, text)


def _kept(studio: Studio, text: str) -> SavedAs:
    known = studio.shelf.add_dance(text, facts_for_shelf(text))
    return SavedAs(id=known, version=1, current=1, is_aside=False)
