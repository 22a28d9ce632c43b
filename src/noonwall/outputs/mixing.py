"""Voice over music: where each text lies, how the music makes room for it, and no peak above the ceiling."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from noonwall.outputs.click import lay
from noonwall.outputs.loudness import HOP
from noonwall.outputs.sound_file import BLOCK_SECONDS, TRACK_RATE_HZ, Samples
from noonwall.outputs.spoken import SPOKEN_LUFS, Spoken
from noonwall.outputs.stretch import Music

Curve = NDArray[np.float32]
"""A gain at every hundredth of a second of a track, linear; between them it changes evenly."""

DUCKED_DB = -9.0
"""How much the music gives way under the voice."""

VOICE_ABOVE_MUSIC_LU = 0.0
"""How much louder the voice is than the music when that is alone; once it has given way, 9 LU more. Own
choice, no source."""

DUCK_BEFORE_SECONDS, DUCK_AFTER_SECONDS = 0.08, 0.26
"""The music gives way this long before a text and comes back this long after it; gaps shorter than the sum
stay ducked, so that it does not pump between counts. Own choice, no source."""

DUCK_SLOPE_SECONDS = 0.16
"""How long the way down and the way up take."""

LIMITER_HOPS = 2
"""How many hundredths of a second a peak is seen ahead by the limiter."""

SUREST_QUIET_LUFS = -50.0
"""Music below this is no music to be levelled to: the voice is then laid at a level of its own."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A text on a track: ``at`` is the sample where its own first sample lies, ``gain`` how loud it is."""

    at: int
    spoken: Spoken
    gain: float = 1.0

    @property
    def end(self) -> int:
        """The sample after its last one."""
        return self.at + self.spoken.samples.size


class Mixture:
    """A track before it is levelled: music, giving way to the voice, and the voice.

    Args:
        music: what is danced to.
        placed: the texts, in order.
        music_lufs: loudness of the music.
        offset: sample of the track at which the music begins.
        under: more music, laid under the voice from the first sample (the click before the song).
    """

    def __init__(
        self,
        music: Music,
        placed: Sequence[Placed],
        music_lufs: float,
        offset: int = 0,
        under: Music | None = None,
    ) -> None:
        self.music, self.placed, self.offset, self.under = music, tuple(placed), offset, under
        last = max((each.end for each in placed), default=0)
        # whole hundredths of a second: the grid of all gains
        self.size = -(-max(offset + music.size, last) // HOP) * HOP
        self.duck = duck_curve([(each.at, each.end) for each in self.placed], self.size)
        level = music_lufs if music_lufs > SUREST_QUIET_LUFS else SPOKEN_LUFS
        self.voice_gain = np.float32(10.0 ** ((level + VOICE_ABOVE_MUSIC_LU - SPOKEN_LUFS) / 20.0))
        self._starts = [each.at for each in self.placed]
        self._longest = max((each.spoken.samples.size for each in self.placed), default=0)

    def blocks(self, gain: float = 1.0, limit: Curve | None = None) -> Iterator[Samples]:
        """Give the track in blocks of shape (samples, 2), each :data:`BLOCK_SECONDS` long but for the last.

        Args:
            gain: of the whole, linear.
            limit: from :func:`limit_curve`.
        """
        step = BLOCK_SECONDS * TRACK_RATE_HZ
        for start in range(0, self.size, step):
            stop = min(self.size, start + step)
            block = self.music.read(start - self.offset, stop - self.offset)
            if self.under is not None and start < self.under.size:
                block = block + self.under.read(start, stop)
            # in place from here on: this is where most of the time of a track goes
            block = _turned(block, self.duck, start)
            voice = self.voice(start, stop)
            block[:, 0] += voice
            block[:, 1] += voice
            if limit is not None:
                block = _turned(block, limit, start)
            if gain != 1.0:
                block *= np.float32(gain)
            yield block

    def voice(self, start: int, stop: int) -> Samples:
        """Return the voice alone, mono, as it is in the mixture before levelling."""
        whole = np.zeros(stop - start, np.float32)
        # texts are in order of their start, not of their end
        first, last = bisect_left(self._starts, start - self._longest), bisect_left(self._starts, stop)
        for each in self.placed[first:last]:
            lay(whole, each.spoken.samples * (self.voice_gain * np.float32(each.gain)), each.at - start)
        return whole


def _turned(block: Samples, curve: Curve, start: int) -> Samples:
    """Return a block of shape (samples, 2) that begins at sample ``start``, turned up and down by a curve."""
    hops = block.shape[0] // HOP
    near = curve[start // HOP : start // HOP + hops + 1]
    if near.min() == near.max():
        return np.asarray(block * near[0], dtype=np.float32)
    way = np.repeat(np.arange(HOP, dtype=np.float32) / HOP, 2)
    gains = near[:-1, None] + np.diff(near)[:, None] * way
    return np.asarray(block.reshape(hops, 2 * HOP) * gains, dtype=np.float32).reshape(-1, 2)


def duck_curve(spans: Sequence[tuple[int, int]], size: int) -> Curve:
    """Return how far the music gives way, at every hundredth of a second of a track of ``size`` samples.

    Args:
        spans: first and last sample of every text.
        size: samples of the track, whole hundredths of a second.
    """
    slope = round(100 * DUCK_SLOPE_SECONDS)
    wanted = np.zeros(size // HOP + 1)
    for start, stop in spans:
        first = start // HOP - round(100 * DUCK_BEFORE_SECONDS) - slope // 2
        last = stop // HOP + round(100 * DUCK_AFTER_SECONDS)
        wanted[max(0, first) : max(0, last)] = DUCKED_DB
    return np.asarray(10.0 ** (_smoothed(wanted, slope // 2) / 20.0), dtype=np.float32)


def limit_curve(peaks: Curve, gain: float, ceiling: float) -> Curve:
    """Return the gains that keep peaks under a ceiling; they turn down before each peak.

    Args:
        peaks: true peak of every hundredth of a second before ``gain``.
        gain: of the whole.
        ceiling: highest true peak allowed, linear.
    """
    needed = np.minimum(1.0, ceiling / np.maximum(peaks * gain, 1e-9))
    # a gain counts for the hundredths on both sides of it
    edges = np.minimum(np.append(needed, needed[-1]), np.append(needed[0], needed))
    wide = sliding_window_view(np.pad(edges, LIMITER_HOPS, mode="edge"), 2 * LIMITER_HOPS + 1).min(axis=1)
    # an average over no more than the minimum was taken over is never above what is needed
    return np.asarray(_smoothed(wide, LIMITER_HOPS), dtype=np.float32)


def _smoothed(values: NDArray[np.float64], reach: int) -> NDArray[np.float64]:
    """Average over ``reach`` hundredths of a second on both sides, the nearest counting most."""
    shape = np.hanning(2 * reach + 3)[1:-1]
    return np.convolve(np.pad(values, reach, mode="edge"), shape / shape.sum(), "valid")
