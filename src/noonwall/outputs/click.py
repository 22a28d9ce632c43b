"""A click to dance to where no song is at hand: made at the tempo asked for, so nothing is stretched."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from noonwall.outputs.sound_file import TRACK_RATE_HZ, Samples

HIGH_HZ, LOW_HZ = 1568.0, 1046.5
"""The first count of a section sounds a fifth above the others (the notes G6 and C6)."""

_LENGTH = round(0.12 * TRACK_RATE_HZ)
_HALF_LIFE_SECONDS = 0.018
_PEAK = 0.5


@dataclass(frozen=True, slots=True)
class Click:
    """One stroke: its sample and whether it is the first of a section."""

    at: int
    is_first: bool


def stroke(is_first: bool) -> Samples:
    """Return the sound of a stroke, shape (samples,): two partials that die away, the onset at sample 0."""
    time = np.arange(_LENGTH) / TRACK_RATE_HZ
    hertz = HIGH_HZ if is_first else LOW_HZ
    tone = np.sin(2 * np.pi * hertz * time) + 0.4 * np.sin(2 * np.pi * 2.76 * hertz * time)
    shape = 0.5 ** (time / _HALF_LIFE_SECONDS) * np.minimum(1.0, (1.0 - time * TRACK_RATE_HZ / _LENGTH) * 4)
    return np.asarray(_PEAK * (1.0 if is_first else 0.75) * tone * shape / 1.4, dtype=np.float32)


class ClickMusic:
    """Strokes as music.

    Args:
        clicks: where they are.
        size: samples of the whole.
    """

    def __init__(self, clicks: Sequence[Click], size: int) -> None:
        self.size = size
        self._clicks = tuple(clicks)
        self._strokes = {True: stroke(True), False: stroke(False)}

    def read(self, start: int, stop: int) -> Samples:
        """Return samples by their place, shape (stop - start, 2)."""
        whole = np.zeros(stop - start, np.float32)
        for click in self._clicks:
            if start - _LENGTH < click.at < stop:
                lay(whole, self._strokes[click.is_first], click.at - start)
        return np.stack((whole, whole), axis=1)


def lay(whole: Samples, sound: Samples, at: int) -> None:
    """Add a sound to a stretch of samples at a place; what lies outside is left out."""
    first, last = max(0, at), min(whole.shape[0], at + sound.shape[0])
    if first < last:
        whole[first:last] += sound[first - at : last - at]
