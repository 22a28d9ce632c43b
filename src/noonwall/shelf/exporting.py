"""Export: the whole shelf as plain files that any program reads, with a manifest that proves them whole."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any
from uuid import uuid4

from noonwall.shelf.base import ShelfBase
from noonwall.shelf.faults import ShelfError
from noonwall.shelf.folding import words_of
from noonwall.shelf.plain import TABLES, records
from noonwall.shelf.store import Row, Session

FORMAT = "noonwall-shelf-export"
FORMAT_VERSION = 1
MANIFEST = "manifest.json"
LONGEST_NAME = 40

Progress = Callable[[int, int], None]
"""Called with how many dances are done and how many there are."""


class Exporting(ShelfBase):
    """The part of a shelf that writes itself out."""

    def export_to(self, folder: Path, progress: Progress | None = None) -> int:
        """Write everything into a new folder, whole or not at all, and return how many files there are.

        ``dances/`` has a folder for each dance with every version as text and ``dance.json``; ``songs/``,
        ``runs/``, ``classes/``, ``taught/`` and ``lessons/`` hold a JSON file for each; ``settings.json`` the
        settings; ``manifest.json`` lists every file with its SHA-256. What was removed is written too.

        Args:
            folder: a folder that is not there, or is empty.
            progress: see :data:`Progress`.

        Raises:
            ShelfError: the folder holds something, or cannot be written.
        """
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            raise ShelfError("shelf.export-place", place=folder)
        part = folder.with_name(f".{folder.name}.{uuid4().hex[:8]}.part")
        try:
            part.mkdir(parents=True)
            written: dict[str, str] = {}
            with self._store.reading() as session:
                _write_dances(session, part, written, progress)
                for table in TABLES:
                    for record in records(session, table):
                        name = f"{FOLDERS[table.name]}/{_name(record)}.json"
                        _write(part, name, _json(record), written)
                settings = session.rows("SELECT name, value FROM shelf_setting ORDER BY name")
            told = {str(name): json.loads(value) for name, value in settings}
            _write(part, "settings.json", _json(told), written)
            manifest = {
                "format": FORMAT,
                "version": FORMAT_VERSION,
                "made_at": self._now(),
                "files": dict(sorted(written.items())),
            }
            _write(part, MANIFEST, _json(manifest), {})
            if folder.exists():
                folder.rmdir()
            part.replace(folder)
        except OSError as error:
            reason = (error.strerror or str(error)).lower()
            raise ShelfError("shelf.unwritable", place=folder, reason=reason) from error
        finally:
            with suppress(OSError):
                if part.exists():
                    shutil.rmtree(part)
        return len(written)


FOLDERS = {"song": "songs", "run": "runs", "class": "classes", "taught": "taught", "lesson": "lessons"}


def _write_dances(session: Session, part: Path, written: dict[str, str], progress: Progress | None) -> None:
    rows = session.rows(
        "SELECT id, uid, title, current, added_at, changed_at, removed_at FROM dance ORDER BY id"
    )
    for done, row in enumerate(rows, 1):
        _write_dance(session, row, part, written)
        if progress:
            progress(done, len(rows))


def _write_dance(session: Session, row: Row, part: Path, written: dict[str, str]) -> None:
    record = dict(
        zip(("id", "uid", "title", "current", "added_at", "changed_at", "removed_at"), row, strict=True)
    )
    folder = f"dances/{_name(record)}"
    versions = []
    for number, saved_at, based_on, is_aside, text, facts in session.rows(
        "SELECT number, saved_at, based_on, is_aside, text, facts FROM dance_version "
        "WHERE dance_id = :id ORDER BY number",
        id=record["id"],
    ):
        file = f"version-{number}.txt"
        _write(part, f"{folder}/{file}", text.encode("utf-8"), written)
        versions.append(
            {
                "number": number,
                "file": file,
                "saved_at": saved_at,
                "based_on": based_on,
                "is_aside": bool(is_aside),
                "facts": json.loads(facts),
            }
        )
    _write(part, f"{folder}/dance.json", _json({**record, "versions": versions}), written)


def _name(record: dict[str, Any]) -> str:
    """Return a name for a record's file that tells a person what it is, of plain letters on every system."""
    title = "-".join(words_of(str(record.get("title") or record.get("name") or "")))
    plain = "".join(one for one in title if one.isascii())[:LONGEST_NAME].strip("-")
    return f"{record['id']:05d}" + (f"-{plain}" if plain else "")


def _json(value: Any) -> bytes:
    return (json.dumps(value, ensure_ascii=False, indent=1) + "\n").encode("utf-8", "surrogatepass")


def _write(part: Path, name: str, content: bytes, written: dict[str, str]) -> None:
    path = part / name
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("wb") as file:
        file.write(content)
        if name == MANIFEST:
            # written last: an export that has its manifest is whole, and is checked by it
            file.flush()
            os.fsync(file.fileno())
    written[name] = hashlib.sha256(content).hexdigest()
