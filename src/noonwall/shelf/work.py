"""Runs and lessons: what was made of a dance, kept as the plain data that other stages hand over."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypeVar
from uuid import uuid4

from noonwall.shelf.base import ShelfBase
from noonwall.shelf.facts import from_json, to_json
from noonwall.shelf.faults import ShelfError
from noonwall.shelf.folding import clean
from noonwall.shelf.rows import Lesson, RunKept
from noonwall.shelf.schema import next_id
from noonwall.shelf.store import Row, Session

_Kept = TypeVar("_Kept")
_RUN = "id, uid, dance_id, version, song_id, run, added_at, removed_at"
_LESSON = "id, uid, dance_id, version, run_id, class_id, title, plan, added_at, changed_at, removed_at"


class Work(ShelfBase):
    """The part of a shelf that keeps runs and lessons."""

    def add_run(self, dance_id: int, version: int, song_id: int, run: Mapping[str, Any]) -> int:
        """Keep a dance laid on a song and return the run's number.

        Raises:
            ShelfError: there is no such dance, version or song, or the shelf cannot be written.
        """
        with self._writing() as session:
            _must_have_version(session, dance_id, version)
            must_have(session, "song", song_id)
            number = next_id(session, "run")
            session.do(
                "INSERT INTO run (id, uid, dance_id, version, song_id, run, added_at) "
                "VALUES (:id, :uid, :dance_id, :version, :song_id, :run, :now)",
                id=number,
                uid=uuid4().hex,
                dance_id=dance_id,
                version=version,
                song_id=song_id,
                run=to_json(dict(run)),
                now=self._now(),
            )
            return number

    def run(self, run_id: int) -> RunKept:
        """Return a run, also one that was removed.

        Raises:
            ShelfError: there is no such run.
        """
        return _only(self._runs("id = :id", id=run_id), "run", run_id)

    def runs(self, dance_id: int | None = None, song_id: int | None = None) -> tuple[RunKept, ...]:
        """Return the runs of a dance, of a song, or of both together, the latest first."""
        asked = {"dance_id": dance_id, "song_id": song_id}
        wanted = {name: value for name, value in asked.items() if value is not None}
        conditions = [f"{name} = :{name}" for name in wanted]
        return self._runs(" AND ".join(["removed_at IS NULL", *conditions]), **wanted)

    def _runs(self, condition: str, **values: Any) -> tuple[RunKept, ...]:
        with self._store.reading() as session:
            rows = session.rows(f"SELECT {_RUN} FROM run WHERE {condition} ORDER BY id DESC", **values)
        return tuple(_run_of(row) for row in rows)

    def add_lesson(
        self,
        dance_id: int,
        version: int,
        plan: Mapping[str, Any],
        *,
        title: str = "",
        run_id: int | None = None,
        class_id: int | None = None,
    ) -> int:
        """Keep a lesson plan and return its number.

        Raises:
            ShelfError: there is no such dance, version, run or class, or the shelf cannot be written.
        """
        with self._writing() as session:
            _must_have_version(session, dance_id, version)
            if run_id is not None:
                must_have(session, "run", run_id)
            if class_id is not None:
                must_have(session, "class", class_id)
            number = next_id(session, "lesson")
            session.do(
                f"INSERT INTO lesson ({_LESSON}) VALUES (:id, :uid, :dance_id, :version, :run_id, :class_id, "
                ":title, :plan, :now, :now, NULL)",
                id=number,
                uid=uuid4().hex,
                dance_id=dance_id,
                version=version,
                run_id=run_id,
                class_id=class_id,
                title=clean(title),
                plan=to_json(dict(plan)),
                now=self._now(),
            )
            return number

    def change_lesson(self, lesson_id: int, plan: Mapping[str, Any], title: str | None = None) -> None:
        """Put another plan in the place of a lesson's, and another title if one is told.

        Raises:
            ShelfError: there is no such lesson, or the shelf cannot be written.
        """
        named = "" if title is None else ", title = :title"
        values = {} if title is None else {"title": clean(title)}
        with self._writing() as session:
            statement = f"UPDATE lesson SET plan = :plan, changed_at = :now{named} WHERE id = :id"
            done = session.do(statement, plan=to_json(dict(plan)), now=self._now(), id=lesson_id, **values)
            if not done:
                raise ShelfError("shelf.missing", kind="lesson", wanted=lesson_id)

    def lesson(self, lesson_id: int) -> Lesson:
        """Return a lesson, also one that was removed.

        Raises:
            ShelfError: there is no such lesson.
        """
        return _only(self._lessons("id = :id", id=lesson_id), "lesson", lesson_id)

    def lessons(self, dance_id: int | None = None, class_id: int | None = None) -> tuple[Lesson, ...]:
        """Return the lessons of a dance, for a class, or of all, the latest first."""
        asked = {"dance_id": dance_id, "class_id": class_id}
        wanted = {name: value for name, value in asked.items() if value is not None}
        conditions = [f"{name} = :{name}" for name in wanted]
        return self._lessons(" AND ".join(["removed_at IS NULL", *conditions]), **wanted)

    def _lessons(self, condition: str, **values: Any) -> tuple[Lesson, ...]:
        with self._store.reading() as session:
            rows = session.rows(f"SELECT {_LESSON} FROM lesson WHERE {condition} ORDER BY id DESC", **values)
        return tuple(_lesson_of(row) for row in rows)


def _run_of(row: Row) -> RunKept:
    number, uid, dance_id, version, song_id, run, added_at, removed_at = row
    return RunKept(number, uid, dance_id, version, song_id, from_json(run), added_at, removed_at or "")


def _lesson_of(row: Row) -> Lesson:
    number, uid, dance_id, version, run_id, class_id, title, plan, added_at, changed_at, removed_at = row
    return Lesson(
        id=number,
        uid=uid,
        dance_id=dance_id,
        version=version,
        run_id=run_id,
        class_id=class_id,
        title=title,
        plan=from_json(plan),
        added_at=added_at,
        changed_at=changed_at,
        removed_at=removed_at or "",
    )


def _only(found: tuple[_Kept, ...], kind: str, wanted: int) -> _Kept:
    if not found:
        raise ShelfError("shelf.missing", kind=kind, wanted=wanted)
    return found[0]


def must_have(session: Session, table: str, number: int) -> None:
    """Refuse a number that no row of a table has.

    Raises:
        ShelfError: there is none.
    """
    if not session.rows(f"SELECT 1 FROM {table} WHERE id = :id", id=number):
        raise ShelfError("shelf.missing", kind=table, wanted=number)


def _must_have_version(session: Session, dance_id: int, version: int) -> None:
    must_have(session, "dance", dance_id)
    sql = "SELECT 1 FROM dance_version WHERE dance_id = :id AND number = :number"
    if not session.rows(sql, id=dance_id, number=version):
        raise ShelfError("shelf.no-version", dance=dance_id, version=version)
