"""Beats in, bars, eights and phrases out, decided together.

Each beat carries three log odds: that it starts a bar, that a bar start starts an eight, that an eight's
start starts a phrase. A reading of the piece is a chain of phrases; its score is the sum of the log odds it
claims plus what its phrase lengths cost. All chains are compared by dynamic programming, for bars of four
and of three, and the same sums run forwards and backwards give the probability of every claim.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from noonwall.music.beatwise import Beatwise, in_context
from noonwall.music.weights import BAR, EIGHT, PHRASE

Row = NDArray[np.float64]
# Evidence of neighbouring beats overlaps, so each claim counts for less than its log odds; for certainty,
# which must hold on music unlike the pieces the weights were fitted on, for less again (measured on pieces
# left out).
TRUST = 0.5
CERTAINTY_TRUST = 0.1
FORBIDDEN = -1e12
STRETCH_BEATS = 32
# Most pieces whose stretches disagree are right all the same: that alone takes certainty, but not trust.
LEAST_AGREED = 0.75

# Cost of a phrase by its length in bars, as log odds against the usual eight bars. Common practice, no
# published source: 32 counts is the rule, 16 and 64 common, four counts more or less the usual odd phrase.
BAR_COSTS = {
    1: 7.0,
    2: 4.5,
    3: 7.0,
    4: 2.5,
    5: 6.0,
    6: 4.0,
    7: 3.5,
    8: 0.0,
    9: 3.5,
    10: 3.5,
    12: 5.0,
    16: 3.0,
}
HALF_BAR_COSTS = {30: 6.5, 34: 6.0, 18: 7.5}
FIRST_COSTS = {1: 3.5, 2: 2.0, 3: 4.0, 4: 1.0, 6: 3.0, 8: 0.0}
PICKUP_COST = 1.2
TRIPLE_COST = 1.0


@dataclass(frozen=True, slots=True, eq=False)
class Structure:
    """Bars, eights and phrases as beat numbers.

    Attributes:
        beats_per_bar: 4 or 3.
        bars: Beat numbers that start a bar.
        eights: Beat numbers that start an eight (two bars).
        phrases: Beat numbers that start a phrase, the first possibly after a pickup.
        bar_certainty: Mean probability of the claimed bar starts, at most the share of stretches that agree
            (but no less than `LEAST_AGREED` for that).
        eight_certainty: The same for eights.
        phrase_certainty: The same for phrases.
        metre_certainty: Probability of the bar length.
    """

    beats_per_bar: int
    bars: NDArray[np.int64]
    eights: NDArray[np.int64]
    phrases: NDArray[np.int64]
    bar_certainty: float
    eight_certainty: float
    phrase_certainty: float
    metre_certainty: float


def _log_not(logit: Row) -> Row:
    result: Row = -np.logaddexp(0.0, logit)
    return result


def _log_sum(scores: Row) -> Row:
    """Logarithm of the sum of the exponentials of each row."""
    top = scores.max(axis=1)
    result: Row = top + np.log(np.exp(scores - top[:, None]).sum(axis=1))
    return result


def _lengths(bar: int) -> tuple[NDArray[np.int64], Row, Row]:
    """Phrase lengths in beats with their log weights, in general and for the first phrase."""
    costs = {bars * bar: cost for bars, cost in BAR_COSTS.items()}
    first = {bars * bar: cost for bars, cost in FIRST_COSTS.items()}
    if bar == 4:
        costs |= HALF_BAR_COSTS
    lengths = np.array(sorted(costs))
    return (
        lengths,
        np.array([-costs[length] for length in lengths]),
        np.array([-min(first.get(length, 99.0), costs[length]) for length in lengths]),
    )


class _Chain:
    """Sums over all chains of phrases for one bar length."""

    def __init__(self, logits: Row, bar: int, trust: float = TRUST) -> None:
        # Certainty must come from the music: habits of beginning and ending lend none.
        self.habit = 1.0 if trust == TRUST else 0.0
        self.bar, self.count = bar, logits.shape[0]
        self.lengths, self.weights, self.first_weights = _lengths(bar)
        bar_log, eight_log, phrase_log = logits.T
        self.bar_gain = trust * (bar_log + _log_not(eight_log))
        self.eight_gain = trust * (eight_log + _log_not(phrase_log))
        self.phrase_gain = trust * phrase_log
        self.segments = np.stack([self._segment(int(length)) for length in self.lengths])
        self.tails = self.segments[-1]
        self.steps = self._weigh()
        self.summed, _ = self.forward(best=False)

    def _strided(self, gain: Row, step: int, length: int) -> Row:
        padded = np.concatenate((gain, np.zeros(length)))
        total: Row = np.zeros(self.count)
        for ahead in range(0, length, step):
            total += padded[ahead : ahead + self.count]
        return total

    def _segment(self, length: int) -> Row:
        """Score of a phrase of this length from every beat; beyond the end nothing is claimed."""
        bars = self._strided(self.bar_gain, self.bar, length)
        eights = self._strided(self.eight_gain, 2 * self.bar, length)
        score: Row = bars + eights + self.phrase_gain
        return score

    def _weigh(self) -> Row:
        """Score of a phrase of each length from each beat, its weight included: (beats, lengths)."""
        steps = self.segments.T + self.weights
        early = min(self.bar, self.count)
        steps[:early] = self.segments.T[:early] + self.first_weights
        beyond = np.arange(self.count)[:, None] + self.lengths > self.count
        result: Row = np.where(beyond, FORBIDDEN, steps)
        return result

    def starts(self) -> Row:
        """Log weight of the first phrase starting at each beat: the very first, or after a pickup."""
        value: Row = np.full(self.count + 1, FORBIDDEN)
        value[0] = 0.0
        value[1 : min(self.bar, self.count)] = -PICKUP_COST * self.habit
        return value

    def forward(self, *, best: bool) -> tuple[Row, NDArray[np.int64]]:
        """Best (or summed) log weight of all chains ending at each beat, and the best's last length."""
        value = self.starts()
        chosen = np.full(self.count + 1, -1)
        columns = np.arange(self.lengths.size)
        # No phrase is shorter than a bar, so a whole bar of ends is worked out at once.
        for first in range(1, self.count + 1, self.bar):
            ends = np.arange(first, min(first + self.bar, self.count + 1))
            starts = ends[:, None] - self.lengths
            at = np.maximum(starts, 0)
            scores = np.where(starts >= 0, value[at] + self.steps[at, columns], FORBIDDEN)
            if best:
                top = np.argmax(scores, axis=1)
                reached = scores[np.arange(ends.size), top]
                chosen[ends] = np.where(reached > value[ends], top, -1)
                value[ends] = np.maximum(reached, value[ends])
            else:
                value[ends] = np.logaddexp(value[ends], _log_sum(scores))
        return value, chosen

    def closing(self) -> Row:
        """Log weight of a last phrase from each beat that the end of the piece cuts short."""
        left = self.count - np.arange(self.count + 1)
        value = np.where(left <= self.lengths[-1], np.append(self.tails, 0.0), FORBIDDEN)
        # An end after one bar is less likely than one after a whole phrase.
        whole = np.isin(left, (0, 4 * self.bar, 8 * self.bar))
        result: Row = value - self.habit * np.where(whole, 0.0, np.where(left > 9 * self.bar, 4.0, 1.5))
        return result

    def total(self) -> float:
        """Log weight of all chains together."""
        return float(np.logaddexp.reduce(self.summed + self.closing()))

    def best_chain(self) -> list[int]:
        """Beats that start a phrase in the best chain."""
        value, chosen = self.forward(best=True)
        at = int(np.argmax(value + self.closing()))
        starts = [at] if at < self.count else []
        while chosen[at] >= 0:
            at -= int(self.lengths[chosen[at]])
            starts.append(at)
        return starts[::-1]

    def backward(self) -> Row:
        """Summed log weight of all chains from each beat to the end."""
        value = self.closing()
        for last in range(self.count, 0, -self.bar):
            starts = np.arange(max(last - self.bar, 0), last)
            ends = np.minimum(starts[:, None] + self.lengths, self.count)
            value[starts] = np.logaddexp(value[starts], _log_sum(self.steps[starts] + value[ends]))
        return value

    def probabilities(self) -> tuple[Row, Row, Row]:
        """Probability that each beat starts a bar, an eight, a phrase."""
        ahead, behind = self.backward(), self.summed
        closing = self.closing()
        total = float(np.logaddexp.reduce(behind + closing))
        phrase = np.exp(np.clip(behind + ahead - total, -700.0, 0.0))[: self.count]
        bar, eight = np.zeros(self.count), np.zeros(self.count)
        starts = np.arange(self.count)
        for index, length in enumerate(self.lengths):
            usable = starts[starts + length <= self.count]
            logs = behind[usable] + self.steps[usable, index] + ahead[usable + length] - total
            self._spread(bar, eight, usable, np.exp(np.clip(logs, -700.0, 0.0)), int(length))
        tail = np.exp(np.clip(behind[:-1] + closing[:-1] - total, -700.0, 0.0))
        self._spread(bar, eight, starts, tail, int(self.lengths[-1]))
        return bar, eight, phrase

    def _spread(self, bar: Row, eight: Row, starts: NDArray[np.int64], chance: Row, length: int) -> None:
        for target, step in ((bar, self.bar), (eight, 2 * self.bar)):
            for ahead in range(0, length, step):
                inside = starts + ahead < self.count
                target[starts[inside] + ahead] += chance[inside]


