"""Sums over all chains of phrases: what each chain claims, what its phrase lengths cost, the best, and how
likely every claim is.

One chain is compared for bars of four, of three and of two, and for phrases of twelve bars; dynamic
programming does it in time proportional to the beats.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from noonwall.music.layout import EIGHT_COUNTS

Row = NDArray[np.float64]
Beats = NDArray[np.int64]

# Evidence of neighbouring beats overlaps, so each claim counts for less than its log odds; for certainty,
# which must hold on music unlike the pieces the weights were fitted on, for less again (measured on pieces
# left out).
TRUST = 0.5
CERTAINTY_TRUST = 0.1
FORBIDDEN = -1e12

# Cost of a phrase by its length in bars, as log odds against the usual one. Common practice, no published
# source: 32 counts is the rule, 16 and 64 common, four counts more or less the usual odd phrase, twelve bars
# the blues; two counts more or less, half a bar of four, are written as a bar of their own.
FOUR = {1: 7.0, 2: 4.5, 3: 7.0, 4: 2.5, 5: 6.0, 6: 4.0, 7: 3.5, 8: 0.0, 9: 3.5, 10: 3.5, 12: 5.0, 16: 3.0}
FOUR_HALVES = {30: 6.5, 34: 6.0, 18: 7.5}
BLUES = {1: 7.0, 2: 5.5, 3: 7.0, 4: 4.0, 6: 4.5, 8: 5.0, 9: 7.0, 10: 5.0, 11: 4.5, 12: 0.0, 13: 3.5, 14: 3.5}
BLUES |= {16: 6.0, 24: 3.5}
BLUES_HALVES = {46: 6.5, 50: 6.0}
TWO = {1: 9.0, 2: 7.0, 4: 4.0, 6: 5.5, 8: 2.5, 10: 6.0, 12: 4.5, 14: 3.5, 15: 5.0, 16: 0.0, 17: 4.0, 18: 3.5}
TWO |= {20: 3.5, 24: 4.5, 32: 3.0}
# The first phrase may be an intro, which is short more often than odd.
FIRST = {1: 2.5, 2: 1.5, 3: 4.0, 4: 1.0, 6: 3.0, 8: 0.0}
FIRST_BLUES = {1: 3.5, 2: 2.0, 4: 1.0, 6: 3.0, 8: 2.0, 12: 0.0}
FIRST_TWO = {1: 5.0, 2: 2.5, 4: 1.5, 8: 1.0, 12: 3.0, 16: 0.0}
LONG_FIRST_COST = 2.0
PICKUP_COST = 1.2
# A piece ends with a phrase or half of one, with or without a last chord on the next one; else cut short.
CUT_SHORT_COST, OVERLONG_COST = 1.5, 4.0
# (bar, usual bars) with the cost of supposing it at all.
KINDS = {(4, 8): 0.0, (3, 8): 1.0, (4, 12): 3.0}
PAIRS = (2, 16)
# The weights for bars of two were fitted on far more pieces in four, which is caution enough.
PAIRS_COST = 0.0
_COSTS = {
    (4, 8): (FOUR, FOUR_HALVES, FIRST),
    (3, 8): (FOUR, {}, FIRST),
    (4, 12): (BLUES, BLUES_HALVES, FIRST_BLUES),
    (2, 16): (TWO, {}, FIRST_TWO),
}


def log_not(logit: Row) -> Row:
    """Log probability that a claim does not hold, from its log odds."""
    result: Row = -np.logaddexp(0.0, logit)
    return result


def _log_sum(scores: Row) -> Row:
    """Logarithm of the sum of the exponentials of each row."""
    top = scores.max(axis=1)
    result: Row = top + np.log(np.exp(scores - top[:, None]).sum(axis=1))
    return result


def _lengths(bar: int, usual: int) -> tuple[Beats, Row, Row]:
    """Phrase lengths in beats with their log weights, in general and for the first phrase."""
    by_bars, by_beats, by_first = _COSTS[bar, usual]
    costs = {bars * bar: cost for bars, cost in by_bars.items()} | by_beats
    first = {bars * bar: cost for bars, cost in by_first.items()}
    lengths = np.array(sorted(costs))
    long = (lengths > usual * bar) & (lengths != 2 * usual * bar)
    opening = [min(first.get(int(length), 99.0), costs[int(length)]) for length in lengths]
    return (
        lengths,
        np.array([-costs[int(length)] for length in lengths]),
        -np.array(opening) - LONG_FIRST_COST * long,
    )


class Chain:
    """Sums over all chains of phrases for one bar length.

    Args:
        logits: (beats, 3) log odds of bar, eight and phrase starts.
        bar: Beats of a bar.
        usual: Bars of a usual phrase; (bar, usual) is one of `KINDS` or `PAIRS`.
        trust: Share of the log odds that counts.
        count_in: The first bar is sticks alone, so the first phrase starts after it.
    """

    def __init__(
        self, logits: Row, bar: int, usual: int = 8, trust: float = TRUST, *, count_in: bool = False
    ) -> None:
        # Certainty must come from the music: habits of beginning and ending lend none.
        self.habit = 1.0 if trust == TRUST else 0.0
        self.bar, self.usual, self.count = bar, usual, logits.shape[0]
        self.count_in = count_in and self.count > bar
        self.lengths, self.weights, self.first_weights = _lengths(bar, usual)
        bar_log, eight_log, phrase_log = logits.T
        self.bar_gain = trust * (bar_log + log_not(eight_log))
        self.eight_gain = trust * (eight_log + log_not(phrase_log))
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
        eights = self._strided(self.eight_gain, EIGHT_COUNTS[self.bar], length)
        score: Row = bars + eights + self.phrase_gain
        return score

    def _weigh(self) -> Row:
        """Score of a phrase of each length from each beat, its weight included: (beats, lengths)."""
        steps = self.segments.T + self.weights
        early = min(self.bar + self.count_in, self.count)
        steps[:early] = self.segments.T[:early] + self.first_weights
        beyond = np.arange(self.count)[:, None] + self.lengths > self.count
        result: Row = np.where(beyond, FORBIDDEN, steps)
        return result

    def starts(self) -> Row:
        """Log weight of the first phrase starting at each beat: the very first, or after a pickup."""
        value: Row = np.full(self.count + 1, FORBIDDEN)
        if self.count_in:
            value[self.bar] = 0.0
            return value
        value[0] = 0.0
        value[1 : min(self.bar, self.count)] = -PICKUP_COST * self.habit
        return value

    def forward(self, *, best: bool) -> tuple[Row, Beats]:
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
        usual = self.usual * self.bar
        whole = np.isin(left, (0, 1, usual // 2, usual // 2 + 1, usual, usual + 1))
        cut = np.where(left > usual + self.bar, OVERLONG_COST, CUT_SHORT_COST)
        result: Row = value - self.habit * np.where(whole, 0.0, cut)
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

    def _spread(self, bar: Row, eight: Row, starts: Beats, chance: Row, length: int) -> None:
        for target, step in ((bar, self.bar), (eight, EIGHT_COUNTS[self.bar])):
            for ahead in range(0, length, step):
                inside = starts + ahead < self.count
                target[starts[inside] + ahead] += chance[inside]
