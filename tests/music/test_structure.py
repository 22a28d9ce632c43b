"""The chain of phrases: equal to exhaustive search on small pieces, and right where the evidence is clear."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from noonwall.music.chain import Chain
from noonwall.music.layout import EIGHT_COUNTS
from noonwall.music.structure import agreement, find_structure


def clear_logits(lengths: list[int], bar: int, strength: float = 6.0) -> np.ndarray:
    """Log odds that shout the truth."""
    count = sum(lengths)
    logits = np.full((count, 3), -strength)
    start = 0
    for length in lengths:
        logits[start : start + length : bar, 0] = strength
        logits[start : start + length : 2 * bar, 1] = strength
        logits[start, 2] = strength
        start += length
    return logits


CASES = [
    ([32, 32, 32, 32], 4),
    ([16, 32, 36, 32, 32], 4),
    ([8, 32, 28, 32, 16], 4),
    ([32, 34, 32, 32], 4),
    ([32, 40, 32, 36, 32], 4),
    ([12, 24, 24, 24], 3),
    ([24, 27, 24, 24], 3),
    ([48, 48, 24], 3),
    ([16, 48, 48, 52, 48], 4),
    ([4, 32, 32, 34, 32, 33], 4),
]


@pytest.mark.parametrize(("lengths", "bar"), CASES)
def test_clear_evidence_is_read_as_it_stands(lengths: list[int], bar: int) -> None:
    found = find_structure(clear_logits(lengths, bar))
    assert found.beats_per_bar == bar
    if bar == 4 or 48 not in lengths:
        assert list(found.phrases) == [sum(lengths[:number]) for number in range(len(lengths))]
    assert set(found.bars) == set(np.flatnonzero(clear_logits(lengths, bar)[:, 0] > 0))
    assert min(found.bar_certainty, found.eight_certainty) > 0.9


def all_chains(chain: Chain) -> list[float]:
    """Score of every chain by trying every sequence of phrase lengths: slow and plain."""
    count, scores = chain.count, []

    def grow(at: int, score: float) -> None:
        scores.append(score + chain.closing()[at])
        for index, length in enumerate(chain.lengths):
            if at + length <= count:
                weights = chain.first_weights if at < chain.bar else chain.weights
                gain = (
                    sum(chain.bar_gain[at : at + length : chain.bar])
                    + sum(chain.eight_gain[at : at + length : EIGHT_COUNTS[chain.bar]])
                    + chain.phrase_gain[at]
                )
                grow(at + int(length), score + gain + weights[index])

    for start in range(min(chain.bar, count)):
        grow(start, chain.starts()[start])
    return scores


@pytest.mark.parametrize(
    ("seed", "kind"), list(itertools.product(range(5), ((3, 8), (4, 8), (4, 12), (2, 16))))
)
def test_dynamic_programme_equals_exhaustive_search(seed: int, kind: tuple[int, int]) -> None:
    logits = np.random.default_rng(seed).normal(0.0, 4.0, (30, 3))
    chain = Chain(logits, *kind)
    scores = np.array(all_chains(chain))
    value, _ = chain.forward(best=True)
    assert np.max(value + chain.closing()) == pytest.approx(scores.max())
    assert chain.total() == pytest.approx(np.logaddexp.reduce(scores))


@pytest.mark.parametrize("seed", range(4))
def test_probabilities_are_probabilities(seed: int) -> None:
    logits = np.random.default_rng(seed).normal(0.0, 3.0, (90, 3))
    for chance in Chain(logits, 4).probabilities():
        assert chance.min() >= -1e-9 and chance.max() <= 1.0 + 1e-9


@pytest.mark.parametrize("seed", range(5))
def test_random_evidence_is_doubtful(seed: int) -> None:
    found = find_structure(np.random.default_rng(seed).normal(0.0, 1.0, (128, 3)))
    assert max(found.bar_certainty, found.eight_certainty, found.phrase_certainty) < 0.7


def test_contradicting_stretches_make_no_sure_one() -> None:
    """The sum over the piece favours one place of the one; a third of the stretches contradicts it."""
    bar_log = np.full(320, -3.0)
    bar_log[0:220:4] = 3.0
    bar_log[222::4] = 3.0
    share = agreement(bar_log, np.arange(0, 320, 4), 4)
    assert 0.6 < share < 0.75
    assert agreement(clear_logits([32] * 8, 4)[:, 0], np.arange(0, 256, 4), 4) == 1.0
