"""A part as spans: figures and plain steps in order, each with the counts it fills.

An upbeat ("&1") sounds before its section begins but is learned with it, so it counts from the section's
start.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from noonwall.dance.model import Figure, Foot, Part, Section, Step
from noonwall.figures import vocabulary
from noonwall.floor import Stance, dance_part, opening_stance


@dataclass(frozen=True, slots=True)
class Span:
    """A figure of the vocabulary, or one plain step with what happens on the same count.

    Attributes:
        figure: id of the figure, "" for a plain step.
        at: counts from the start of the part.
        end: where the next span begins.
        steps: its actions; their own counts may lie before ``at`` (an upbeat).
        lead: the foot that moves first.
    """

    figure: str
    at: Fraction
    end: Fraction
    steps: tuple[Step, ...]
    lead: Foot | None

    @property
    def turn(self) -> int:
        """Net turn in eighths."""
        return sum(step.turn for step in self.steps)

    @property
    def off_beat(self) -> int:
        """How many of its actions fall between whole counts."""
        return sum(step.at.denominator != 1 for step in self.steps)


def spans_of(part: Part) -> tuple[Span, ...]:
    """Return the spans of a part in order; the first begins with the part, the last ends with it."""
    found: list[tuple[Fraction, str, tuple[Step, ...], Foot | None]] = []
    for section in part.sections:
        for figure in section.figures:
            for name, steps, lead in _pieces(figure):
                at = max(section.at, steps[0].at)
                if found and not name and not found[-1][1] and found[-1][0] == at:
                    begun = found.pop()
                    found.append((at, "", begun[2] + steps, begun[3]))
                else:
                    found.append((at, name, steps, lead))
    found.sort(key=lambda one: one[0])
    ends = [*(one[0] for one in found[1:]), *([part.counts] if found else [])]
    return tuple(
        Span(name, at, max(at, end), steps, lead)
        for (at, name, steps, lead), end in zip(found, ends, strict=True)
    )


def _pieces(figure: Figure) -> list[tuple[str, tuple[Step, ...], Foot | None]]:
    if not figure.steps:
        return []
    if figure.id in vocabulary().figures and len(figure.steps) > 1:
        return [(figure.id, figure.steps, figure.lead)]
    return [("", (step,), step.foot) for step in figure.steps]


def entered(part: Part, start: Foot) -> Stance:
    """Return the stance in which a part begins, facing 12:00: on the foot that its first act leaves free."""
    if part.kind != "main":
        for step in part.steps:
            if step.foot in (Foot.LEFT, Foot.RIGHT):
                return opening_stance(start if step.move in _ON_EITHER_FOOT else step.foot)
            if step.foot is Foot.BOTH:
                break
    return opening_stance(start)


_ON_EITHER_FOOT = frozenset({"bump", "sway", "swivel", "hop"})


@dataclass(frozen=True, slots=True)
class Danced:
    """A part danced once from 12:00: when each action is learned (an upbeat with its section), its stance."""

    start: Stance
    times: tuple[Fraction, ...]
    steps: tuple[Step, ...]
    stances: tuple[Stance, ...]

    def before(self, count: Fraction | int) -> Stance:
        """Return the stance when everything before ``count`` has been danced."""
        stance = self.start
        for time, after in zip(self.times, self.stances, strict=True):
            if time >= count:
                break
            stance = after
        return stance

    def between(self, since: Fraction | int, until: Fraction | int) -> tuple[Step, ...]:
        """Return the actions learned from count ``since`` up to, not including, ``until``."""
        return tuple(step for time, step in zip(self.times, self.steps, strict=True) if since <= time < until)


def danced(part: Part, start: Foot) -> Danced:
    """Dance a part once, from 12:00, on the foot it begins with."""
    track = dance_part(part, entered(part, start))
    begun = [section for section in part.sections for _ in section.steps]
    times = tuple(_time(section, step) for section, step in zip(begun, part.steps, strict=True))
    return Danced(track.start, times, part.steps, tuple(moment.stance for moment in track.moments))


def _time(section: Section, step: Step) -> Fraction:
    return max(section.at, step.at)
