"""A text ready to be laid on a beat: trimmed, its onset sharp, at one loudness, at the rate of the tracks.

**Where the onset is.** A word is heard on the beat when its vowel is near it: the weak "f" of "five" lies
up to 90 ms before. Whoever measures may take the first sound or the rise of the vowel for the onset. So for
words on a beat what comes before the vowel is said faster until it fits into :data:`MOST_BEFORE_VOWEL_MS`,
and the beat is laid in between: first sound and vowel are then both within 25 ms of it.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soxr

from noonwall.outputs.loudness import weighted_power
from noonwall.outputs.sound_file import TRACK_RATE_HZ, Samples
from noonwall.outputs.voice import Saying, Voice, levels

MOST_BEFORE_VOWEL_MS = 42
"""What of a word on a beat may sound before its vowel; twice 25 ms less some reserve."""

BEAT_AFTER_SOUND_MS = 22
"""How long after its first sound, at most, a word on a beat meets the beat."""

FIRST_SOUND_DB, VOWEL_DB, LAST_SOUND_DB = -40.0, -10.0, -45.0
"""Levels below the loudest 5 ms of a word at which it begins, its vowel begins, and it is over; own
choice."""

LAPPED_MS = 8
FADE_IN_MS, FADE_OUT_MS = 2, 8

USUAL_RATE = 170
"""Words a minute: 175 is eSpeak NG's usual rate; a little slower is clearer in a hall (own choice)."""

HIGHEST_RATE = 320
"""Beyond this words are no longer understood over music; own choice, no source."""

RATE_STEPS = (USUAL_RATE, 210, 260, HIGHEST_RATE)

SPOKEN_LUFS = -20.0
"""Loudness at which every text is kept; the mixer moves all of them together."""

HIGHEST_PEAK = 0.36
"""Peaks of a text are rounded off towards this, 11 dB above its loudness; own choice, by ear of a meter."""


@dataclass(frozen=True, slots=True)
class Spoken:
    """A text ready to be laid on a time.

    Attributes:
        samples: mono float32 at ``TRACK_RATE_HZ``, loudness :data:`SPOKEN_LUFS`.
        onset: index of the sample that belongs on the beat.
        rate: words a minute at which it was said.
    """

    samples: Samples
    onset: int
    rate: int

    @property
    def seconds(self) -> float:
        """Length of the sound."""
        return self.samples.size / TRACK_RATE_HZ

    @property
    def seconds_after_onset(self) -> float:
        """How long it sounds after the beat it is on."""
        return (self.samples.size - self.onset) / TRACK_RATE_HZ


class Speaker:
    """A voice that remembers: every text is spoken once, in memory and in a folder if one is given.

    Args:
        voice: what speaks.
        folder: where texts are kept between runs; None keeps them in memory only.
    """

    def __init__(self, voice: Voice, folder: Path | None = None) -> None:
        self.voice = voice
        self._folder = folder
        self._known: dict[str, Spoken] = {}

    def speak(self, text: str, language: str, rate: int = USUAL_RATE, *, on_beat: bool = False) -> Spoken:
        """Return a text ready to be laid on a time.

        Args:
            text: what is said.
            language: BCP 47 tag.
            rate: words a minute.
            on_beat: its vowel must meet the beat; otherwise only its start matters.

        Raises:
            NoonwallError: the voice failed or does not speak the language.
        """
        key = json.dumps([self.voice.name, text, language, rate, on_beat])
        name = hashlib.sha256(f"4 {key}".encode()).hexdigest()[:32]
        if name not in self._known:
            kept = self._kept(name, rate)
            self._known[name] = kept or self._fresh(name, text, language, rate, on_beat)
        return self._known[name]

    def fit(self, text: str, language: str, seconds: float, *, on_beat: bool = False) -> Spoken | None:
        """Return a text that is over ``seconds`` after its onset, said faster if need be, or None."""
        for rate in RATE_STEPS:
            spoken = self.speak(text, language, rate, on_beat=on_beat)
            if spoken.seconds_after_onset <= seconds:
                return spoken
        return None

    def seconds(self, language: str, text: str) -> float:
        """Return how long a text takes at the usual rate (the ``speaks`` of a cue sheet)."""
        return self.speak(text, language).seconds

    def _fresh(self, name: str, text: str, language: str, rate: int, on_beat: bool) -> Spoken:
        saying = self.voice.say(text, language, rate)
        spoken = ready(saying, rate, on_beat=on_beat)
        if self._folder is not None:
            self._keep(self._folder / f"{name}.npz", spoken)
        return spoken

    def _kept(self, name: str, rate: int) -> Spoken | None:
        if self._folder is None:
            return None
        try:
            with np.load(self._folder / f"{name}.npz") as held:
                return Spoken(held["samples"].astype(np.float32), int(held["onset"]), rate)
        except (OSError, ValueError, KeyError, EOFError):
            return None

    def _keep(self, path: Path, spoken: Spoken) -> None:
        """Keep a text for the next run; a cache that cannot be written costs time, not the track."""
        part = path.with_suffix(".part.npz")
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            np.savez(part, samples=spoken.samples, onset=spoken.onset)
            part.replace(path)
        except OSError:
            with contextlib.suppress(OSError):
                part.unlink(missing_ok=True)


