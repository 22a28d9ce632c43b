"""The small interface behind which both databases hide: sessions that run SQL with :named values.

The SQL of the shelf is the common part of SQLite and PostgreSQL. What differs (search of words, locking a
row, copying a whole database) is a method here.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any, Protocol

Row = Sequence[Any]
"""One row of a result, its columns in the order of the SELECT."""


class Session(Protocol):
    """One transaction; every value is handed over by name and never put into the SQL itself."""

    def rows(self, sql: str, /, **values: Any) -> list[Row]:
        """Return all rows of a query."""

    def do(self, sql: str, /, **values: Any) -> int:
        """Carry out one statement and return how many rows it touched."""

    def many(self, sql: str, values: Iterable[dict[str, Any]], /) -> None:
        """Carry out one statement for each set of values."""


class Store(Protocol):
    """One database."""

    shown: str
    """Its place, for people; holds no password."""
    for_update: str
    """What a SELECT ends with to hold its rows until the transaction ends ("" if writers wait anyway)."""
    no_index: str
    """What before a column keeps its index from being used ("" where the database knows its values)."""
    word_index: tuple[str, ...]
    """The statements that make the index of words."""

    def reading(self) -> AbstractContextManager[Session]:
        """Open a session that sees one moment of the shelf and changes nothing."""

    def writing(self) -> AbstractContextManager[Session]:
        """Open a session whose changes are all kept, on the disk, when it ends, or none of them."""

    def hold_alone(self, session: Session) -> None:
        """Let nobody else change the tables until the session ends."""

    def has_table(self, session: Session, name: str) -> bool:
        """Return whether a table is there."""

    def index_words(self, session: Session, dance_id: int, title: list[str], body: list[str]) -> None:
        """Make a dance found by these folded words, and by no others."""

    def match(self, words: list[str], in_title: bool) -> tuple[str, dict[str, Any]]:
        """Return a condition on ``dance.id``, and its values: every word begins a word of the dance."""

    def copy_to(self, file: Path) -> None:
        """Write the whole database into one file, consistent though others write meanwhile."""

    def copy_from(self, file: Path) -> None:
        """Put a copy in the place of all that is there."""

    def close(self) -> None:
        """Let go of every connection."""
