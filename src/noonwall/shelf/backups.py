"""Backups: before the first change of a day, before a shelf of an older form is changed, and when asked."""

from __future__ import annotations

import sqlite3
import time
from datetime import datetime, timedelta
from pathlib import Path

from noonwall.shelf.base import ShelfBase
from noonwall.shelf.dump import form_of_tables
from noonwall.shelf.faults import ShelfError
from noonwall.shelf.folding import moment
from noonwall.shelf.place import data_folder
from noonwall.shelf.schema import FORM, STEPS, bring_up_to_date

KEPT = {"daily": 7, "older": 3, "replaced": 3, "asked": 20}
"""How many backups of each reason are kept; the oldest go first. Our own numbers."""
DAILY = timedelta(hours=24)
SUFFIXES = (".sqlite", ".tables.zip")


class Backups(ShelfBase):
    """The part of a shelf that makes backups and puts them in place.

    A backup is one file, named by moment and reason (``20261125T190501123Z-daily.sqlite``): "daily" before
    the first change of a day, "older" before a shelf of an older form is changed, "replaced" before another
    backup takes the shelf's place, "asked" by a person.
    """

    _folder: Path | None = None
    _latest: datetime | None = None

    @property
    def backups_folder(self) -> Path:
        """The folder where backups are."""
        if self._folder is not None:
            return self._folder
        return (self.place.file.parent if self.place.file else data_folder()) / "backups"

    @backups_folder.setter
    def backups_folder(self, folder: Path) -> None:
        self._folder = folder

    def backups(self) -> tuple[Path, ...]:
        """Return the backups that are there, the latest first."""
        if not self.backups_folder.is_dir():
            return ()
        found = [path for path in self.backups_folder.iterdir() if _reason_of(path)]
        return tuple(sorted(found, key=lambda path: path.name, reverse=True))

    def backup(self, reason: str = "asked") -> Path:
        """Copy the whole shelf into a new file and return it; then let the oldest of this reason go.

        Raises:
            ShelfError: there is no such reason, or the folder cannot be written.
        """
        if reason not in KEPT:
            raise ShelfError("shelf.bad-word", wanted=reason, known=", ".join(KEPT))
        folder = self.backups_folder
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            told = (error.strerror or str(error)).lower()
            raise ShelfError("shelf.unwritable", place=folder, reason=told) from error
        now = self._clock()
        file = folder / f"{_stamp(now)}-{reason}{SUFFIXES[0 if self.place.file else 1]}"
        while file.exists():  # two in one millisecond
            time.sleep(0.001)
            now += timedelta(milliseconds=1)
            file = folder / f"{_stamp(now)}-{reason}{SUFFIXES[0 if self.place.file else 1]}"
        self._store.copy_to(file)
        self._latest = now
        for old in [path for path in self.backups() if _reason_of(path) == reason][KEPT[reason] :]:
            old.unlink(missing_ok=True)
        return file

    def backup_if_due(self) -> Path | None:
        """Make the backup of the day if the last one is older than a day (a studio may, while nobody waits).

        A school's database is copied on request only: its keeper has better means.

        Raises:
            ShelfError: the folder cannot be written.
        """
        if self.place.file is None or not self._is_due():
            return None
        with self._store.reading() as session:
            if not session.rows("SELECT 1 FROM shelf_counter WHERE name <> :form", form=FORM):
                self._latest = self._clock()  # nothing is on the shelf yet
                return None
        return self.backup("daily")

    def _before_change(self) -> None:
        # the clock is asked first, the folder only when a day has passed: a save must not wait
        if self._latest is None or self._clock() - self._latest >= DAILY:
            self.backup_if_due()

    def _is_due(self) -> bool:
        stamps = [path.name.split("-")[0] for path in self.backups()]
        if stamps and stamps[0] > _stamp(self._clock() - DAILY):
            self._latest = self._clock()
            return False
        return True

    def put_in_place(self, backup: Path) -> None:
        """Put a backup in the place of everything on this shelf, and bring it up to date.

        Raises:
            ShelfError: it is no backup, or is damaged, or the shelf cannot be written; nothing was changed.
        """
        self.check_backup(backup)
        if backup.name.endswith(SUFFIXES[0]) is not (self.place.file is not None):
            raise ShelfError("shelf.backup-broken", place=backup, reason="it is of another kind of database")
        self._store.copy_from(backup)
        bring_up_to_date(self._store, lambda: None)

    @staticmethod
    def check_backup(backup: Path) -> None:
        """Refuse a file that is no backup, is damaged, or comes from a newer noonwall.

        Raises:
            ShelfError: it is.
        """
        if not backup.is_file():
            raise ShelfError("shelf.backup-broken", place=backup, reason="there is no such file")
        if backup.name.endswith(SUFFIXES[1]):
            form = form_of_tables(backup)
        else:
            form = _form_of_file(backup)
        if form > len(STEPS):
            raise ShelfError("shelf.newer", place=backup, found=form, known=len(STEPS))


def _form_of_file(backup: Path) -> int:
    try:
        copy = sqlite3.connect(f"{backup.resolve().as_uri()}?mode=ro", uri=True)
        try:
            told = copy.execute("PRAGMA integrity_check").fetchone()[0]
            if told != "ok":
                raise ShelfError("shelf.backup-broken", place=backup, reason="it is damaged")
            rows = copy.execute("SELECT last FROM shelf_counter WHERE name = ?", (FORM,)).fetchall()
            return int(rows[0][0]) if rows else 0
        finally:
            copy.close()
    except sqlite3.Error as error:
        raise ShelfError("shelf.backup-broken", place=backup, reason=str(error)) from error


def set_aside(file: Path) -> Path:
    """Rename a damaged shelf, with the logs beside it, so that nothing of it is lost; return its new name."""
    aside = file.with_name(f"{file.name}.damaged-{time.strftime('%Y%m%dT%H%M%SZ', time.gmtime())}")
    try:
        for end in ("-wal", "-shm", ""):
            old = file.with_name(file.name + end)
            if old.exists():
                old.replace(aside.with_name(aside.name + end))
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise ShelfError("shelf.unwritable", place=file, reason=reason) from error
    return aside


def _stamp(now: datetime) -> str:
    return moment(now).translate(str.maketrans("", "", "-:."))


def _reason_of(path: Path) -> str:
    """Return why a backup was made, "" for a file that is none."""
    for suffix in SUFFIXES:
        stem, dash, reason = path.name.removesuffix(suffix).partition("-")
        if path.name.endswith(suffix) and dash and reason in KEPT and stem.endswith("Z"):
            return reason
    return ""
