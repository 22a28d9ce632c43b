"""What a clip is made of and how it is to look: plain values, every sentence already in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from noonwall.floor import Stance
from noonwall.teach.counted import Stretch
from noonwall.teach.cue import CueSheet

VIEWS = ("above", "follow", "turned-to-front")
SHAPES = ("landscape", "portrait")
CAPTIONS = ("burned", "beside", "none")
OVERLAYS = ("", "green", "transparent")
FRAME_RATES = (30, 60)
SHORT_SIDES: Mapping[str, int] = {"720p": 720, "1080p": 1080}
"""Pixels of the shorter side, by the usual names (ITU-R BT.709 has 1920 x 1080, SMPTE ST 296 1280 x 720)."""


@dataclass(frozen=True, slots=True)
class ClipOrder:
    """How a clip is to be.

    Attributes:
        short_side: pixels of the shorter side; the longer one is 16/9 of it.
        fps: pictures a second.
        shape: one of :data:`SHAPES`.
        view: one of :data:`VIEWS`: the floor at rest with 12:00 on top; near the dancer and moving along;
            or turned so that every wall begins facing up.
        captions: "burned" shows the calls in the picture; "beside" and "none" leave them out of it.
        overlay: one of :data:`OVERLAYS`; a ground to be keyed out, or none at all.
        ending: "mp4", and for a transparent overlay "mov" (ProRes 4444) or "webm" (VP9 with alpha).
        speed: 1.0 is the song as it is; 0.75 is slower.
        languages: shown in this order; places in :attr:`CueSheet.languages` are looked up.
    """

    short_side: int = 720
    fps: int = 30
    shape: str = "landscape"
    view: str = "above"
    captions: str = "burned"
    overlay: str = ""
    ending: str = "mp4"
    speed: float = 1.0
    languages: tuple[str, ...] = ("en",)

    @property
    def size(self) -> tuple[int, int]:
        """Width and height in pixels, both even as 4:2:0 needs them."""
        short, long = (round(side / 2) * 2 for side in (self.short_side, self.short_side * 16 / 9))
        return (long, short) if self.shape == "landscape" else (short, long)


@dataclass(frozen=True, slots=True)
class ClipData:
    """What a clip shows.

    Attributes:
        cues: what is counted and said, at full speed.
        stretches: the run as danced: its walls, tags and ending in order.
        opening: the stance before the first count.
        swing: where a half count sounds, as a share of the beat.
        sections: (part, counts from its start, a name for each language of ``cues``), in order.
        marks: sentences burnt into every picture of a dance that is not proved, one a language; or none.
        seconds: length of the song at full speed.
    """

    cues: CueSheet
    stretches: tuple[Stretch, ...]
    opening: Stance
    swing: float
    sections: tuple[tuple[str, Fraction, tuple[str, ...]], ...]
    marks: tuple[str, ...]
    seconds: float


@dataclass(frozen=True, slots=True)
class ClipMade:
    """A finished clip.

    Attributes:
        path: the file.
        frames: how many pictures it has.
        pieces: in how many pieces it was filmed.
        reused: how many of them were kept from an earlier try.
        not_shown: characters of the texts that the face lacks; a box stands for each.
    """

    path: Path
    frames: int
    pieces: int
    reused: int = 0
    not_shown: tuple[str, ...] = ()
