"""One picture of a clip, from its number alone: what is said, where the dancer is, how far the song is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from PIL import Image

from noonwall.outputs.clip_camera import Camera, View
from noonwall.outputs.clip_data import ClipData, ClipOrder
from noonwall.outputs.clip_floor import FloorPainter
from noonwall.outputs.clip_look import GREEN, Box, Palette, is_empty, layout_of
from noonwall.outputs.clip_motion import Beats, Motion, Seen
from noonwall.outputs.clip_panel import PanelPainter, Part, around
from noonwall.outputs.clip_script import Said, Script
from noonwall.outputs.clip_sprites import bar_pictures

NEEDLE_OVER = 4


@dataclass(frozen=True, slots=True)
class Moment:
    """What one picture shows; equal moments give equal pictures.

    ``stance`` is an index into the stances of the run, ``played`` the pixels of the line of progress.
    """

    said: Said
    view: View
    seen: Seen
    stance: int
    played: int


class Painted(NamedTuple):
    """A picture that is painted over for the next one, and the boxes in which it differs from the last."""

    image: Image.Image
    changed: tuple[Box, ...]


class FramePainter:
    """Paints the pictures of one clip, each from its number alone, so that pieces of it can be made apart.

    One picture is kept and only what changes in it is painted anew, which is what makes filming quick.
    """

    def __init__(self, data: ClipData, order: ClipOrder) -> None:
        self.data, self.order = data, order
        self.layout, self.palette = layout_of(order, bool(data.marks)), Palette()
        self.beats = Beats(data.cues.beats, data.swing, order.speed)
        self.motion = Motion.of(data.stretches, data.opening)
        self.camera = Camera.of(self.motion, data.stretches, self.beats, order.view)
        self.script = Script.of(data, order.languages, self.beats, self.motion)
        self.seconds = data.seconds / order.speed
        is_overlay, is_clear = bool(order.overlay), order.overlay == "transparent"
        ground = GREEN if is_overlay else self.palette.paper
        self._floor = FloorPainter(
            self.layout, self.palette, order.languages[0], self.motion, "" if is_clear else ground
        )
        self._panel = PanelPainter(self.layout, self.palette, order.languages, data.cues.title, is_overlay)
        empty = Image.new("RGBA", order.size, (0, 0, 0, 0))
        self._base = empty if is_clear else Image.new("RGB", order.size, ground)
        self._panel.mark(self._base, data.marks)
        self._bars = None if is_empty(self.layout.bar) else self._painted_bars()
        self._picture = self._base.copy()
        self._square: Image.Image | None = None
        self._dancer: Box = (0, 0, 0, 0)
        self._parts: tuple[Part, ...] = ()
        self._last: Moment | None = None

    @property
    def frames(self) -> int:
        """How many pictures the clip has: it is over within half a picture of the end of the song."""
        return max(1, round(self.seconds * self.order.fps))

    def moment(self, number: int) -> Moment:
        """Return what picture ``number`` shows: the state in the middle of the time it stands."""
        # a change is then never more than half a picture from its beat
        seconds = (number + 0.5) / self.order.fps
        count = self.beats.count(seconds)
        width = self.layout.bar[2] - self.layout.bar[0]
        return Moment(
            self.script.said(seconds),
            self.camera.view(seconds),
            self.motion.seen(count),
            self.motion.index(count),
            round(width * min(1.0, seconds / self.seconds)),
        )

    def picture(self, number: int) -> Image.Image:
        """Return a picture of its own."""
        return self.paint(number).image.copy()

    def paint(self, number: int) -> Painted:
        """Paint a picture, quickest right after the one before it."""
        now, last = self.moment(number), self._last
        if now == last:
            return Painted(self._picture, ())
        self._last = now
        changed: list[Box] = []
        if last is None:
            self._picture.paste(self._base)
            changed.append((0, 0, *self.order.size))
        changed += self._paint_texts(now, last)
        changed += self._paint_floor(now)
        if self._bars and (last is None or now.played != last.played):
            changed.append(self._paint_bar(now.played, last.played if last else 0))
        return Painted(self._picture, tuple(changed))

    def _paint_texts(self, now: Moment, last: Moment | None) -> list[Box]:
        if last is not None and now.said == last.said and now.seen.degrees == last.seen.degrees:
            return []
        parts = self._panel.parts(now.said, now.seen.degrees)
        changed = [part for part in parts if part not in self._parts]
        for part in changed:
            self._picture.paste(self._base.crop(part.box), part.box[:2])
            self._panel.paint(self._picture, part, now.said)
        self._parts = parts
        return [part.box for part in changed]

    def _paint_floor(self, now: Moment) -> list[Box]:
        square = self._floor.ground(now.view, now.stance, self._first(now.stance))
        box, before = self._floor.box, self._dancer
        if square is not self._square:
            self._picture.paste(square, box[:2])
            self._square = square
            self._dancer = self._floor.dancer(self._picture, now.view, now.seen)
            return [box]
        # the floor comes back where the dancer was
        under = square.crop((before[0] - box[0], before[1] - box[1], before[2] - box[0], before[3] - box[1]))
        self._picture.paste(under, before[:2])
        self._dancer = self._floor.dancer(self._picture, now.view, now.seen)
        return [around(before, self._dancer)]

    def _paint_bar(self, played: int, since: int) -> Box:
        """Move the needle on from where it was; all that lies before and between is painted as played."""
        assert self._bars is not None
        before, after = self._bars
        left, top, right, bottom = self.layout.bar
        half = self.layout.pixels(2)
        is_anew = since == 0 or played < since
        start = 0 if is_anew else max(0, since - 2 * half)
        end = right - left if is_anew else min(right - left, played + 2 * half)
        # the needle is longer than the line, but reaches into nothing above it
        over = round(NEEDLE_OVER * self.layout.unit)
        box = (left + start - half * is_anew, top - over, left + end + half, bottom + over)
        self._picture.paste(self.palette.paper, box)
        self._picture.paste(after.crop((start, 0, played, after.height)), (left + start, top))
        rest = (played, 0, min(before.width, end + half), before.height)
        self._picture.paste(before.crop(rest), (left + played, top))
        needle = (left + played - half, box[1], left + played + half, box[3])
        self._picture.paste(self.palette.ink, needle)
        return box

    def _first(self, stance: int) -> int:
        """Return the stance with which the stretch begins that a stance lies in."""
        return max((first for first in self.motion.firsts[:-1] if first < max(1, stance)), default=0)

    def _painted_bars(self) -> tuple[Image.Image, Image.Image]:
        pieces = [
            (piece, self.beats.time(float(piece.start)), min(self.seconds, self.beats.time(float(piece.end))))
            for piece in self.data.stretches
        ]
        return bar_pictures(self.layout, self.palette, pieces, self.seconds)