def ready(saying: Saying, rate: int, *, on_beat: bool) -> Spoken:
    """Trim a saying, sharpen its onset if it is on a beat, bring it to the tracks' rate and loudness."""
    samples = saying.samples
    if saying.rate_hz != TRACK_RATE_HZ:
        samples = soxr.resample(samples, saying.rate_hz, TRACK_RATE_HZ, quality="HQ")
    level = levels(samples, TRACK_RATE_HZ)
    top = float(level.max(initial=0.0))
    if top <= 0.0:
        return Spoken(np.zeros(1, np.float32), 0, rate)
    first = int(np.argmax(level >= top * 10.0 ** (FIRST_SOUND_DB / 20.0)))
    # a level looks 5 ms ahead, so what it calls loud begins up to 4 ms later
    last = int(np.flatnonzero(level >= top * 10.0 ** (LAST_SOUND_DB / 20.0))[-1]) + 5
    vowel = int(np.argmax(level >= top * 10.0 ** (VOWEL_DB / 20.0)))
    kept = samples[_at(first) : _at(last + FADE_OUT_MS)].astype(np.float32)
    if not on_beat:
        return Spoken(_levelled(_faded(kept)), 0, rate)
    before = vowel - first
    if before > MOST_BEFORE_VOWEL_MS:
        head = squeezed(kept[: _at(before)], _at(MOST_BEFORE_VOWEL_MS))
        kept = _lapped((head, kept[_at(before) - _at(LAPPED_MS) :]))
        before = MOST_BEFORE_VOWEL_MS
    onset = _at(min(BEAT_AFTER_SOUND_MS, before / 2))
    return Spoken(_levelled(_faded(kept)), onset, rate)


def _at(milliseconds: float) -> int:
    return round(milliseconds * TRACK_RATE_HZ / 1000)


def squeezed(samples: Samples, size: int) -> Samples:
    """Return a sound of ``size`` samples: short pieces of it, lapped over, in order (overlap and add).

    The first and the last piece are kept as they are, so a burst at the start and the way into the vowel
    stay.
    """
    if samples.size <= size:
        return samples
    piece = min(2 * _at(LAPPED_MS), size)
    count = max(2, round(2 * size / piece))
    taken = np.linspace(0, samples.size - piece, count).round().astype(int)
    laid = np.linspace(0, size - piece, count).round().astype(int)
    window = np.hanning(piece + 2)[1:-1].astype(np.float32)
    made, weight = np.zeros(size, np.float32), np.zeros(size, np.float32)
    for source, target in zip(taken, laid, strict=True):
        made[target : target + piece] += samples[source : source + piece] * window
        weight[target : target + piece] += window
    return np.asarray(made / weight, dtype=np.float32)


def _lapped(pieces: Iterable[Samples]) -> Samples:
    """Join pieces, each lapped over the end of the one before it."""
    lap = _at(LAPPED_MS)
    rise = np.linspace(0.0, 1.0, lap, dtype=np.float32)
    whole = np.zeros(0, np.float32)
    for piece in pieces:
        if whole.size < lap:
            whole = piece.copy()
            continue
        joint = whole[-lap:] * (1.0 - rise) + piece[:lap] * rise
        whole = np.concatenate((whole[:-lap], joint, piece[lap:])).astype(np.float32)
    return whole


def _faded(samples: Samples) -> Samples:
    faded = samples.copy()
    rise, fall = min(_at(FADE_IN_MS), faded.size), min(_at(FADE_OUT_MS), faded.size)
    faded[:rise] *= np.linspace(0.0, 1.0, rise, dtype=np.float32)
    faded[faded.size - fall :] *= np.linspace(1.0, 0.0, fall, dtype=np.float32)
    return faded


def _levelled(samples: Samples) -> Samples:
    """Bring a text to :data:`SPOKEN_LUFS`: K-weighted power while it sounds, as of one loudspeaker channel.

    Words are shorter than the 0.4 s blocks of ITU-R BS.1770, so the power is taken over the whole word.
    """
    wanted = 10.0 ** ((SPOKEN_LUFS + 0.691) / 10.0) / 2.0
    gain, made = 1.0, samples
    # rounding off takes some loudness away: the gain is found in three turns
    for _ in range(3):
        power = weighted_power(made)
        if power <= 0.0:
            return samples
        gain *= float(np.sqrt(wanted / power))
        # Speech has far higher peaks than music of its loudness; rounded off, they leave the music alone.
        made = np.asarray(HIGHEST_PEAK * np.tanh(samples * (gain / HIGHEST_PEAK)), dtype=np.float32)
    return made
