"""The floor of a clip: a disc that is a clock face, the path trodden, the dancer's soles and body."""

from __future__ import annotations

from bisect import bisect_left
from math import ceil, cos, pi, sin

from PIL import Image, ImageDraw

from noonwall.dance.model import Foot
from noonwall.dance.turns import clock
from noonwall.outputs.clip_camera import View
from noonwall.outputs.clip_look import Box, Layout, Palette
from noonwall.outputs.clip_motion import FootSeen, Motion, Seen
from noonwall.outputs.clip_soles import Point, rgb, sole_picture
from noonwall.outputs.clip_sprites import Sprite, body_pictures, put
from noonwall.outputs.clip_type import CAP_HEIGHT, font
from noonwall.outputs.clip_words import clip_word

FINER = 2
"""The floor is drawn this many times larger and shrunk."""

DISC_SHARE = 0.93
"""Radius of the disc as a share of half its square: the rest is for the names of the walls on its rim."""

BOARD_METRES = 0.5
WALL_HALF_DEGREES, CORNER_HALF_DEGREES = 19, 1

LETTER_CENTIMETRES, LETTER_SIZE_CENTIMETRES = 6.0, 12.5
TRODDEN_COUNTS = 8
LIFTED = 0.1
"""A lifted sole is drawn this much larger at the top of its way."""

_BODY_STEP_DEGREES = 3


