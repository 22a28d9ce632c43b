"""Colours and places of the clip's picture. Gold is 12:00 and nothing else, as everywhere in this house."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from types import MappingProxyType

from noonwall.outputs.clip_data import ClipOrder
from noonwall.outputs.soles import PLAIN_INK

Box = tuple[int, int, int, int]
"""Left, top, right, bottom in pixels."""

UNIT_SIDE = 720.0
"""Places are given for a picture whose shorter side has this many pixels."""

GREEN = "#00b140"
"""Ground to be keyed out: a green that no other colour here comes near (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Palette:
    """Colours, as "#rrggbb"."""

    paper: str = "#eef2f1"
    card: str = "#ffffff"
    ink: str = "#14212b"
    soft: str = "#46545d"
    line: str = "#b9c4c3"
    ground: str = "#fbfcf9"
    board: str = "#e4eae6"
    left: str = PLAIN_INK.left
    right: str = PLAIN_INK.right
    noon: str = "#f4b400"
    act: str = "#0d5a57"
    wrong: str = "#ae1c1c"
    path: str = "#c3ccd2"
    trodden: str = "#7c8b95"
    body: str = "#dfe6e6"


@dataclass(frozen=True, slots=True)
class Layout:
    """Where everything stands, in pixels; an empty box (all 0) is left out.

    Attributes:
        floor: square that holds the disc of the floor and the names of the walls.
        wall, section, notice: lines above; an announcement covers the line of the section.
        count: the number; ``between`` the "&" beside it.
        dial: the clock of the true facing; ``clock`` its time in digits.
        now, then: the call that is danced and the next one.
        bar: the line of progress.
        mark: the sentence of a dance that is not proved.
        unit: pixels of one unit.
    """

    size: tuple[int, int]
    unit: float
    floor: Box
    wall: Box
    section: Box
    notice: Box
    count: Box
    between: Box
    dial: Box
    clock: Box
    now: Box
    then: Box
    bar: Box
    mark: Box

    def pixels(self, units: float) -> int:
        """Return a length in whole pixels, never less than 1."""
        return max(1, round(units * self.unit))


_NONE = (0, 0, 0, 0)
MARK_HEIGHT = 44

_PLACES: Mapping[tuple[str, bool], Mapping[str, Box]] = MappingProxyType(
    {
        ("landscape", False): {
            "floor": (20, 14, 660, 654),
            "wall": (692, 18, 1252, 76),
            "section": (692, 78, 1252, 130),
            "notice": (684, 76, 1260, 136),
            "count": (692, 142, 972, 392),
            "between": (972, 170, 1068, 392),
            "dial": (1076, 152, 1252, 328),
            "clock": (1068, 332, 1260, 392),
            "now": (684, 404, 1260, 562),
            "then": (684, 570, 1260, 650),
            "bar": (20, 664, 1260, 706),
            "mark": (20, 14, 660, 54),
        },
        ("portrait", False): {
            "floor": (42, 126, 678, 762),
            "wall": (20, 14, 700, 70),
            "section": (20, 72, 700, 120),
            "notice": (20, 70, 700, 124),
            "count": (28, 772, 288, 1000),
            "between": (288, 800, 380, 1000),
            "dial": (388, 802, 548, 962),
            "clock": (552, 844, 712, 920),
            "now": (20, 1010, 700, 1130),
            "then": (20, 1136, 700, 1222),
            "bar": (20, 1232, 700, 1270),
            "mark": (20, 128, 700, 168),
        },
        ("landscape", True): {
            "floor": (24, 356, 364, 696),
            "wall": (24, 24, 384, 84),
            "section": _NONE,
            "notice": (392, 24, 888, 84),
            "count": (1020, 24, 1180, 184),
            "between": (1180, 24, 1256, 184),
            "dial": (1044, 196, 1144, 296),
            "clock": (1144, 216, 1256, 276),
            "now": (392, 520, 1256, 636),
            "then": (392, 644, 1256, 696),
            "bar": _NONE,
            "mark": (392, 88, 888, 124),
        },
        ("portrait", True): {
            "floor": (20, 836, 320, 1136),
            "wall": (20, 24, 320, 84),
            "section": _NONE,
            "notice": (20, 92, 500, 148),
            "count": (536, 24, 656, 164),
            "between": (656, 24, 712, 164),
            "dial": (536, 172, 616, 252),
            "clock": (616, 188, 712, 236),
            "now": (20, 1146, 700, 1216),
            "then": (20, 1222, 700, 1262),
            "bar": _NONE,
            "mark": (20, 152, 500, 186),
        },
    }
)

# Where no call is shown, the number takes the room.
_ROOMY: Mapping[str, Mapping[str, Box]] = MappingProxyType(
    {
        "landscape": {
            "count": (692, 150, 1072, 500),
            "between": (1072, 220, 1252, 500),
            "dial": (800, 500, 940, 640),
            "clock": (960, 530, 1160, 610),
        },
        "portrait": {
            "count": (28, 806, 388, 1220),
            "between": (388, 850, 488, 1220),
            "dial": (500, 880, 692, 1072),
            "clock": (490, 1080, 702, 1160),
        },
    }
)


def layout_of(order: ClipOrder, is_marked: bool) -> Layout:
    """Return the places of a clip's picture; a mark takes a strip of its own above the floor."""
    is_overlay = bool(order.overlay)
    places = dict(_PLACES[order.shape, is_overlay])
    if order.captions != "burned":
        places |= {"now": _NONE, "then": _NONE}
        places |= {} if is_overlay else _ROOMY[order.shape]
    if is_marked and not is_overlay:
        left, top, right, bottom = places["floor"]
        places["floor"] = (left + MARK_HEIGHT // 2, top + MARK_HEIGHT, right - MARK_HEIGHT // 2, bottom)
    unit = order.short_side / UNIT_SIDE
    names = [field.name for field in fields(Layout) if field.name not in ("size", "unit")]
    scaled = {name: _scaled(places[name], unit) for name in names}
    return Layout(order.size, unit, **scaled)


def _scaled(box: Box, unit: float) -> Box:
    left, top, right, bottom = (round(side * unit) for side in box)
    return left, top, right, bottom


def is_empty(box: Box) -> bool:
    """Tell whether a box is left out."""
    return box[2] <= box[0] or box[3] <= box[1]
