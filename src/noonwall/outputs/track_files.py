"""Sound files written whole or not at all, with tags: wav, flac, mp3, m4a."""

from __future__ import annotations

import io
import os
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

import av
import numpy as np

from noonwall.errors import NoonwallError
from noonwall.outputs.faults import fault
from noonwall.outputs.sound_file import TRACK_RATE_HZ, Samples


@dataclass(frozen=True, slots=True)
class SoundFormat:
    """How a format is written.

    Attributes:
        container: FFmpeg's name of the container.
        codec: FFmpeg's name of the codec.
        sample_format: of the samples handed to the codec.
        bits_per_second: None where nothing is lost.
        options: of the codec, names and values.
    """

    container: str
    codec: str
    sample_format: str
    bits_per_second: int | None = None
    options: tuple[tuple[str, str], ...] = ()

    @property
    def is_lossy(self) -> bool:
        """Whether peaks may grow when it is decoded."""
        return self.bits_per_second is not None


FORMATS: Mapping[str, SoundFormat] = MappingProxyType(
    {
        # the fast searches of both codecs: at 192 kbit/s the slow ones change nothing that a hall would hear,
        # and take two to four times as long
        "m4a": SoundFormat("ipod", "aac", "fltp", 192_000, (("aac_coder", "fast"),)),
        "mp3": SoundFormat("mp3", "libmp3lame", "fltp", 192_000, (("compression_level", "7"),)),
        "flac": SoundFormat("flac", "flac", "s16"),
        "wav": SoundFormat("wav", "pcm_s16le", "s16"),
    }
)
"""What tracks are written as, the usual one first."""


def write_sound(path: Path, blocks: Iterable[Samples], form: str, tags: Mapping[str, str]) -> None:
    """Write a track; what was there under that name stays until all is written.

    Args:
        path: the file.
        blocks: arrays of shape (samples, 2) within -1 .. 1 at ``TRACK_RATE_HZ``.
        form: a name of :data:`FORMATS`.
        tags: names that FFmpeg knows (title, artist, album, comment, language) and their texts.

    Raises:
        NoonwallError: the folder is not there or cannot be written, or the disk is full.
    """
    if path.is_dir():
        raise fault(NoonwallError, "write.is-folder", path=path)
    if not path.parent.is_dir():
        raise fault(NoonwallError, "write.no-folder", folder=path.parent)
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        with part.open("w+b", buffering=0) as file:
            writer = _Writer(file)
            _encode(writer, blocks, FORMATS[form], tags)
            writer.check()
            os.fsync(file.fileno())
        part.replace(path)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise fault(NoonwallError, "write.failed", path=path, reason=reason) from error
    finally:
        part.unlink(missing_ok=True)


class _Writer:
    """A file for the encoder that keeps what goes wrong for us: the encoder would print it and go on."""

    def __init__(self, file: io.FileIO) -> None:
        self.read, self.seek, self.tell = file.read, file.seek, file.tell
        self._file = file
        self._error: OSError | None = None

    def write(self, content: bytes) -> int:
        """Write all of it, or do nothing once something has gone wrong."""
        written = 0
        while self._error is None and written < len(content):
            try:
                written += self._file.write(content[written:]) or 0
            except OSError as error:
                self._error = error
        return len(content)

    def check(self) -> None:
        """Raise what went wrong."""
        if self._error is not None:
            raise self._error


def _encode(file: _Writer, blocks: Iterable[Samples], form: SoundFormat, tags: Mapping[str, str]) -> None:
    options = {"write_id3v2": "1"} if form.container == "wav" else {}
    with av.open(file, mode="w", format=form.container, container_options=options) as container:
        container.metadata.update(tags)
        stream: Any = container.add_stream(form.codec, rate=TRACK_RATE_HZ, options=dict(form.options))
        stream.layout, stream.format = "stereo", form.sample_format
        if form.bits_per_second:
            stream.bit_rate = form.bits_per_second
        written = 0
        for block in blocks:
            packed = _packed(block, form)
            frame = av.AudioFrame.from_ndarray(packed, format=form.sample_format, layout="stereo")
            frame.sample_rate, frame.pts = TRACK_RATE_HZ, written
            written += block.shape[0]
            for packet in stream.encode(frame):
                container.mux(packet)
            file.check()
        for packet in stream.encode(None):
            container.mux(packet)


def _packed(block: Samples, form: SoundFormat) -> Any:
    """Return a block as the codec wants it: planes of floats, or interleaved whole numbers."""
    if form.sample_format == "fltp":
        return np.ascontiguousarray(block.T)
    return np.round(np.clip(block, -1.0, 1.0) * 32767.0).astype(np.int16).reshape(1, -1)
