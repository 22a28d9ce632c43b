"""Match a dance with a folder of music: heard once per content, on all cores or on a cluster."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Callable, Iterable, Iterator, Mapping
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, wait
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Any

from noonwall.dance.model import Dance
from noonwall.errors import BrokenFile, NoonwallError
from noonwall.fit.cluster import executor, is_lost
from noonwall.fit.costs import Costs
from noonwall.fit.counts import Song
from noonwall.fit.faults import fault
from noonwall.fit.match import Match, judge, ranked
from noonwall.fit.outline import Outline, outline_of

AUDIO_SUFFIXES = frozenset({".wav", ".flac", ".mp3", ".ogg", ".oga", ".opus", ".m4a", ".aac"})
CACHE_FORMAT = 1
BLOCK_BYTES = 1 << 20

Listen = Callable[[Path], Mapping[str, Any]]
"""Hears one file and returns its music map as plain JSON values; must be importable by name in a new process.

It raises a NoonwallError, with a sentence for people, for a file that cannot be heard.
"""
Progress = Callable[[int, int, str], None]
"""Called after each song with how many are done, how many there are, and the song's name."""


@dataclass(frozen=True, slots=True)
class FolderMatch:
    """The songs of a folder ranked for a dance.

    ``unheard`` are (name, sentence) of files that could not be used; ``heard`` counts songs heard now,
    ``cached`` those known by their content.
    """

    matches: tuple[Match, ...]
    unheard: tuple[tuple[str, str], ...]
    heard: int
    cached: int


@dataclass(frozen=True, slots=True)
class _Task:
    path: Path
    name: str
    cache: Path
    edition: str
    listen: Listen
    dance: Dance
    plan: Outline
    costs: Costs


@dataclass(frozen=True, slots=True)
class _Outcome:
    name: str
    match: Match | None
    sentence: str = ""
    cached: bool = False


def match_folder(
    dance: Dance,
    folder: Path,
    listen: Listen,
    cache: Path,
    *,
    edition: str = "",
    workers: int | None = None,
    cluster: str | None = None,
    progress: Progress | None = None,
    costs: Costs | None = None,
) -> FolderMatch:
    """Rank all music under ``folder`` for a dance.

    Each song is heard once: its map is kept under the SHA-256 of its content, so that a renamed, moved or
    doubled file is not heard again. A song that brings down its process is set aside and the rest go on.

    Args:
        dance: the dance.
        folder: searched with all its folders for files with a suffix of ``AUDIO_SUFFIXES``.
        listen: see ``Listen``.
        cache: folder of kept maps, one JSON file each; made if it is missing.
        edition: name of the listening method; maps kept by another edition are heard afresh.
        workers: processes on this machine (all cores by default); 1 works in this process.
        cluster: address of a Dask scheduler; its workers must see ``folder`` and ``cache``.
        progress: see ``Progress``.
        costs: the table that fitting minimises.

    Raises:
        CannotDance: the dance has no steps or no whole counts.
        BrokenFile: ``folder`` is not a folder, or ``cache`` cannot be written.
        NoonwallError: the cluster cannot be used.
    """
    if not folder.is_dir():
        raise fault(BrokenFile, "match.not-a-folder", folder=folder)
    try:
        cache.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise fault(BrokenFile, "match.cache", folder=cache, reason=error.strerror) from error
    plan = outline_of(dance)
    paths = sorted(music_files(folder))
    tasks = [
        _Task(path, str(path.relative_to(folder)), cache, edition, listen, dance, plan, costs or Costs())
        for path in paths
    ]
    matches, unheard, cached = [], [], 0
    for done, outcome in enumerate(_outcomes(tasks, workers or os.cpu_count() or 1, cluster), 1):
        if outcome.match:
            matches.append(outcome.match)
            cached += outcome.cached
        else:
            unheard.append((outcome.name, outcome.sentence))
        if progress:
            progress(done, len(tasks), outcome.name)
    return FolderMatch(tuple(ranked(matches)), tuple(sorted(unheard)), len(matches) - cached, cached)


def music_files(folder: Path) -> Iterator[Path]:
    """Give every file under ``folder`` whose suffix is one of music; what may not be read is passed over."""
    for place, _, names in os.walk(folder):
        for name in names:
            if Path(name).suffix.lower() in AUDIO_SUFFIXES:
                yield Path(place) / name


