"""What programs and scripts send to the studio and get back: the types of its OpenAPI description."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any, Literal

from pydantic import BaseModel, Field

from noonwall.pipeline.studio_dance import MOST_CHARACTERS, FilmShown, SheetChecked
from noonwall.shelf import DanceRow

LARGEST_ID = 2**53
Language = Literal["en", "fr"]


class Trouble(BaseModel):
    """Why a request was not met: one sentence for a person."""

    detail: str


class SheetText(BaseModel):
    """A sheet as text, and the language in which remarks are wanted."""

    text: str = Field(max_length=MOST_CHARACTERS)
    language: Language = "en"


class NewSheet(BaseModel):
    """A sheet to be kept."""

    text: str = Field(min_length=1, max_length=MOST_CHARACTERS)


class ChangedSheet(NewSheet):
    """A changed text of a dance, and the version that was being changed."""

    based_on: int = Field(ge=1, le=LARGEST_ID)


class FactShown(BaseModel):
    """One fact, worded."""

    label: str
    value: str
    note: str


class FindingShown(BaseModel):
    """A remark: line and column count from 1; line 0 is the whole sheet, end 0 the whole line."""

    severity: Literal["wrong", "doubtful", "advice"]
    message: str
    mend: str
    line: int
    column: int
    end: int


class GapShown(BaseModel):
    """A stretch of text that was not understood."""

    line: int
    column: int
    end: int
    hint: str


class VerdictShown(BaseModel):
    """How many remarks of one kind there are, worded, and the line of the first."""

    kind: Literal["wrong", "doubtful", "advice", "gap", "clean"]
    words: str
    line: int


class StepOfLine(BaseModel):
    """The first step that a line dances."""

    line: int
    step: int


class Checked(BaseModel):
    """A sheet, checked."""

    title: str
    language: str
    is_danced: bool
    facts: list[FactShown]
    verdicts: list[VerdictShown]
    findings: list[FindingShown]
    gaps: list[GapShown]
    first_steps: list[StepOfLine]


class Danced(BaseModel):
    """A sheet, danced: what the page's script plays, and the HTML of its counts and choice of films."""

    data: dict[str, Any]
    films: str
    strips: str


class DanceListed(BaseModel):
    """A dance of the shelf as a list shows it."""

    id: int
    title: str
    language: str
    level: str
    counts: float | None
    walls: int | None
    bpm: float | None
    version: int
    times_taught: int


class DancesFound(BaseModel):
    """One page of a search."""

    dances: list[DanceListed]
    total: int
    page: int
    pages: int


class DanceKept(BaseModel):
    """A dance of the shelf with its current text."""

    id: int
    title: str
    version: int
    text: str


class SavedAs(BaseModel):
    """What became of a save.

    ``is_aside`` tells that somebody had saved before: both texts are kept, theirs is current, and ``current``
    is its number.
    """

    id: int
    version: int
    current: int
    is_aside: bool


class VersionNumber(BaseModel):
    """A version to be made current again."""

    version: int = Field(ge=1, le=LARGEST_ID)


class CorrectionMade(BaseModel):
    """One thing put right in a song; ``seconds`` and ``counts`` as its kind needs them."""

    kind: Literal["tap_one", "shift", "halve", "double", "mark_phrase", "odd_phrase"]
    seconds: float | None = Field(default=None, ge=0, le=100_000)
    counts: float | None = Field(default=None, ge=-256, le=256)


class Corrections(BaseModel):
    """Everything put right in a song, oldest first."""

    corrections: list[CorrectionMade] = Field(max_length=500)


class SongKept(BaseModel):
    """A song of the shelf."""

    id: int
    title: str


class RunChosen(BaseModel):
    """A dance on a song: which song, and which of the plans (0 is the best)."""

    song: int = Field(ge=1, le=LARGEST_ID)
    plan: int = Field(default=0, ge=0, le=99)


class RunKeptAs(BaseModel):
    """A run that was kept."""

    id: int
    walls: int


class TaughtTo(BaseModel):
    """A dance taught to a class on a day."""

    to: int = Field(ge=1, le=LARGEST_ID, description="the class")
    day: date
    notes: str = Field(default="", max_length=5_000)


class TaughtWritten(BaseModel):
    """The note that a dance was taught."""

    id: int
    day: date


class ClassNamed(BaseModel):
    """A class: its name and how many come."""

    name: str = Field(min_length=1, max_length=120)
    members: int | None = Field(default=None, ge=1, le=10_000)


class MakingOrder(BaseModel):
    """What is to be made of a dance; what a thing does not need is not looked at."""

    what: Literal[
        "sheet", "card", "chart", "plan", "prompter", "practice", "captions", "clip", "text", "page"
    ]
    format: str = Field(max_length=8)
    languages: list[Language] = Field(default=["en"], min_length=1, max_length=2)
    paper: Literal["a4", "a5", "letter"] = "a4"
    speeds: list[Annotated[int, Field(ge=50, le=120)]] = Field(default=[100], min_length=1, max_length=4)
    shape: Literal["landscape", "portrait"] = "landscape"
    minutes: int = Field(default=30, ge=5, le=180)


class Making(BaseModel):
    """Something being made: how much of it is done, why it failed, where to fetch it once it is done."""

    id: str
    state: Literal["waiting", "working", "done", "failed"]
    share: float
    sentence: str
    file: str


class PairingCode(BaseModel):
    """A pairing code for one device; ``drawing`` is its QR code as SVG."""

    code: str
    address: str
    seconds: int
    drawing: str


class DeviceId(BaseModel):
    """A device that was let in."""

    id: str = Field(max_length=40)


def checked(sheet: SheetChecked) -> Checked:
    """Return a checked sheet as the scripts get it."""
    data = sheet.data
    return Checked(
        title=data.title,
        language=sheet.language,
        is_danced=sheet.is_danced,
        facts=[FactShown(label=f.label, value=f.value, note=f.note) for f in data.facts],
        verdicts=[
            VerdictShown.model_validate({"kind": v.kind, "words": v.words, "line": v.line})
            for v in sheet.verdicts
        ],
        findings=[
            FindingShown(
                severity=f.severity.value,
                message=f.message,
                mend=f.mend,
                line=f.line,
                column=f.column,
                end=f.end,
            )
            for f in data.findings
        ],
        gaps=[GapShown(line=g.line, column=g.column, end=g.end, hint=g.hint) for g in data.not_understood],
        first_steps=[StepOfLine(line=line, step=step) for line, step in sheet.first_steps],
    )


def danced(film: FilmShown) -> Danced:
    """Return a danced sheet as the scripts get it."""
    return Danced(data=film.data, films=film.films, strips=film.strips)


def listed(row: DanceRow) -> DanceListed:
    """Return a row of the shelf as programs get it."""
    return DanceListed(
        id=row.id,
        title=row.title,
        language=row.language,
        level=row.level,
        counts=row.counts,
        walls=row.walls,
        bpm=row.bpm,
        version=row.version,
        times_taught=row.times_taught,
    )
