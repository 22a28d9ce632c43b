"""Pictures into video and sound into audio: which encoder, how it is set, and how long a stretch takes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from types import MappingProxyType
from typing import Any

import av
import numpy as np
from av.video.reformatter import VideoReformatter
from PIL import Image

from noonwall.outputs.clip_look import Box
from noonwall.outputs.sound_file import BLOCK_SECONDS, TRACK_RATE_HZ, Samples, open_raw, stereo_blocks
from noonwall.outputs.stretch import SlowedMusic, pieces_of, stretch_piece, write_raw

SOUND_RATE_HZ = 48000
"""Samples a second of a clip's sound, as is usual beside pictures (SMPTE ST 299-1 carries 48 kHz)."""

FRAME_SAMPLES = 1024

BOX_STEP = 64
EDGE = 4
"""Pixels around a changed box that are converted too, for colour is averaged over neighbours."""

MOST_CONVERTERS = 120

# threads of its own would cost a small box more than they save; older versions know no such choice
_ONE_THREAD: Mapping[str, Any] = {"threads": 1} if int(av.__version__.split(".")[0]) >= 18 else {}

_BT709 = 1  # primaries, transfer and matrix of ITU-R BT.709 in the tables of ITU-T H.273
_LIMITED_RANGE = 1


@dataclass(frozen=True, slots=True)
class Recipe:
    """How a kind of file is made: its container, encoders, picture format and settings.

    Every picture becomes one packet and every piece begins anew: pieces can be laid end to end as they are.
    """

    container: str
    video: str
    pixels: str
    options: Mapping[str, str]
    audio: str
    audio_bits: int
    audio_options: Mapping[str, str]
    container_options: Mapping[str, str]
    megabytes_a_minute: float


RECIPES: Mapping[str, Recipe] = MappingProxyType(
    {
        # no pictures that look ahead (bf 0): packets stand in the order of the pictures
        "mp4": Recipe(
            "mp4",
            "libx264",
            "yuv420p",
            {"preset": "veryfast", "crf": "20", "bf": "0"},
            "aac",
            192_000,
            {"aac_coder": "fast"},  # two and a half times as fast as the usual one; 192 kbit/s leave it room
            {"movflags": "+faststart"},
            15.0,
        ),
        "mov": Recipe(
            "mov",
            "prores_ks",
            "yuva444p10le",
            # one fineness for all (4 of 31, in units of FFmpeg's lambda): to seek it for each slice takes six
            # times as long
            {
                "profile": "4444",
                "vendor": "apl0",
                "alpha_bits": "8",
                "flags": "+qscale",
                "global_quality": str(4 * 118),
            },
            "pcm_s16le",
            0,
            {},
            {"movflags": "+faststart"},
            400.0,
        ),
        "webm": Recipe(
            "webm",
            "libvpx-vp9",
            "yuva420p",
            {
                "crf": "24",
                "b": "0",
                "deadline": "realtime",
                "cpu-used": "7",
                "auto-alt-ref": "0",
                "lag-in-frames": "0",
                "row-mt": "1",
            },
            "libopus",
            128_000,
            {},
            {},
            12.0,
        ),
    }
)
"""Files by their ending: H.264 for everyone; ProRes 4444 and VP9 carry alpha."""


def has_encoder(name: str) -> bool:
    """Tell whether this FFmpeg has an encoder."""
    try:
        av.codec.Codec(name, "w")
    except ValueError:
        return False
    return True


