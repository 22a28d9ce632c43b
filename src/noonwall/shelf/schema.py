"""The tables of a shelf as a list of steps: a new shelf takes them all, an older one those it lacks."""

from __future__ import annotations

from collections.abc import Callable

from noonwall.shelf.faults import ShelfError
from noonwall.shelf.store import Session, Store

_DANCES = (
    "CREATE TABLE shelf_counter (name TEXT PRIMARY KEY, last BIGINT NOT NULL)",
    "CREATE TABLE shelf_setting (name TEXT PRIMARY KEY, value TEXT NOT NULL)",
    """CREATE TABLE dance (
        id BIGINT PRIMARY KEY, uid TEXT NOT NULL UNIQUE,
        current BIGINT NOT NULL, last_version BIGINT NOT NULL,
        added_at TEXT NOT NULL, changed_at TEXT NOT NULL, removed_at TEXT,
        title TEXT NOT NULL, sort_title TEXT NOT NULL, choreographer TEXT NOT NULL, language TEXT NOT NULL,
        level TEXT NOT NULL, level_rank INTEGER NOT NULL,
        counts DOUBLE PRECISION, walls INTEGER, bpm DOUBLE PRECISION,
        meter TEXT NOT NULL, figures TEXT NOT NULL,
        wrong INTEGER NOT NULL, doubtful INTEGER NOT NULL, unread INTEGER NOT NULL,
        edition TEXT NOT NULL)""",
    # a large library is leafed through in these orders, a page at a time
    "CREATE INDEX dance_by_title ON dance (removed_at, sort_title, id)",
    "CREATE INDEX dance_by_change ON dance (removed_at, changed_at, id)",
    "CREATE INDEX dance_by_addition ON dance (removed_at, added_at, id)",
    "CREATE INDEX dance_by_level ON dance (removed_at, level_rank, sort_title, id)",
    """CREATE TABLE dance_version (
        dance_id BIGINT NOT NULL REFERENCES dance (id), number BIGINT NOT NULL, saved_at TEXT NOT NULL,
        based_on BIGINT NOT NULL, is_aside INTEGER NOT NULL, text TEXT NOT NULL, facts TEXT NOT NULL,
        PRIMARY KEY (dance_id, number))""",
    """CREATE TABLE dance_figure (
        figure TEXT NOT NULL, dance_id BIGINT NOT NULL REFERENCES dance (id),
        PRIMARY KEY (figure, dance_id))""",
    "CREATE INDEX dance_figure_by_dance ON dance_figure (dance_id)",
    """CREATE TABLE dance_gram (
        gram BIGINT NOT NULL, dance_id BIGINT NOT NULL REFERENCES dance (id), times INTEGER NOT NULL,
        PRIMARY KEY (gram, dance_id))""",
    "CREATE INDEX dance_gram_by_dance ON dance_gram (dance_id)",
)
_MUSIC = (
    """CREATE TABLE song (
        id BIGINT PRIMARY KEY, uid TEXT NOT NULL UNIQUE, sha256 TEXT NOT NULL UNIQUE, bytes BIGINT NOT NULL,
        title TEXT NOT NULL, sort_title TEXT NOT NULL, artist TEXT NOT NULL, bpm DOUBLE PRECISION,
        map TEXT, edition TEXT NOT NULL, corrections TEXT NOT NULL,
        added_at TEXT NOT NULL, changed_at TEXT NOT NULL, removed_at TEXT)""",
    """CREATE TABLE song_place (
        song_id BIGINT NOT NULL REFERENCES song (id), path TEXT NOT NULL, seen_at TEXT NOT NULL,
        PRIMARY KEY (song_id, path))""",
    """CREATE TABLE run (
        id BIGINT PRIMARY KEY, uid TEXT NOT NULL UNIQUE, dance_id BIGINT NOT NULL REFERENCES dance (id),
        version BIGINT NOT NULL, song_id BIGINT NOT NULL REFERENCES song (id), run TEXT NOT NULL,
        added_at TEXT NOT NULL, removed_at TEXT)""",
    "CREATE INDEX run_by_dance ON run (dance_id)",
    "CREATE INDEX run_by_song ON run (song_id)",
)
_TEACHING = (
    """CREATE TABLE class (
        id BIGINT PRIMARY KEY, uid TEXT NOT NULL UNIQUE, name TEXT NOT NULL, sort_name TEXT NOT NULL,
        members INTEGER, notes TEXT NOT NULL, knows TEXT NOT NULL,
        added_at TEXT NOT NULL, changed_at TEXT NOT NULL, removed_at TEXT)""",
    """CREATE TABLE taught (
        id BIGINT PRIMARY KEY, uid TEXT NOT NULL UNIQUE, class_id BIGINT NOT NULL REFERENCES class (id),
        dance_id BIGINT NOT NULL REFERENCES dance (id), version BIGINT NOT NULL, day TEXT NOT NULL,
        notes TEXT NOT NULL, added_at TEXT NOT NULL, removed_at TEXT)""",
    "CREATE INDEX taught_by_class ON taught (class_id)",
    "CREATE INDEX taught_by_dance ON taught (dance_id)",
    """CREATE TABLE lesson (
        id BIGINT PRIMARY KEY, uid TEXT NOT NULL UNIQUE, dance_id BIGINT NOT NULL REFERENCES dance (id),
        version BIGINT NOT NULL, run_id BIGINT REFERENCES run (id), class_id BIGINT REFERENCES class (id),
        title TEXT NOT NULL, plan TEXT NOT NULL,
        added_at TEXT NOT NULL, changed_at TEXT NOT NULL, removed_at TEXT)""",
    "CREATE INDEX lesson_by_dance ON lesson (dance_id)",
    "CREATE INDEX lesson_by_class ON lesson (class_id)",
)

