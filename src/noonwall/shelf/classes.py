"""Classes on the shelf: who they are, what the teacher says they know, and what they were taught when."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any
from uuid import uuid4

from noonwall.shelf.base import ShelfBase
from noonwall.shelf.facts import from_json, to_json
from noonwall.shelf.faults import ShelfError
from noonwall.shelf.folding import clean, day_of, folded
from noonwall.shelf.rows import ClassKept, Taught
from noonwall.shelf.schema import next_id
from noonwall.shelf.store import Row, Session
from noonwall.shelf.work import must_have

_CLASS = "id, uid, name, members, notes, knows, added_at, changed_at, removed_at"


class Classes(ShelfBase):
    """The part of a shelf that keeps classes."""

    def add_class(self, name: str, members: int | None = None, notes: str = "") -> int:
        """Keep a new class and return its number.

        Raises:
            ShelfError: the shelf cannot be written.
        """
        with self._writing() as session:
            number = next_id(session, "class")
            session.do(
                "INSERT INTO class (id, uid, name, sort_name, members, notes, knows, added_at, changed_at) "
                "VALUES (:id, :uid, :name, :sort_name, :members, :notes, '{}', :now, :now)",
                id=number,
                uid=uuid4().hex,
                name=clean(name),
                sort_name=folded(clean(name)),
                members=members,
                notes=clean(notes),
                now=self._now(),
            )
            return number

    def change_class(
        self,
        class_id: int,
        *,
        name: str | None = None,
        members: int | None = None,
        notes: str | None = None,
        knows: Mapping[str, Any] | None = None,
    ) -> None:
        """Change what is told of a class; what is None stays.

        Args:
            class_id: the class.
            name: its name.
            members: how many come.
            notes: for the teacher.
            knows: what the teacher says it knows, as plain data; the shelf does not look inside.

        Raises:
            ShelfError: there is no such class, or the shelf cannot be written.
        """
        told: dict[str, Any] = {}
        if name is not None:
            told |= {"name": clean(name), "sort_name": folded(clean(name))}
        if members is not None:
            told["members"] = members
        if notes is not None:
            told["notes"] = clean(notes)
        if knows is not None:
            told["knows"] = to_json(dict(knows))
        changes = "".join(f"{column} = :{column}, " for column in told)
        with self._writing() as session:
            statement = f"UPDATE class SET {changes}changed_at = :now WHERE id = :id"
            if not session.do(statement, now=self._now(), id=class_id, **told):
                raise ShelfError("shelf.missing", kind="class", wanted=class_id)

    def class_(self, class_id: int) -> ClassKept:
        """Return a class, also one that was removed.

        Raises:
            ShelfError: there is no such class.
        """
        found = self._classes("id = :id", id=class_id)
        if not found:
            raise ShelfError("shelf.missing", kind="class", wanted=class_id)
        return found[0]

    def class_named(self, name: str) -> ClassKept:
        """Return the class of a name, whatever its case and accents; the latest if several are called so.

        Raises:
            ShelfError: no class is called so.
        """
        found = self._classes("sort_name = :name AND removed_at IS NULL", name=folded(clean(name)))
        if not found:
            raise ShelfError("shelf.missing", kind="class", wanted=name)
        return max(found, key=lambda one: one.id)

    def classes(self) -> tuple[ClassKept, ...]:
        """Return all classes by name."""
        return self._classes("removed_at IS NULL")

    def _classes(self, condition: str, **values: Any) -> tuple[ClassKept, ...]:
        with self._store.reading() as session:
            rows = session.rows(
                f"SELECT {_CLASS} FROM class WHERE {condition} ORDER BY sort_name, id", **values
            )
            return tuple(_class_of(row, _taught_to(session, int(row[0]))) for row in rows)

    def teach(
        self, class_id: int, dance_id: int, day: date | str, *, version: int | None = None, notes: str = ""
    ) -> int:
        """Note that a dance was taught to a class on a day, and return the note's number.

        Args:
            class_id: the class.
            dance_id: the dance.
            day: a date, or one written as 2026-11-25.
            version: which version was taught; by default the current one.
            notes: how it went.

        Raises:
            ShelfError: no such class, dance or version, it is no date, or the shelf cannot be written.
        """
        told = day_of(day)
        with self._writing() as session:
            must_have(session, "class", class_id)
            must_have(session, "dance", dance_id)
            number = next_id(session, "taught")
            session.do(
                "INSERT INTO taught (id, uid, class_id, dance_id, version, day, notes, added_at) "
                "SELECT :id, :uid, :class_id, :dance_id, dance_version.number, :day, :notes, :now "
                "FROM dance JOIN dance_version ON dance_version.dance_id = dance.id "
                f"AND dance_version.number = {'dance.current' if version is None else ':version'} "
                "WHERE dance.id = :dance_id",
                id=number,
                uid=uuid4().hex,
                class_id=class_id,
                dance_id=dance_id,
                **({} if version is None else {"version": version}),
                day=told,
                notes=clean(notes),
                now=self._now(),
            )
            if not session.rows("SELECT 1 FROM taught WHERE id = :id", id=number):
                raise ShelfError("shelf.no-version", dance=dance_id, version=version)
            return number


def _class_of(row: Row, taught: tuple[Taught, ...]) -> ClassKept:
    number, uid, name, members, notes, knows, added_at, changed_at, removed_at = row
    return ClassKept(
        number, uid, name, members, notes, from_json(knows), taught, added_at, changed_at, removed_at or ""
    )


def _taught_to(session: Session, class_id: int) -> tuple[Taught, ...]:
    rows = session.rows(
        "SELECT taught.id, taught.uid, class_id, dance_id, version, day, title, figures, notes "
        "FROM taught JOIN dance ON dance.id = dance_id "
        "WHERE class_id = :id AND taught.removed_at IS NULL ORDER BY day, taught.id",
        id=class_id,
    )
    return tuple(
        Taught(number, uid, whom, dance_id, version, day, title, tuple(from_json(figures)), notes)
        for number, uid, whom, dance_id, version, day, title, figures, notes in rows
    )
