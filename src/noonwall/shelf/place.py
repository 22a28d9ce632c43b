"""Where a shelf is: the user's data folder, a file, or a database by URL."""

from __future__ import annotations

import os
import re
import sys
from dataclasses import dataclass
from pathlib import Path

from noonwall.shelf.faults import ShelfError

FILE_NAME = "shelf.sqlite"
_URL = re.compile(r"^[a-z][a-z0-9+.-]+://", re.IGNORECASE)
_POSTGRES = re.compile(r"^postgres(?:ql)?(?:\+psycopg)?://", re.IGNORECASE)
_SECRET = re.compile(r"(://[^:/@]*):.*@|([?&]password=)[^&]*", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Place:
    """A shelf's place: ``file`` for SQLite, else ``url`` of PostgreSQL; ``shown`` never holds a password."""

    shown: str
    file: Path | None = None
    url: str = ""


def data_folder() -> Path:
    """Return the folder where the system wants a user's data of noonwall.

    LOCALAPPDATA on Windows, Library/Application Support on macOS, XDG_DATA_HOME or ~/.local/share elsewhere
    (XDG Base Directory Specification 0.8; the other two are common practice there).
    """
    if sys.platform == "win32":
        usual = os.environ.get("LOCALAPPDATA")
        return (Path(usual) if usual else Path.home() / "AppData" / "Local") / "noonwall"
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Application Support" / "noonwall"
    usual = os.environ.get("XDG_DATA_HOME")
    # the specification: a path that is not absolute is to be ignored
    named = Path(usual) if usual and Path(usual).is_absolute() else Path.home() / ".local" / "share"
    return named / "noonwall"


def place_of(asked: Path | str | None) -> Place:
    """Return the place of a shelf: a file or URL as asked, else what NOONWALL_SHELF names, else the usual.

    A folder means the file ``shelf.sqlite`` in it.

    Raises:
        ShelfError: the URL is of no database that a shelf can use.
    """
    named = str(asked) if asked is not None else os.environ.get("NOONWALL_SHELF", "")
    if not named:
        file = data_folder() / FILE_NAME
        return Place(str(file), file)
    if _URL.match(named) and not isinstance(asked, Path):
        shown = _SECRET.sub(_hidden, named)
        if not _POSTGRES.match(named):
            raise ShelfError("shelf.url", place=shown)
        return Place(shown, None, _POSTGRES.sub("postgresql+psycopg://", named))
    file = Path(named)
    if file.is_dir():
        file /= FILE_NAME
    return Place(str(file), file)


def _hidden(secret: re.Match[str]) -> str:
    return f"{secret[1]}:***@" if secret[1] else f"{secret[2]}***"