STEPS: tuple[tuple[str, ...], ...] = (_DANCES, _MUSIC, _TEACHING)
"""Never change a step that was released: add one. The number of steps is the form of a shelf."""

TABLES = (
    *("shelf_counter", "shelf_setting", "dance", "dance_version", "dance_figure", "dance_gram", "song"),
    *("song_place", "run", "class", "taught", "lesson"),
)
"""Every table but the index of words, those that others refer to first."""

FORM = "form"
"""The counter that holds how many steps a shelf has taken."""


def form_of(store: Store, session: Session) -> int:
    """Return how many steps the shelf has taken; 0 if there is nothing yet.

    Raises:
        ShelfError: a newer noonwall wrote it, or there is something else in its place.
    """
    if not store.has_table(session, "shelf_counter"):
        if store.has_table(session, "dance"):
            raise ShelfError("shelf.not-a-shelf", place=store.shown)
        return 0
    rows = session.rows("SELECT last FROM shelf_counter WHERE name = :name", name=FORM)
    found = int(rows[0][0]) if rows else 0
    if found > len(STEPS):
        raise ShelfError("shelf.newer", place=store.shown, found=found, known=len(STEPS))
    return found


def bring_up_to_date(store: Store, before_change: Callable[[], object]) -> bool:
    """Take the steps that a shelf lacks, all of them or none; return whether it lacked any.

    Args:
        store: the database.
        before_change: called before a shelf that holds something is changed (makes a backup).

    Raises:
        ShelfError: a newer noonwall wrote the shelf, or it cannot be written.
    """
    with store.reading() as session:
        found = form_of(store, session)
    if found == len(STEPS):
        return False
    if found:
        before_change()
    with store.writing() as session:
        store.hold_alone(session)
        # another process may have been quicker
        found = form_of(store, session)
        for number, step in enumerate(STEPS[found:], found + 1):
            for statement in step:
                session.do(statement)
            for statement in store.word_index if number == 1 else ():
                session.do(statement)
        session.do(
            "INSERT INTO shelf_counter (name, last) VALUES (:name, :last) "
            "ON CONFLICT (name) DO UPDATE SET last = excluded.last",
            name=FORM,
            last=len(STEPS),
        )
    return True


def next_id(session: Session, name: str) -> int:
    """Return a number that no row of the table ever had."""
    return int(
        session.rows(
            "INSERT INTO shelf_counter (name, last) VALUES (:name, 1) "
            "ON CONFLICT (name) DO UPDATE SET last = shelf_counter.last + 1 RETURNING last",
            name=name,
        )[0][0]
    )
