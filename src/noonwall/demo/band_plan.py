"""The plan of a song: its phrases bar by bar, before anybody plays a note."""

from __future__ import annotations

from dataclasses import dataclass

from noonwall.demo.band_grooves import Groove

FULL_BAND = frozenset({"drums", "bass", "chords", "pad"})


@dataclass(frozen=True, slots=True)
class Phrase:
    """One phrase of the plan.

    Attributes:
        section: "intro", "verse", "chorus", "bridge" or "break".
        bars: counts of each bar; a short bar makes an odd phrase.
        chords: one chord per bar, as degrees 1 to 7 of the scale.
        layers: who plays: "drums", "bass", "chords", "pad", "melody".
        lifted: play the chorus drums.
        silent_drum_bars: bars (numbered from 0) in which the drums rest after the first hit.
        fill: drum fill in the last bar.
        motif: which melody.
        odd: the length differs from the song's usual phrase and a dancer must know.
    """

    section: str
    bars: tuple[int, ...]
    chords: tuple[int, ...]
    layers: frozenset[str] = FULL_BAND
    lifted: bool = False
    silent_drum_bars: frozenset[int] = frozenset()
    fill: bool = True
    motif: int = 0
    odd: bool = False

    @property
    def counts(self) -> int:
        """Length in counts."""
        return sum(self.bars)


@dataclass(frozen=True, slots=True)
class Plan:
    """A whole song before it is played.

    Attributes:
        phrases: intro first; phrases with section "intro" at the start make the waiting counts.
        swing: place of the half count, 1/2 to 3/4.
        tonic: MIDI number of the key note in the octave of middle C; `minor` its mode.
        phrase_counts: usual length of a phrase.
        silence_seconds: before the first sound.
        pickup: "none", "sticks" (a bar clicked), "notes" or "fill" before the first bar.
        ending: "hit" (a last chord on the next one), "ritard" (slows into it), "cold" (stops) or "fade".
        drift: largest relative change of pace, 0 for a steady song.
        humanise_seconds: standard deviation of the players' timing.
        chord_voice, melody_voice: instruments, names in `band_voices.TONES`.
        drive, peak_dbfs: see `band_mix.master`.
    """

    title: str
    groove: Groove
    bpm: float
    phrases: tuple[Phrase, ...]
    phrase_counts: int
    seed: int
    swing: float = 0.5
    tonic: int = 60
    minor: bool = False
    silence_seconds: float = 0.15
    pickup: str = "none"
    pickup_counts: int = 0
    ending: str = "hit"
    drift: float = 0.0
    humanise_seconds: float = 0.003
    chord_voice: str = "guitar"
    melody_voice: str = "voice"
    drive: float = 0.8
    peak_dbfs: float = -1.5


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar laid on the line of counts; count 0 is the first bar's one."""

    start: int
    counts: int
    chord: int
    next_chord: int
    phrase: Phrase
    phrase_index: int
    index: int
    last: bool


def lay_bars(plan: Plan) -> list[Bar]:
    """Every bar of the plan in order, knowing its phrase and the chord that follows."""
    flat = [
        (index, phrase, number)
        for index, phrase in enumerate(plan.phrases)
        for number in range(len(phrase.bars))
    ]
    chords = [phrase.chords[number] for _, phrase, number in flat]
    bars, start = [], 0
    for place, (index, phrase, number) in enumerate(flat):
        following = chords[place + 1] if place + 1 < len(chords) else 1
        last = number == len(phrase.bars) - 1
        bars.append(Bar(start, phrase.bars[number], chords[place], following, phrase, index, number, last))
        start += phrase.bars[number]
    return bars
