"""Recognise the figures in plain steps, so that a heading can name what its section dances.

The names come from the danced content alone, never from how the dance was first written: two texts of
one dance get the same headings.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from noonwall.dance.model import Foot, Step
from noonwall.figures import FigureDef, Form, vocabulary
from noonwall.text.write_words import Wording

_ALIKE = {"ball": "step", "walk": "step"}
_COVERS = {"step": ("step", "ball", "walk"), "ball": ("ball", "step")}
"""Moves that one word of a figure covers: the step of a shuffle may be a walk or on the ball of the foot."""
OTHER_PLACE = 0.06
"""What a name costs for each act danced at another place than usual: a cross point is no step point."""


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


def pieces_of(steps: tuple[Step, ...]) -> list[Piece]:
    """Cut steps into as few named figures and single acts as possible."""
    best: list[tuple[float, Piece | None]] = [(0.0, None)] * (len(steps) + 1)
    for start in range(len(steps) - 1, -1, -1):
        single = Piece("", steps[start].foot, steps[start : start + 1])
        best[start] = (1.0 + best[start + 1][0], single)
        for figure, form, lead in _matches(steps, start):
            end = start + len(form.steps)
            told = zip(steps[start:end], form.steps, strict=True)
            elsewhere = sum(step.to != form_step.to for step, form_step in told)
            cost = 1.0 + 0.01 * figure.difficulty + OTHER_PLACE * elsewhere + best[end][0]
            if cost < best[start][0]:
                place = next(
                    (s.to for s, f in zip(steps[start:end], form.steps, strict=True) if f.open_place), ""
                )
                best[start] = (cost, Piece(figure.id, lead, steps[start:end], place))
    out = []
    at = 0
    while at < len(steps):
        piece = best[at][1]
        assert piece is not None
        out.append(piece)
        at += len(piece.steps)
    return out


@lru_cache(maxsize=1)
def _forms() -> dict[tuple[str, Fraction], list[tuple[FigureDef, Form]]]:
    """Return every form of two steps and more by its first move and the time to its second."""
    out: dict[tuple[str, Fraction], list[tuple[FigureDef, Form]]] = {}
    for figure in vocabulary().figures.values():
        for form in figure.forms:
            if len(form.steps) > 1:
                first = form.steps[0].move
                key = (_ALIKE.get(first, first), form.ticks[1] - form.ticks[0])
                out.setdefault(key, []).append((figure, form))
    return out


def _matches(steps: tuple[Step, ...], start: int) -> Iterator[tuple[FigureDef, Form, Foot]]:
    if start + 1 >= len(steps):
        return
    first = steps[start]
    key = (_ALIKE.get(first.move, first.move), steps[start + 1].at - first.at)
    for figure, form in _forms().get(key, ()):
        if start + len(form.steps) <= len(steps):
            for lead in (Foot.RIGHT, Foot.LEFT):
                if _danced(form, steps[start : start + len(form.steps)], lead):
                    yield figure, form, lead
                    break


def _danced(form: Form, steps: tuple[Step, ...], lead: Foot) -> bool:
    """True if ``steps`` dance ``form`` led by ``lead``."""
    feet = {"R": lead, "L": lead.other, "B": Foot.BOTH, "-": None}
    for tick, told, step in zip(form.ticks, form.steps, steps, strict=True):
        if step.at - steps[0].at != tick - form.ticks[0] or step.foot is not feet[told.foot]:
            return False
        if step.move not in _COVERS.get(told.move, (told.move,)):
            return False
        if told.to != step.to and not told.open_place:
            return False
        natural = told.turn if lead is Foot.RIGHT else -told.turn
        if natural and natural * step.turn <= 0:
            return False
    return True


def heading_of(pieces: list[Piece], wording: Wording) -> str:
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
