"""A click track with its exact music map, an invented dance laid on it, and readers of finished clips."""

from __future__ import annotations

import wave
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import av
import numpy as np
from PIL import Image

from noonwall.fit import fit
from noonwall.music.layout import lay
from noonwall.music.map import CERTAINTY_KEYS, MusicMap, laid_out
from noonwall.outputs.clip_data import ClipData, ClipOrder
from noonwall.outputs.clip_frame import FramePainter
from noonwall.outputs.clip_look import layout_of
from noonwall.pipeline.filming import clip_data
from noonwall.pipeline.proving import prove

RATE_HZ = 22050
SMALL = ClipOrder(short_side=180, languages=("en",))

SHEET = """\
Lamp by the Slipway
Written for the Tuesday class of Harbour Hall
16 count, 4 wall, beginner

Section 1
1-2 Step right to right side, step left next to right
3&4 Shuffle forward right, left, right
5-6 Step forward left, pivot 1/2 turn right
7&8 Shuffle forward left, right, left

Section 2
1-4 Side right, left behind right, side right, touch left next to right
5-8 Side left, right behind left, 1/4 turn left stepping left forward, touch right next to left
"""

WRONG_SHEET = SHEET.replace("touch right next to left", "step right next to left")


def beats_at(bpm: float, counts: int, first: float = 0.4) -> tuple[float, ...]:
    return tuple(first + number * 60.0 / bpm for number in range(counts))


def click_map(bpm: float = 120.0, counts: int = 28, swing: float = 0.5) -> MusicMap:
    """The map of a click of so many counts: eight of intro, one phrase; it ends a beat after the last."""
    beats = beats_at(bpm, counts)
    end = beats[-1] + 60.0 / bpm
    empty = MusicMap(bpm, 4, (), (), (), (), 0, (), end, dict.fromkeys(CERTAINTY_KEYS, 0.95), swing)
    return laid_out(empty, lay(beats, 4, [0, 8], 8, end))


def write_click(path: Path, heard: MusicMap) -> Path:
    """Write the click: 30 ms of 1 kHz on every beat, silence between."""
    samples = np.zeros(round(heard.audio_end * RATE_HZ), np.float32)
    tone = 0.8 * np.sin(2 * np.pi * 1000 * np.arange(round(0.03 * RATE_HZ)) / RATE_HZ)
    for beat in heard.beats:
        start = round(beat * RATE_HZ)
        samples[start : start + tone.size] += tone[: samples.size - start]
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE_HZ)
        file.writeframes((samples * 32767).astype("<i2").tobytes())
    return path


@cache
def danced(
    bpm: float = 120.0,
    counts: int = 28,
    swing: float = 0.5,
    languages: tuple[str, ...] = ("en",),
    sheet: str = SHEET,
) -> ClipData:
    """What a clip of the dance on the click shows."""
    proved, heard = prove(sheet), click_map(bpm, counts, swing)
    assert proved.dance is not None
    return clip_data(proved, fit(proved.dance, heard), heard, languages)


def titled(data: ClipData, title: str) -> ClipData:
    return replace(data, cues=replace(data.cues, title=title))


def pictures(path: Path) -> Iterator[Image.Image]:
    """Decode the pictures of a clip with FFmpeg (PyAV), which is not what painted them."""
    with av.open(str(path)) as box:
        for frame in box.decode(video=0):
            yield frame.to_image(dst_colorspace=1)


def sound_of(path: Path) -> tuple[np.ndarray, int]:
    """Decode the sound of a clip to mono."""
    with av.open(str(path)) as box:
        parts = [frame.to_ndarray() for frame in box.decode(audio=0)]
        rate = box.streams.audio[0].rate
    whole = np.concatenate(parts, axis=1)
    return whole.mean(axis=0), rate


def onsets_of(samples: np.ndarray, rate: int) -> list[float]:
    """Return where a click begins: the first sample of each that is over a fifth of the loudest."""
    loud = np.flatnonzero(np.abs(samples) > 0.2 * np.abs(samples).max())
    starts = [int(loud[0]), *(int(b) for a, b in pairwise(loud) if b - a > 0.1 * rate)]
    return [start / rate for start in starts]


class CountReader:
    """Reads the number in a picture by comparing its box with every number there could be."""

    def __init__(self, order: ClipOrder, data: ClipData) -> None:
        self.box = layout_of(order, bool(data.marks)).count
        painter = FramePainter(data, order)
        paper = Image.new(
            "RGB", (self.box[2] - self.box[0], self.box[3] - self.box[1]), painter.palette.paper
        )
        self.known: dict[int, np.ndarray] = {0: _grey(paper)}
        for number in range(1, 9):
            for ink in (painter.palette.ink, painter.palette.soft):
                sprite = painter._panel.number(str(number), self.box, ink)
                whole = paper.copy()
                whole.paste(sprite, (0, 0), sprite)
                self.known[number if ink == painter.palette.ink else -number] = _grey(whole)

    def read(self, picture: Image.Image) -> int:
        """Return the number shown, 0 for none."""
        here = _grey(picture.crop(self.box))
        return abs(min(self.known, key=lambda number: float(np.abs(self.known[number] - here).mean())))


def _grey(picture: Image.Image) -> np.ndarray:
    return np.asarray(picture.convert("L"), np.float32)


def boxes_of(path: Path) -> list[str]:
    """Return the names of the boxes of an MP4 or MOV file in order (ISO/IEC 14496-12, 4.2)."""
    content, place, names = path.read_bytes(), 0, []
    while place + 8 <= len(content):
        size = int.from_bytes(content[place : place + 4], "big")
        names.append(content[place + 4 : place + 8].decode("latin-1"))
        if size == 1:
            size = int.from_bytes(content[place + 8 : place + 16], "big")
        place += size or len(content)
    return names


def stream_facts(path: Path) -> dict[str, Any]:
    with av.open(str(path)) as box:
        video, audio = box.streams.video[0], box.streams.audio[0]
        return {
            "video": video.codec_context.name,
            "pixels": video.codec_context.pix_fmt,
            "size": (video.width, video.height),
            "fps": float(video.average_rate),
            "frames": video.frames,
            "seconds": float(box.duration / 1e6),
            "video_seconds": float(video.duration * video.time_base) if video.duration else None,
            "audio_seconds": float(audio.duration * audio.time_base) if audio.duration else None,
            "audio": audio.codec_context.name,
            "colours": (video.codec_context.colorspace, video.codec_context.color_range),
        }
