"""Prove a wording: what the reader makes of a line must be the steps it was written for."""

from __future__ import annotations

from fractions import Fraction

from noonwall.dance.model import Foot, Step
from noonwall.text.labels import read_label
from noonwall.text.resolve import Slot, resolve
from noonwall.text.steps import read_line

_PROBE = {
    ("en", Foot.RIGHT): "step R beside L",
    ("en", Foot.LEFT): "step L beside R",
    ("fr", Foot.RIGHT): "poser PD à côté du PG",
    ("fr", Foot.LEFT): "poser PG à côté du PD",
}


def reads_as(
    text: str,
    label: str,
    language: str,
    steps: tuple[Step, ...],
    free: Foot,
    following: Foot | None = None,
) -> bool:
    """True if the reader understands ``text`` after ``label`` as exactly ``steps``, and every word of it.

    Args:
        text: the step text of a line.
        label: its counts as they will be written, such as "3&4".
        language: "en" or "fr".
        steps: the acts meant; their counts count from the label's first whole count.
        free: the foot that is free before the line.
        following: the foot that steps next in the dance, which decides an open choice, or None.
    """
    told = read_label(f"{label} {text}")
    if told is None:
        return False
    base = Fraction(int(told.ticks[0] // 1))
    rhythm = tuple(tick - base for tick in told.ticks)
    read = read_line(text, rhythm, language)
    if read.line.unknown or read.line.option or not read.layouts:
        return False
    slots = [Slot(list(read.layouts), (), read.weight_on)]
    probe = _PROBE.get((language, following)) if following else None
    if probe:
        slots.append(Slot(list(read_line(probe, (Fraction(0),), language).layouts)))
    story = resolve(slots, free, None)
    _, outcome, _, _ = story.choices[0]
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
