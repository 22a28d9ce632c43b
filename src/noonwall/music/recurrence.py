"""What the phrases of this very song begin like: evidence for a second look at where phrases start.

A first reading of the phrases names some starts, most of them right. Every beat is then asked: do the chords
and the bass run on from here as they do after those starts, does the drummer play before it what is played
before those, does the sound begin as it does there? An odd phrase shifts all that follows, and the song
itself shows by how much, whatever the length.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from noonwall.music.beatwise import Beatwise, standard
from noonwall.music.passages import Facts, unit

FEWEST_STARTS = 2


def alike(beatwise: Beatwise, starts: list[int], bar: int) -> Facts | None:
    """How like the known phrase starts each beat is.

    Args:
        beatwise: The piece beat by beat.
        starts: Beats that start a phrase in a first reading.
        bar: Beats of a bar.

    Returns:
        (beats, 15) standardised: for five looks the likeness itself, and how far it stands out from its
        neighbours a bar and two bars away. None if there are too few starts to learn from.
    """
    inside = [start for start in starts if start < beatwise.chroma.shape[0]]
    if len(inside) < FEWEST_STARTS:
        return None
    tune = np.concatenate((unit(beatwise.chroma), unit(beatwise.bass)), axis=1)
    beat = np.concatenate(
        (
            unit(beatwise.rhythm - beatwise.rhythm.mean(axis=0)),
            unit(beatwise.sound - beatwise.sound.mean(axis=0)),
        ),
        axis=1,
    )
    looks = (
        (tune, 0, 4 * bar),
        (tune, 0, 2 * bar),
        (beat, -bar, 0),
        (beat, 0, 2 * bar),
        (tune, -bar, 0),
    )
    columns: list[NDArray[np.float64]] = []
    for rows, first, last in looks:
        likeness = _likeness(rows, inside, first, last, 2 * bar)
        columns.append(standard(likeness))
        for lag in (bar, 2 * bar):
            padded = np.pad(likeness, lag, mode="edge")
            around = 0.5 * (padded[: likeness.size] + padded[2 * lag :])
            columns.append(standard(likeness - around))
    return np.stack(columns, axis=1)


def _likeness(rows: Facts, starts: list[int], first: int, last: int, apart: int) -> NDArray[np.float64]:
    """Mean likeness of the beats `first` to `last` from each beat to those from the two likest starts.

    Starts nearer than `apart` are no witnesses for themselves.
    """
    count = rows.shape[0]
    found = np.zeros((len(starts), count))
    for index, start in enumerate(starts):
        total, number = np.zeros(count), np.zeros(count)
        for ahead in range(first, last):
            if 0 <= start + ahead < count:
                low, high = max(0, -ahead), min(count, count - ahead)
                total[low:high] += (rows @ rows[start + ahead])[low + ahead : high + ahead]
                number[low:high] += 1.0
        found[index] = total / np.maximum(number, 1.0)
    here = np.arange(count)
    near = np.abs(here[None, :] - np.array(starts)[:, None]) < apart
    found = np.where(near, -1.0, found)
    if len(starts) == FEWEST_STARTS:
        top: NDArray[np.float64] = found.max(axis=0)
        return top
    likest: NDArray[np.float64] = np.sort(found, axis=0)[-2:].mean(axis=0)
    return likest
