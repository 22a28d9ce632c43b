"""How much a stretch asks of a class: figures, those it does not know, off-beat steps, turns, pace.

The unit is our own: 10 points are a figure of difficulty 1 (a walk) that the class knows, on the beat,
without a turn, at 110 beats a minute or slower (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from noonwall.figures import vocabulary, vocabulary_moves
from noonwall.teach.knowing import ClassKnows
from noonwall.teach.spans import Span

PER_DIFFICULTY = 10
PER_EFFORT = 4
"""Points of a plain step for each grade of effort of its move: a loose step has no name to remember it by."""
PER_OFF_BEAT = 5
PER_QUARTER_TURN = 5
EASY_BPM, HARD_BPM = 110.0, 180.0
"""Between these the pace adds up to half; beginners are best off at 90 to 140 (own summary, no source)."""


@dataclass(frozen=True, slots=True)
class Work:
    """The points of a stretch, by where they come from; ``pace_percent`` is added to all of them."""

    figures: int = 0
    new: int = 0
    off_beat: int = 0
    turns: int = 0
    pace_percent: int = 0

    @property
    def points(self) -> int:
        """All points together."""
        plain = self.figures + self.new + self.off_beat + self.turns
        return round(plain * (100 + self.pace_percent) / 100)


def work_of(spans: Iterable[Span], knows: ClassKnows, bpm: float) -> Work:
    """Return what a stretch asks of a class at a tempo in dancers' counts a minute.

    A figure that comes again in the stretch is new only once.
    """
    figures = off_beat = turns = 0
    new = 0.0
    met: set[str] = set()
    table = vocabulary().figures
    for span in spans:
        if span.figure:
            points = PER_DIFFICULTY * table[span.figure].difficulty
            figures += points
            if span.figure not in met:
                new += points * (1 - knows.of(span.figure))
                met.add(span.figure)
        else:
            moves = vocabulary_moves()
            figures += PER_EFFORT * max(moves[step.move].effort for step in span.steps)
        off_beat += PER_OFF_BEAT * span.off_beat
        turns += PER_QUARTER_TURN * sum(abs(step.turn) for step in span.steps) // 2
    return Work(figures, round(new), off_beat, turns, pace_percent(bpm))


def pace_percent(bpm: float) -> int:
    """Return what a tempo adds to the difficulty, 0 up to 110 counts a minute, 50 from 180 on."""
    share = (bpm - EASY_BPM) / (HARD_BPM - EASY_BPM)
    return round(50 * min(1.0, max(0.0, share)))
