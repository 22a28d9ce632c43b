"""The shelf itself: everything a teacher keeps, in one file or in a school's database."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from types import TracebackType

from noonwall.shelf.backups import Backups, set_aside
from noonwall.shelf.classes import Classes
from noonwall.shelf.exporting import Exporting
from noonwall.shelf.faults import ShelfError
from noonwall.shelf.finding import Finding
from noonwall.shelf.folding import utc_now
from noonwall.shelf.importing import Importing
from noonwall.shelf.place import Place, place_of
from noonwall.shelf.removal import Removal
from noonwall.shelf.schema import bring_up_to_date
from noonwall.shelf.songs import Songs
from noonwall.shelf.store import Store
from noonwall.shelf.store_postgres import PostgresStore
from noonwall.shelf.store_sqlite import SqliteStore
from noonwall.shelf.work import Work


class Shelf(Finding, Importing, Exporting, Songs, Work, Classes, Removal, Backups):
    """Dances, songs, runs, lessons, classes and settings; see the parts for what each can do.

    Open one with :func:`open_shelf`. It may be used from several threads, and by several programs at once.
    Every method that changes something returns only when the change is safe on the disk; if it raises,
    nothing was changed.
    """

    def close(self) -> None:
        """Let go of the database; the shelf cannot be used afterwards."""
        self._store.close()

    def __enter__(self) -> Shelf:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def open_shelf(
    place: Path | str | None = None,
    *,
    clock: Callable[[], datetime] = utc_now,
    backups: Path | None = None,
) -> Shelf:
    """Open a shelf; make an empty one if there is none; bring an older one up to date after a backup.

    Args:
        place: a file or folder, or the URL of a PostgreSQL database (``postgresql://user@host/name``); by
            default what NOONWALL_SHELF names, else the user's data folder.
        clock: tells the time (tests have their own).
        backups: the folder of backups; by default ``backups`` beside the file, or in the user's data
            folder for a database.

    Raises:
        ShelfError: a newer noonwall wrote it, it is no shelf, or it cannot be opened or written.
    """
    where = place_of(place)
    store = _store_of(where)
    shelf = Shelf(store, where, clock)
    if backups is not None:
        shelf.backups_folder = backups
    try:
        bring_up_to_date(store, lambda: shelf.backup("older"))
    except BaseException:
        shelf.close()
        raise
    return shelf


def _store_of(where: Place) -> Store:
    if where.file is None:
        return PostgresStore(where.url, where.shown)
    return SqliteStore(where.file)


def restore_shelf(place: Path | str | None, backup: Path) -> Path | None:
    """Put a backup in the place of a shelf; works for a shelf that is damaged, too.

    Args:
        place: as for :func:`open_shelf`.
        backup: a file that :meth:`Shelf.backup` made.

    Returns:
        Where what stood there before was put: a backup of the shelf, or the damaged file; None if there was
        nothing.

    Raises:
        ShelfError: the backup is none or is damaged, or the place cannot be written; nothing was changed.
    """
    where = place_of(place)
    was_there = where.file is None or where.file.exists()
    Backups.check_backup(backup)
    before: Path | None = None
    try:
        with open_shelf(place) as shelf:
            before = shelf.backup("replaced") if was_there else None
            shelf.put_in_place(backup)
            return before
    except ShelfError as error:
        if where.file is None or error.code not in ("shelf.not-a-shelf", "shelf.newer"):
            raise
    before = set_aside(where.file)
    with suppress(ShelfError), open_shelf(place) as shelf:
        shelf.put_in_place(backup)
        return before
    raise ShelfError("shelf.backup-broken", place=backup, reason="it could not be put in place")
