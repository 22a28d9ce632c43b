"""Sound files as stereo samples at one rate, and files of raw samples that need not fit into memory."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import av
import numpy as np
import soxr
from numpy.typing import NDArray

from noonwall.music.decode import read_header

Samples = NDArray[np.float32]

TRACK_RATE_HZ = 44_100
"""Samples a second of every track: that of compact discs and of most songs, so most are not resampled."""

BLOCK_SECONDS = 10


def stereo_blocks(path: Path) -> Iterator[Samples]:
    """Decode a song to stereo at :data:`TRACK_RATE_HZ`, sample 0 being time 0 as it is for the listening.

    Yields:
        float32 arrays of shape (samples, 2).

    Raises:
        BrokenFile: the file cannot be opened or is no sound.
    """
    header = read_header(path)
    resampler = soxr.ResampleStream(header.rate_hz, TRACK_RATE_HZ, 2, dtype="float32", quality="HQ")
    same = header.rate_hz == TRACK_RATE_HZ
    with av.open(str(path), mode="r", metadata_errors="ignore") as container:
        for block in _gathered(container, header.rate_hz):
            yield block if same else resampler.resample_chunk(block)
    if not same:
        yield resampler.resample_chunk(np.zeros((0, 2), np.float32), last=True)


def _gathered(container: Any, rate_hz: int) -> Iterator[Samples]:
    """Give decoded frames as stereo in blocks; a damaged packet is passed over, as in listening."""
    to_stereo = av.AudioResampler(format="flt", layout="stereo")
    waiting: list[Samples] = []
    held = 0
    for packet in _packets(container):
        for frame in _frames(packet):
            if frame.sample_rate != rate_hz:
                continue
            frame.pts = None  # times of the container are not used: sample 0 is time 0
            for made in to_stereo.resample(frame):
                waiting.append(made.to_ndarray().astype(np.float32, copy=False).reshape(-1, 2))
                held += made.samples
        if held >= BLOCK_SECONDS * rate_hz:
            yield np.concatenate(waiting)
            waiting, held = [], 0
    if waiting:
        yield np.concatenate(waiting)


def _packets(container: Any) -> Iterator[Any]:
    packets = container.demux(container.streams.audio[0])
    while True:
        try:
            yield next(packets)
        except (StopIteration, av.error.FFmpegError, ValueError):
            return


def _frames(packet: Any) -> list[Any]:
    try:
        return list(packet.decode())
    except (av.error.FFmpegError, ValueError):
        return []


def sound_from_bytes(content: bytes) -> tuple[Samples, int] | None:
    """Decode a sound file in memory to (mono samples, samples a second); None if it is no sound."""
    try:
        with av.open(io.BytesIO(content), mode="r") as container:
            if not container.streams.audio:
                return None
            rate_hz = int(container.streams.audio[0].rate)
            to_mono = av.AudioResampler(format="flt", layout="mono")
            pieces = [
                made.to_ndarray().astype(np.float32, copy=False).reshape(-1)
                for frame in container.decode(audio=0)
                for made in to_mono.resample(frame)
            ]
    except (av.error.FFmpegError, ValueError, OSError):
        return None
    samples = np.concatenate(pieces) if pieces else np.zeros(0, np.float32)
    return (samples, rate_hz) if samples.size else None


def open_raw(path: Path) -> Samples:
    """Open a file of raw stereo samples as an array of shape (samples, 2) that the system pages in."""
    count = path.stat().st_size // 8
    if count == 0:
        return np.zeros((0, 2), np.float32)
    mapped: Samples = np.memmap(path, dtype=np.float32, mode="r", shape=(count, 2))
    return mapped