def log_odds(beatwise: Beatwise) -> Row:
    """(beats, 3) log odds of bar, eight and phrase starts."""
    facts = in_context(beatwise.evidence)
    return np.stack([facts @ BAR, facts @ EIGHT, facts @ PHRASE], axis=1)


def _within(phrases: list[int], count: int, step: int) -> NDArray[np.int64]:
    """Starts every `step` beats, anew at each phrase, counted back before the first."""
    first = phrases[0] if phrases else 0
    result = list(range(first % step, first, step))
    for start, stop in zip(phrases, [*phrases[1:], count], strict=True):
        result += range(start, stop, step)
    return np.array(result, dtype=np.int64)


def find_structure(logits: Row) -> Structure:
    """The best reading of bars, eights and phrases.

    Args:
        logits: From `log_odds`.

    Returns:
        Beat numbers with certainties from 0 to 1.
    """
    four, three = _Chain(logits, 4), _Chain(logits, 3)
    gap = four.total() - three.total() + TRIPLE_COST
    chain = four if gap >= 0.0 else three
    count = logits.shape[0]
    phrases = chain.best_chain()
    bars = _within(phrases, count, chain.bar)
    eights = _within(phrases, count, 2 * chain.bar)
    bar_chance, eight_chance, phrase_chance = _Chain(logits, chain.bar, CERTAINTY_TRUST).probabilities()
    return Structure(
        chain.bar,
        bars,
        eights,
        np.array(phrases, dtype=np.int64),
        min(_mean(bar_chance, bars), max(agreement(logits[:, 0], bars, chain.bar), LEAST_AGREED)),
        _mean(eight_chance, eights),
        _mean(phrase_chance, np.array(phrases)),
        float(1.0 / (1.0 + np.exp(-min(abs(gap), 50.0)))),
    )


def agreement(bar_log: Row, bars: NDArray[np.int64], bar: int) -> float:
    """Share of stretches of `STRETCH_BEATS` that, heard alone, would put the one where the whole piece does.

    Sums over a whole piece grow sure of a half-bar error too; stretches that contradict each other show it.
    """
    count = bar_log.size
    claimed = np.zeros(count, dtype=bool)
    claimed[bars] = True
    agreed = []
    for first in range(0, max(count - STRETCH_BEATS, 0) + 1, STRETCH_BEATS // 2):
        ones = first + np.flatnonzero(claimed[first : first + STRETCH_BEATS])
        gains = [float(bar_log[np.minimum(ones + shift, count - 1)].sum()) for shift in range(bar)]
        agreed.append(gains[0] >= max(gains))
    return float(np.mean(agreed))


def _mean(chance: Row, where: NDArray[np.int64]) -> float:
    return float(np.clip(chance[where].mean(), 0.0, 1.0)) if where.size else 0.0
