"""What the pages of one running studio share."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated, NoReturn, cast

from fastapi import Depends, HTTPException, Request
from fastapi import Path as InPath

from noonwall.shelf import Shelf
from noonwall.studio.keys import Keys
from noonwall.studio.making_jobs import Workbench
from noonwall.studio.rendering import Pages
from noonwall.studio.security import Doors

LARGEST_ID = 2**53


@dataclass
class Studio:
    """One running studio: its shelf, its pages, who may come in, and what is being made."""

    shelf: Shelf
    pages: Pages
    keys: Keys
    doors: Doors
    songs_folder: Path
    hall_address: str = ""
    bench: Workbench = field(default_factory=Workbench)


def studio_of(request: Request) -> Studio:
    """Return the studio that a request came to."""
    return cast(Studio, request.app.state.studio)


def raise_trouble(status: int, sentence: str) -> NoReturn:
    """End a request with a status and one sentence for a person.

    Raises:
        HTTPException: always.
    """
    raise HTTPException(status, sentence)


Here = Annotated[Studio, Depends(studio_of)]
Id = Annotated[int, InPath(ge=1, le=LARGEST_ID)]
