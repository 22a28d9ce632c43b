"""A shelf in PostgreSQL, for a school that shares one: SQLAlchemy's pool over psycopg."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from noonwall.shelf.dump import read_tables, write_tables
from noonwall.shelf.faults import ShelfError
from noonwall.shelf.store import Row, Session

if TYPE_CHECKING:
    from sqlalchemy import Connection

CONNECT_SECONDS = 10
SHELF_LOCK = 1_852_796_535
"""Our own number for the lock that lets one process change the tables (the letters "noon" and a bit)."""
_DISK_FULL = {"53100", "53200"}
_READ_ONLY = {"25006", "42501"}
_BUSY = {"40001", "40P01", "55P03", "57014"}


class PostgresSession:
    """One transaction on a connection."""

    def __init__(self, connection: Connection) -> None:
        from sqlalchemy import text  # only a school's shelf needs this package

        self._connection = connection
        self._text = text

    def rows(self, sql: str, /, **values: Any) -> list[Row]:
        """Return all rows of a query."""
        return list(self._connection.execute(self._text(sql), values))

    def do(self, sql: str, /, **values: Any) -> int:
        """Carry out one statement and return how many rows it touched."""
        return int(self._connection.execute(self._text(sql), values).rowcount)

    def many(self, sql: str, values: Iterable[dict[str, Any]], /) -> None:
        """Carry out one statement for each set of values."""
        told = list(values)
        if told:
            self._connection.execute(self._text(sql), told)


class PostgresStore:
    """One schema of one database.

    Args:
        url: of the database, for SQLAlchemy.
        shown: the same without a password, for people.

    Raises:
        ShelfError: the packages are not installed, or the server cannot be reached.
    """

    for_update = " FOR UPDATE"
    no_index = ""
    word_index: tuple[str, ...] = (
        "CREATE TABLE dance_words (id BIGINT PRIMARY KEY, words TSVECTOR NOT NULL)",
        "CREATE INDEX dance_words_by_word ON dance_words USING gin (words)",
    )

    def __init__(self, url: str, shown: str) -> None:
        try:
            import psycopg  # the driver by whose name the URL asks
            from sqlalchemy import create_engine
            from sqlalchemy.exc import ArgumentError
        except ImportError as error:
            raise ShelfError("shelf.no-driver") from error
        self.shown = shown
        self._lost: type[BaseException] = psycopg.OperationalError
        try:
            self._engine = create_engine(
                url, pool_pre_ping=True, connect_args={"connect_timeout": CONNECT_SECONDS}
            )
        except ArgumentError as error:
            raise ShelfError("shelf.url", place=shown) from error
        with self.reading() as session:
            session.rows("SELECT 1")

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """Open a session that sees one moment of the shelf and changes nothing."""
        with self._translated(), self._engine.connect() as connection:
            connection.exec_driver_sql("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
            yield PostgresSession(connection)
            connection.rollback()

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """Open a session whose changes are all kept, on the disk, when it ends, or none of them."""
        with self._translated(), self._engine.begin() as connection:
            # a server may be set to acknowledge before the disk has it; a shelf may not
            connection.exec_driver_sql("SET LOCAL synchronous_commit = on")
            yield PostgresSession(connection)

    def hold_alone(self, session: Session) -> None:
        """Let nobody else change the tables until the session ends."""
        session.rows("SELECT pg_advisory_xact_lock(:number)", number=SHELF_LOCK)

    def has_table(self, session: Session, name: str) -> bool:
        """Return whether a table is there."""
        return session.rows("SELECT to_regclass(:name)", name=name)[0][0] is not None

    def index_words(self, session: Session, dance_id: int, title: list[str], body: list[str]) -> None:
        """Make a dance found by these folded words, and by no others."""
        session.do(
            "INSERT INTO dance_words (id, words) VALUES (:id, "
            "setweight(to_tsvector('simple', :title), 'A') || to_tsvector('simple', :body)) "
            "ON CONFLICT (id) DO UPDATE SET words = excluded.words",
            id=dance_id,
            title=" ".join(title),
            body=" ".join(body),
        )

    def match(self, words: list[str], in_title: bool) -> tuple[str, dict[str, Any]]:
        """Return a condition on ``dance.id``, and its values: every word begins a word of the dance."""
        # words hold letters and digits only, so quoting them is enough
        asked = " & ".join(f"'{word}':*{'A' if in_title else ''}" for word in words)
        name = "title_words" if in_title else "words"
        condition = f"dance.id IN (SELECT id FROM dance_words WHERE words @@ to_tsquery('simple', :{name}))"
        return condition, {name: asked}

    def copy_to(self, file: Path) -> None:
        """Write the whole database into one file, consistent though others write meanwhile."""
        with self.reading() as session:
            write_tables(session, file)

    def copy_from(self, file: Path) -> None:
        """Put a copy in the place of all that is there."""
        with self.writing() as session:
            self.hold_alone(session)
            read_tables(session, file, self)

    def close(self) -> None:
        """Let go of every connection."""
        self._engine.dispose()

    @contextmanager
    def _translated(self) -> Iterator[None]:
        from sqlalchemy.exc import DBAPIError, SQLAlchemyError

        try:
            yield
        except DBAPIError as error:
            is_lost = error.connection_invalidated or isinstance(error.orig, self._lost)
            raise _trouble(error.orig, is_lost, self.shown) from error
        except SQLAlchemyError as error:
            raise ShelfError("shelf.failed", place=self.shown, reason=_first_line(error)) from error


def _trouble(cause: BaseException | None, is_lost: bool, shown: str) -> ShelfError:
    state = str(getattr(cause, "sqlstate", "") or "")
    if state in _DISK_FULL:
        return ShelfError("shelf.full", place=shown)
    if state in _READ_ONLY:
        return ShelfError("shelf.read-only", place=shown)
    if state in _BUSY:
        return ShelfError("shelf.busy", place=shown)
    # not allowed in, or no such database
    if is_lost or state[:2] in ("28", "3D"):
        return ShelfError("shelf.unreachable", place=shown, reason=_first_line(cause))
    return ShelfError("shelf.failed", place=shown, reason=_first_line(cause))


def _first_line(error: BaseException | None) -> str:
    return str(error).strip().splitlines()[0] if error and str(error).strip() else "no reason given"
