"""Sound file in, mono blocks of samples out, a few seconds at a time.

The decoder is PyAV (FFmpeg in a wheel), the resampler is soxr. Nothing here holds a whole piece: a block is
handed on as soon as it is decoded, so memory stays flat however long or wide the file is.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import av
import numpy as np
import soxr
from numpy.typing import NDArray

from noonwall.errors import BrokenFile
from noonwall.music.faults import fault

ANALYSIS_RATE_HZ = 22050
LONGEST_SECONDS = 1500.0
SHORTEST_SECONDS = 4.0
BLOCK_SECONDS = 10.0
# A file may end a little before its header says (padding, rounding); more than this is a broken copy.
ALLOWED_SHORTFALL = 0.03
MOST_DAMAGED_PACKETS = 50

Samples = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class SoundFile:
    """What the header of a sound file says.

    Attributes:
        path: The file.
        rate_hz: Sample rate as stored.
        channels: Number of channels as stored.
        stated_seconds: Length the header promises, or None where it does not say.
    """

    path: Path
    rate_hz: int
    channels: int
    stated_seconds: float | None


def _clock(seconds: float) -> str:
    """Seconds as a person writes them: 0:42, 3:10, 2:03:00."""
    whole = round(seconds)
    hours, rest = divmod(whole, 3600)
    minutes, second = divmod(rest, 60)
    return f"{hours}:{minutes:02d}:{second:02d}" if hours else f"{minutes}:{second:02d}"


def _open(path: Path) -> av.container.InputContainer:
    """Open the container, or say in one sentence why it cannot be opened."""
    try:
        if path.is_dir():
            raise fault("sound.folder", path)
        with path.open("rb") as handle:
            head = handle.read(4096)
    except FileNotFoundError as error:
        raise fault("sound.missing", path) from error
    except PermissionError as error:
        raise fault("sound.permission", path) from error
    except OSError as error:
        raise fault("sound.unreadable", path, reason=error.strerror) from error
    if not head:
        raise fault("sound.empty", path)
    missing = _missing_share(head, path.stat().st_size)
    if missing > ALLOWED_SHORTFALL:
        raise fault("sound.part-missing", path, percent=f"{100 * missing:.0f}")
    if _looks_like_text(head):
        raise fault("sound.text", path)
    try:
        return av.open(str(path), mode="r", metadata_errors="ignore")
    except (av.error.FFmpegError, ValueError, OSError) as error:
        raise fault("sound.not-sound", path) from error


def _missing_share(head: bytes, size: int) -> float:
    """Share of a wav file that its header promises but the file lacks (FFmpeg reads it silently)."""
    stated = int.from_bytes(head[4:8], "little") + 8
    # A writer that could not go back to fill in the length leaves 0 or the maximum.
    streamed = stated < 44 or stated >= 2**32 - 2**16
    if head[:4] != b"RIFF" or streamed:
        return 0.0
    return max(0.0, 1.0 - size / stated)


def _looks_like_text(head: bytes) -> bool:
    """True when the first bytes are readable text: FFmpeg may otherwise take such a file for raw mp3."""
    if b"\x00" in head:
        return False
    printable = sum(1 for byte in head if 32 <= byte < 127 or byte in (9, 10, 13) or byte >= 160)
    control = sum(1 for byte in head if byte < 32 and byte not in (9, 10, 13, 27))
    return control == 0 and printable >= 0.97 * len(head)


def _sound_stream(container: av.container.InputContainer, path: Path) -> av.AudioStream:
    """Choose the sound track; refuse video, allow the cover picture that many songs carry."""
    moving = [
        stream
        for stream in container.streams.video
        if not (stream.disposition & av.stream.Disposition.attached_pic)
        and stream.codec_context.name not in ("mjpeg", "png", "bmp", "gif", "webp")
    ]
    if moving:
        raise fault("sound.video", path)
    if not container.streams.audio:
        raise fault("sound.no-track", path)
    return container.streams.audio[0]


def _mono(frame: av.AudioFrame) -> Samples:
    """One decoded frame as mono float32 in -1..1, all channels averaged."""
    values: NDArray[Any] = frame.to_ndarray()
    if not frame.format.is_planar:
        values = values.reshape(-1, frame.layout.nb_channels).T
    if values.dtype == np.uint8:
        scaled = (values.astype(np.float32) - 128.0) / 128.0
    elif values.dtype.kind == "i":
        scaled = values.astype(np.float32) * np.float32(2.0 ** (1 - 8 * values.dtype.itemsize))
    else:
        scaled = values.astype(np.float32, copy=False)
    mono: Samples = scaled[0] if scaled.shape[0] == 1 else scaled.mean(axis=0, dtype=np.float32)
    return mono


def _too_long(path: Path, seconds: float) -> BrokenFile:
    return fault("sound.too-long", path, length=_clock(seconds), longest=_clock(LONGEST_SECONDS))


def read_header(path: Path) -> SoundFile:
    """Read what the file says about itself, without decoding it.

    Args:
        path: Sound file.

    Raises:
        BrokenFile: The file is missing, unreadable, no sound, a video, or longer than 25 minutes.
    """
    with _open(path) as container:
        return _header(container, path)


def _header(container: av.container.InputContainer, path: Path) -> SoundFile:
    stream = _sound_stream(container, path)
    stated: float | None = None
    if stream.duration is not None and stream.time_base is not None:
        stated = float(stream.duration * stream.time_base)
    elif container.duration is not None:
        stated = container.duration / 1e6
    if stated is not None and stated > LONGEST_SECONDS:
        raise _too_long(path, stated)
    if not stream.rate or stream.rate < 4000:
        raise fault("sound.low-rate", path, rate_hz=stream.rate or 0)
    return SoundFile(path, stream.rate, stream.channels, stated)


def read_blocks(path: Path) -> Iterator[Samples]:
    """Decode a sound file to mono float32 at `ANALYSIS_RATE_HZ`, block by block.

    Args:
        path: Sound file in any format FFmpeg reads.

    Yields:
        One-dimensional float32 arrays, about ten seconds each; together they are the whole piece, and sample
        0 is time 0.

    Raises:
        BrokenFile: The file cannot be opened, breaks off, is too short, or is longer than 25 minutes.
    """
    with _open(path) as container:
        header = _header(container, path)
        stream = container.streams.audio[0]
        resampler = soxr.ResampleStream(header.rate_hz, ANALYSIS_RATE_HZ, 1, dtype="float32", quality="LQ")
        heard = 0
        for block in _decoded(container, stream, header):
            heard += block.size
            if heard > LONGEST_SECONDS * header.rate_hz:
                raise _too_long(path, heard / header.rate_hz)
            yield resampler.resample_chunk(block)
        seconds = heard / header.rate_hz
        _check_length(header, seconds)
        yield resampler.resample_chunk(np.zeros(0, np.float32), last=True)


def _check_length(header: SoundFile, seconds: float) -> None:
    """Refuse a piece that broke off early or is too short to hold eight counts."""
    if seconds == 0.0:
        raise fault("sound.nothing", header.path)
    stated = header.stated_seconds
    if stated is not None and seconds < stated * (1.0 - ALLOWED_SHORTFALL) - 0.5:
        raise fault("sound.breaks-off", header.path, length=_clock(seconds), stated=_clock(stated))
    if seconds < SHORTEST_SECONDS:
        raise fault("sound.too-short", header.path, seconds=f"{seconds:.1f}")


def _decoded(
    container: av.container.InputContainer, stream: av.AudioStream, header: SoundFile
) -> Iterator[Samples]:
    """Gather decoded frames into blocks; a damaged packet is replaced by what follows, up to a limit."""
    waiting = av.AudioFifo()
    damaged = 0
    packets = container.demux(stream)
    while True:
        try:
            packet = next(packets)
        except StopIteration:
            break
        except (av.error.FFmpegError, ValueError):
            break
        try:
            for frame in packet.decode():
                if isinstance(frame, av.AudioFrame) and frame.sample_rate == header.rate_hz:
                    frame.pts = None  # otherwise the queue refuses a frame after a gap
                    waiting.write(frame)
        except (av.error.FFmpegError, ValueError) as error:
            damaged += 1
            if damaged > MOST_DAMAGED_PACKETS:
                raise fault("sound.damaged", header.path) from error
            continue
        if waiting.samples >= BLOCK_SECONDS * header.rate_hz:
            yield from _taken(waiting)
    yield from _taken(waiting)


def _taken(waiting: av.AudioFifo) -> Iterator[Samples]:
    """All that waits in the queue as one block."""
    frame = waiting.read() if waiting.samples else None
    if frame is not None:
        yield _mono(frame)