def _outcomes(tasks: list[_Task], workers: int, cluster: str | None) -> Iterator[_Outcome]:
    if cluster is None and (workers == 1 or len(tasks) < 2):
        yield from map(_work, tasks)
        return
    waiting = iter(tasks)
    suspects: list[_Task] = []
    finished: set[str] = set()
    with executor(min(workers, len(tasks)), cluster) as pool:
        for task, outcome in _spread(pool, waiting, workers * 4 if cluster is None else 256):
            if outcome is None:
                suspects.append(task)
            else:
                finished.add(task.name)
                yield outcome
    # one of them brought the pool down: each gets a process of its own, and so does what was never begun
    for task in suspects:
        yield _alone(task)
    if suspects:
        known = finished | {task.name for task in suspects}
        yield from _outcomes([task for task in tasks if task.name not in known], workers, cluster)


def _spread(pool: Executor, tasks: Iterable[_Task], window: int) -> Iterator[tuple[_Task, _Outcome | None]]:
    """Work through tasks with at most ``window`` handed out; None for those lost with a broken pool."""
    waiting = iter(tasks)
    running: dict[Future[_Outcome], _Task] = {}
    broken = False
    for task in islice(waiting, window):
        running[pool.submit(_work, task)] = task
    while running:
        done, _ = wait(running, return_when=FIRST_COMPLETED)
        for future in done:
            task = running.pop(future)
            try:
                yield task, future.result()
            except Exception as error:
                if not is_lost(error):
                    raise
                # a broken pool takes no more work; a cluster goes on with its other workers
                broken = isinstance(error, BrokenExecutor)
                yield task, None
            following = None if broken else next(waiting, None)
            if following is not None:
                try:
                    running[pool.submit(_work, following)] = following
                except BrokenExecutor:
                    broken = True
                    yield following, None


def _alone(task: _Task) -> _Outcome:
    with executor(1) as pool:
        try:
            return pool.submit(_work, task).result()
        except BrokenExecutor:
            return _Outcome(task.name, None, f"{task.name} stopped the program that heard it; leave it out.")


def _work(task: _Task) -> _Outcome:
    """Hear or remember one song and fit the dance to it; runs in a process of its own."""
    try:
        data, cached = _music(task)
        song = Song.from_json(data, task.name)
    except NoonwallError as error:
        return _Outcome(task.name, None, str(error))
    except OSError as error:
        return _Outcome(task.name, None, f"{task.name} cannot be opened ({error.strerror}); check it.")
    return _Outcome(task.name, judge(task.dance, task.plan, task.name, song, task.costs), "", cached)


def _music(task: _Task) -> tuple[Mapping[str, Any], bool]:
    kept = task.cache / f"{content_hash(task.path)}.json"
    known = _read_kept(kept, task.edition)
    if known is not None:
        if "sentence" in known:
            raise BrokenFile(known["sentence"])
        return known["music"], True
    try:
        data = task.listen(task.path)
    except NoonwallError as error:
        _keep(kept, {"format": CACHE_FORMAT, "edition": task.edition, "sentence": str(error)})
        raise
    _keep(kept, {"format": CACHE_FORMAT, "edition": task.edition, "music": dict(data)})
    return data, False


def content_hash(path: Path) -> str:
    """Return the SHA-256 of a file's content in hexadecimal."""
    digest = hashlib.sha256()
    with path.open("rb") as stream:
        while block := stream.read(BLOCK_BYTES):
            digest.update(block)
    return digest.hexdigest()


def _read_kept(path: Path, edition: str) -> dict[str, Any] | None:
    """Return a kept entry, or None if there is none that this edition can use."""
    try:
        entry = json.loads(path.read_text("utf-8"))
    except FileNotFoundError:
        return None
    except (ValueError, UnicodeDecodeError):
        # cut short by a full disk or an unplugged drive: hear the song again and write it anew
        return None
    usable = (
        isinstance(entry, dict) and entry.get("format") == CACHE_FORMAT and entry.get("edition") == edition
    )
    return entry if usable and ("music" in entry or "sentence" in entry) else None


def _keep(path: Path, entry: Mapping[str, Any]) -> None:
    """Write an entry so that a reader sees all of it or nothing; a full cache only costs time later."""
    draft = path.with_suffix(f".{os.getpid()}.part")
    try:
        draft.write_text(json.dumps(entry), "utf-8")
        draft.replace(path)
    except OSError:
        draft.unlink(missing_ok=True)
