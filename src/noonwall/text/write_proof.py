"""Prove a wording: what the reader makes of a line must be the steps it was written for."""

from __future__ import annotations

from enum import Enum
from fractions import Fraction

from noonwall.dance.model import Foot, Step
from noonwall.text.labels import read_label
from noonwall.text.layout import Layout
from noonwall.text.resolve import Slot, resolve
from noonwall.text.steps import read_line

_STEP = {
    ("en", Foot.RIGHT): "step R beside L",
    ("en", Foot.LEFT): "step L beside R",
    ("en", None): "step to side",
    ("fr", Foot.RIGHT): "poser PD à côté du PG",
    ("fr", Foot.LEFT): "poser PG à côté du PD",
    ("fr", None): "pas de côté",
}
"""A plain step after the line, by language and foot; None is whichever foot is free."""


class Proof(Enum):
    """How sure it is that a text reads back as the steps it was written for."""

    NONE = 0
    IN_CONTEXT = 1
    CERTAIN = 2


def proof_of(
    text: str,
    label: str,
    language: str,
    steps: tuple[Step, ...],
    free: Foot,
    following: Foot | None = None,
) -> Proof:
    """Return how surely the reader understands ``text`` after ``label`` as exactly ``steps``.

    The reader weighs a whole dance at once: a foot far away may decide an open choice in this line. The
    text is certain if it reads so at the end of a dance, before a step of either loop, and before the
    step that follows; in context if it does before that step alone.

    Args:
        text: the step text of a line.
        label: its counts as they will be written, such as "3&4".
        language: "en" or "fr".
        steps: the acts meant; their counts count from the label's first whole count.
        free: the foot that is free before the line.
        following: the foot that steps next in the dance, or None.
    """
    told = read_label(f"{label} {text}")
    if told is None or f"{label} {text}"[told.end :].strip() != text.strip():
        return Proof.NONE  # "3-4" before "1 ½ turn" would take the 1 as a count
    base = Fraction(int(told.ticks[0] // 1))
    read = read_line(text, tuple(tick - base for tick in told.ticks), language)
    if read.line.unknown or read.line.option or not read.layouts:
        return Proof.NONE
    layouts = list(read.layouts)
    if not _tells(layouts, read.weight_on, _STEP[language, following], language, steps, free):
        return Proof.NONE
    for after in ("", _STEP[language, None]):
        if not _tells(layouts, read.weight_on, after, language, steps, free):
            return Proof.IN_CONTEXT
    return Proof.CERTAIN


def _tells(
    layouts: list[Layout], weight_on: str, after: str, language: str, steps: tuple[Step, ...], free: Foot
) -> bool:
    """True if the reader's story of a line, with a step ``after`` it, is ``steps``."""
    slots = [Slot(layouts, (), weight_on)]
    if after:
        slots.append(Slot(list(read_line(after, (Fraction(0),), language).layouts)))
    _, outcome, _, _ = resolve(slots, free, None).choices[0]
    return len(outcome.steps) == len(steps) and all(
        _same(read_step, step) for read_step, step in zip(outcome.steps, steps, strict=True)
    )


def _same(read_step: Step, step: Step) -> bool:
    return (
        read_step.at == step.at
        and read_step.move == step.move
        and read_step.foot is step.foot
        and read_step.takes_weight == step.takes_weight
        and read_step.to == step.to
        and read_step.turn == step.turn
        and read_step.side == step.side
    )
