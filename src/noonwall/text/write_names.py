"""Recognise the figures in plain steps, so that a heading can name what its section dances.

The names come from the danced content alone, never from how the dance was first written: two texts of
one dance get the same headings.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from noonwall.dance.model import Foot, Step
from noonwall.figures import FigureDef, Form, vocabulary
from noonwall.text.write_words import Wording

_COVERS = {"step": ("step", "ball", "walk"), "ball": ("ball", "step"), "point": ("point", "touch")}
"""Moves that one word of a figure covers: the step of a shuffle may be a walk or on the ball of the foot, and
many touch where others point."""
OTHER_PLACE = 0.06
"""What a name costs for each act danced at another place than usual: a cross point is no step point."""
ADDED_TURN = 0.05
"""What a name costs for each act that turns though the figure does not: a Monterey is no point, together."""
OFF_PAIR, OFF_COUNT = 0.1, 0.2
"""What it costs that a figure begins on an even count, or between counts.

Of two ways to cut the same steps into as many figures, dancers hear the one whose figures begin on 1, 3, 5
and 7 (common practice, no source).
"""


@dataclass(frozen=True, slots=True)
class Piece:
    """A run of steps that one name covers; ``figure`` is "" for an act that belongs to none."""

    figure: str
    lead: Foot | None
    steps: tuple[Step, ...]
    place: str = ""

    @property
    def turn(self) -> int:
        """Net turn in eighths."""
        return sum(step.turn for step in self.steps)


_TICKS = 48
"""Ticks of a count: enough for every division that a sheet writes, so that counts compare as integers."""


@dataclass(frozen=True, slots=True)
class _Pattern:
    """A form to look for: for each step its tick, the moves it covers, and the step itself."""

    figure: FigureDef
    form: Form
    ticks: tuple[int, ...]
    moves: tuple[tuple[str, ...], ...]


@lru_cache(maxsize=4096)
def pieces_of(steps: tuple[Step, ...]) -> tuple[Piece, ...]:
    """Cut steps into as few named figures and single acts as possible."""
    ticks = [int(step.at * _TICKS) for step in steps]
    best: list[tuple[float, Piece | None]] = [(0.0, None)] * (len(steps) + 1)
    for start in range(len(steps) - 1, -1, -1):
        single = Piece("", steps[start].foot, steps[start : start + 1])
        best[start] = (1.0 + best[start + 1][0], single)
        off = OFF_COUNT if ticks[start] % _TICKS else OFF_PAIR if ticks[start] % (2 * _TICKS) else 0.0
        for figure, form, lead in _matches(steps, ticks, start):
            end = start + len(form.steps)
            told = list(zip(steps[start:end], form.steps, strict=True))
            elsewhere = sum(step.to != form_step.to for step, form_step in told)
            added = sum(bool(step.turn) and not form_step.turn for step, form_step in told)
            cost = 1.0 + 0.01 * figure.difficulty + OTHER_PLACE * elsewhere + ADDED_TURN * added
            cost += off + best[end][0]
            if cost < best[start][0]:
                place = next((step.to for step, form_step in told if form_step.open_place), "")
                best[start] = (cost, Piece(figure.id, lead, steps[start:end], place))
    out = []
    at = 0
    while at < len(steps):
        piece = best[at][1]
        assert piece is not None
        out.append(piece)
        at += len(piece.steps)
    return tuple(out)


@lru_cache(maxsize=1)
def _patterns() -> dict[tuple[str, str, int], list[_Pattern]]:
    """Return every form of two steps and more by the moves of its first two and the time between them."""
    out: dict[tuple[str, str, int], list[_Pattern]] = {}
    for figure in vocabulary().figures.values():
        for form in figure.forms:
            if len(form.steps) < 2 or figure.styled:
                continue
            ticks = tuple(int((tick - form.ticks[0]) * _TICKS) for tick in form.ticks)
            moves = tuple(_COVERS.get(step.move, (step.move,)) for step in form.steps)
            pattern = _Pattern(figure, form, ticks, moves)
            for first in moves[0]:
                for second in moves[1]:
                    out.setdefault((first, second, ticks[1]), []).append(pattern)
    return out


def _matches(steps: tuple[Step, ...], ticks: list[int], start: int) -> Iterator[tuple[FigureDef, Form, Foot]]:
    if start + 1 >= len(steps):
        return
    key = (steps[start].move, steps[start + 1].move, ticks[start + 1] - ticks[start])
    for pattern in _patterns().get(key, ()):
        end = start + len(pattern.ticks)
        if end > len(steps) or any(
            ticks[k] - ticks[start] != tick or steps[k].move not in moves
            for k, tick, moves in zip(range(start, end), pattern.ticks, pattern.moves, strict=True)
        ):
            continue
        for lead in (Foot.RIGHT, Foot.LEFT):
            if _danced(pattern.form, steps[start:end], lead):
                yield pattern.figure, pattern.form, lead
                break


def _danced(form: Form, steps: tuple[Step, ...], lead: Foot) -> bool:
    """True if ``steps``, of the right moves and times, use the feet, places and turns of ``form``."""
    feet = {"R": lead, "L": lead.other, "B": Foot.BOTH, "-": None}
    for told, step in zip(form.steps, steps, strict=True):
        if step.foot is not feet[told.foot] or (told.to != step.to and not told.open_place):
            return False
        natural = told.turn if lead is Foot.RIGHT else -told.turn
        if natural and natural * step.turn <= 0:
            return False
    return True


def heading_of(pieces: tuple[Piece, ...], wording: Wording) -> str:
    """Return the names of a section's figures in capitals, as headings have them."""
    names = [_name(piece, wording) for piece in pieces]
    told: list[str] = []
    at = 0
    while at < len(names):
        run = 1
        while at + run < len(names) and names[at + run] == names[at]:
            run += 1
        times = wording.one("heading", "times").format(name=names[at], times=run)
        told.append(times if run > 1 else names[at])
        at += run
    return wording.one("heading", "names").join(told)


def _name(piece: Piece, wording: Wording) -> str:
    if piece.figure:
        name = wording.figures[piece.figure].upper()
        if piece.lead in (Foot.LEFT, Foot.RIGHT):
            side = wording.one("sides", piece.lead.value)
            name = wording.one("heading", "lead").format(name=name, side=side)
    else:
        step = piece.steps[0]
        found = wording.all("moves_named", f"{step.move}-{step.to}") or wording.all("moves_named", step.move)
        name = (found[0] if found else step.move).upper()
    eighths = str(abs(piece.turn))
    if piece.turn and eighths in wording.tables["fractions"]:
        side = wording.one("sides", "R" if piece.turn > 0 else "L")
        says_turn = any(word in name for word in wording.all("heading", "turn_words"))
        key = ("full_turn" if eighths == "8" else "turn") + ("_again" if says_turn else "")
        fraction = wording.one("fractions", eighths)
        name = wording.one("heading", key).format(name=name, fraction=fraction, turn=side)
    return name
