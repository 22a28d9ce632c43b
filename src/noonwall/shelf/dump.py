"""All tables of a shelf in one file (a zip of JSON lines), for databases that have no file of their own."""

from __future__ import annotations

import io
import json
import os
import zipfile
from contextlib import suppress
from pathlib import Path

from noonwall.shelf.faults import ShelfError
from noonwall.shelf.folding import words_of
from noonwall.shelf.schema import FORM, STEPS, TABLES
from noonwall.shelf.store import Session, Store

FORMAT = "noonwall-shelf-tables"
_HEAD = "head.json"


def write_tables(session: Session, file: Path) -> None:
    """Write every table that is there into ``file``, whole or not at all.

    Raises:
        ShelfError: the file cannot be written.
    """
    part = file.with_name(f".{file.name}.part")
    try:
        with zipfile.ZipFile(part, "w", zipfile.ZIP_DEFLATED) as made:
            columns = {}
            for table in TABLES:
                columns[table] = _columns(session, table)
                if columns[table]:
                    names = ", ".join(columns[table])
                    rows = session.rows(f"SELECT {names} FROM {table}")
                    made.writestr(f"{table}.jsonl", "".join(json.dumps(list(row)) + "\n" for row in rows))
            made.writestr(_HEAD, json.dumps({"format": FORMAT, "columns": columns}))
        with part.open("rb+") as written:
            os.fsync(written.fileno())
        part.replace(file)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise ShelfError("shelf.unwritable", place=file, reason=reason) from error
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)


def _columns(session: Session, table: str) -> list[str]:
    rows = session.rows(
        "SELECT column_name FROM information_schema.columns "
        "WHERE table_schema = current_schema() AND table_name = :table ORDER BY ordinal_position",
        table=table,
    )
    return [str(row[0]) for row in rows]


def form_of_tables(file: Path) -> int:
    """Return the form of the shelf that was written into ``file``.

    Raises:
        ShelfError: the file is no such copy.
    """
    try:
        with zipfile.ZipFile(file) as kept:
            if json.loads(kept.read(_HEAD)).get("format") != FORMAT or kept.testzip():
                raise ShelfError("shelf.backup-broken", place=file, reason="it is of another kind")
            counters = dict(json.loads(line) for line in io.BytesIO(kept.read("shelf_counter.jsonl")))
            return int(counters.get(FORM, 0))
    except (OSError, KeyError, ValueError, zipfile.BadZipFile) as error:
        raise ShelfError("shelf.backup-broken", place=file, reason=str(error)) from error


def read_tables(session: Session, file: Path, store: Store) -> None:
    """Put the rows of ``file`` in the place of all rows that are there; lost steps are taken afterwards.

    Raises:
        ShelfError: the file is no such copy, or of a newer noonwall.
    """
    form = form_of_tables(file)
    if form > len(STEPS):
        raise ShelfError("shelf.newer", place=file, found=form, known=len(STEPS))
    session.do(f"DROP TABLE IF EXISTS dance_words, {', '.join(TABLES)}")
    for step in STEPS[:form]:
        for statement in step:
            session.do(statement)
    for statement in store.word_index:
        session.do(statement)
    with zipfile.ZipFile(file) as kept:
        columns = json.loads(kept.read(_HEAD))["columns"]
        for table in TABLES:
            if not columns.get(table):
                continue
            names = columns[table]
            values = ", ".join(f":{name}" for name in names)
            lines = kept.read(f"{table}.jsonl").decode("utf-8").splitlines()
            rows = (dict(zip(names, json.loads(line), strict=True)) for line in lines)
            session.many(f"INSERT INTO {table} ({', '.join(names)}) VALUES ({values})", rows)
    _index_anew(session, store)


def _index_anew(session: Session, store: Store) -> None:
    """Make every dance found by its words again: the index is derived and was not written."""
    for dance_id, title, text, facts in session.rows(
        "SELECT dance.id, title, text, facts FROM dance "
        "JOIN dance_version ON dance_id = dance.id AND number = current"
    ):
        names = " ".join(json.loads(facts)["names"])
        store.index_words(session, dance_id, words_of(title), words_of(f"{title} {text} {names}"))
