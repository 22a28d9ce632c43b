"""A clip in pieces: filmed on all cores, kept if the work is stopped, and joined without encoding again."""

from __future__ import annotations

import hashlib
import os
import shutil
import signal
import time
from collections.abc import Callable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from contextlib import suppress
from dataclasses import dataclass
from fractions import Fraction
from heapq import merge
from itertools import islice, pairwise
from multiprocessing import get_context
from pathlib import Path
from typing import Any

import av

from noonwall import __version__
from noonwall.outputs.clip_codec import RECIPES, SOUND_RATE_HZ, PieceWriter, audio_packets
from noonwall.outputs.clip_data import ClipData, ClipOrder
from noonwall.outputs.clip_frame import FramePainter
from noonwall.outputs.sound_file import Samples

Progress = Callable[[int, int], None]
"""Called with how many pictures are done and how many there are."""

PIECE_SECONDS = 6
LOOK = 1
"""Raised when pictures come out otherwise than before, so that old pieces are not mixed with new ones."""

STALE_SECONDS = 14 * 86400.0
"""Pieces of a clip that nobody went on with are thrown away after this time."""


class BadPiece(Exception):
    """A piece that does not hold what it should."""


@dataclass(frozen=True, slots=True)
class Piece:
    """Pictures ``first`` to ``last`` (not included), and where they are kept."""

    first: int
    last: int
    path: Path


def pieces_of(frames: int, order: ClipOrder, folder: Path) -> list[Piece]:
    """Return the pieces of a clip in order."""
    long = PIECE_SECONDS * order.fps
    cuts = [*range(0, frames, long), frames]
    return [
        Piece(first, last, folder / f"{first:06d}-{last:06d}.{order.ending}")
        for first, last in pairwise(cuts)
    ]


def folder_of(data: ClipData, order: ClipOrder, cache: Path) -> Path:
    """Return the folder in which the pieces of just this clip are kept."""
    told = repr((__version__, LOOK, RECIPES[order.ending], order, data))
    return cache / hashlib.sha256(told.encode("utf-8", "surrogatepass")).hexdigest()[:24]


def throw_away_stale(cache: Path) -> None:
    """Remove pieces of clips that were given up."""
    for folder in cache.iterdir() if cache.is_dir() else ():
        with suppress(OSError):
            if folder.is_dir() and time.time() - folder.stat().st_mtime > STALE_SECONDS:
                shutil.rmtree(folder, ignore_errors=True)


# --- filming -----------------------------------------------------------------------------------------------


def film_pieces(
    data: ClipData, order: ClipOrder, pieces: list[Piece], workers: int, progress: Progress | None
) -> int:
    """Film the pieces that are not there yet; return how many were.

    Args:
        data: what is shown.
        order: how.
        pieces: all of them.
        workers: processes; 1 films in this one.
        progress: told after each piece.
    """
    missing = [piece for piece in pieces if not piece.path.exists()]
    total = pieces[-1].last
    done = total - sum(piece.last - piece.first for piece in missing)
    told = progress or _silent
    told(done, total)
    for piece in _filmed(data, order, missing, min(workers, len(missing))):
        done += piece.last - piece.first
        told(done, total)
    return len(pieces) - len(missing)


def _silent(_done: int, _total: int) -> None:
    """Tell nobody."""


def _filmed(data: ClipData, order: ClipOrder, missing: list[Piece], workers: int) -> Iterator[Piece]:
    if workers < 2:
        painter = FramePainter(data, order) if missing else None
        for piece in missing:
            assert painter is not None
            film_piece(painter, piece, 0)
            yield piece
        return
    pool = ProcessPoolExecutor(workers, get_context("spawn"), _prepare, (data, order))
    try:
        # one more than is being filmed: a stop need not wait for what is only in line
        left = iter(missing)
        under_way: dict[Future[None], Piece] = {}
        while True:
            for piece in islice(left, workers + 1 - len(under_way)):
                under_way[pool.submit(_film_one, piece)] = piece
            if not under_way:
                return
            for future in wait(under_way, return_when=FIRST_COMPLETED).done:
                future.result()
                yield under_way.pop(future)
    finally:
        # what is being filmed is finished and kept; what waits is not begun
        pool.shutdown(wait=True, cancel_futures=True)


_painters: list[FramePainter] = []


def _prepare(data: ClipData, order: ClipOrder) -> None:
    # Ctrl-C goes to the whole group: the first process decides, the others finish their piece
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _painters[:] = [FramePainter(data, order)]


def _film_one(piece: Piece) -> None:
    film_piece(_painters[0], piece, 1)


def film_piece(painter: FramePainter, piece: Piece, threads: int) -> None:
    """Film one piece, whole or not at all.

    Raises:
        OSError: it cannot be written.
    """
    order = painter.order
    half_done = piece.path.with_name(f".{piece.path.name}.{os.getpid()}.part")
    writer = PieceWriter(half_done, order.ending, order.size, order.fps, threads)
    try:
        for number in range(piece.first, piece.last):
            writer.add(*painter.paint(number))
        writer.close()
        os.replace(half_done, piece.path)
    except BaseException:
        with suppress(OSError, av.error.FFmpegError):
            writer.abandon()
        raise
    finally:
        half_done.unlink(missing_ok=True)


# --- joining -----------------------------------------------------------------------------------------------


def join(pieces: list[Piece], order: ClipOrder, sound: Iterator[Samples], path: Path, title: str) -> None:
    """Lay pieces end to end, packet by packet, add the sound, and write the file, whole or not at all.

    Raises:
        OSError: it cannot be written.
        BadPiece: a piece does not hold its pictures; it is removed.
    """
    recipe = RECIPES[order.ending]
    half_done = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        with av.open(
            str(half_done), "w", format=recipe.container, container_options=dict(recipe.container_options)
        ) as box:
            box.metadata["title"] = title
            with _opened(pieces[0]) as first:
                video = box.add_stream_from_template(first.streams.video[0])
            video.time_base = Fraction(1, order.fps)
            audio: Any = box.add_stream(
                recipe.audio, rate=SOUND_RATE_HZ, layout="stereo", options=dict(recipe.audio_options)
            )
            if recipe.audio_bits:
                audio.codec_context.bit_rate = recipe.audio_bits
            streams = (_video_packets(pieces, video, order.fps), audio_packets(audio, sound))
            # both in order of time, so that a player finds sound and picture side by side
            for packet in merge(*streams, key=_begins):
                box.mux(packet)
        with half_done.open("rb+") as file:
            os.fsync(file.fileno())
        os.replace(half_done, path)
    finally:
        half_done.unlink(missing_ok=True)


def _begins(packet: Any) -> Fraction:
    begins: Fraction = Fraction(packet.dts or 0) * packet.time_base
    return begins


def _video_packets(pieces: list[Piece], video: Any, fps: int) -> Iterator[Any]:
    for piece in pieces:
        number = piece.first
        with _opened(piece) as box:
            for packet in box.demux(box.streams.video[0]):
                if packet.size == 0:
                    continue
                packet.time_base = Fraction(1, fps)
                packet.pts = packet.dts = number
                packet.duration = 1
                packet.stream = video
                number += 1
                yield packet
        if number != piece.last:
            raise _removed(piece)


def _opened(piece: Piece) -> Any:
    try:
        return av.open(str(piece.path))
    except av.error.InvalidDataError as error:
        raise _removed(piece) from error


def _removed(piece: Piece) -> BadPiece:
    piece.path.unlink(missing_ok=True)
    return BadPiece(f"{piece.path.name} does not hold its pictures.")
