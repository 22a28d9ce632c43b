"""Many tracks on all cores: first the pieces of the songs, then every file as soon as its pieces are there.

What is finished stays in a cache folder, so that work that was stopped goes on where it was.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import shutil
import signal
from collections.abc import Callable, Sequence
from concurrent import futures
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path
from typing import Any

from noonwall.errors import NoonwallError
from noonwall.outputs.faults import fault
from noonwall.outputs.sound_file import TRACK_RATE_HZ
from noonwall.outputs.stretch import Piece, stretch_piece
from noonwall.outputs.track import SongAtHand, TrackJob, TrackMade, make_track, measure_song
from noonwall.outputs.whole_file import write_whole

Progress = Callable[[float, float], None]
"""Told how many seconds of sound of how many are done; it may raise to stop the work."""

LITTLE_SECONDS = 90.0
"""Less sound than this is made at once in this process: others would take longer to start."""

MOST_CACHE_BYTES = 2_000_000_000
"""What songs and their stretched pieces may take on the disk, about twenty songs at a speed; own choice."""


@dataclass(frozen=True, slots=True)
class _Task:
    """A piece of a song at a speed; without a piece, the loudness of the song."""

    song: SongAtHand
    made: Path
    speed: float = 1.0
    piece: Piece | None = None

    @property
    def seconds(self) -> float:
        return (self.piece.stop - self.piece.start) / TRACK_RATE_HZ if self.piece else 0.0

    def do(self) -> None:
        """Do it, in whatever process."""
        if self.piece is None:
            measure_song(self.song.raw, self.made)
        else:
            stretch_piece(self.song.raw, self.piece, self.speed, self.made)


def make_tracks(
    jobs: Sequence[TrackJob],
    cache: Path,
    *,
    workers: int | None = None,
    progress: Progress | None = None,
) -> list[TrackMade]:
    """Make tracks, on all cores if there is much to do; in the order of the jobs.

    A file that was made of the same before and is still there is left as it is.

    Args:
        jobs: the tracks.
        cache: where it is noted what was made.
        workers: processes; by default one for each core.
        progress: told how far the work is; what it raises stops the work and is raised again.

    Raises:
        NoonwallError: a file or the cache cannot be written, or a process was killed.
    """
    kept = {number: made for number, job in enumerate(jobs) if (made := _kept(job, cache)) is not None}
    whole, jobs = jobs, [job for number, job in enumerate(jobs) if number not in kept]
    fresh = iter(_made(jobs, cache, workers, progress) if jobs else [])
    return [kept[number] if number in kept else next(fresh) for number in range(len(whole))]


def _made(
    jobs: Sequence[TrackJob], cache: Path, workers: int | None, progress: Progress | None
) -> list[TrackMade]:
    tasks = _tasks_of(jobs)
    total = sum(task.seconds for task in tasks) + sum(job.seconds for job in jobs)
    count = workers or os.cpu_count() or 1
    try:
        if count == 1 or total < LITTLE_SECONDS:
            return _here(jobs, tasks, cache, total, progress)
        return _spread(jobs, tasks, cache, total, count, progress)
    except futures.process.BrokenProcessPool as error:
        raise fault(NoonwallError, "track.killed") from error
    except OSError as error:
        raise cache_fault(error) from error


def cache_fault(error: OSError) -> NoonwallError:
    """Return the sentence for a cache that cannot be written."""
    where = Path(str(error.filename)).parent if error.filename else "NOONWALL_CACHE"
    reason = (error.strerror or str(error)).lower()
    return fault(NoonwallError, "track.cache", where=where, reason=reason)


def _tasks_of(jobs: Sequence[TrackJob]) -> list[_Task]:
    """Return what is still to be stretched, each piece once however many tracks need it."""
    wanted: dict[Path, _Task] = {}
    for job in jobs:
        if job.song is None:
            continue
        if not job.song.level.exists():
            wanted[job.song.level] = _Task(job.song, job.song.level)
        if job.speed == 1.0:
            continue
        for piece, made in zip(job.song.pieces, job.song.stretched(job.speed), strict=True):
            if not made.exists():
                wanted[made] = _Task(job.song, made, job.speed, piece)
    return list(wanted.values())


def _here(
    jobs: Sequence[TrackJob], tasks: Sequence[_Task], cache: Path, total: float, progress: Progress | None
) -> list[TrackMade]:
    done = 0.0
    for task in tasks:
        task.do()
        done = _told(done + task.seconds, total, progress)
    made = []
    for job in jobs:
        made.append(make_track(job))
        _note(job, made[-1], cache)
        done = _told(done + job.seconds, total, progress)
    return made


def _spread(
    jobs: Sequence[TrackJob],
    tasks: Sequence[_Task],
    cache: Path,
    total: float,
    count: int,
    progress: Progress | None,
) -> list[TrackMade]:
    context = get_context()
    stop = context.Event()
    made: dict[int, TrackMade] = {}
    pool = futures.ProcessPoolExecutor(
        min(count, len(jobs) + len(tasks)), mp_context=context, initializer=_begin, initargs=(stop,)
    )
    try:
        running: dict[futures.Future[Any], tuple[float, int | None]] = {}
        waiting = dict(enumerate(jobs))
        for task in tasks:
            running[pool.submit(_do, task)] = (task.seconds, None)
        done = 0.0
        while waiting or running:
            for number in [number for number, job in waiting.items() if _is_ready(job)]:
                running[pool.submit(_make, waiting.pop(number))] = (jobs[number].seconds, number)
            if not running:  # a finished piece was taken away by another program
                raise fault(NoonwallError, "track.killed")
            ended, _ = futures.wait(running, timeout=0.5, return_when=futures.FIRST_COMPLETED)
            for future in ended:
                seconds, job_number = running.pop(future)
                if job_number is None:
                    future.result()
                else:
                    made[job_number] = future.result()
                    _note(jobs[job_number], made[job_number], cache)
                done += seconds
            _told(done, total, progress)
        return [made[number] for number in range(len(jobs))]
    finally:
        # on the way out after a stop: what is in hand ends soon, what waits is not begun
        stop.set()
        pool.shutdown(wait=True, cancel_futures=True)


def _is_ready(job: TrackJob) -> bool:
    if job.song is None:
        return True
    needed = () if job.speed == 1.0 else job.song.stretched(job.speed)
    return job.song.level.exists() and all(piece.exists() for piece in needed)


def _told(done: float, total: float, progress: Progress | None) -> float:
    if progress is not None:
        progress(done, total)
    return done


_stop: Any = None


def _begin(stop: Any) -> None:
    """Begin a worker: it leaves Ctrl-C to the process that started it, and asks ``stop`` instead."""
    global _stop  # noqa: PLW0603 - the one way to hand a flag to tasks of a pool
    _stop = stop
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _do(task: _Task) -> None:
    # a pool hands out a task or two ahead: after a stop those are not begun
    if not _stop.is_set():
        task.do()


def _make(job: TrackJob) -> TrackMade:
    return make_track(job, _stop.is_set)


def _note_path(job: TrackJob, cache: Path) -> Path:
    return cache / "made" / f"{hashlib.sha256(str(job.out.absolute()).encode()).hexdigest()[:24]}.json"


def _note(job: TrackJob, made: TrackMade, cache: Path) -> None:
    """Note what a file was made of; without the note it is only made once more."""
    path, there = _note_path(job, cache), job.out.stat()
    noted = [job.mark(), there.st_size, there.st_mtime_ns, made.seconds, made.lufs]
    with contextlib.suppress(OSError, NoonwallError):
        path.parent.mkdir(parents=True, exist_ok=True)
        write_whole(path, json.dumps(noted).encode())


def _kept(job: TrackJob, cache: Path) -> TrackMade | None:
    """Return what is noted of a file if it is there, untouched, and would be made the same again."""
    try:
        mark, size, changed, seconds, lufs = json.loads(_note_path(job, cache).read_text("ascii"))
        there = job.out.stat()
    except (OSError, ValueError, TypeError):
        return None
    if (there.st_size, there.st_mtime_ns, job.mark()) != (size, changed, mark):
        return None
    return TrackMade(job.out, seconds, lufs, True)


def tidy_cache(cache: Path, most_bytes: int = MOST_CACHE_BYTES) -> None:
    """Empty the cache of songs, those not used for longest first, until it holds at most ``most_bytes``."""
    if not cache.is_dir():
        return
    songs = sorted(
        ((_used(folder), folder) for folder in cache.iterdir() if (folder / "song.f32").exists()),
        reverse=True,
    )
    held = 0
    for _, folder in songs:
        held += sum(file.stat().st_size for file in folder.iterdir())
        if held > most_bytes:
            shutil.rmtree(folder, ignore_errors=True)


def _used(folder: Path) -> float:
    return (folder / "song.f32").stat().st_mtime
