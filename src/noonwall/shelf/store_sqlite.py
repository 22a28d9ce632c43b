"""A shelf in one file of SQLite: write-ahead log, every save on the disk before it is acknowledged."""

from __future__ import annotations

import os
import sqlite3
import threading
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from noonwall.shelf.faults import ShelfError
from noonwall.shelf.store import Row, Session

BUSY_SECONDS = 10.0
CACHE_KIBIBYTES = 16384
_NO_SHELF = {sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_CORRUPT}


class SqliteSession:
    """One transaction on a connection."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._connection = connection

    def rows(self, sql: str, /, **values: Any) -> list[Row]:
        """Return all rows of a query."""
        return self._connection.execute(sql, values).fetchall()

    def do(self, sql: str, /, **values: Any) -> int:
        """Carry out one statement and return how many rows it touched."""
        return self._connection.execute(sql, values).rowcount

    def many(self, sql: str, values: Iterable[dict[str, Any]], /) -> None:
        """Carry out one statement for each set of values."""
        self._connection.executemany(sql, values)


class SqliteStore:
    """One file; every thread has a connection of its own, and one thread writes at a time.

    Args:
        file: the file; made with its folder if it is not there.
        most_pages: the most pages that the file may grow to (a test's small disk).

    Raises:
        ShelfError: the file cannot be opened, is no database, or SQLite lacks FTS5.
    """

    for_update = ""
    no_index = "+"
    word_index: tuple[str, ...] = (
        "CREATE VIRTUAL TABLE dance_words USING fts5("
        "title, body, tokenize = 'unicode61 remove_diacritics 2', prefix = '1 2 3')",
    )

    def __init__(self, file: Path, most_pages: int = 0) -> None:
        self.file = file
        self.shown = str(file)
        self.most_pages = most_pages
        self._own = threading.local()
        self._all: list[sqlite3.Connection] = []
        self._turn = threading.RLock()
        self._is_open = True
        try:
            file.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            reason = (error.strerror or str(error)).lower()
            raise ShelfError("shelf.cannot-open", place=self.shown, reason=reason) from error
        with self._translated():
            _check_search(self._connection())

    def _connection(self) -> sqlite3.Connection:
        if not self._is_open:
            raise ShelfError("shelf.closed")
        mine: sqlite3.Connection | None = getattr(self._own, "connection", None)
        if mine is None:
            mine = sqlite3.connect(
                self.file, timeout=BUSY_SECONDS, isolation_level=None, check_same_thread=False
            )
            self._all.append(mine)  # appending is atomic, and close() needs them all
            mine.execute("PRAGMA journal_mode = WAL")
            mine.execute("PRAGMA synchronous = FULL")
            mine.execute("PRAGMA foreign_keys = ON")
            mine.execute(f"PRAGMA cache_size = -{CACHE_KIBIBYTES}")
            if self.most_pages:
                mine.execute(f"PRAGMA max_page_count = {self.most_pages}")
            self._own.connection = mine
        return mine

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """Open a session that sees one moment of the shelf and changes nothing."""
        with self._translated():
            connection = self._connection()
            connection.execute("BEGIN")
            try:
                yield SqliteSession(connection)
            finally:
                connection.execute("ROLLBACK")

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """Open a session whose changes are all kept, on the disk, when it ends, or none of them."""
        with self._turn, self._translated():
            connection = self._connection()
            connection.execute("BEGIN IMMEDIATE")
            try:
                yield SqliteSession(connection)
                connection.execute("COMMIT")
            except BaseException:
                # a full disk may have ended the transaction already
                with suppress(sqlite3.Error):
                    if connection.in_transaction:
                        connection.execute("ROLLBACK")
                raise

    def hold_alone(self, session: Session) -> None:
        """Let nobody else change the tables until the session ends: a writer is always alone here."""

    def has_table(self, session: Session, name: str) -> bool:
        """Return whether a table is there."""
        return bool(session.rows("SELECT 1 FROM sqlite_master WHERE name = :name", name=name))

    def index_words(self, session: Session, dance_id: int, title: list[str], body: list[str]) -> None:
        """Make a dance found by these folded words, and by no others."""
        session.do("DELETE FROM dance_words WHERE rowid = :id", id=dance_id)
        session.do(
            "INSERT INTO dance_words (rowid, title, body) VALUES (:id, :title, :body)",
            id=dance_id,
            title=" ".join(title),
            body=" ".join(body),
        )

    def match(self, words: list[str], in_title: bool) -> tuple[str, dict[str, Any]]:
        """Return a condition on ``dance.id``, and its values: every word begins a word of the dance."""
        # words hold letters and digits only, so quoting them is enough
        asked = " AND ".join(f'"{word}"*' for word in words)
        name = "title_words" if in_title else "words"
        condition = f"dance.id IN (SELECT rowid FROM dance_words WHERE dance_words MATCH :{name})"
        return condition, {name: f"title : ({asked})" if in_title else asked}

    def copy_to(self, file: Path) -> None:
        """Write the whole database into one file, consistent though others write meanwhile."""
        part = file.with_name(f".{file.name}.part")
        try:
            part.unlink(missing_ok=True)
            with self._translated(full=file):
                copy = sqlite3.connect(part)
                try:
                    self._connection().backup(copy)
                    copy.execute(
                        "PRAGMA journal_mode = DELETE"
                    )  # a copy is one file, without a log beside it
                finally:
                    copy.close()
            with part.open("rb+") as written:
                os.fsync(written.fileno())
            part.replace(file)
        except OSError as error:
            reason = (error.strerror or str(error)).lower()
            raise ShelfError("shelf.unwritable", place=file, reason=reason) from error
        finally:
            with suppress(OSError):
                part.unlink(missing_ok=True)

    def copy_from(self, file: Path) -> None:
        """Put a copy in the place of all that is there; whoever reads meanwhile sees the old or the new."""
        with self._turn, self._translated():
            copy = sqlite3.connect(f"{file.resolve().as_uri()}?mode=ro", uri=True)
            try:
                copy.backup(self._connection())
            finally:
                copy.close()

    def close(self) -> None:
        """Let go of every connection."""
        self._is_open = False
        for connection in self._all:
            with suppress(sqlite3.Error):
                connection.close()
        self._all.clear()

    @contextmanager
    def _translated(self, full: Path | None = None) -> Iterator[None]:
        """Turn what SQLite raises into our own; ``full`` had no room on the disk, if not the shelf."""
        try:
            yield
        except sqlite3.Error as error:
            is_full = getattr(error, "sqlite_errorcode", 0) & 0xFF == sqlite3.SQLITE_FULL
            raise _trouble(error, str(full) if full and is_full else self.shown) from error


def _trouble(error: sqlite3.Error, shown: str) -> ShelfError:
    code = getattr(error, "sqlite_errorcode", 0) & 0xFF  # the low byte is the family of the trouble
    if code == sqlite3.SQLITE_FULL:
        return ShelfError("shelf.full", place=shown)
    if code in _NO_SHELF:
        return ShelfError("shelf.not-a-shelf", place=shown)
    if code == sqlite3.SQLITE_READONLY:
        return ShelfError("shelf.read-only", place=shown)
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return ShelfError("shelf.busy", place=shown)
    if code == sqlite3.SQLITE_CANTOPEN:
        return ShelfError("shelf.cannot-open", place=shown, reason="it is not there or may not be read")
    return ShelfError("shelf.failed", place=shown, reason=str(error))


def _check_search(connection: sqlite3.Connection) -> None:
    """Refuse an SQLite that cannot search words."""
    if connection.execute("SELECT sqlite_compileoption_used('ENABLE_FTS5')").fetchone()[0]:
        return
    try:
        # it may have been loaded as an extension, which the compile options do not tell
        connection.execute("CREATE VIRTUAL TABLE temp.fts5_probe USING fts5(word)")
        connection.execute("DROP TABLE temp.fts5_probe")
    except sqlite3.OperationalError as error:
        raise ShelfError("shelf.no-search") from error
