"""A sound file made ready for a page: its peaks to draw, and its bytes or the way to it."""

from __future__ import annotations

import base64
import os
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

import numpy as np

from noonwall.errors import BrokenFile
from noonwall.music.decode import ANALYSIS_RATE_HZ, Samples, read_blocks
from noonwall.outputs.faults import fault

PEAKS_PER_SECOND = 50
"""One column of the drawn waveform every 20 ms: fine enough to see a drum stroke beside its beat."""

MOST_EMBEDDED_BYTES = 24_000_000
"""Largest sound file put into a page. As base64 it is 32 million characters, the longest ``data:`` address
that Firefox took before its version 136 (from memory, no source at hand); Chromium takes more."""

# The first bytes of a file tell its kind; a name may lie. Offset, bytes, type by RFC 3534, 4337, 3003, 9639.
_KINDS = (
    (8, b"WAVE", "audio/wav"),
    (0, b"fLaC", "audio/flac"),
    (0, b"OggS", "audio/ogg"),
    (4, b"ftyp", "audio/mp4"),
    (0, b"ID3", "audio/mpeg"),
)


@dataclass(frozen=True, slots=True)
class AudioForPage:
    """A song as the page plays and draws it.

    Attributes:
        title: what the page is called.
        mime: media type of the file.
        source: what stands in ``src``: a ``data:`` address with the whole file, or the way from page to file.
        is_embedded: whether ``source`` holds the file itself.
        seconds: length of the decoded sound.
        peaks: loudest sample of each 1 / ``PEAKS_PER_SECOND`` s, one byte each, the loudest of all 255.
    """

    title: str
    mime: str
    source: str
    is_embedded: bool
    seconds: float
    peaks: bytes


def audio_for_page(
    path: Path, *, embed: bool, page_folder: Path | None = None, title: str = ""
) -> AudioForPage:
    """Decode a sound file once and make it ready for a page.

    Args:
        path: the sound file.
        embed: put the whole file into the page; otherwise the page refers to it and must stay where it is.
        page_folder: the folder the page will lie in; by default that of the song.
        title: the page's title; by default the file's name without its suffix.

    Raises:
        BrokenFile: the file cannot be decoded, or is too large to be put into a page.
    """
    peaks, seconds = _peaks(path)
    mime = _mime(path)
    source = _embedded(path, mime) if embed else _reference(path, page_folder or path.parent)
    return AudioForPage(title or path.stem, mime, source, embed, seconds, peaks)


def _peaks(path: Path) -> tuple[bytes, float]:
    hop = ANALYSIS_RATE_HZ // PEAKS_PER_SECOND
    found, rest, heard = [], np.zeros(0, np.float32), 0
    for block in read_blocks(path):
        heard += block.size
        whole = np.concatenate((rest, block))
        columns = whole.size // hop
        found.append(_loudest(whole[: columns * hop], hop))
        rest = whole[columns * hop :]
    if rest.size:
        found.append(np.abs(rest).max(keepdims=True))
    peaks = np.concatenate(found)
    top = float(peaks.max(initial=0.0)) or 1.0
    return np.round(255 * peaks / top).astype(np.uint8).tobytes(), heard / ANALYSIS_RATE_HZ


def _loudest(samples: Samples, hop: int) -> Samples:
    loudest: Samples = np.abs(samples).reshape(-1, hop).max(axis=1, initial=0.0)
    return loudest


def _mime(path: Path) -> str:
    with path.open("rb") as file:
        head = file.read(16)
    for offset, start, mime in _KINDS:
        if head[offset : offset + len(start)] == start:
            return mime
    # Bare MPEG frames begin with eleven set bits; an ADTS stream, which AAC uses, with twelve and layer 0.
    if head[:1] == b"\xff" and head[1] & 0xF6 == 0xF0:
        return "audio/aac"
    return "audio/mpeg" if head[:1] == b"\xff" and head[1] & 0xE0 == 0xE0 else "application/octet-stream"


def _embedded(path: Path, mime: str) -> str:
    size = path.stat().st_size
    if size > MOST_EMBEDDED_BYTES:
        raise fault(
            BrokenFile,
            "page.song-too-large",
            name=path.name,
            megabytes=f"{size / 1e6:.0f}",
            most=f"{MOST_EMBEDDED_BYTES / 1e6:.0f}",
        )
    return f"data:{mime};base64,{base64.b64encode(path.read_bytes()).decode('ascii')}"


def _reference(path: Path, page_folder: Path) -> str:
    """Return the way from the page to the song; a song on another drive is named in full."""
    try:
        way = Path(os.path.relpath(path.resolve(), page_folder.resolve()))
    except ValueError:
        return path.resolve().as_uri()
    # "./" keeps a name with a colon in it from being read as an address of its own.
    return "./" + quote(way.as_posix())
