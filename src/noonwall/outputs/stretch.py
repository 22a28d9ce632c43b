"""A song slower or faster at the same pitch, piece by piece, every beat where it belongs.

The song is cut every 40 seconds or so where it is quietest, which is just before a beat; each piece is
stretched with some music to spare on both sides, in any process and in any order, and kept as a file. So a
long song needs little memory, all cores work, and what was finished before a stop is used again. Where two
pieces meet they are lapped over each other for 30 ms, the later one moved by up to 3 ms so that their waves
agree; moves do not add up.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Protocol

import numpy as np
from numpy.typing import NDArray
from python_stretch import Signalsmith

from noonwall.outputs.sound_file import TRACK_RATE_HZ, Samples, open_raw

PIECE_SECONDS = 40.0
"""Long enough that there are few joints, short enough that a stop is quick and all cores have work."""

SEARCHED_SECONDS = 1.5
"""How far on both sides of its place a cut is sought where the music is quietest."""

SPARE = round(0.3 * TRACK_RATE_HZ)
"""Samples of the song stretched to spare on both sides of a piece: the stretcher looks at 0.12 s."""

LAPPED = round(0.03 * TRACK_RATE_HZ)
MOST_MOVED = round(0.003 * TRACK_RATE_HZ)

SLOWEST, FASTEST = 0.4, 1.5
"""Speeds between which stretched music still sounds like music; own choice, no source."""

SEED = 1
"""Of the stretcher's own chance, so that the same song gives the same track."""


class Music(Protocol):
    """What a track can be laid on: stereo samples by their place."""

    @property
    def size(self) -> int:
        """How many samples there are."""

    def read(self, start: int, stop: int) -> Samples:
        """Return the samples from ``start`` to ``stop``, shape (stop - start, 2); silence outside."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A part of the song to be stretched: its samples ``start`` to ``stop``, what is to spare included.

    ``meets`` is the sample of the song at which it takes over from the piece before.
    """

    start: int
    stop: int
    meets: int


def pieces_of(song: Samples) -> tuple[Piece, ...]:
    """Cut a song of shape (samples, 2) where it is quietest, about every :data:`PIECE_SECONDS`."""
    size, every = song.shape[0], round(PIECE_SECONDS * TRACK_RATE_HZ)
    # a last piece of less than half the length is left with the one before it
    cuts = [0, *(_quietest(song, place) for place in range(every, size - every // 2, every)), size]
    return tuple(
        Piece(max(0, first - SPARE), min(size, last + SPARE), first) for first, last in pairwise(cuts)
    )


def _quietest(song: Samples, place: int) -> int:
    """Return the sample near ``place`` around which 30 ms have the least energy."""
    reach = round(SEARCHED_SECONDS * TRACK_RATE_HZ)
    first = max(0, place - reach)
    near = song[first : place + reach].astype(np.float64)
    hop = TRACK_RATE_HZ // 200
    hops = near.shape[0] // hop
    power = (near[: hops * hop] ** 2).reshape(hops, -1).sum(axis=1)
    return first + hop * (int(np.argmin(np.convolve(power, np.ones(6), "valid"))) + 3)


def stretch_piece(song: Path, piece: Piece, speed: float, made: Path) -> None:
    """Stretch one piece of a song and write it as raw stereo, whole or not at all (for other processes).

    Args:
        song: file of raw stereo samples.
        piece: which part of it.
        speed: 1 is as recorded, 0.75 a quarter slower.
        made: the file to write; nothing is done if it is there.

    Raises:
        OSError: the disk is full or cannot be written.
    """
    if made.exists():
        return
    stretcher = Signalsmith.Stretch(SEED)
    stretcher.preset(2, TRACK_RATE_HZ)
    stretcher.setTimeFactor(speed)
    samples = np.ascontiguousarray(open_raw(song)[piece.start : piece.stop].T)
    slowed = np.asarray(stretcher.process(samples), np.float32)
    write_raw(made, [slowed.T])


def write_raw(path: Path, blocks: Iterable[Samples]) -> None:
    """Write raw stereo samples, whole or not at all.

    Args:
        path: the file.
        blocks: arrays of shape (samples, 2).

    Raises:
        OSError: the disk is full or cannot be written.
    """
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        with part.open("wb") as file:
            for block in blocks:
                file.write(np.ascontiguousarray(block, dtype=np.float32).data)
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)


class WholeMusic:
    """Music at the speed at which it was recorded."""

    def __init__(self, samples: Samples) -> None:
        self._samples = samples
        self.size = samples.shape[0]

    def read(self, start: int, stop: int) -> Samples:
        """Return samples by their place; see :class:`Music`."""
        return _padded(self._samples, start, stop)


class SlowedMusic:
    """Stretched pieces joined.

    Args:
        files: the stretched pieces, in order.
        pieces: which part of the song each is.
        speed: at which they were stretched.
        size: samples of the song.
    """

    def __init__(self, files: tuple[Path, ...], pieces: tuple[Piece, ...], speed: float, size: int) -> None:
        self.size = round(size / speed)
        self._sounds = [open_raw(file) for file in files]
        self._meets = [round(piece.meets / speed) for piece in pieces]
        self._starts = [round(piece.start / speed) for piece in pieces]
        for number in range(1, len(pieces)):
            self._starts[number] += self._move(number)

    def read(self, start: int, stop: int) -> Samples:
        """Return samples by their place; see :class:`Music`."""
        whole = np.zeros((stop - start, 2), np.float32)
        ends = [*self._meets[1:], self.size + LAPPED]
        for number, (meets, end) in enumerate(zip(self._meets, ends, strict=True)):
            first = max(start, meets - LAPPED // 2 if number else 0)
            last = min(stop, end + LAPPED // 2)
            if first >= last:
                continue
            here = _padded(self._sounds[number], first - self._starts[number], last - self._starts[number])
            places = np.arange(first, last)
            share = np.ones(places.size, np.float32)
            if number and first < meets + LAPPED:
                share *= _rise(places - meets)
            if number + 1 < len(self._meets) and last > end - LAPPED:
                share *= 1.0 - _rise(places - end)
            whole[first - start : last - start] += here * share[:, None]
        return whole

    def _move(self, number: int) -> int:
        """Return by how many samples a piece is moved so that its wave agrees with that of the one before."""
        first = self._meets[number] - LAPPED
        size = 2 * LAPPED
        before = _padded(self._sounds[number - 1], first - self._starts[number - 1], None, size).sum(axis=1)
        after = _padded(
            self._sounds[number], first - self._starts[number] - MOST_MOVED, None, size + 2 * MOST_MOVED
        ).sum(axis=1)
        likeness = np.correlate(after.astype(np.float64), before.astype(np.float64), "valid")
        power = np.convolve(after.astype(np.float64) ** 2, np.ones(size), "valid")
        best = int(np.argmax(likeness / np.sqrt(power + 1e-12)))
        return MOST_MOVED - best


def _rise(places: NDArray[np.int64]) -> NDArray[np.float32]:
    return np.clip(places / LAPPED + 0.5, 0.0, 1.0).astype(np.float32)


def _padded(samples: Samples, start: int, stop: int | None, size: int = 0) -> Samples:
    """Return samples by their place, with silence where there are none."""
    stop = start + size if stop is None else stop
    inside = samples[max(0, start) : max(0, stop)]
    if inside.shape[0] == stop - start:
        return inside
    whole = np.zeros((stop - start, 2), np.float32)
    offset = max(0, -start)
    whole[offset : offset + inside.shape[0]] = inside
    return whole
