"""Removing and putting back, for everything that lies on a shelf; and the settings."""

from __future__ import annotations

from typing import Any, get_args

from noonwall.shelf.base import ShelfBase
from noonwall.shelf.facts import from_json, to_json
from noonwall.shelf.faults import ShelfError
from noonwall.shelf.rows import Kind, Removed

KINDS: tuple[Kind, ...] = get_args(Kind)
_TITLES = {
    "dance": "SELECT id, title, removed_at FROM dance",
    "song": "SELECT id, title, removed_at FROM song",
    "run": "SELECT run.id, dance.title, run.removed_at FROM run JOIN dance ON dance.id = dance_id",
    "lesson": "SELECT lesson.id, lesson.title, lesson.removed_at FROM lesson",
    "class": "SELECT id, name, removed_at FROM class",
    "taught": (
        "SELECT taught.id, dance.title, taught.removed_at FROM taught JOIN dance ON dance.id = dance_id"
    ),
}


class Removal(ShelfBase):
    """The part of a shelf that takes things away, and gives them back."""

    def remove(self, kind: Kind, number: int) -> None:
        """Take something off the shelf; :meth:`put_back` finds it again, with all that hangs on it.

        Removing what is removed already changes nothing.

        Raises:
            ShelfError: there is no such thing, or the shelf cannot be written.
        """
        self._mark(kind, number, "coalesce(removed_at, :now)", now=self._now())

    def put_back(self, kind: Kind, number: int) -> None:
        """Undo a removal.

        Raises:
            ShelfError: there is no such thing, or the shelf cannot be written.
        """
        self._mark(kind, number, "NULL")

    def _mark(self, kind: Kind, number: int, mark: str, **values: Any) -> None:
        _must_be_kind(kind)
        with self._writing() as session:
            if not session.do(f"UPDATE {kind} SET removed_at = {mark} WHERE id = :id", id=number, **values):
                raise ShelfError("shelf.missing", kind=kind, wanted=number)

    def removed(self) -> tuple[Removed, ...]:
        """Return everything that was removed, the latest first."""
        with self._store.reading() as session:
            found = [
                Removed(kind, int(row[0]), str(row[1]), str(row[2]))
                for kind in KINDS
                for row in session.rows(f"{_TITLES[kind]} WHERE {kind}.removed_at IS NOT NULL")
            ]
        return tuple(sorted(found, key=lambda one: (one.removed_at, one.id), reverse=True))

    def setting(self, name: str, default: Any = None) -> Any:
        """Return a setting, plain data as it was set."""
        with self._store.reading() as session:
            rows = session.rows("SELECT value FROM shelf_setting WHERE name = :name", name=name)
        return from_json(rows[0][0]) if rows else default

    def settings(self) -> dict[str, Any]:
        """Return all settings by name."""
        with self._store.reading() as session:
            rows = session.rows("SELECT name, value FROM shelf_setting ORDER BY name")
        return {str(name): from_json(value) for name, value in rows}

    def set_setting(self, name: str, value: Any) -> None:
        """Keep a setting: a name and plain data; None forgets it.

        Raises:
            ShelfError: the shelf cannot be written.
        """
        with self._writing() as session:
            if value is None:
                session.do("DELETE FROM shelf_setting WHERE name = :name", name=name)
                return
            session.do(
                "INSERT INTO shelf_setting (name, value) VALUES (:name, :value) "
                "ON CONFLICT (name) DO UPDATE SET value = excluded.value",
                name=name,
                value=to_json(value),
            )


def _must_be_kind(kind: str) -> None:
    # the kind is the name of a table: nothing else may reach the SQL
    if kind not in KINDS:
        raise ShelfError("shelf.bad-word", wanted=kind, known=", ".join(KINDS))
