"""The shelf as plain records and back, whatever the database: what an export holds and an import reads.

Ids differ between shelves, so records name each other by ``uid``; songs by the content of their files.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from noonwall.shelf.faults import ShelfError
from noonwall.shelf.folding import clean, folded
from noonwall.shelf.schema import next_id
from noonwall.shelf.store import Session


@dataclass(frozen=True, slots=True)
class Table:
    """One table whose rows are records: its plain columns, those of JSON, and those that refer to rows."""

    name: str
    columns: tuple[str, ...]
    json_columns: tuple[str, ...] = ()
    refers: tuple[tuple[str, str], ...] = ()
    folded_column: tuple[str, str] | None = None
    """A derived column and the one that it folds."""


_USUAL = ("added_at", "removed_at")
TABLES = (
    Table(
        "song",
        ("sha256", "bytes", "title", "artist", "bpm", "edition", "changed_at", *_USUAL),
        ("map", "corrections"),
        folded_column=("sort_title", "title"),
    ),
    Table("run", ("version", *_USUAL), ("run",), (("dance_id", "dance"), ("song_id", "song"))),
    Table(
        "class",
        ("name", "members", "notes", "changed_at", *_USUAL),
        ("knows",),
        folded_column=("sort_name", "name"),
    ),
    Table("taught", ("version", "day", "notes", *_USUAL), (), (("class_id", "class"), ("dance_id", "dance"))),
    Table(
        "lesson",
        ("version", "title", "changed_at", *_USUAL),
        ("plan",),
        (("dance_id", "dance"), ("run_id", "run"), ("class_id", "class")),
    ),
)
"""All tables of records but the dances, those that others refer to first."""


def records(session: Session, table: Table) -> Iterator[dict[str, Any]]:
    """Give every row of a table as a record."""
    columns = (*table.columns, *table.json_columns)
    uids = [f"(SELECT uid FROM {to} WHERE {to}.id = {table.name}.{column})" for column, to in table.refers]
    asked = ", ".join(["id", "uid", *columns, *uids])
    for row in session.rows(f"SELECT {asked} FROM {table.name} ORDER BY id"):
        names = ("id", "uid", *columns, *(column.removesuffix("_id") for column, _ in table.refers))
        record = dict(zip(names, row, strict=True))
        for name in table.json_columns:
            record[name] = None if record[name] is None else json.loads(record[name])
        if table.name == "song":
            record["places"] = places_of(session, int(record["id"]))
        yield record


def places_of(session: Session, song_id: int) -> list[list[str]]:
    """Return where a song was seen, as [path, moment]."""
    rows = session.rows(
        "SELECT path, seen_at FROM song_place WHERE song_id = :id ORDER BY seen_at, path", id=song_id
    )
    return [[str(path), str(seen_at)] for path, seen_at in rows]


def put_record(session: Session, table: Table, record: Mapping[str, Any], ids: dict[str, int]) -> bool:
    """Put a record on the shelf unless it is there; return whether it was not.

    Args:
        session: a writing session.
        table: where it belongs.
        record: as :func:`records` gives it.
        ids: id of every uid put so far, this one is added.

    Raises:
        ShelfError: the record refers to something that is not there.
    """
    uid = str(record["uid"])
    there = session.rows(f"SELECT id FROM {table.name} WHERE uid = :uid", uid=uid)
    if table.name == "song" and not there:
        # the same file may have been added on both sides
        there = session.rows("SELECT id FROM song WHERE sha256 = :sha256", sha256=record["sha256"])
    if there:
        ids[uid] = int(there[0][0])
    else:
        values: dict[str, Any] = {name: _kept(record[name]) for name in table.columns}
        for name in table.json_columns:
            values[name] = None if record[name] is None else json.dumps(record[name], separators=(",", ":"))
        for column, _ in table.refers:
            values[column] = _id_of(record[column.removesuffix("_id")], ids, table.name)
        if table.folded_column:
            values[table.folded_column[0]] = folded(str(values[table.folded_column[1]]))
        ids[uid] = free_id(session, table.name, int(record["id"]))
        values |= {"id": ids[uid], "uid": uid}
        names = ", ".join(values)
        slots = ", ".join(f":{name}" for name in values)
        session.do(f"INSERT INTO {table.name} ({names}) VALUES ({slots})", **values)
    for path, seen_at in record.get("places", ()):
        session.do(
            "INSERT INTO song_place (song_id, path, seen_at) VALUES (:id, :path, :seen_at) "
            "ON CONFLICT (song_id, path) DO NOTHING",
            id=ids[uid],
            path=clean(path),
            seen_at=seen_at,
        )
    return not there


def _kept(value: Any) -> Any:
    return clean(value) if isinstance(value, str) else value


def _id_of(uid: str | None, ids: Mapping[str, int], name: str) -> int | None:
    if uid is None:
        return None
    if uid not in ids:
        raise ShelfError("shelf.export-broken", place=name, reason=f"{uid} is not in it")
    return ids[uid]


def free_id(session: Session, table: str, wanted: int) -> int:
    """Return ``wanted`` if no row ever had it, so that numbers stay as they were; else a new one."""
    rows = session.rows("SELECT last FROM shelf_counter WHERE name = :name", name=table)
    if wanted > (int(rows[0][0]) if rows else 0):
        session.do(
            "INSERT INTO shelf_counter (name, last) VALUES (:name, :last) "
            "ON CONFLICT (name) DO UPDATE SET last = excluded.last",
            name=table,
            last=wanted,
        )
        return wanted
    return next_id(session, table)