class FloorPainter:
    """Paints the floor's square; what was painted last is kept and painted anew only where it changed."""

    def __init__(self, layout: Layout, palette: Palette, language: str, motion: Motion, backing: str) -> None:
        """Prepare to paint.

        Args:
            layout: the places.
            palette: the colours.
            language: of the letters on the soles.
            motion: the run, whose path is drawn.
            backing: colour behind the disc, "" for none.
        """
        left, top, right, bottom = layout.floor
        self.layout, self.palette, self.motion = layout, palette, motion
        self.side = min(right - left, bottom - top)
        self.place, self.box = (left, top), (left, top, left + self.side, top + self.side)
        self.disc = DISC_SHARE * self.side / 2
        self.letters = {foot: clip_word(language, "picture", foot) for foot in "LR"}
        self.backing = backing
        self._mask = self._round_mask()
        self._ground: tuple[tuple[View, int, int], Image.Image] | None = None
        self._rims: dict[int, Image.Image] = {}
        self._bodies: dict[tuple[int, int], tuple[Sprite, Sprite]] = {}

    def ground(self, view: View, stance: int, first: int) -> Image.Image:
        """Return the floor's square without the dancer; the same object while nothing in it changes.

        Args:
            view: what is seen.
            stance: index of the last stance, up to which the path is trodden.
            first: index of the first stance of the path shown.
        """
        key = (View(*(round(value, 4) for value in view)), first, stance)
        if self._ground is None or self._ground[0] != key:
            self._ground = (key, self._painted_floor(view, first, stance))
        return self._ground[1]

    # --- the ground ----------------------------------------------------------------------------------------

    def _painted_floor(self, view: View, first: int, index: int) -> Image.Image:
        side = self.side * FINER
        fine = Image.new("RGB", (side, side), self.palette.ground)
        pen = ImageDraw.Draw(fine)
        scale = self.disc * FINER / view.radius
        for ends in _boards(view):
            pen.line([_at(view, end, scale, side / 2) for end in ends], fill=self.palette.board, width=FINER)
        self._path(pen, view, scale, (first, index))
        if self.backing:
            square = Image.new("RGB", (self.side, self.side), self.backing)
        else:
            square = Image.new("RGBA", (self.side, self.side), (255, 255, 255, 0))
        square.paste(fine.reduce(FINER), (0, 0), self._mask)
        put(square, self._rim(view.degrees), (0, 0))
        return square

    def _path(self, pen: ImageDraw.ImageDraw, view: View, scale: float, span: tuple[int, int]) -> None:
        first, index = span
        side = self.side * FINER / 2
        last = next((end for end in self.motion.firsts if end > first), index)
        spots = [_at(view, one.centre, scale, side) for one in self.motion.stances[first : last + 1]]
        # of a long wall only the last steps are strong, or the floor would be a tangle
        recent = bisect_left(self.motion.counts, self.motion.counts[index] - TRODDEN_COUNTS, first, index)
        done = spots[recent - first : max(1, index - first + 1)]
        width = self.layout.pixels(5) * FINER
        for line, colour in ((spots, self.palette.path), (done, self.palette.trodden)):
            if len(line) > 1:
                pen.line(line, fill=colour, width=width, joint="curve")
        radius = width * 0.95
        for x, y in done:
            pen.ellipse((x - radius, y - radius, x + radius, y + radius), fill=self.palette.trodden)

    def _round_mask(self) -> Image.Image:
        fine = Image.new("L", (self.side * 4, self.side * 4), 0)
        middle, radius = self.side * 2, self.disc * 4
        box = (middle - radius, middle - radius, middle + radius, middle + radius)
        ImageDraw.Draw(fine).ellipse(box, fill=255)
        return fine.reduce(4)

    def _rim(self, degrees: float) -> Image.Image:
        """Return the ring with the four walls on it; gold stands where 12:00 is."""
        key = round(degrees * 2) % 720
        if key not in self._rims:
            if len(self._rims) > 40:
                self._rims.clear()
            self._rims[key] = self._painted_rim(key / 2)
        return self._rims[key]

    def _painted_rim(self, degrees: float) -> Image.Image:
        finer = 3
        side = self.side * finer
        fine = Image.new("RGBA", (side, side), (*rgb(self.palette.line), 0))
        pen = ImageDraw.Draw(fine)
        middle, radius = side / 2, self.disc * finer
        thin, thick = self.layout.pixels(2) * finer, self.layout.pixels(9) * finer
        _ring(pen, middle, radius, (0, 360), self.palette.line, thin)
        for eighth in range(8):
            at = eighth * 45 - degrees - 90
            half = WALL_HALF_DEGREES if eighth % 2 == 0 else CORNER_HALF_DEGREES
            colour = self.palette.noon if eighth == 0 else self.palette.soft
            width = thick if eighth == 0 else thick * 2 // 3
            _ring(pen, middle, radius, (at - half, at + half), colour, width)
        for eighth in (6, 4, 2, 0):
            self._sign(pen, eighth, degrees, finer)
        return fine.reduce(finer)

    def _sign(self, pen: ImageDraw.ImageDraw, eighth: int, degrees: float, finer: int) -> None:
        """Draw the name of a wall on the rim, always upright."""
        is_small = self.side < 420 * self.layout.unit
        high, wide = (26, 64) if is_small else (36, 88)
        half_high, half_wide = (self.layout.pixels(v) * finer / 2 for v in (high, wide))
        turned = (eighth * 45 - degrees) * pi / 180
        middle = self.side * finer / 2
        x = middle + self.disc * finer * sin(turned)
        y = middle - self.disc * finer * cos(turned)
        x = min(max(x, half_wide), 2 * middle - half_wide)
        y = min(max(y, half_high), 2 * middle - half_high)
        box = (x - half_wide, y - half_high, x + half_wide - 1, y + half_high - 1)
        is_noon = eighth == 0
        pen.rounded_rectangle(
            box,
            half_high,
            fill=self.palette.noon if is_noon else self.palette.card,
            outline=self.palette.noon if is_noon else self.palette.soft,
            width=self.layout.pixels(2) * finer,
        )
        size = round(half_high * 1.42)
        base = y + CAP_HEIGHT * size / 2
        pen.text((x, base), clock(eighth), fill=self.palette.ink, font=font("Bold", size), anchor="ms")

    # --- the dancer ----------------------------------------------------------------------------------------

    def dancer(self, picture: Image.Image, view: View, seen: Seen) -> Box:
        """Paint the dancer over the floor of a picture and return the box that was painted on.

        The shoulders lie under the soles, the chevron that shows the way ahead lies over them.
        """
        scale, middle = self.disc / view.radius, self.side / 2
        x, y = _at(view, (seen.x, seen.y), scale, middle)
        shoulders, chevron = self._body(seen.degrees - view.degrees, scale / 100)
        boxes = [self._lay(picture, shoulders, (x, y))]
        # the moving foot lies over the standing one
        for foot, at in sorted((("L", seen.left), ("R", seen.right)), key=lambda each: each[1].lift):
            boxes.append(self._foot(picture, view, foot, at, seen.weight))
        boxes.append(self._lay(picture, chevron, (x, y)))
        lefts, tops, rights, bottoms = zip(*boxes, strict=True)
        left, top, right, bottom = self.box
        return (
            max(left, min(lefts)),
            max(top, min(tops)),
            min(right, max(rights)),
            min(bottom, max(bottoms)),
        )

    def _lay(self, picture: Image.Image, sprite: Sprite, at: Point) -> Box:
        left, top = self.place[0] + round(at[0]) + sprite.x, self.place[1] + round(at[1]) + sprite.y
        put(picture, sprite.image, (left, top), self.box)
        return (left, top, left + sprite.image.width, top + sprite.image.height)

    def _foot(self, picture: Image.Image, view: View, foot: str, at: FootSeen, weight: Foot) -> Box:
        scale = self.disc / view.radius
        has_weight = weight in (foot, Foot.BOTH) and at.contact != "air"
        colour = self.palette.left if foot == "L" else self.palette.right
        degrees = at.degrees - view.degrees
        size = scale / 100 * (1 + LIFTED * at.lift)
        sole = sole_picture(foot, at.contact, has_weight, degrees, size, (colour, self.palette.ground))
        x, y = _at(view, (at.x, at.y), scale, self.side / 2)
        box = self._lay(picture, Sprite(sole, -(sole.width // 2), -(sole.height // 2)), (x, y))
        angle, away = degrees * pi / 180, LETTER_CENTIMETRES * size
        ink = self.palette.ground if has_weight and at.contact in ("flat", "ball") else colour
        face = font("Black", round(LETTER_SIZE_CENTIMETRES * scale / 100))
        left, top = self.place
        spot = (left + x + away * sin(angle), top + y - away * cos(angle) + CAP_HEIGHT * face.size / 2)
        ImageDraw.Draw(picture).text(spot, self.letters[foot], fill=ink, font=face, anchor="ms")
        return box

    def _body(self, degrees: float, pixels_per_centimetre: float) -> tuple[Sprite, Sprite]:
        """Return the shoulders, which lie under the soles, and the chevron ahead of them, which lies over."""
        angle = round(degrees % 360 / _BODY_STEP_DEGREES)
        key = (angle, round(pixels_per_centimetre * 50))
        if key not in self._bodies:
            if len(self._bodies) > 300:
                self._bodies.clear()
            self._bodies[key] = body_pictures(angle * _BODY_STEP_DEGREES, key[1] / 50, self.palette)
        return self._bodies[key]


def _at(view: View, spot: Point, scale: float, middle: float) -> Point:
    """Return where a spot of the floor (metres) lies in the square, pixels."""
    east, north = (spot[0] - view.x) * scale, (spot[1] - view.y) * scale
    angle = view.degrees * pi / 180
    return (
        middle + east * cos(angle) - north * sin(angle),
        middle - east * sin(angle) - north * cos(angle),
    )


def _boards(view: View) -> list[tuple[Point, Point]]:
    """Return the joints between the boards that may be in view, metres."""
    reach = ceil(view.radius / BOARD_METRES) + 1
    column, row = round(view.x / BOARD_METRES), round(view.y / BOARD_METRES)
    found: list[tuple[Point, Point]] = []
    for number in range(-reach, reach + 1):
        x, y = (column + number) * BOARD_METRES, (row + number) * BOARD_METRES
        long = (reach + 1) * BOARD_METRES
        found.append(((x, view.y - long), (x, view.y + long)))
        found.append(((view.x - long, y), (view.x + long, y)))
    return found


def _ring(
    pen: ImageDraw.ImageDraw,
    middle: float,
    radius: float,
    degrees: tuple[float, float],
    colour: str,
    width: int,
) -> None:
    outer = radius + width / 2
    box = (middle - outer, middle - outer, middle + outer, middle + outer)
    pen.arc(box, degrees[0], degrees[1], fill=colour, width=width)
