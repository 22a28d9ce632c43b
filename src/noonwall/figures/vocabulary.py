"""Load the vocabulary and refuse to hold anything that breaks its invariants."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from importlib import resources
from itertools import pairwise
from typing import Any

from noonwall.errors import BrokenVocabulary

PLACES = frozenset({
    "fwd", "back", "side", "cross", "behind", "together", "place", "out", "in",
    "diag-fwd", "diag-back", "lock-behind", "lock-front",
})  # fmt: skip
TURN_RE = re.compile(r"[+-]\d")
OTHER_FOOT = {"R": "L", "L": "R"}
OFFSETS = {"e": Fraction(1, 4), "&": Fraction(1, 2), "a": Fraction(3, 4)}


@dataclass(frozen=True, slots=True)
class Move:
    """What one foot or the body does at one count. See ``moves.toml`` for the fields."""

    id: str
    weight: str
    contact: str
    feet: str
    effort: int
    cautions: tuple[str, ...]
    to: str


@dataclass(frozen=True, slots=True)
class FormStep:
    """One step of a figure written for a right-foot lead. ``open_place``: a text may name another place."""

    foot: str
    move: str
    to: str
    open_place: bool
    turn: int


@dataclass(frozen=True, slots=True)
class Form:
    """One way a figure is danced: ``ticks`` in counts from its start, one per step; its ``counts``."""

    ticks: tuple[Fraction, ...]
    counts: Fraction
    steps: tuple[FormStep, ...]


@dataclass(frozen=True, slots=True)
class FigureDef:
    """A figure of the trade. ``forms[0]`` is the usual way; ``turn_on`` holds step indexes from 0.

    ``styled`` marks one that only its style tells from plain steps (knees, heels, the way round): steps alone
    are never given its name.
    """

    id: str
    family: str
    forms: tuple[Form, ...]
    turn_on: tuple[int, ...]
    turn_side: str
    difficulty: int
    cautions: tuple[str, ...]
    source: str
    styled: bool = False


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """All moves and figures by id."""

    moves: dict[str, Move]
    figures: dict[str, FigureDef]


def ticks_of(pattern: str) -> tuple[Fraction, ...]:
    """Return the moments of a count pattern from its first count: ``"1&2"`` gives 0, 1/2, 1.

    ``"1-4"`` is every count from 1 to 4; a leading "&" lies half a count before the first number.
    """
    ranged = re.fullmatch(r"(\d+)-(\d+)", pattern)
    if ranged:
        first, last = int(ranged[1]), int(ranged[2])
        return tuple(Fraction(i - first) for i in range(first, last + 1))
    ticks: list[Fraction] = []
    pending: list[Fraction] = []
    base: int | None = None
    current = 0
    for char in pattern:
        if char.isdigit():
            current = int(char)
            base = current if base is None else base
            ticks += [Fraction(current - 1 - base) + p for p in pending]
            pending = []
            ticks.append(Fraction(current - base))
        elif char in OFFSETS:
            if base is None:
                pending.append(OFFSETS[char])
            else:
                ticks.append(Fraction(current - base) + OFFSETS[char])
    return tuple(ticks)


def _form(where: str, entry: dict[str, Any], moves: dict[str, Move]) -> Form:
    steps = tuple(_form_step(where, text, moves) for text in entry["steps"])
    ticks = ticks_of(entry["counts"])
    if len(ticks) != len(steps):
        raise BrokenVocabulary(f"{where}: {len(steps)} steps cannot stand on counts {entry['counts']}.")
    if any(b <= a for a, b in pairwise(ticks)):
        raise BrokenVocabulary(f"{where}: the counts {entry['counts']} do not go forward.")
    last = ticks[-1]
    counts = Fraction(int(last) + 1) if last >= 0 else Fraction(1)
    if "span" in entry:
        counts = Fraction(entry["span"])
    _prove_weight(where, steps)
    return Form(ticks, counts, steps)


def _form_step(where: str, text: str, moves: dict[str, Move]) -> FormStep:
    words = text.split()
    if len(words) < 2 or words[0] not in ("R", "L", "B", "-") or words[1] not in moves:
        raise BrokenVocabulary(f'{where}: "{text}" is not FOOT MOVE [PLACE] [TURN].')
    to, open_place, turn = moves[words[1]].to, False, 0
    for word in words[2:]:
        if TURN_RE.fullmatch(word):
            turn = int(word)
        elif word.lstrip("?") in PLACES:
            to, open_place = word.lstrip("?"), word.startswith("?")
        else:
            raise BrokenVocabulary(f'{where}: "{word}" is neither a place nor a turn.')
    return FormStep(words[0], words[1], to, open_place, turn)


def _prove_weight(where: str, steps: tuple[FormStep, ...]) -> None:
    """A foot cannot step twice in a row, and a weightless foot must be the free one (facts.md, part 4)."""
    first = steps[0]
    free = first.foot if first.foot in OTHER_FOOT else ""
    if first.move == "hop":
        free = OTHER_FOOT[first.foot]
    for step in steps:
        if step.foot == "B" or step.move in ("bump", "sway"):
            free = ""  # both feet may carry: the next step decides
        elif step.foot == "-" or step.move in ("twist", "swivel"):
            continue
        elif step.move == "hop":
            if step.foot == free:
                raise BrokenVocabulary(f"{where}: the {step.foot} foot hops but carries no weight.")
            free = OTHER_FOOT[step.foot]
        elif free and step.foot != free:
            raise BrokenVocabulary(f"{where}: the {step.foot} foot moves while it carries the weight.")
        else:
            free = OTHER_FOOT[step.foot] if _takes_weight(step) else step.foot


def _takes_weight(step: FormStep) -> bool:
    return vocabulary_moves()[step.move].weight == "yes"


@lru_cache(maxsize=1)
def vocabulary_moves() -> dict[str, Move]:
    """Return the table of moves by id."""
    raw = tomllib.loads(resources.files(__package__).joinpath("moves.toml").read_text("utf-8"))
    moves = {}
    for name, entry in raw.items():
        if entry["weight"] not in ("yes", "no", "unclear"):
            raise BrokenVocabulary(f"moves.toml [{name}]: weight must be yes, no or unclear.")
        moves[name] = Move(
            name,
            entry["weight"],
            entry.get("contact", "flat"),
            entry.get("feet", "one"),
            entry["effort"],
            tuple(entry.get("cautions", ())),
            entry.get("to", ""),
        )
    return moves


@lru_cache(maxsize=1)
def vocabulary() -> Vocabulary:
    """Load and prove the whole vocabulary.

    Raises:
        BrokenVocabulary: an entry breaks an invariant; the message names file, id and reason.
    """
    moves = vocabulary_moves()
    figures: dict[str, FigureDef] = {}
    files = sorted(
        (f for f in resources.files(__package__).iterdir() if f.name.endswith(".toml")), key=lambda f: f.name
    )
    for file in files:
        if file.name == "moves.toml":
            continue
        family = file.name.removesuffix(".toml")
        for name, entry in tomllib.loads(file.read_text("utf-8")).items():
            where = f"{file.name} [{name}]"
            if name in figures:
                raise BrokenVocabulary(f"{where}: this id stands twice.")
            figures[name] = _figure(name, family, where, entry, moves)
    return Vocabulary(moves, figures)


def _figure(name: str, family: str, where: str, entry: dict[str, Any], moves: dict[str, Move]) -> FigureDef:
    missing = {"counts", "steps", "difficulty", "source"} - entry.keys()
    if missing:
        raise BrokenVocabulary(f"{where}: {', '.join(sorted(missing))} missing.")
    unknown = entry.keys() - {
        "counts", "steps", "span", "turn_on", "turn_side", "difficulty", "cautions", "source", "forms",
        "styled",
    }  # fmt: skip
    if unknown:
        raise BrokenVocabulary(f"{where}: no field is called {', '.join(sorted(unknown))}.")
    forms = tuple(_form(where, form, moves) for form in [entry, *entry.get("forms", [])])
    turn_on = tuple(i - 1 for i in entry.get("turn_on", [1]))
    if any(i not in range(len(forms[0].steps)) for i in turn_on):
        raise BrokenVocabulary(f"{where}: turn_on names a step that is not there.")
    if not 1 <= entry["difficulty"] <= 10:
        raise BrokenVocabulary(f"{where}: difficulty must lie between 1 and 10.")
    return FigureDef(
        name,
        family,
        forms,
        turn_on,
        entry.get("turn_side", ""),
        entry["difficulty"],
        tuple(entry.get("cautions", ())),
        entry["source"],
        bool(entry.get("styled", False)),
    )
