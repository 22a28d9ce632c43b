"""Import: an export back onto a shelf, empty or not, with nothing lost and nothing twice."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Any

from noonwall.shelf.dances import Dances
from noonwall.shelf.exporting import FOLDERS, FORMAT, FORMAT_VERSION, MANIFEST, Progress
from noonwall.shelf.facts import facts_from
from noonwall.shelf.faults import ShelfError
from noonwall.shelf.folding import clean
from noonwall.shelf.plain import TABLES, free_id, put_record
from noonwall.shelf.rows import Version
from noonwall.shelf.store import Session


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import brought: new dances, versions new to dances that were there, and other new things."""

    dances: int = 0
    versions: int = 0
    others: int = 0


class Importing(Dances):
    """The part of a shelf that reads an export."""

    def import_from(self, folder: Path, progress: Progress | None = None) -> Imported:
        """Put everything of an export on this shelf: all of it, or, if anything is wrong, nothing.

        What is on the shelf already (by its uid; songs by their content) is not taken twice. A dance that is
        here gets the versions that it lacks, kept aside; its own current version stays. Settings that are set
        here stay. Numbers stay as they were where they are free.

        Args:
            folder: what :meth:`Shelf.export_to` wrote.
            progress: called with how many dances are done and how many there are.

        Raises:
            ShelfError: the folder is no whole export, or the shelf cannot be written.
        """
        files = _proved_files(folder)
        ids: dict[str, int] = {}
        dances = versions = others = 0

        def versions_of(record: Mapping[str, Any], name: str) -> list[Version]:
            return [_version_from(folder, files, name, one) for one in record["versions"]]

        own = [name for name in files if name.startswith("dances/") and name.endswith("/dance.json")]
        try:
            with self._writing() as session:
                for done, name in enumerate(sorted(own), 1):
                    record = _read_json(folder, name)
                    is_new, added = self._put_dance(session, record, versions_of(record, name), ids)
                    dances += is_new
                    versions += 0 if is_new else added
                    if progress:
                        progress(done, len(own))
                for table in TABLES:
                    for name in sorted(one for one in files if one.startswith(f"{FOLDERS[table.name]}/")):
                        others += put_record(session, table, _read_json(folder, name), ids)
                others += _put_settings(session, _read_json(folder, "settings.json"))
        except (KeyError, TypeError, ValueError, AttributeError) as error:
            raise ShelfError("shelf.export-broken", place=folder, reason=repr(error)) from error
        return Imported(dances, versions, others)

    def _put_dance(
        self, session: Session, record: Mapping[str, Any], versions: list[Version], ids: dict[str, int]
    ) -> tuple[bool, int]:
        there = session.rows("SELECT id FROM dance WHERE uid = :uid", uid=record["uid"])
        if there:
            ids[str(record["uid"])] = int(there[0][0])
            return False, self._put_lacking(session, int(there[0][0]), versions)
        first = versions[0]
        wanted = free_id(session, "dance", int(record["id"]))
        dance_id = self._add(session, first.text, first.facts, str(record["uid"]), wanted)
        session.do("DELETE FROM dance_version WHERE dance_id = :id", id=dance_id)
        for one in versions:
            self._keep_version(
                session, dance_id, one.number, one.text, one.facts, one.based_on, one.is_aside, one.saved_at
            )
        current = next(one for one in versions if one.number == record["current"])
        self._show(session, dance_id, current.number, current.text, current.facts)
        session.do(
            "UPDATE dance SET added_at = :added_at, changed_at = :changed_at, removed_at = :removed_at "
            "WHERE id = :id",
            added_at=record["added_at"],
            changed_at=record["changed_at"],
            removed_at=record["removed_at"],
            id=dance_id,
        )
        ids[str(record["uid"])] = dance_id
        return True, len(versions)

    def _put_lacking(self, session: Session, dance_id: int, versions: list[Version]) -> int:
        """Keep aside the versions that a dance lacks; return how many."""
        current, last = self._held(session, dance_id)
        rows = session.rows("SELECT text FROM dance_version WHERE dance_id = :id", id=dance_id)
        known = {str(row[0]) for row in rows}
        added = 0
        for one in versions:
            if one.text not in known:
                known.add(one.text)
                added += 1
                self._keep_version(
                    session, dance_id, last + added, one.text, one.facts, current, True, one.saved_at
                )
        return added


def _version_from(folder: Path, files: Mapping[str, str], name: str, told: Mapping[str, Any]) -> Version:
    file = str(PurePosixPath(name).parent / str(told["file"]))
    if file not in files:  # what the manifest does not list was not proved, and may lie anywhere
        raise ValueError(f"{file} is not in the manifest")
    text = (folder / file).read_bytes().decode("utf-8")
    return Version(
        0,
        int(told["number"]),
        str(told["saved_at"]),
        int(told["based_on"]),
        bool(told["is_aside"]),
        clean(text),
        facts_from(told["facts"]),
    )


def _proved_files(folder: Path) -> dict[str, str]:
    """Return the files of an export after holding each against its SHA-256 in the manifest.

    Raises:
        ShelfError: there is no manifest, it is of a newer kind, or a file is missing or changed.
    """
    try:
        manifest = json.loads((folder / MANIFEST).read_bytes())
        files: dict[str, str] = manifest["files"]
        if manifest["format"] != FORMAT or manifest["version"] > FORMAT_VERSION:
            raise ShelfError("shelf.export-broken", place=folder, reason="it is of another or newer kind")
        for name, digest in files.items():
            path = PurePosixPath(name)
            # a manifest may come from anybody: it must not lead out of its folder
            if path.is_absolute() or ".." in path.parts:
                raise ShelfError("shelf.export-broken", place=folder, reason=f"{name} leads out of it")
            if hashlib.sha256((folder / path).read_bytes()).hexdigest() != digest:
                raise ShelfError("shelf.export-broken", place=folder, reason=f"{name} was changed")
    except OSError as error:
        missing = Path(error.filename or folder).name
        raise ShelfError("shelf.export-broken", place=folder, reason=f"{missing} is missing") from error
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise ShelfError("shelf.export-broken", place=folder, reason="its manifest is damaged") from error
    return files


def _read_json(folder: Path, name: str) -> dict[str, Any]:
    told = json.loads((folder / name).read_bytes().decode("utf-8", "surrogatepass"))
    if not isinstance(told, dict):
        raise ValueError(f"{name} holds no record")
    return told


def _put_settings(session: Session, settings: Mapping[str, Any]) -> int:
    return sum(
        session.do(
            "INSERT INTO shelf_setting (name, value) VALUES (:name, :value) ON CONFLICT (name) DO NOTHING",
            name=name,
            value=json.dumps(value, separators=(",", ":")),
        )
        for name, value in settings.items()
    )