class Canvas:
    """A picture in 4:2:0 of which only boxes are converted anew."""

    def __init__(self, size: tuple[int, int]) -> None:
        width, height = size
        self._size = size
        # the planes as av wants them: all of Y, then U and V, two of their rows in each row
        self._whole = np.zeros((height * 3 // 2, width), np.uint8)
        quarter = height // 2 * (width // 2)
        flat = self._whole[height:].reshape(-1)
        half = (height // 2, width // 2)
        self._planes = (self._whole[:height], flat[:quarter].reshape(half), flat[quarter:].reshape(half))
        self._reformatters: dict[tuple[int, int], VideoReformatter] = {}

    def take(self, picture: Image.Image, boxes: Sequence[Box]) -> av.VideoFrame:
        """Convert some boxes of a picture in mode RGB and return the whole as a frame of its own."""
        for box in boxes:
            left, top, right, bottom = self._widened(box)
            if right > left and bottom > top:
                self._convert(picture.crop((left, top, right, bottom)), left, top)
        return av.VideoFrame.from_ndarray(self._whole, format="yuv420p")

    def _widened(self, box: Box) -> Box:
        """Return a box on even pixels, of a size that comes again, so that converters can be kept."""
        width, height = self._size
        left, top = max(0, box[0] - EDGE) // 2 * 2, max(0, box[1] - EDGE) // 2 * 2
        wide = -(-(box[2] + EDGE - left) // BOX_STEP) * BOX_STEP
        high = -(-(box[3] + EDGE - top) // BOX_STEP) * BOX_STEP
        return (left, top, min(width, left + wide), min(height, top + high))

    def _convert(self, part: Image.Image, left: int, top: int) -> None:
        if part.size not in self._reformatters and len(self._reformatters) >= MOST_CONVERTERS:
            self._reformatters.clear()
        reformatter = self._reformatters.setdefault(part.size, VideoReformatter())
        plain = av.VideoFrame.from_ndarray(np.asarray(part), format="rgb24")
        made = _reformatted(reformatter, plain, "yuv420p")
        for number, plane in enumerate(self._planes):
            share = 1 if number == 0 else 2
            wide, high = part.width // share, part.height // share
            rows = np.frombuffer(memoryview(made.planes[number]), np.uint8).reshape(
                -1, made.planes[number].line_size
            )
            x, y = left // share, top // share
            plane[y : y + high, x : x + wide] = rows[:high, :wide]


def _reformatted(reformatter: VideoReformatter, frame: av.VideoFrame, pixels: str) -> av.VideoFrame:
    return reformatter.reformat(
        frame, format=pixels, dst_colorspace=_BT709, dst_color_range=_LIMITED_RANGE, **_ONE_THREAD
    )


class PieceWriter:
    """Writes one piece of a clip without sound."""

    def __init__(self, path: Path, ending: str, size: tuple[int, int], fps: int, threads: int) -> None:
        """Open a piece.

        Args:
            path: where to write it; replaced if there.
            ending: key of :data:`RECIPES`.
            size: width and height in pixels.
            fps: pictures a second.
            threads: of the encoder; 0 lets it choose.
        """
        recipe = RECIPES[ending]
        self._box = av.open(str(path), "w", format=recipe.container)
        stream: Any = self._box.add_stream(recipe.video, rate=fps, options=dict(recipe.options))
        stream.width, stream.height = size
        stream.pix_fmt = recipe.pixels
        coder = stream.codec_context
        coder.gop_size = fps * 2
        coder.thread_count = threads
        coder.color_primaries = coder.color_trc = coder.colorspace = _BT709
        coder.color_range = _LIMITED_RANGE
        self._stream, self._pixels, self._number = stream, recipe.pixels, 0
        self._beat = coder.time_base = Fraction(1, fps)
        self._canvas = Canvas(size) if recipe.pixels == "yuv420p" else None
        self._reformatter = VideoReformatter()
        self._frame: av.VideoFrame | None = None

    def add(self, picture: Image.Image, changed: Sequence[Box]) -> None:
        """Add a picture.

        Args:
            picture: in mode RGB or RGBA.
            changed: boxes in which it differs from the one added before; only they are converted.
        """
        if self._frame is None or changed:
            self._frame = self._converted(picture, changed)
        self._frame.pts, self._frame.time_base = self._number, self._beat
        self._number += 1
        self._box.mux(self._stream.encode(self._frame))

    def _converted(self, picture: Image.Image, changed: Sequence[Box]) -> av.VideoFrame:
        if self._canvas:
            whole = ((0, 0, *picture.size),)
            return self._canvas.take(picture, whole if self._frame is None else changed)
        kind = "rgba" if picture.mode == "RGBA" else "rgb24"
        plain = av.VideoFrame.from_ndarray(np.asarray(picture), format=kind)
        return _reformatted(self._reformatter, plain, self._pixels)

    def close(self) -> None:
        """Write what is still on its way and close the file."""
        self._box.mux(self._stream.encode(None))
        self._box.close()

    def abandon(self) -> None:
        """Close the file without finishing it."""
        self._box.close()


def audio_packets(stream: Any, blocks: Iterator[Samples]) -> Iterator[Any]:
    """Encode blocks of stereo samples at :data:`TRACK_RATE_HZ`; the packets come in order of time.

    Args:
        stream: an audio stream of a file that is being written.
        blocks: float32 arrays of shape (samples, 2).
    """
    coder = stream.codec_context
    fifo: Any = av.AudioFifo()
    coder.open()
    size = coder.frame_size or FRAME_SAMPLES
    shape = av.AudioResampler(format=coder.format, layout="stereo", rate=SOUND_RATE_HZ)
    done = 0
    for frame in _shaped(shape, blocks):
        fifo.write(frame)
        while fifo.samples >= size:
            part = fifo.read(size)
            part.pts, part.time_base, done = done, Fraction(1, SOUND_RATE_HZ), done + size
            yield from stream.encode(part)
    rest = fifo.read() if fifo.samples else None
    if rest is not None:
        rest.pts, rest.time_base = done, Fraction(1, SOUND_RATE_HZ)
        yield from stream.encode(rest)
    yield from stream.encode(None)


def _shaped(shape: Any, blocks: Iterator[Samples]) -> Iterator[Any]:
    for block in blocks:
        plain = np.ascontiguousarray(block, dtype=np.float32).reshape(1, -1)
        frame = av.AudioFrame.from_ndarray(plain, format="flt", layout="stereo")
        frame.sample_rate = TRACK_RATE_HZ
        for part in shape.resample(frame):
            part.pts = None
            yield part
    for part in shape.resample(None):
        part.pts = None
        yield part


def slowed_blocks(song: Path, speed: float, folder: Path) -> Iterator[Samples]:
    """Give a song at another speed and its own pitch, as blocks of stereo samples.

    Args:
        song: the sound file.
        speed: 0.75 is a quarter slower.
        folder: for raw samples on the way; what was stretched before a stop is used again.
    """
    raw = folder / "song.raw"
    if not raw.exists():
        write_raw(raw, stereo_blocks(song))
    whole = open_raw(raw)
    pieces = pieces_of(whole)
    files = tuple(folder / f"song-{number}.raw" for number in range(len(pieces)))
    for piece, file in zip(pieces, files, strict=True):
        stretch_piece(raw, piece, speed, file)
    music = SlowedMusic(files, pieces, speed, whole.shape[0])
    step = BLOCK_SECONDS * TRACK_RATE_HZ
    for start in range(0, music.size, step):
        yield music.read(start, min(music.size, start + step))
