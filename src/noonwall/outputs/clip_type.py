"""Letters of the clip: one face, texts fitted into boxes, and a box in place of what the face lacks."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from pathlib import Path

from PIL import Image, ImageDraw, ImageFont

STAND_IN = "□"
"""Stands for a character that the face lacks; the face draws its own box for it."""

LINE_HEIGHT = 1.08
"""Distance of two lines as a share of the type size."""

CAP_HEIGHT = 0.66
"""Height of a capital or a digit as a share of the type size (OS/2 table of Source Sans Pro: 660 of 1000)."""

_NOWHERE = "\uffff"  # no character at all: what the face draws for it is what it draws for all it lacks
_PROBE_SIZE = 32


@lru_cache(maxsize=96)
def font(weight: str, size: int) -> ImageFont.FreeTypeFont:
    """Return the face in a weight ("Regular", "Semibold", "Bold", "Black") and a size in pixels."""
    folder = Path(str(resources.files("font_source_sans_pro"))) / "files"
    # the plain layout is the same on every system; the face has no script that needs a richer one
    path = folder / f"SourceSansPro-{weight}.ttf"
    return ImageFont.truetype(str(path), max(1, size), layout_engine=ImageFont.Layout.BASIC)


@lru_cache(maxsize=4096)
def is_shown(char: str) -> bool:
    """Tell whether the face has a shape for a character."""
    probe = font("Bold", _PROBE_SIZE)
    return char.isspace() or (
        (probe.getbbox(char), bytes(probe.getmask(char)))
        != (probe.getbbox(_NOWHERE), bytes(probe.getmask(_NOWHERE)))
    )


def shown(text: str) -> str:
    """Return text as the face can show it: composed, controls and joiners gone, the rest replaced."""
    kept = []
    for char in unicodedata.normalize("NFC", text):
        if is_shown(char):
            kept.append(" " if char.isspace() else char)
        elif unicodedata.category(char) not in ("Cc", "Cf", "Cs", "Mn", "Me"):
            kept.append(STAND_IN)
    return "".join(kept)


def not_shown(texts: Iterable[str]) -> tuple[str, ...]:
    """Return the characters of some texts that a box stands for, each once, in order."""
    chars = (char for text in texts for char in unicodedata.normalize("NFC", text))
    return tuple(dict.fromkeys(char for char in chars if shown(char) == STAND_IN and char != STAND_IN))


@dataclass(frozen=True, slots=True)
class Fitted:
    """A text broken into lines at a type size in pixels; ``is_cut`` if not all of it found room."""

    lines: tuple[str, ...]
    size: int
    is_cut: bool = False

    @property
    def height(self) -> int:
        """Height of all lines in pixels."""
        return round(len(self.lines) * self.size * LINE_HEIGHT)


@lru_cache(maxsize=2048)
def fitted(text: str, weight: str, width: int, height: int, largest: int, smallest: int) -> Fitted:
    """Return a text at the largest size at which it fits a box, broken between words.

    Args:
        text: what to show.
        weight: weight of the face.
        width: of the box, pixels.
        height: of the box, pixels.
        largest: type size to begin with, pixels.
        smallest: type size at which what still does not fit is cut off with an ellipsis, pixels.
    """
    clean = " ".join(shown(text).split())
    step = max(1, largest // 24)
    for size in range(largest, smallest, -step):
        lines = _broken(clean, weight, size, width)
        tall = len(lines) * size * LINE_HEIGHT
        if tall <= height and all(font(weight, size).getlength(line) <= width for line in lines):
            return Fitted(lines, size)
    lines = _broken(clean, weight, smallest, width)
    most = max(1, int(height / (smallest * LINE_HEIGHT)))
    kept = [*lines[:most]]
    is_cut = len(lines) > most
    if is_cut:
        kept[-1] += "…"
    face = font(weight, smallest)
    for number, line in enumerate(kept):
        while face.getlength(line) > width and len(line) > 1:
            line, is_cut = line.rstrip("…")[:-1] + "…", True
        kept[number] = line
    return Fitted(tuple(kept), smallest, is_cut)


def _broken(text: str, weight: str, size: int, width: int) -> tuple[str, ...]:
    face, lines, line = font(weight, size), [], ""
    for word in text.split(" "):
        longer = f"{line} {word}" if line else word
        if line and face.getlength(longer) > width:
            lines.append(line)
            line = word
        else:
            line = longer
    return (*lines, line)


@dataclass(frozen=True, slots=True)
class Style:
    """How a text is set: weight of the face, colour, and side ("left" or "centre")."""

    weight: str
    colour: str
    side: str = "left"


def write(
    image: Image.Image, box: tuple[int, int, int, int], text: Fitted, style: Style, is_middle: bool = False
) -> None:
    """Write a fitted text into a box of an image, from the top or in the middle of its height."""
    left, top, right, bottom = box
    pen, face = ImageDraw.Draw(image), font(style.weight, text.size)
    y = top + ((bottom - top) - text.height) // 2 if is_middle else top
    # capitals, not the whole line with its descenders, are what looks centred
    base = y + round(text.size * (LINE_HEIGHT + CAP_HEIGHT) / 2)
    for line in text.lines:
        x = left if style.side == "left" else (left + right) // 2
        pen.text(
            (x, base),
            line,
            fill=style.colour,
            font=face,
            anchor="ls" if style.side == "left" else "ms",
        )
        base += round(text.size * LINE_HEIGHT)


def widest(texts: Sequence[str], weight: str, size: int) -> float:
    """Return the width in pixels of the widest of some texts."""
    return max((font(weight, size).getlength(text) for text in texts), default=0.0)
