"""Beats in, bars, eights and phrases out, decided together.

Each beat carries three log odds: that it starts a bar, that a bar start starts an eight, that an eight's
start starts a phrase. A reading of the piece is a chain of phrases; its score is the sum of the log odds it
claims plus what its phrase lengths cost. All chains are compared (`chain`), for bars of four, three and two
and for phrases of twelve bars. The likeliest is then asked what this song's phrases begin like
(`recurrence`), and the phrases are read once more with that in mind.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from noonwall.music.beatwise import Beatwise, in_context
from noonwall.music.chain import CERTAINTY_TRUST, KINDS, PAIRS, PAIRS_COST, Beats, Chain, Row
from noonwall.music.layout import EIGHT_COUNTS
from noonwall.music.opening import counted_in
from noonwall.music.passages import Facts
from noonwall.music.recurrence import alike
from noonwall.music.weights import AGAIN, BAR, EIGHT, PAIR, PHRASE

STRETCH_BEATS = 32
# Most pieces whose stretches disagree are right all the same: that alone takes certainty, but not trust.
LEAST_AGREED = 0.75
# Log odds between bar lengths count for this much less: chosen on pieces used for fitting, where bars of two
# and of four lie up to 30 on the wrong side.
METRE_DOUBT = 8.0
# Published tempos of dances counted two to the bar: 96 (samba) to 124 (polka, paso doble); see standards in
# fit/tempo_ranges.toml. Widened by a tenth.
TWO_BPM = (86.0, 136.0)
# Six quick counts to the bar: faster than any waltz but the Viennese. Turns: 0.25 to 0.27 in such pieces, at
# most 0.15 in 46 waltzes.
SIX_BPM, TAKES_TURNS = 130.0, 0.2


@dataclass(frozen=True, slots=True, eq=False)
class Structure:
    """Bars, eights and phrases as beat numbers.

    Attributes:
        beats_per_bar: 4, 3, 2, or 6.
        bars: Beat numbers that start a bar.
        eights: Beat numbers that start an eight (two bars of three or four, four of two).
        phrases: Beat numbers that start a phrase, the first possibly after a pickup.
        bar_certainty: Mean probability of the claimed bar starts, at most the share of stretches that agree
            (but no less than `LEAST_AGREED` for that).
        eight_certainty: The same for eights.
        phrase_certainty: The same for phrases.
        metre_certainty: Probability of the bar length.
    """

    beats_per_bar: int
    bars: Beats
    eights: Beats
    phrases: Beats
    bar_certainty: float
    eight_certainty: float
    phrase_certainty: float
    metre_certainty: float


def log_odds(beatwise: Beatwise) -> tuple[Row, Row]:
    """(beats, 3) log odds of bar, eight and phrase starts; (beats,) of bar starts should bars have two beats.

    Bars of two need weights of their own: with those for bars of four the third beat of four looks like none.
    """
    facts = in_context(beatwise.evidence)
    return np.stack([facts @ BAR, facts @ EIGHT, facts @ PHRASE], axis=1), facts @ PAIR


def hear_structure(beatwise: Beatwise, bpm: float, *, dotted: bool = False) -> Structure:
    """The best reading of bars, eights and phrases of a piece, after a second look.

    Args:
        beatwise: The piece beat by beat.
        bpm: Its tempo; bars of two are danced within `TWO_BPM` only, those of three counted as six only
            from `SIX_BPM` on.
        dotted: Every count has three parts: then a bar has two.

    Returns:
        Beat numbers with certainties from 0 to 1.
    """
    logits, pairs = log_odds(beatwise)
    chain, gap = likeliest(logits, beatwise)
    if chain.bar == 4:
        evidence = np.column_stack((pairs, logits[:, 1:]))
        twos, fours = (
            Chain(evidence, *kind, count_in=counted_in(beatwise, kind[0])) for kind in (PAIRS, (4, 8))
        )
        ahead = twos.total() - fours.total() - PAIRS_COST
        # Bars of two that are nearly as likely also mean that the half bar may be the one.
        gap = min(gap, abs(ahead))
        if dotted or (ahead > 0.0 and TWO_BPM[0] <= bpm <= TWO_BPM[1]):
            chain, logits = twos, evidence
    again = alike(beatwise, chain.best_chain(), chain.bar)
    if again is not None:
        logits = weigh_again(logits, again)
        if chain.bar == 2:
            chain = Chain(logits, *PAIRS, count_in=chain.count_in)
        else:
            chain, second_gap = likeliest(logits, beatwise)
            gap = min(gap, second_gap)
    found = _described(chain, logits, gap)
    return _in_six(found, beatwise) if found.beats_per_bar == 3 and bpm >= SIX_BPM else found


def _in_six(found: Structure, beatwise: Beatwise) -> Structure:
    """Bars of three joined to bars of six where low and middle onsets take turns on their ones.

    A bass drum on one and a snare on four make 6/8 of six quick counts; a waltz has one drum on every one.
    """
    count = beatwise.rhythm.shape[0]
    pairs = [
        (bar, bar + 3)
        for start, stop in zip(found.phrases, [*found.phrases[1:], count], strict=True)
        for bar in range(int(start), int(stop) - 5, 6)
    ]
    if not pairs:
        return found
    ones, fours = (beatwise.rhythm[list(beats), :3].mean(axis=0) for beats in zip(*pairs, strict=True))
    turns = (ones - fours) / (ones + fours + 0.05)
    if turns[0] < TAKES_TURNS or min(turns[1], turns[2]) > -TAKES_TURNS:
        return found
    bars = _within([int(start) for start in found.phrases], count, 6)
    return replace(found, beats_per_bar=6, bars=bars)


def weigh_again(logits: Row, again: Facts) -> Row:
    """Log odds of a second look: those of the first and what `recurrence.alike` found."""
    ones = np.ones((logits.shape[0], 1))
    columns = [np.hstack((logits[:, [level]], again, ones)) @ AGAIN[level] for level in range(3)]
    return np.stack(columns, axis=1)


def likeliest(logits: Row, beatwise: Beatwise | None = None) -> tuple[Chain, float]:
    """The likeliest of `KINDS` of bars and phrases, and by how much in log odds against another bar length.

    Args:
        logits: (beats, 3) log odds.
        beatwise: The piece beat by beat, to hear whether it is counted in.
    """
    kinds = {
        kind: Chain(logits, *kind, count_in=beatwise is not None and counted_in(beatwise, kind[0]))
        for kind in KINDS
    }
    totals = {kind: kinds[kind].total() - cost for kind, cost in KINDS.items()}
    best = max(totals, key=lambda kind: totals[kind])
    return kinds[best], totals[best] - max(total for kind, total in totals.items() if kind[0] != best[0])


def _within(phrases: list[int], count: int, step: int) -> Beats:
    """Starts every `step` beats, anew at each phrase, counted back before the first."""
    first = phrases[0] if phrases else 0
    result = list(range(first % step, first, step))
    for start, stop in zip(phrases, [*phrases[1:], count], strict=True):
        result += range(start, stop, step)
    return np.array(result, dtype=np.int64)


def find_structure(logits: Row) -> Structure:
    """The best reading of bars of four or three, eights and phrases from (beats, 3) log odds alone."""
    chain, gap = likeliest(logits)
    return _described(chain, logits, gap)


def _described(chain: Chain, logits: Row, gap: float) -> Structure:
    """The best chain with its certainties."""
    count = logits.shape[0]
    phrases = chain.best_chain()
    bars = _within(phrases, count, chain.bar)
    eights = _within(phrases, count, EIGHT_COUNTS[chain.bar])
    cautious = Chain(logits, chain.bar, chain.usual, CERTAINTY_TRUST)
    bar_chance, eight_chance, phrase_chance = cautious.probabilities()
    metre = float(1.0 / (1.0 + np.exp(-min(abs(gap) / METRE_DOUBT, 50.0))))
    return Structure(
        chain.bar,
        bars,
        eights,
        np.array(phrases, dtype=np.int64),
        min(metre, _mean(bar_chance, bars), max(agreement(logits[:, 0], bars, chain.bar), LEAST_AGREED)),
        _mean(eight_chance, eights),
        _mean(phrase_chance, np.array(phrases)),
        metre,
    )


def agreement(bar_log: Row, bars: Beats, bar: int) -> float:
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


def _mean(chance: Row, where: Beats) -> float:
    return float(np.clip(chance[where].mean(), 0.0, 1.0)) if where.size else 0.0
