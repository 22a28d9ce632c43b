"""The soles of the house as small pictures for the clip, turned and scaled, kept once made."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import lru_cache
from math import ceil, cos, hypot, pi, sin

from PIL import Image, ImageDraw

from noonwall.outputs.soles import LENGTH_CENTIMETRES, MEETS_FLOOR, PIECES, contact_shown

Point = tuple[float, float]

FINER = 4
"""Pictures are drawn this many times larger and shrunk, which makes their edges smooth."""

CURVE_POINTS = 10
ANGLE_STEP_DEGREES = 1.5
SCALE_STEP = 0.02
LINE_CENTIMETRES, AIR_LINE_CENTIMETRES = 1.9, 1.1
DASH_CENTIMETRES, GAP_CENTIMETRES = 2.4, 1.8

_TOKEN = re.compile(r"[MLHVCSZ]|-?(?:\d+\.?\d*|\.\d+)")


@lru_cache(maxsize=16)
def outline(path: str) -> tuple[Point, ...]:
    """Return a closed path of :data:`noonwall.outputs.soles.PIECES` as a polygon.

    Knows the absolute commands M, L, H, V, C, S and Z, which is all that the soles use.
    """
    tokens: list[str] = _TOKEN.findall(path)
    points: list[Point] = []
    control: Point | None = None
    command, place = "", 0
    while place < len(tokens):
        if tokens[place].isalpha():
            command, place = tokens[place], place + 1
            if command == "Z":
                continue
        count = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4}[command]
        values = [float(token) for token in tokens[place : place + count]]
        place += count
        if command in "CS":
            start = points[-1]
            first = (values[0], values[1]) if command == "C" else _mirrored(control, start)
            control, end = (values[-4], values[-3]), (values[-2], values[-1])
            points += _curve(start, first, control, end)
            continue
        control = None
        x, y = points[-1] if points else (0.0, 0.0)
        points.append({"H": (values[0], y), "V": (x, values[0])}.get(command, (values[0], values[-1])))
    return tuple(points)


def _mirrored(control: Point | None, start: Point) -> Point:
    return start if control is None else (2 * start[0] - control[0], 2 * start[1] - control[1])


def _curve(start: Point, first: Point, second: Point, end: Point) -> Iterator[Point]:
    for number in range(1, CURVE_POINTS + 1):
        t = number / CURVE_POINTS
        weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
        corners = (start, first, second, end)
        yield (
            sum(w * corner[0] for w, corner in zip(weights, corners, strict=True)),
            sum(w * corner[1] for w, corner in zip(weights, corners, strict=True)),
        )


def sole_picture(
    foot: str,
    contact: str,
    has_weight: bool,
    degrees: float,
    pixels_per_centimetre: float,
    colours: tuple[str, str],
) -> Image.Image:
    """Return one sole as a picture with alpha, its middle in the middle of the picture.

    Args:
        foot: "L" or "R".
        contact: what of it meets the floor.
        has_weight: filled if True, outlined if False.
        degrees: the way the toes point, clockwise from the top of the picture.
        pixels_per_centimetre: scale.
        colours: the sole's own, and that of the ground with which an outlined sole is filled.
    """
    angle = round(degrees % 360 / ANGLE_STEP_DEGREES)
    scale = round(pixels_per_centimetre / SCALE_STEP)
    return _sole(foot, contact_shown(contact), has_weight, angle, scale, colours)


@lru_cache(maxsize=700)
def _sole(
    foot: str, contact: str, has_weight: bool, angle: int, scale: int, colours: tuple[str, str]
) -> Image.Image:
    pixels = max(scale, 1) * SCALE_STEP
    side = 2 * ceil((LENGTH_CENTIMETRES / 2 + 3) * pixels) + 1
    # paint of the sole's own colour under the alpha: edges never mix with black
    picture = Image.new("RGBA", (side * FINER, side * FINER), (*rgb(colours[0]), 0))
    pen = ImageDraw.Draw(picture)
    meets = MEETS_FLOOR[contact]
    for piece in ("heel", "fore", "tip"):
        if piece == "tip" and "tip" not in meets:
            continue
        turned = _placed(
            outline(PIECES[foot][piece]), angle * ANGLE_STEP_DEGREES, pixels * FINER, side * FINER / 2
        )
        line = _line(LINE_CENTIMETRES, pixels)
        if piece not in meets:
            _dashed(pen, turned, colours[0], pixels)
        elif has_weight:
            pen.polygon(turned, fill=colours[0])
            pen.line([*turned, *turned[:2]], fill=colours[0], width=line, joint="curve")
        else:
            pen.polygon(turned, fill=colours[1])
            pen.line([*turned, *turned[:2]], fill=colours[0], width=line, joint="curve")
    return picture.reduce(FINER)


def _line(centimetres: float, pixels: float) -> int:
    # never under a pixel and a half, or an outline would fade where the floor is wide
    return max(round(centimetres * pixels * FINER), round(1.5 * FINER))


def rgb(colour: str) -> tuple[int, int, int]:
    """Return the three numbers of a colour written "#rrggbb"."""
    red, green, blue = (int(colour[place : place + 2], 16) for place in (1, 3, 5))
    return red, green, blue


def _placed(points: Sequence[Point], degrees: float, scale: float, middle: float) -> list[Point]:
    angle = degrees * pi / 180
    turn_x, turn_y = cos(angle) * scale, sin(angle) * scale
    return [(middle + x * turn_x - y * turn_y, middle + x * turn_y + y * turn_x) for x, y in points]


def _dashed(pen: ImageDraw.ImageDraw, points: Sequence[Point], colour: str, pixels: float) -> None:
    width = _line(AIR_LINE_CENTIMETRES, pixels)
    dash, gap = DASH_CENTIMETRES * pixels * FINER, GAP_CENTIMETRES * pixels * FINER
    left, is_on = dash, True
    for start, end in zip(points, [*points[1:], points[0]], strict=True):
        length, done = hypot(end[0] - start[0], end[1] - start[1]), 0.0
        while length - done > 1e-6:
            run = min(left, length - done)
            ends = [_between(start, end, (done + part) / length) for part in (0.0, run)]
            if is_on:
                pen.line(ends, fill=colour, width=width)
            done, left = done + run, left - run
            if left <= 1e-6:
                is_on = not is_on
                left = dash if is_on else gap


def _between(start: Point, end: Point, share: float) -> Point:
    return (start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share)
