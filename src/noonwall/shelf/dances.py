"""Dances on the shelf: every version of every text is kept, and one of them is current."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any
from uuid import uuid4

from noonwall.shelf.base import ShelfBase
from noonwall.shelf.dance_rows import ROW_COLUMNS, ROW_TABLES, row_of
from noonwall.shelf.facts import facts_from, facts_kept, to_json
from noonwall.shelf.faults import ShelfError
from noonwall.shelf.folding import clean, folded, words_of
from noonwall.shelf.rows import LEVELS, Conflict, Dance, Facts, Incoming, Saved, TakenIn, Version
from noonwall.shelf.schema import next_id
from noonwall.shelf.store import Session

TAKEN_AT_ONCE = 50
"""Sheets of a folder that are saved in one transaction: each save waits for the disk once."""


class Dances(ShelfBase):
    """The part of a shelf that keeps dances."""

    def add_dance(self, text: str, facts: Mapping[str, Any] | Facts) -> int:
        """Keep a new dance and return its number.

        Args:
            text: the sheet; kept as it is (NUL and halves of characters become U+FFFD).
            facts: what other stages computed of it, as :class:`Facts` or as plain data of the same names.

        Raises:
            ShelfError: the facts are of the wrong kind, or the shelf cannot be written.
        """
        told, kept = facts_from(facts), clean(text)
        with self._writing() as session:
            return self._add(session, kept, told)

    def save_version(
        self, dance_id: int, text: str, facts: Mapping[str, Any] | Facts, *, based_on: int
    ) -> Saved | Conflict:
        """Keep a changed text of a dance.

        If another version was saved since ``based_on`` (a second tab, a second teacher), this one is kept
        aside and the answer is a :class:`Conflict`: neither loses work. A text equal to the current one
        is not kept twice.

        Args:
            dance_id: the dance.
            text: the whole text.
            facts: its facts.
            based_on: the version that was being edited.

        Raises:
            ShelfError: there is no such dance or version, or the shelf cannot be written.
        """
        told, kept = facts_from(facts), clean(text)
        with self._writing() as session:
            current, last = self._held(session, dance_id)
            if not 1 <= based_on <= last:
                raise ShelfError("shelf.no-version", dance=dance_id, version=based_on)
            if kept == self._text(session, dance_id, current):
                return Saved(dance_id, current, is_new=False)
            is_aside = based_on != current
            if is_aside and kept == self._text(session, dance_id, based_on):
                return Saved(dance_id, current, is_new=False)  # nothing was typed here
            number = last + 1
            self._keep_version(session, dance_id, number, kept, told, based_on, is_aside)
            if is_aside:
                return Conflict(dance_id, number, current, based_on)
            self._show(session, dance_id, number, kept, told)
            return Saved(dance_id, number)

    def restore(self, dance_id: int, version: int) -> Saved:
        """Make an old version, or one kept aside, the current one again: as a new version, nothing is lost.

        Raises:
            ShelfError: there is no such dance or version, or the shelf cannot be written.
        """
        with self._writing() as session:
            current, last = self._held(session, dance_id)
            old = self._version(session, dance_id, version)
            if old.text == self._text(session, dance_id, current):
                return Saved(dance_id, current, is_new=False)
            self._keep_version(session, dance_id, last + 1, old.text, old.facts, version, False)
            self._show(session, dance_id, last + 1, old.text, old.facts)
            return Saved(dance_id, last + 1)

    def renew_facts(self, dance_id: int, version: int, facts: Mapping[str, Any] | Facts) -> None:
        """Put newly computed facts in the place of those of a version (a newer noonwall reads better).

        Raises:
            ShelfError: there is no such dance or version, or the shelf cannot be written.
        """
        told = facts_from(facts)
        with self._writing() as session:
            current, _ = self._held(session, dance_id)
            changed = session.do(
                "UPDATE dance_version SET facts = :facts WHERE dance_id = :id AND number = :number",
                facts=to_json(told),
                id=dance_id,
                number=version,
            )
            if not changed:
                raise ShelfError("shelf.no-version", dance=dance_id, version=version)
            if version == current:
                text = self._text(session, dance_id, version)
                self._show(session, dance_id, version, text, told, is_change=False)

    def dance(self, dance_id: int) -> Dance:
        """Return a dance with its current text, also one that was removed.

        Raises:
            ShelfError: there is no such dance.
        """
        with self._store.reading() as session:
            rows = session.rows(
                f"SELECT {ROW_COLUMNS}, text, facts, uid, removed_at FROM {ROW_TABLES} "
                "JOIN dance_version ON dance_version.dance_id = dance.id AND number = current "
                "WHERE dance.id = :id",
                id=dance_id,
            )
        if not rows:
            raise ShelfError("shelf.missing", kind="dance", wanted=dance_id)
        text, facts, uid, removed_at = rows[0][-4:]
        return Dance(row_of(rows[0]), text, facts_kept(facts), uid, removed_at or "")

    def versions(self, dance_id: int) -> tuple[Version, ...]:
        """Return every version of a dance, the first one first.

        Raises:
            ShelfError: there is no such dance.
        """
        with self._store.reading() as session:
            self._held(session, dance_id, is_change=False)
            rows = session.rows(f"{_VERSION} ORDER BY number", id=dance_id)
        return tuple(_version_of(row) for row in rows)

    def version(self, dance_id: int, number: int) -> Version:
        """Return one version of a dance.

        Raises:
            ShelfError: there is no such dance or version.
        """
        with self._store.reading() as session:
            self._held(session, dance_id, is_change=False)
            return self._version(session, dance_id, number)

    def take_in(self, sheets: Iterable[Incoming]) -> Iterator[TakenIn]:
        """Keep many sheets, telling of each what became of it once it is safe on the disk.

        A bad sheet is told of and never stops the rest; a text that is here already is not taken twice.

        Raises:
            ShelfError: the shelf cannot be written; what was told of before is kept.
        """
        waiting: list[Incoming] = []
        for sheet in sheets:
            waiting.append(sheet)
            if len(waiting) == TAKEN_AT_ONCE:
                yield from self._take(waiting)
                waiting = []
        yield from self._take(waiting)

    def _take(self, sheets: list[Incoming]) -> list[TakenIn]:
        told: list[TakenIn] = []
        if not any(not sheet.trouble for sheet in sheets):
            return [TakenIn(sheet.name, trouble=sheet.trouble) for sheet in sheets]
        with self._writing() as session:
            for sheet in sheets:
                if sheet.trouble:
                    told.append(TakenIn(sheet.name, trouble=sheet.trouble))
                    continue
                text, facts = clean(sheet.text), facts_from(sheet.facts)
                known = self._same_text(session, text, facts)
                dance_id = known or self._add(session, text, facts)
                told.append(TakenIn(sheet.name, dance_id, is_known=bool(known)))
        return told

    def _same_text(self, session: Session, text: str, facts: Facts) -> int:
        """Return the dance whose current text is this one, 0 if there is none."""
        rows = session.rows(
            "SELECT dance.id FROM dance JOIN dance_version ON dance_id = dance.id AND number = current "
            "WHERE sort_title = :title AND text = :text AND removed_at IS NULL",
            title=folded(facts.title),
            text=text,
        )
        return int(rows[0][0]) if rows else 0

    def _add(self, session: Session, text: str, facts: Facts, uid: str = "", dance_id: int = 0) -> int:
        dance_id = dance_id or next_id(session, "dance")
        session.do(
            "INSERT INTO dance (id, uid, current, last_version, added_at, changed_at, title, sort_title, "
            "choreographer, language, level, level_rank, meter, figures, wrong, doubtful, unread, edition) "
            "VALUES (:id, :uid, 0, 0, :now, :now, '', '', '', '', '', 0, '', '[]', 0, 0, 0, '')",
            id=dance_id,
            uid=uid or uuid4().hex,
            now=self._now(),
        )
        self._keep_version(session, dance_id, 1, text, facts, 0, False)
        self._show(session, dance_id, 1, text, facts)
        return dance_id

    def _held(self, session: Session, dance_id: int, is_change: bool = True) -> tuple[int, int]:
        """Return the current and the last version of a dance, and hold the dance until the session ends."""
        hold = self._store.for_update if is_change else ""
        rows = session.rows(f"SELECT current, last_version FROM dance WHERE id = :id{hold}", id=dance_id)
        if not rows:
            raise ShelfError("shelf.missing", kind="dance", wanted=dance_id)
        return int(rows[0][0]), int(rows[0][1])

    def _text(self, session: Session, dance_id: int, number: int) -> str:
        return self._version(session, dance_id, number).text

    def _version(self, session: Session, dance_id: int, number: int) -> Version:
        rows = session.rows(f"{_VERSION} AND number = :number", id=dance_id, number=number)
        if not rows:
            raise ShelfError("shelf.no-version", dance=dance_id, version=number)
        return _version_of(rows[0])

    def _keep_version(
        self,
        session: Session,
        dance_id: int,
        number: int,
        text: str,
        facts: Facts,
        based_on: int,
        is_aside: bool,
        saved_at: str = "",
    ) -> None:
        session.do(
            "INSERT INTO dance_version (dance_id, number, saved_at, based_on, is_aside, text, facts) "
            "VALUES (:id, :number, :now, :based_on, :aside, :text, :facts)",
            id=dance_id,
            number=number,
            now=saved_at or self._now(),
            based_on=based_on,
            aside=int(is_aside),
            text=text,
            facts=to_json(facts),
        )
        session.do("UPDATE dance SET last_version = :number WHERE id = :id", id=dance_id, number=number)

    def _show(
        self,
        session: Session,
        dance_id: int,
        number: int,
        text: str,
        facts: Facts,
        is_change: bool = True,
    ) -> None:
        """Make a version the current one: what lists show and searches find is that of its facts."""
        changed = "changed_at = :now, " if is_change else ""
        session.do(
            f"UPDATE dance SET current = :number, {changed}title = :title, sort_title = :sort_title, "
            "choreographer = :choreographer, language = :language, level = :level, level_rank = :level_rank, "
            "counts = :counts, walls = :walls, bpm = :bpm, meter = :meter, figures = :figures, "
            "wrong = :wrong, doubtful = :doubtful, unread = :unread, edition = :edition WHERE id = :id",
            id=dance_id,
            number=number,
            **({"now": self._now()} if is_change else {}),
            title=facts.title,
            sort_title=folded(facts.title),
            choreographer=facts.choreographer,
            language=facts.language,
            level=facts.level,
            level_rank=LEVELS.index(facts.level) if facts.level in LEVELS else len(LEVELS),
            counts=facts.counts,
            walls=facts.walls,
            bpm=facts.bpm,
            meter=facts.meter,
            figures=to_json(list(facts.figures)),
            wrong=facts.wrong,
            doubtful=facts.doubtful,
            unread=facts.unread,
            edition=facts.edition,
        )
        self._index(session, dance_id, text, facts)

    def _index(self, session: Session, dance_id: int, text: str, facts: Facts) -> None:
        session.do("DELETE FROM dance_figure WHERE dance_id = :id", id=dance_id)
        session.many(
            "INSERT INTO dance_figure (figure, dance_id) VALUES (:figure, :id)",
            [{"figure": figure, "id": dance_id} for figure in facts.figures],
        )
        session.do("DELETE FROM dance_gram WHERE dance_id = :id", id=dance_id)
        times: dict[int, int] = {}
        for gram, _ in facts.shape:
            times[gram] = times.get(gram, 0) + 1
        session.many(
            "INSERT INTO dance_gram (gram, dance_id, times) VALUES (:gram, :id, :times)",
            [{"gram": gram, "id": dance_id, "times": many} for gram, many in times.items()],
        )
        title, body = searched_words(text, facts)
        self._store.index_words(session, dance_id, title, body)


def searched_words(text: str, facts: Facts) -> tuple[list[str], list[str]]:
    """Return the words of the title, and every word that finds the dance, each once.

    Figure names in every language are among them: a sheet in English is found by what a French dancer says.
    """
    title = list(dict.fromkeys(words_of(facts.title)))
    every = f"{facts.title} {facts.choreographer} {text} {' '.join(facts.names)}"
    return title, list(dict.fromkeys(words_of(every)))


_VERSION = (
    "SELECT dance_id, number, saved_at, based_on, is_aside, text, facts FROM dance_version "
    "WHERE dance_id = :id"
)


def _version_of(row: Any) -> Version:
    dance_id, number, saved_at, based_on, is_aside, text, facts = row
    return Version(dance_id, number, saved_at, based_on, bool(is_aside), text, facts_kept(facts))
