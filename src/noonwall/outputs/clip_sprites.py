"""Small pictures that a clip is put together from: shoulders, chevron, cards, clock, line of progress."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import ceil, cos, pi, sin
from typing import NamedTuple

from PIL import Image, ImageDraw

from noonwall.outputs.clip_look import Box, Layout, Palette
from noonwall.outputs.clip_soles import Point, outline, rgb
from noonwall.outputs.clip_type import CAP_HEIGHT, font
from noonwall.teach.counted import Stretch

FINER = 4
"""Pictures are drawn this many times larger and shrunk, which makes their edges smooth."""

SHOULDERS = "M-25 0C-25-9-14-9.5 0-9.5S25-9 25 0 14 10 0 10-25 9-25 0Z"
CHEVRON_CENTIMETRES = ((-12.0, -46.0), (0.0, -58.0), (12.0, -46.0))


class Sprite(NamedTuple):
    """A small picture and where its left upper corner lies from the spot it is laid on, pixels."""

    image: Image.Image
    x: int
    y: int


def put(picture: Image.Image, sprite: Image.Image, place: tuple[int, int], within: Box | None = None) -> None:
    """Lay a picture with alpha over another one; what hangs over its edge, or that of a box, is left out."""
    x, y = place
    edge = within or (0, 0, picture.width, picture.height)
    left, top = max(0, edge[0] - x), max(0, edge[1] - y)
    right, bottom = min(sprite.width, edge[2] - x), min(sprite.height, edge[3] - y)
    if right <= left or bottom <= top:
        return
    if (left, top, right, bottom) != (0, 0, sprite.width, sprite.height):
        sprite = sprite.crop((left, top, right, bottom))
    if sprite.mode != "RGBA":
        picture.paste(sprite, (x + left, y + top))
    elif picture.mode == "RGBA":
        picture.alpha_composite(sprite, (x + left, y + top))
    else:
        picture.paste(sprite, (x + left, y + top), sprite)


@lru_cache(maxsize=4)
def _shoulders() -> tuple[Point, ...]:
    return outline(SHOULDERS)


def body_pictures(degrees: float, scale: float, palette: Palette) -> tuple[Sprite, Sprite]:
    """Return shoulders and chevron of a dancer who faces ``degrees``; ``scale`` is pixels a centimetre."""
    finer = 3
    side = 2 * ceil(66 * scale) + 1
    angle, size, middle = degrees * pi / 180, scale * finer, side * finer / 2

    def placed(points: tuple[Point, ...]) -> list[Point]:
        return [
            (
                middle + (x * cos(angle) - y * sin(angle)) * size,
                middle + (x * sin(angle) + y * cos(angle)) * size,
            )
            for x, y in points
        ]

    shoulders = Image.new("RGBA", (side * finer, side * finer), (*rgb(palette.body), 0))
    pen = ImageDraw.Draw(shoulders)
    pen.polygon(placed(_shoulders()), fill=palette.body, outline=palette.line)
    chevron = Image.new("RGBA", shoulders.size, (*rgb(palette.ground), 0))
    pen, line = ImageDraw.Draw(chevron), placed(CHEVRON_CENTIMETRES)
    for wide, colour in ((9.0, palette.ground), (5.5, palette.ink)):
        width = max(2 * finer, round(wide * size))
        pen.line(line, fill=colour, width=width, joint="curve")
        for x, y in (line[0], line[-1]):
            pen.ellipse((x - width / 2, y - width / 2, x + width / 2, y + width / 2), fill=colour)
    return _trimmed(shoulders.reduce(finer)), _trimmed(chevron.reduce(finer))


def _trimmed(image: Image.Image) -> Sprite:
    box = image.getbbox() or (0, 0, 1, 1)
    return Sprite(image.crop(box), box[0] - image.width // 2, box[1] - image.height // 2)


def card_picture(size: tuple[int, int], corner: int, colour: str, edge: str, edge_width: int) -> Image.Image:
    """Return a card with round corners, with a coloured edge on its left if asked for."""
    mask = Image.new("L", (size[0] * FINER, size[1] * FINER), 0)
    box = (0, 0, size[0] * FINER - 1, size[1] * FINER - 1)
    ImageDraw.Draw(mask).rounded_rectangle(box, corner * FINER, fill=255)
    card = Image.new("RGBA", size, (*rgb(colour), 0))
    if edge:
        ImageDraw.Draw(card).rectangle((0, 0, edge_width - 1, size[1]), fill=edge)
    card.putalpha(mask.reduce(FINER))
    return card


@lru_cache(maxsize=256)
def dial_picture(side: int, degrees: float, palette: Palette) -> Image.Image:
    """Return a clock whose one hand shows the facing; the mark of 12:00 is gold."""
    whole = side * FINER
    fine = Image.new("RGBA", (whole, whole), (*rgb(palette.soft), 0))
    pen = ImageDraw.Draw(fine)
    middle, line = whole / 2, max(FINER, round(whole * 0.03))
    pen.ellipse((1, 1, whole - 2, whole - 2), fill=palette.card, outline=palette.soft, width=line)
    for hour in range(12):
        at = hour * pi / 6
        ends = [
            (middle + middle * share * sin(at), middle - middle * share * cos(at))
            for share in (0.94, 0.72 if hour % 3 == 0 else 0.84)
        ]
        colour = palette.noon if hour == 0 else palette.soft
        pen.line(ends, fill=colour, width=line * 3 if hour == 0 else line)
    angle = degrees * pi / 180

    def along_hand(along: float, across: float) -> tuple[float, float]:
        x, y = across * middle, -along * middle
        return middle + x * cos(angle) - y * sin(angle), middle + x * sin(angle) + y * cos(angle)

    hand = (
        along_hand(0.66, 0),
        along_hand(0.22, 0.2),
        along_hand(0.3, 0.07),
        along_hand(-0.34, 0.07),
        along_hand(-0.34, -0.07),
        along_hand(0.3, -0.07),
        along_hand(0.22, -0.2),
    )
    pen.polygon(hand, fill=palette.ink)
    return fine.reduce(FINER)


def bar_pictures(
    layout: Layout, palette: Palette, pieces: Sequence[tuple[Stretch, float, float]], seconds: float
) -> tuple[Image.Image, Image.Image]:
    """Return the line of progress twice: as it is before and after the music has gone over it.

    Args:
        layout: the places.
        palette: the colours.
        pieces: stretches of the run with where they begin and end, seconds.
        seconds: length of the clip.
    """
    left, top, right, bottom = layout.bar
    size = (right - left, bottom - top)
    made = []
    for is_done in (False, True):
        picture = Image.new("RGB", size, palette.paper)
        pen = ImageDraw.Draw(picture)
        gap = layout.pixels(1.5)
        high = layout.pixels(8)
        middle = size[1] // 2
        fill = palette.trodden if is_done else palette.line
        pen.rectangle((0, middle - high // 2, size[0], middle + high // 2), fill=fill)
        for stretch, start, end in pieces:
            ends = (round(start / seconds * size[0]) + gap, round(end / seconds * size[0]) - gap)
            if ends[1] > ends[0]:
                _piece(pen, stretch, ends, size[1], (layout, palette, is_done))
        made.append(picture)
    return made[0], made[1]


def _piece(
    pen: ImageDraw.ImageDraw,
    stretch: Stretch,
    ends: tuple[int, int],
    height: int,
    look: tuple[Layout, Palette, bool],
) -> None:
    layout, palette, is_done = look
    is_tag = stretch.kind == "tag"
    inset = layout.pixels(7) if is_tag else 0
    ground, ink = (palette.act, palette.card) if is_done else (palette.card, palette.ink)
    box = (ends[0], inset, ends[1], height - 1 - inset)
    pen.rectangle(box, fill=ground, outline=palette.act, width=layout.pixels(2))
    name = "+" if is_tag else str(stretch.wall) if stretch.begins_wall else ""
    size = layout.pixels(24 if not is_tag else 20)
    if name and font("Bold", size).getlength(name) < ends[1] - ends[0] - layout.pixels(4):
        base = (height + round(CAP_HEIGHT * size)) // 2
        pen.text(((ends[0] + ends[1]) // 2, base), name, ink, font("Bold", size), anchor="ms")
    if stretch.cut_after is not None and not is_tag:
        # a bite out of the end: the wall is cut short by a restart
        bite = layout.pixels(9)
        pen.polygon(
            (
                (ends[1] + 1, height // 2 - bite),
                (ends[1] - bite, height // 2),
                (ends[1] + 1, height // 2 + bite),
            ),
            fill=palette.wrong,
        )
