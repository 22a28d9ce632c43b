"""What the parts of a shelf share: the database, the clock, and what is due before a change."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime

from noonwall.shelf.folding import moment, utc_now
from noonwall.shelf.place import Place
from noonwall.shelf.store import Session, Store


class ShelfBase:
    """A database and a clock."""

    def __init__(self, store: Store, place: Place, clock: Callable[[], datetime] = utc_now) -> None:
        self._store = store
        self._clock = clock
        self.place = place

    def _now(self) -> str:
        return moment(self._clock())

    def _before_change(self) -> None:
        """Do what is due before something changes (:mod:`noonwall.shelf.backup`)."""

    @contextmanager
    def _writing(self) -> Iterator[Session]:
        self._before_change()
        with self._store.writing() as session:
            yield session
