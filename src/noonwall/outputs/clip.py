"""Make a clip: the floor danced in time with the song, as a film."""

from __future__ import annotations

import errno
import os
import shutil
from collections.abc import Iterator
from concurrent.futures import BrokenExecutor
from pathlib import Path

import av

from noonwall.errors import NoonwallError
from noonwall.outputs.clip_codec import RECIPES, has_encoder, slowed_blocks
from noonwall.outputs.clip_data import ClipData, ClipMade, ClipOrder
from noonwall.outputs.clip_frame import FramePainter
from noonwall.outputs.clip_type import not_shown
from noonwall.outputs.clip_video import (
    BadPiece,
    Progress,
    film_pieces,
    folder_of,
    join,
    pieces_of,
    throw_away_stale,
)
from noonwall.outputs.clip_words import clip_fault
from noonwall.outputs.sound_file import Samples, stereo_blocks
from noonwall.outputs.stretch import FASTEST, SLOWEST

_FULL = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)


def make_clip(
    data: ClipData,
    order: ClipOrder,
    song: Path,
    path: Path,
    cache: Path,
    *,
    workers: int | None = None,
    progress: Progress | None = None,
) -> ClipMade:
    """Film a dance on its song and write the file, whole or not at all.

    Pieces that are done are kept in ``cache`` until the file is written: whoever is stopped (by an exception
    out of ``progress``, by Ctrl-C, by a power cut) calls again and goes on.

    Args:
        data: what is shown.
        order: how.
        song: the sound file.
        path: the file to write.
        cache: folder for the pieces; made if missing.
        workers: processes that film; by default one for each core.
        progress: called with the pictures done and all pictures, after every few seconds of film.

    Raises:
        NoonwallError: the order cannot be met, the song ends before the dance begins, the file or the pieces
            cannot be written, or the disk is full.
    """
    language = order.languages[0]
    _check(data, order, path)
    painter = FramePainter(data, order)
    folder = folder_of(data, order, cache)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise clip_fault(language, "cache", path=cache, reason=_reason(error)) from error
    throw_away_stale(cache)
    _check_room(order, painter.seconds, (folder, path.parent))
    pieces = pieces_of(painter.frames, order, folder)

    def film_and_join() -> int:
        kept = film_pieces(data, order, pieces, workers or os.cpu_count() or 1, progress)
        join(pieces, order, _sound(song, order.speed, folder), path, data.cues.title)
        return kept

    try:
        try:
            reused = film_and_join()
        except (BadPiece, FileNotFoundError):
            # a piece that was damaged or vanished is gone now and filmed again, once
            reused = film_and_join()
    except BrokenExecutor as error:
        raise clip_fault(language, "lost_worker") from error
    except (BadPiece, OSError, av.error.FFmpegError) as error:
        raise _not_written(error, order, painter.seconds, path) from error
    shutil.rmtree(folder, ignore_errors=True)
    return ClipMade(path, painter.frames, len(pieces), reused, not_shown(painter.script.texts()))


def _sound(song: Path, speed: float, folder: Path) -> Iterator[Samples]:
    return stereo_blocks(song) if speed == 1 else slowed_blocks(song, speed, folder)


def endings_of(order: ClipOrder) -> tuple[str, ...]:
    """Return the endings that a file of this order may have, the usual one first."""
    return ("mov", "webm") if order.overlay == "transparent" else ("mp4",)


def _check(data: ClipData, order: ClipOrder, path: Path) -> None:
    language = order.languages[0]
    endings = endings_of(order)
    if order.ending not in endings:
        shown = order.overlay or "none"
        raise clip_fault(language, "ending", overlay=shown, ending=order.ending, endings=", ".join(endings))
    recipe = RECIPES[order.ending]
    for name in (recipe.video, recipe.audio):
        if not has_encoder(name):
            raise clip_fault(language, "encoder", name=name, ending=order.ending)
    if not SLOWEST <= order.speed <= FASTEST:
        slowest, fastest, percent = (f"{100 * value:g}" for value in (SLOWEST, FASTEST, order.speed))
        raise clip_fault(language, "speed", percent=percent, slowest=slowest, fastest=fastest)
    if not data.stretches or len(data.cues.beats) < 2:
        raise clip_fault(language, "no_run")
    first = next((beat for beat in data.cues.beats if beat.count == 0), None)
    if first is None or first.seconds >= data.seconds:
        raise clip_fault(language, "intro_longer", seconds=f"{data.seconds:.0f}")
    if path.is_dir() or not path.parent.is_dir():
        reason = "is a folder" if path.is_dir() else f"{path.parent} is not a folder"
        raise clip_fault(language, "not_written", path=path, reason=reason)
    if not os.access(path.parent, os.W_OK):
        raise clip_fault(language, "not_written", path=path, reason=os.strerror(errno.EACCES).lower())


def _check_room(order: ClipOrder, seconds: float, folders: tuple[Path, Path]) -> None:
    """Refuse at once what would fill the disk at the end: pieces and file may lie on the same one."""
    need = megabytes(order, seconds)
    for folder in folders:
        if shutil.disk_usage(folder).free < need * 1e6:
            raise clip_fault(order.languages[0], "no_space", path=folder, megabytes=f"{need:.0f}")


def megabytes(order: ClipOrder, seconds: float) -> float:
    """Return about how much room filming takes, pieces and file together."""
    share = order.size[0] * order.size[1] / (1280 * 720) * order.fps / 30
    return 2 * RECIPES[order.ending].megabytes_a_minute * share * seconds / 60


def _not_written(error: Exception, order: ClipOrder, seconds: float, path: Path) -> NoonwallError:
    language = order.languages[0]
    if getattr(error, "errno", None) in _FULL:
        need = f"{megabytes(order, seconds):.0f}"
        return clip_fault(language, "no_space", path=path, megabytes=need)
    return clip_fault(language, "not_written", path=path, reason=_reason(error))


def _reason(error: Exception) -> str:
    return (getattr(error, "strerror", None) or str(error)).lower()
