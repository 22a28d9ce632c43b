"""Songs on the shelf, known by the content of their files: a renamed or moved file is the same song."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any
from uuid import uuid4

from noonwall.shelf.base import ShelfBase
from noonwall.shelf.facts import from_json, to_json
from noonwall.shelf.faults import ShelfError
from noonwall.shelf.folding import clean, folded, words_of
from noonwall.shelf.rows import Found, Song
from noonwall.shelf.schema import next_id
from noonwall.shelf.store import Row, Session

BLOCK_BYTES = 1 << 20
_COLUMNS = (
    "id, uid, sha256, bytes, title, artist, bpm, map, corrections, edition, added_at, changed_at, removed_at"
)


def content_of(path: Path) -> tuple[str, int]:
    """Return the SHA-256 (FIPS 180-4) of a file's bytes in hexadecimal, and how many bytes there are.

    Raises:
        ShelfError: the file cannot be read.
    """
    digest, size = hashlib.sha256(), 0
    try:
        with path.open("rb") as file:
            while block := file.read(BLOCK_BYTES):
                digest.update(block)
                size += len(block)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise ShelfError("shelf.unreadable-song", place=path, reason=reason) from error
    return digest.hexdigest(), size


class Songs(ShelfBase):
    """The part of a shelf that keeps songs: what was heard and where they were seen, not their sound."""

    def add_song(
        self,
        path: Path,
        *,
        title: str = "",
        artist: str = "",
        heard: Mapping[str, Any] | None = None,
        edition: str = "",
    ) -> int:
        """Keep a song by its content and note where it is; the same content again is the same song.

        Args:
            path: the sound file.
            title: by default the file's name.
            artist: who plays it.
            heard: its music map as plain data (``MusicMap.to_dict()``), without corrections.
            edition: the version that heard it.

        Returns:
            The song's number; a song that had been removed is put back.

        Raises:
            ShelfError: the file cannot be read, or the shelf cannot be written.
        """
        sha256, size = content_of(path)
        with self._writing() as session:
            rows = session.rows("SELECT id, removed_at FROM song WHERE sha256 = :sha256", sha256=sha256)
            if rows:
                song_id = int(rows[0][0])
                if rows[0][1]:
                    session.do("UPDATE song SET removed_at = NULL WHERE id = :id", id=song_id)
            else:
                song_id = next_id(session, "song")
                self._insert_song(session, song_id, uuid4().hex, sha256, size, title or path.stem, artist)
            self._see(session, song_id, path)
            if heard is not None:
                self._hear(session, song_id, heard, edition)
            return song_id

    def _insert_song(
        self, session: Session, song_id: int, uid: str, sha256: str, size: int, title: str, artist: str
    ) -> None:
        session.do(
            "INSERT INTO song (id, uid, sha256, bytes, title, sort_title, artist, edition, corrections, "
            "added_at, changed_at) VALUES (:id, :uid, :sha256, :bytes, :title, :sort_title, :artist, '', "
            "'[]', :now, :now)",
            id=song_id,
            uid=uid,
            sha256=sha256,
            bytes=size,
            title=clean(title),
            sort_title=folded(clean(title)),
            artist=clean(artist),
            now=self._now(),
        )

    def set_heard(self, song_id: int, heard: Mapping[str, Any], edition: str = "") -> None:
        """Keep what was heard; corrections made before stay, to be applied again.

        Raises:
            ShelfError: there is no such song, or the shelf cannot be written.
        """
        with self._writing() as session:
            self._hear(session, song_id, heard, edition)

    def _hear(self, session: Session, song_id: int, heard: Mapping[str, Any], edition: str) -> None:
        bpm = heard.get("bpm")
        changed = session.do(
            "UPDATE song SET map = :map, bpm = :bpm, edition = :edition, changed_at = :now WHERE id = :id",
            map=to_json(dict(heard)),
            bpm=float(bpm) if bpm else None,
            edition=edition,
            now=self._now(),
            id=song_id,
        )
        if not changed:
            raise ShelfError("shelf.missing", kind="song", wanted=song_id)

    def set_corrections(self, song_id: int, corrections: Sequence[Mapping[str, Any]]) -> None:
        """Keep the teacher's corrections of a song, all of them, oldest first.

        Raises:
            ShelfError: there is no such song, or the shelf cannot be written.
        """
        self._change_song(song_id, "corrections = :told", to_json([dict(one) for one in corrections]))

    def rename_song(self, song_id: int, title: str, artist: str | None = None) -> None:
        """Give a song another title, and another artist if one is told.

        Raises:
            ShelfError: there is no such song, or the shelf cannot be written.
        """
        title = clean(title)
        self._change_song(song_id, "title = :told, sort_title = :sort_title", title, sort_title=folded(title))
        if artist is not None:
            self._change_song(song_id, "artist = :told", clean(artist))

    def _change_song(self, song_id: int, change: str, told: str, **values: Any) -> None:
        with self._writing() as session:
            statement = f"UPDATE song SET {change}, changed_at = :now WHERE id = :id"
            if not session.do(statement, told=told, now=self._now(), id=song_id, **values):
                raise ShelfError("shelf.missing", kind="song", wanted=song_id)

    def song(self, song_id: int) -> Song:
        """Return a song, also one that was removed.

        Raises:
            ShelfError: there is no such song.
        """
        with self._store.reading() as session:
            rows = session.rows(f"SELECT {_COLUMNS} FROM song WHERE id = :id", id=song_id)
            if not rows:
                raise ShelfError("shelf.missing", kind="song", wanted=song_id)
            return _song_of(session, rows[0])

    def song_by_content(self, sha256: str) -> Song | None:
        """Return the song whose file has this SHA-256, None if the shelf does not know it."""
        with self._store.reading() as session:
            rows = session.rows(f"SELECT {_COLUMNS} FROM song WHERE sha256 = :sha256", sha256=sha256)
            return _song_of(session, rows[0]) if rows else None

    def find_songs(
        self,
        query: str = "",
        *,
        bpm_from: float | None = None,
        bpm_to: float | None = None,
        page: int = 1,
        per_page: int = 50,
    ) -> Found[Song]:
        """Return songs whose title or artist holds every word of the query, by title.

        A teacher has hundreds of songs, not hundreds of thousands: they are looked through one by one.
        """
        wanted = words_of(query)
        with self._store.reading() as session:
            rows = session.rows(
                "SELECT id, title, artist FROM song WHERE removed_at IS NULL "
                "AND (bpm >= :least OR :least < 0) AND (bpm <= :most OR :most < 0) ORDER BY sort_title, id",
                least=-1.0 if bpm_from is None else bpm_from,
                most=-1.0 if bpm_to is None else bpm_to,
            )
            ids = [int(row[0]) for row in rows if _holds(words_of(f"{row[1]} {row[2]}"), wanted)]
            shown = ids[(page - 1) * per_page : page * per_page]
            songs = [
                _song_of(session, session.rows(f"SELECT {_COLUMNS} FROM song WHERE id = :id", id=one)[0])
                for one in shown
            ]
        return Found(tuple(songs), len(ids), page, per_page)

    def song_file(self, song_id: int, folders: Iterable[Path] = ()) -> Path | None:
        """Return where the sound of a song is now, None if it is nowhere to be found.

        Places where it was seen are tried first; then the folders are searched for a file of the same content
        (only files of the same size are read). A place that is found is noted.

        Raises:
            ShelfError: there is no such song, or the shelf cannot be written.
        """
        song = self.song(song_id)
        for place in song.places:
            if _is_song(Path(place), song):
                return Path(place)
        # a moved file is most often in a folder where it, or another song, was seen
        near = dict.fromkeys(Path(place).parent for place in song.places)
        for folder in [*folders, *near]:
            for path in _files_of_size(Path(folder), song.bytes):
                if _is_song(path, song):
                    with self._writing() as session:
                        self._see(session, song_id, path)
                    return path
        return None

    def _see(self, session: Session, song_id: int, path: Path) -> None:
        session.do(
            "INSERT INTO song_place (song_id, path, seen_at) VALUES (:id, :path, :now) "
            "ON CONFLICT (song_id, path) DO UPDATE SET seen_at = excluded.seen_at",
            id=song_id,
            path=clean(str(path.absolute())),
            now=self._now(),
        )


def _song_of(session: Session, row: Row) -> Song:
    (number, uid, sha256, size, title, artist, bpm, heard, corrections, edition, added, changed, removed) = (
        row
    )
    places = session.rows(
        "SELECT path FROM song_place WHERE song_id = :id ORDER BY seen_at DESC, path", id=number
    )
    return Song(
        id=number,
        uid=uid,
        sha256=sha256,
        bytes=size,
        title=title,
        artist=artist,
        bpm=bpm,
        map=from_json(heard) if heard else None,
        corrections=tuple(from_json(corrections)),
        edition=edition,
        places=tuple(place[0] for place in places),
        added_at=added,
        changed_at=changed,
        removed_at=removed or "",
    )


def _holds(words: list[str], wanted: list[str]) -> bool:
    return all(any(word.startswith(start) for word in words) for start in wanted)


def _is_song(path: Path, song: Song) -> bool:
    """True if a file has the content of a song; one that cannot be read has not."""
    try:
        return path.stat().st_size == song.bytes and content_of(path)[0] == song.sha256
    except (OSError, ValueError, ShelfError):
        return False


def _files_of_size(folder: Path, size: int) -> Iterable[Path]:
    for place, _, names in os.walk(folder):
        for name in sorted(names):
            path = Path(place) / name
            try:
                if path.stat().st_size == size:
                    yield path
            except OSError:
                continue  # gone, or a link that leads nowhere
