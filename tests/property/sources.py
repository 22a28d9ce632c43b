"""Two sources of choices for random dances: a seeded generator, and hypothesis."""

from __future__ import annotations

import random
from collections.abc import Sequence
from typing import TypeVar

from hypothesis import strategies as st

from noonwall.dance.model import Dance

from .dances import random_dance

T = TypeVar("T")


class Seeded:
    """Choices from a seeded generator: quick, and the same for the same seed."""

    def __init__(self, seed: int) -> None:
        self.random = random.Random(seed)

    def pick(self, options: Sequence[T]) -> T:
        """Return one of ``options``."""
        return self.random.choice(options)

    def chance(self, percent: int) -> bool:
        """Return True in ``percent`` of a hundred cases."""
        return self.random.randrange(100) < percent


class Drawn:
    """Choices that hypothesis makes, so that a failing dance shrinks to a small one."""

    def __init__(self, draw: st.DrawFn) -> None:
        self.draw = draw

    def pick(self, options: Sequence[T]) -> T:
        """Return one of ``options``."""
        return self.draw(st.sampled_from(options))

    def chance(self, percent: int) -> bool:
        """Return True in about ``percent`` of a hundred cases; False is the simplest."""
        return self.draw(st.integers(0, 99)) >= 100 - percent


@st.composite
def dances(draw: st.DrawFn, language: str) -> Dance:
    """A strategy of random dances that ``language`` has words for."""
    return random_dance(Drawn(draw), language)
