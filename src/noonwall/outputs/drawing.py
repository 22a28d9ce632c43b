"""Small still drawings of a figure: foot prints for a page or paper, rows of characters for a terminal."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import cos, pi, sin

from noonwall.dance.model import Foot, Step
from noonwall.dance.turns import clock
from noonwall.floor.track import FootAt, Stance, dance_steps, opening_stance
from noonwall.outputs.film import count_label
from noonwall.outputs.markup import text as escaped
from noonwall.outputs.page_words import page_words
from noonwall.outputs.soles import LENGTH_CENTIMETRES, PLAIN_INK, Ink, sole

MARGIN_CENTIMETRES = 8.0
SAME_PLACE_CENTIMETRES = 5.0
COLUMN_METRES, ROW_METRES = 0.055, 0.16
ARROWS = "↑↗→↘↓↙←↖"


@dataclass(frozen=True, slots=True)
class Trodden:
    """One action as a drawing needs it: the foot that moved, the stance after it, and its count label."""

    foot: Foot | None
    stance: Stance
    label: str


@dataclass(slots=True)
class Print:
    """One foot print: where, and all the counts on which that foot comes down there."""

    foot: str
    at: FootAt
    has_weight: bool
    labels: list[str] = field(default_factory=list)

    @property
    def centre(self) -> tuple[float, float]:
        """(x, y) on the drawing: centimetres, y downwards."""
        return (self.at.x * 100, -self.at.y * 100)

    def is_same_place(self, other: Print) -> bool:
        """Tell whether two prints would lie on top of each other, pointing the same way."""
        (ax, ay), (bx, by) = self.centre, other.centre
        near = abs(ax - bx) < SAME_PLACE_CENTIMETRES and abs(ay - by) < SAME_PLACE_CENTIMETRES
        return self.foot == other.foot and near and (self.at.points - other.at.points) % 8 == 0


def start_of(steps: Sequence[Step]) -> Stance:
    """Return feet together at the origin, the first moving foot free."""
    first = next((step.foot for step in steps if step.foot in (Foot.LEFT, Foot.RIGHT)), Foot.RIGHT)
    return opening_stance(first or Foot.RIGHT)


def prints_of(trodden: Sequence[Trodden]) -> list[Print]:
    """Return the prints in order; a print trodden again collects the counts."""
    prints: list[Print] = []
    for each in trodden:
        feet = {Foot.LEFT: "L", Foot.RIGHT: "R", Foot.BOTH: "LR", None: ""}[each.foot]
        for foot in feet:
            at = each.stance.left if foot == "L" else each.stance.right
            new = Print(foot, at, each.stance.weight in (foot, Foot.BOTH), [each.label])
            old = next((other for other in reversed(prints) if other.is_same_place(new)), None)
            if old is None:
                prints.append(new)
            else:
                old.labels.append(each.label)
                old.has_weight = old.has_weight or new.has_weight
    return prints


def figure_drawing(
    steps: Sequence[Step],
    start: Stance | None = None,
    labels: Sequence[str] | None = None,
    description: str = "",
    ink: Ink = PLAIN_INK,
) -> str:
    """Return an inline SVG of the foot prints of ``steps``, seen from above, 12:00 at the top.

    The starting feet are faint broken outlines; each print bears its counts; weight is a filled sole, no
    weight an outlined one; a chevron shows the last facing. No ids, no style sheet: many fit on one page.

    Args:
        steps: actions in order.
        start: the stance before them; by default feet together, the first moving foot free.
        labels: what is said on each step; by default counted from the first whole count.
        description: words for those who do not see it; "" hides it from screen readers.
        ink: colours.
    """
    first = start or start_of(steps)
    return floor_drawing(first, _dance(steps, first, labels), description, ink)


def floor_drawing(
    first: Stance, trodden: Sequence[Trodden], description: str = "", ink: Ink = PLAIN_INK
) -> str:
    """Return an inline SVG of foot prints already danced; see :func:`figure_drawing`."""
    prints = prints_of(trodden)
    end = trodden[-1].stance if trodden else first
    centres = [each.centre for each in prints]
    centres += [(foot.x * 100, -foot.y * 100) for foot in (first.left, first.right)]
    chevron = _chevron_place(centres, end)
    left, top, width, height = _box(centres, chevron)
    feet = _start_feet(first, ink) + "".join(_print(each, ink) for each in prints)
    body = feet + _chevron(chevron, end.facing, ink)
    name = f'role="img" aria-label="{escaped(description)}"' if description else 'aria-hidden="true"'
    box = f"{left:.0f} {top:.0f} {width:.0f} {height:.0f}"
    size = f'width="{width * 1.6:.0f}" height="{height * 1.6:.0f}"'
    return (
        f'<svg class="figure-drawing" xmlns="http://www.w3.org/2000/svg" viewBox="{box}" {size} {name} '
        f'font-family="system-ui, sans-serif" font-weight="700" text-anchor="middle">{body}</svg>'
    )


def _dance(steps: Sequence[Step], first: Stance, labels: Sequence[str] | None) -> list[Trodden]:
    said = list(labels) if labels is not None else default_labels(steps)
    moments = dance_steps(steps, first)
    return [Trodden(m.step.foot, m.stance, label) for m, label in zip(moments, said, strict=True)]


def default_labels(steps: Sequence[Step]) -> list[str]:
    """Return the count labels of ``steps`` counted from the whole count on or after which they begin."""
    whole = min((step.at for step in steps if step.at.denominator == 1), default=None)
    first = whole if whole is not None else (steps[0].at if steps else None)
    return [count_label(step.at, first) if first is not None else "" for step in steps]


def _box(
    centres: Sequence[tuple[float, float]], chevron: tuple[float, float]
) -> tuple[float, float, float, float]:
    half = LENGTH_CENTIMETRES / 2 + MARGIN_CENTIMETRES
    lefts = [x - half for x, _ in centres] + [chevron[0] - MARGIN_CENTIMETRES]
    tops = [y - half for _, y in centres] + [chevron[1] - MARGIN_CENTIMETRES]
    rights = [x + half for x, _ in centres] + [chevron[0] + MARGIN_CENTIMETRES]
    bottoms = [y + half for _, y in centres] + [chevron[1] + MARGIN_CENTIMETRES]
    return (min(lefts), min(tops), max(rights) - min(lefts), max(bottoms) - min(tops))


def _chevron_place(centres: Sequence[tuple[float, float]], end: Stance) -> tuple[float, float]:
    """Return a place before the dancer, beyond every print, so that the chevron covers none of them."""
    x, y = end.centre[0] * 100, -end.centre[1] * 100
    ahead = (sin(end.facing * pi / 4), -cos(end.facing * pi / 4))
    furthest = max([0.0, *((cx - x) * ahead[0] + (cy - y) * ahead[1] for cx, cy in centres)])
    away = furthest + LENGTH_CENTIMETRES / 2 + 7
    return (x + away * ahead[0], y + away * ahead[1])


def _start_feet(first: Stance, ink: Ink) -> str:
    pieces = []
    for foot, at in (("L", first.left), ("R", first.right)):
        shape = sole(foot, "air", False, ink)
        pieces.append(f'<g transform="{_place(at)}" opacity=".55">{shape}</g>')
    return "".join(pieces)


def _print(each: Print, ink: Ink) -> str:
    shape = sole(each.foot, each.at.contact, each.has_weight, ink)
    colour = ink.left if each.foot == "L" else ink.right
    inside = (
        each.has_weight and each.at.contact not in ("heel", "toe", "air") and len("".join(each.labels)) < 3
    )
    label = escaped(" ".join(each.labels))
    angle = each.at.points * pi / 4
    x, y = each.centre
    if inside:
        x, y = x + 5.5 * sin(angle), y - 5.5 * cos(angle)
        text = f'<text x="{x:.1f}" y="{y + 3.6:.1f}" font-size="10.5" fill="{ink.ground}">{label}</text>'
    else:
        # Beside the sole, on its outer side, so that the other foot does not lie under the number.
        side = -1 if each.foot == "L" else 1
        away = 10 + 2.6 * len(label)
        x, y = x + side * away * cos(angle), y + side * away * sin(angle)
        text = (
            f'<text x="{x:.1f}" y="{y + 3.6:.1f}" font-size="10.5" fill="{colour}" stroke="{ink.ground}" '
            f'stroke-width="3" paint-order="stroke">{label}</text>'
        )
    return f'<g transform="{_place(each.at)}">{shape}</g>{text}'


def _place(at: FootAt) -> str:
    return f"translate({at.x * 100:.1f} {-at.y * 100:.1f}) rotate({at.points * 45})"


def _chevron(place: tuple[float, float], facing: int, ink: Ink) -> str:
    """A chevron that shows where the figure leaves the dancer facing."""
    return (
        f'<path transform="translate({place[0]:.1f} {place[1]:.1f}) rotate({facing * 45})" d="M-7 3 0-3 7 3" '
        f'fill="none" stroke="{ink.line}" stroke-width="2.6" stroke-linecap="round" stroke-linejoin="round">'
        f"<title>{clock(facing)}</title></path>"
    )


def figure_text_drawing(steps: Sequence[Step], language: str = "en") -> str:
    """Return a small drawing of the foot prints of ``steps`` in rows of characters, 12:00 at the top.

    ``R1`` is the right foot with weight on count 1, ``(L2)`` the left without weight, ``L.`` and ``R.`` the
    starting feet (G and D in French). A print not pointing to 12:00 bears an arrow. Columns are 5.5 cm and
    rows 16 cm of floor; prints that would overlap move to the next free row.
    """
    words = page_words(language)
    first = start_of(steps)
    prints = prints_of(_dance(steps, first, None))
    letters = {foot: words.say("feet", f"letter_{foot}") for foot in "LR"}
    tokens = [_token(each, letters) for each in prints]
    places = [(each.at.x, each.at.y) for each in prints]
    for foot, at in (("L", first.left), ("R", first.right)):
        here = Print(foot, at, False)
        if not any(here.is_same_place(each) for each in prints):
            tokens.append(f"{letters[foot]}.")
            places.append((at.x, at.y))
    return _rows(tokens, places)


def _token(each: Print, letters: dict[str, str]) -> str:
    arrow = ARROWS[each.at.points % 8] if each.at.points % 8 else ""
    text = f"{letters[each.foot]}{','.join(each.labels)}{arrow}"
    return text if each.has_weight else f"({text})"


def _rows(tokens: Sequence[str], places: Sequence[tuple[float, float]]) -> str:
    grid: dict[int, dict[int, str]] = {}
    for token, (x, y) in zip(tokens, places, strict=True):
        row, column = -2 * round(y / ROW_METRES), round(x / COLUMN_METRES) - len(token) // 2
        # Odd rows exist only for prints pushed off a taken place; empty ones vanish below.
        while not _is_free(grid.get(row, {}), column, len(token)):
            row += 1
        for offset, char in enumerate(token):
            grid.setdefault(row, {})[column + offset] = char
    if not grid:
        return ""
    left = min(min(row) for row in grid.values())
    rows = [row for row in range(min(grid), max(grid) + 1) if row in grid or row % 2 == 0]
    return "\n".join(_text_of(grid.get(row, {}), left) for row in rows)


def _is_free(row: dict[int, str], column: int, length: int) -> bool:
    return not any(place in row for place in range(column - 1, column + length + 1))


def _text_of(row: dict[int, str], left: int) -> str:
    return "".join(row.get(column, " ") for column in range(left, max(row, default=left - 1) + 1))
