"""Fit exercises to the minutes at hand: what is left out first, and where the rest of the time goes.

Method: every exercise has the fewest rounds that are of use. If even these do not fit, exercises are left out
in a fixed order until they do; what time remains is given out round by round, first to the music up to its
published share, then to whichever exercise gains most for each second.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil

from noonwall.teach.speech import estimate_seconds
from noonwall.teach.telling import Told, Words

HOUR_MINUTES = 60
WARM_UP_MINUTES, REVIEW_MINUTES, MUSIC_MINUTES, FREE_MINUTES, CLOSE_MINUTES = 5, 5, 15, 10, 5
"""Of an hour, in the one class plan that was found (a bachata academy's page): warm-up, review, 20 for what
is new, with music, free dancing, close."""
CLASS_PLAN = "class-plan"

WARM_UP_FROM_SECONDS = 15 * 60
"""A lesson that is shorter is part of a class that is warm already (own choice, no source)."""

SENTENCE_SECONDS = 0.5
"""A breath after each sentence (own choice, no source)."""

PATIENCE = 1.15
"""A teacher explains slower than she calls (own choice, no source)."""


@dataclass(frozen=True, slots=True)
class Exercise:
    """Something that could be done in a lesson.

    Attributes:
        kind: what, see :class:`noonwall.teach.values.Drill`.
        pieces: numbers of the pieces it needs.
        counts: counts of one round, 0 where nothing is danced.
        speed: percent of the tempo, 0 where nothing is danced.
        talk_seconds: said once, before or during it.
        round_seconds: for one round, with what it takes to be back in place.
        least, most: rounds that are of use.
        worth: how much one more round is worth beside others.
        drop: exercises are left out from the lowest on.
        source: id of the published plan that its share is from.
    """

    kind: str
    pieces: tuple[int, ...]
    counts: int
    speed: int
    talk_seconds: int
    round_seconds: int
    least: int
    most: int
    worth: float
    drop: int
    with_music: bool = False
    source: str = ""

    def seconds(self, rounds: int) -> int:
        """Return how long so many rounds take."""
        return self.talk_seconds + rounds * self.round_seconds


@dataclass(frozen=True, slots=True)
class Fitted:
    """What is done, with its rounds, and what there was no time for."""

    done: tuple[tuple[Exercise, int], ...]
    left: tuple[Exercise, ...]

    @property
    def seconds(self) -> int:
        """How long it takes."""
        return sum(exercise.seconds(rounds) for exercise, rounds in self.done)


def share_seconds(budget_seconds: int, minutes_of_an_hour: int) -> int:
    """Return a published share of an hour for another length."""
    return budget_seconds * minutes_of_an_hour // HOUR_MINUTES


def fit_minutes(exercises: Sequence[Exercise], budget_seconds: int) -> Fitted:
    """Return which exercises are done, and how often, in at most ``budget_seconds``.

    Args:
        exercises: in the order of the lesson; of those with the same ``drop`` the last goes first.
        budget_seconds: the time at hand; 0 leaves everything out.
    """
    kept = list(range(len(exercises)))
    order = sorted(kept, key=lambda index: (exercises[index].drop, -index))
    total = sum(exercises[index].seconds(exercises[index].least) for index in kept)
    gone: set[int] = set()
    for index in order:
        if total <= budget_seconds:
            break
        gone.add(index)
        total -= exercises[index].seconds(exercises[index].least)
    # what was left out early may fit again where something long went after it
    for index in reversed(order):
        needs = exercises[index].seconds(exercises[index].least)
        if index in gone and total + needs <= budget_seconds and _stands(exercises, index, gone):
            gone.discard(index)
            total += needs
    rounds = {index: exercises[index].least for index in kept if index not in gone}
    _give_out(exercises, rounds, budget_seconds - total, budget_seconds)
    done = tuple(
        (exercises[index], rounds[index]) for index in kept if _lasts(exercises[index], rounds.get(index, 0))
    )
    return Fitted(done, tuple(exercises[index] for index in kept if index in gone))


def _lasts(exercise: Exercise, rounds: int) -> bool:
    return rounds > 0 and exercise.seconds(rounds) > 0


def _stands(exercises: Sequence[Exercise], index: int, gone: set[int]) -> bool:
    """True if everything that an exercise stands on is done: the first look at each of its pieces."""
    wanted = exercises[index]
    shown = {
        piece
        for other, exercise in enumerate(exercises)
        if exercise.kind == "words" and other not in gone
        for piece in exercise.pieces
    }
    return wanted.kind in ("words", "alone") or set(wanted.pieces) <= shown


def _give_out(exercises: Sequence[Exercise], rounds: dict[int, int], spare: int, budget_seconds: int) -> None:
    """Add rounds while there is time for one."""
    music = [index for index in rounds if exercises[index].with_music]
    share = share_seconds(budget_seconds, MUSIC_MINUTES)
    given = sum(exercises[index].seconds(rounds[index]) for index in music)
    # first the music's share, then whatever gains most, the music included
    for wanted in (music, list(rounds)):
        while True:
            best = max(
                (
                    index
                    for index in wanted
                    if rounds[index] < exercises[index].most
                    and 0 < exercises[index].round_seconds <= spare
                    and (wanted is not music or given + exercises[index].round_seconds <= share)
                ),
                key=lambda index: (_gain(exercises[index], rounds[index]), -index),
                default=None,
            )
            if best is None:
                break
            rounds[best] += 1
            spare -= exercises[best].round_seconds
            given += exercises[best].round_seconds if best in music else 0


def _gain(exercise: Exercise, rounds: int) -> float:
    """What one more round gains for each second: every repeat gains less than the one before."""
    return exercise.worth / ((rounds + 1) ** 2 * exercise.round_seconds)


def talk_seconds(languages: Sequence[str], texts: Iterable[Words]) -> int:
    """Return how long it takes to say some texts in whole seconds, in the language that needs longest."""
    held = list(texts)
    if not held:
        return 0
    return ceil(
        max(
            speech_seconds(language, [words[number] for words in held])
            for number, language in enumerate(languages)
        )
    )


def speech_seconds(language: str, texts: Iterable[str]) -> float:
    """Return how long a patient voice takes to say some sentences in one language."""
    return sum(PATIENCE * estimate_seconds(language, text) + SENTENCE_SECONDS for text in texts)


def say_seconds(languages: Sequence[str], remarks: Iterable[Told]) -> int:
    """Return :func:`talk_seconds` of some remarks."""
    return talk_seconds(languages, (remark.texts for remark in remarks))
