"""Everything in a clip's picture that is not the floor: number, calls, wall, clock, progress, the mark."""

from __future__ import annotations

from typing import NamedTuple

from PIL import Image, ImageDraw

from noonwall.dance.turns import clock
from noonwall.outputs.clip_look import Box, Layout, Palette, is_empty
from noonwall.outputs.clip_script import Said, Words
from noonwall.outputs.clip_soles import rgb
from noonwall.outputs.clip_sprites import card_picture, dial_picture, put
from noonwall.outputs.clip_type import CAP_HEIGHT, Fitted, Style, fitted, font, write
from noonwall.outputs.clip_words import clip_word

DIAL_STEP_DEGREES = 3
MOST_KEPT = 60


class Part(NamedTuple):
    """A part of the picture: its name, its box, and all that it shows."""

    name: str
    box: Box
    shows: object


class PanelPainter:
    """Paints texts; each finished piece is kept and laid down again as long as it says the same."""

    def __init__(
        self, layout: Layout, palette: Palette, languages: tuple[str, ...], title: str, is_overlay: bool
    ) -> None:
        """Prepare to paint.

        Args:
            layout: the places.
            palette: the colours.
            languages: of the words that are our own.
            title: of the dance.
            is_overlay: lay a card behind every text, because nobody knows what it will lie on.
        """
        self.layout, self.palette = layout, palette
        self.languages, self.title, self.is_overlay = languages, title, is_overlay
        self._kept: dict[tuple[object, ...], Image.Image] = {}

    def parts(self, said: Said, degrees: float) -> tuple[Part, ...]:
        """Return the parts of the picture with what each shows; equal parts look alike.

        Args:
            said: what is said.
            degrees: the true facing, for the clock's hand.
        """
        place = self.layout
        call = (said.now, said.waits if not said.now else 0, said.count > 0, said.is_over)
        told = (
            Part("wall", place.wall, said.wall),
            Part("line", around(place.section, place.notice), said.notice or said.section),
            Part("count", around(place.count, place.between), (said.count, said.between, said.is_lead)),
            Part("clock", place.clock, said.facing),
            Part("dial", place.dial, self.hand(degrees)),
            Part("now", place.now, call),
            Part("then", place.then, (said.then, said.then_on)),
        )
        return tuple(part for part in told if not is_empty(part.box))

    def paint(self, picture: Image.Image, part: Part, said: Said) -> None:
        """Paint one part into its box, which holds the bare ground."""
        place, colours = self.layout, self.palette
        match part.name:
            case "wall":
                self._text(picture, place.wall, said.wall or (self.title,), Style("Bold", colours.ink), 46)
            case "line" if said.notice:
                self._text(picture, place.notice, said.notice, Style("Bold", colours.card), 38, colours.ink)
            case "line" if not is_empty(place.section):
                self._text(picture, place.section, said.section, Style("Regular", colours.soft), 30)
            case "count":
                self._count(picture, said)
            case "clock":
                style = Style("Bold", colours.ink, "centre")
                self._text(picture, place.clock, (clock(said.facing),), style, 48)
            case "dial":
                self._dial(picture, part.shows)
            case "now":
                self._now(picture, said)
            case "then" if said.then:
                self._next(picture, said)

    def mark(self, picture: Image.Image, words: Words) -> None:
        """Paint the sentence of a dance that is not proved."""
        if words:
            style = Style("Bold", self.palette.card, "centre")
            self._text(picture, self.layout.mark, words, style, 27, self.palette.wrong)

    def _dial(self, picture: Image.Image, step: object) -> None:
        left, top, right, bottom = self.layout.dial
        key = ("dial", step)
        if key not in self._kept:
            side = min(right - left, bottom - top)
            self._keep(key, dial_picture(side, int(str(step)) * DIAL_STEP_DEGREES, self.palette))
        put(picture, self._kept[key], (left, top))

    @staticmethod
    def hand(degrees: float) -> int:
        """Return the position of the clock's hand for a facing; it moves in small steps."""
        return round(degrees % 360 / DIAL_STEP_DEGREES) % (360 // DIAL_STEP_DEGREES)

    # --- pieces --------------------------------------------------------------------------------------------

    def _count(self, picture: Image.Image, said: Said) -> None:
        if self.is_overlay and (said.count or said.between):
            self._card(picture, around(self.layout.count, self.layout.between), self.palette.card)
        if said.count:
            ink = self.palette.soft if said.is_lead else self.palette.ink
            put(picture, self.number(str(said.count), self.layout.count, ink), self.layout.count[:2])
        if said.between:
            put(
                picture,
                self.number(said.between, self.layout.between, self.palette.act),
                self.layout.between[:2],
            )

    def number(self, text: str, box: Box, ink: str) -> Image.Image:
        """Return a number as large as its box; it has alpha and the size of the box."""
        key = ("number", text, box, ink)
        if key not in self._kept:
            width, height = box[2] - box[0], box[3] - box[1]
            size = round(height / (CAP_HEIGHT + 0.06))
            while font("Black", size).getlength(text) > width and size > 8:
                size -= 2
            sprite = Image.new("RGBA", (width, height), (*rgb(ink), 0))
            base = (height + round(CAP_HEIGHT * size)) // 2
            ImageDraw.Draw(sprite).text((width // 2, base), text, ink, font("Black", size), anchor="ms")
            self._keep(key, sprite)
        return self._kept[key]

    def _now(self, picture: Image.Image, said: Said) -> None:
        place, colours = self.layout, self.palette
        now = said.now
        if not now and said.waits:
            name = "get_ready" if said.count else "starts_in"
            now = tuple(clip_word(tag, "picture", name, n=said.waits) for tag in self.languages)
        elif not now and said.is_over:
            now = tuple(clip_word(tag, "picture", "over") for tag in self.languages)
        if now:
            self._text(picture, place.now, now, Style("Bold", colours.ink), 64, colours.card, colours.act)

    def _next(self, picture: Image.Image, said: Said) -> None:
        """Paint the next call: a small label with its count, and the words."""
        place, colours = self.layout, self.palette
        name = "next_on" if said.then_on else "next"
        labels = tuple(clip_word(tag, "picture", name, count=said.then_on) for tag in self.languages)
        label = " / ".join(dict.fromkeys(labels))
        left, top, right, bottom = place.then
        if self.is_overlay:
            self._card(picture, place.then, colours.card)
        pad, high, size = place.pixels(14), place.pixels(25), place.pixels(24)
        style = Style("Regular", colours.soft)
        if bottom - top < 3 * high:
            # too low for two lines: the label stands before the words
            wide = min(round(font("Regular", size).getlength(label)), (right - left) // 2)
            text, rest = (
                fitted(label, "Regular", wide, bottom - top, size, 4),
                (left + pad + wide, top, right, bottom),
            )
            write(picture, (left + pad, top, left + pad + wide, bottom), text, style, is_middle=True)
        else:
            text, rest = (
                fitted(label, "Regular", right - left, high, size, 4),
                (left, top + high, right, bottom),
            )
            write(picture, (left + pad, top, right, top + high), text, style)
        self._text(picture, rest, said.then, Style("Semibold", colours.soft), 40, is_bare=True)

    def _text(
        self,
        picture: Image.Image,
        box: Box,
        words: Words,
        style: Style,
        largest: int,
        card: str = "",
        edge: str = "",
        is_bare: bool = False,
    ) -> None:
        """Paint one text a language into a box: beside each other if short, else below each other."""
        if is_empty(box) or not any(words):
            return
        card = card or (self.palette.card if self.is_overlay and not is_bare else "")
        if card:
            self._card(picture, box, card, edge)
        pad = self.layout.pixels(14) if card or style.side == "left" else 0
        inner = (box[0] + pad + (self.layout.pixels(8) if edge else 0), box[1], box[2] - pad, box[3])
        for part, text, one in rows_of(
            inner, tuple(dict.fromkeys(filter(None, words))), style, self.layout, largest
        ):
            write(picture, part, text, one, is_middle=True)

    def _card(self, picture: Image.Image, box: Box, colour: str, edge: str = "") -> None:
        key = ("card", box, colour, edge)
        if key not in self._kept:
            size = (box[2] - box[0], box[3] - box[1])
            self._keep(key, card_picture(size, self.layout.pixels(12), colour, edge, self.layout.pixels(8)))
        put(picture, self._kept[key], box[:2])

    def _keep(self, key: tuple[object, ...], sprite: Image.Image) -> None:
        # cards, numbers and the positions of the hand are few; this only bounds what a strange dance may need
        if len(self._kept) >= MOST_KEPT + 360 // DIAL_STEP_DEGREES:
            self._kept.clear()
        self._kept[key] = sprite


def rows_of(
    box: Box, words: Words, style: Style, layout: Layout, largest: int
) -> list[tuple[Box, Fitted, Style]]:
    """Return where each text stands in a box, how large, and how: the first language is the stronger."""
    left, top, right, bottom = box
    most, least = layout.pixels(largest), layout.pixels(15)
    joined = " / ".join(words)
    if len(words) > 1 and font(style.weight, layout.pixels(26)).getlength(joined) <= right - left:
        height = bottom - top
        if height < layout.pixels(76):
            return [
                (box, fitted(joined, style.weight, right - left, height, min(most, height), least), style)
            ]
    share = (bottom - top) // len(words)
    texts = [fitted(text, style.weight, right - left, share, min(most, share), least) for text in words]
    size = min(text.size for text in texts)
    texts = [fitted(text, style.weight, right - left, share, size, min(size, least)) for text in words]
    second = Style("Regular" if style.weight == "Regular" else "Semibold", style.colour, style.side)
    return [
        (
            (left, top + share * number, right, top + share * (number + 1)),
            text,
            style if number == 0 else second,
        )
        for number, text in enumerate(texts)
    ]


def around(one: Box, other: Box) -> Box:
    """Return the box that holds two; an empty one adds nothing."""
    if is_empty(one) or is_empty(other):
        return other if is_empty(one) else one
    return (min(one[0], other[0]), min(one[1], other[1]), max(one[2], other[2]), max(one[3], other[3]))
