"""The players: each reads the bars of the plan and writes cues in counts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from noonwall.demo.band_plan import Bar, Plan, lay_bars
from noonwall.demo.band_score import Cue

LEVELS = {"X": 1.0, "x": 0.78, "o": 0.42}
MAJOR = (0, 2, 4, 5, 7, 9, 11)
MINOR = (0, 2, 3, 5, 7, 8, 10)
LAST_CHORD_COUNTS = 8.0  # longer than the ring of the ending, which the renderer lets die away
BASS_DEGREES = {"R": 0, "3": 2, "5": 4, "6": 5, "8": 7}


def scale_pitch(plan: Plan, degree: int) -> int:
    """MIDI number of a scale degree, 0 for the key note, any octave."""
    scale = MINOR if plan.minor else MAJOR
    octave, step = divmod(degree, 7)
    return plan.tonic + 12 * octave + scale[step]


def chord_pitches(plan: Plan, chord: int) -> list[int]:
    """Three notes of the chord on a degree (1 to 7), folded into the octave from F below middle C."""
    pitches = [scale_pitch(plan, chord - 1 + third) for third in (0, 2, 4)]
    if plan.minor and chord == 5:
        pitches[1] += 1  # the raised seventh: a minor key's fifth chord pulls home as a major one
    return sorted(53 + (pitch - 53) % 12 for pitch in pitches)


def _steps(pattern: str, bar: Bar, steps: int, usual_counts: int) -> Iterator[tuple[float, str]]:
    """(position in counts, letter) of the sounding steps of a pattern in this bar."""
    width = usual_counts * steps
    offset = (bar.index * width) % len(pattern)
    for step in range(min(bar.counts, usual_counts) * steps):
        letter = pattern[offset + step]
        if letter != ".":
            yield bar.start + step / steps, letter


FILLS = (
    # Last counts of a phrase: (place before the bar's end in counts, voice, level).
    ((1.0, "snare", 0.7), (0.75, "snare", 0.6), (0.5, "high_tom", 0.8), (0.25, "low_tom", 0.9)),
    ((1.0, "high_tom", 0.8), (0.5, "mid_tom", 0.85), (0.25, "low_tom", 0.9)),
    (
        (2.0, "snare", 0.6),
        (1.5, "snare", 0.6),
        (1.0, "high_tom", 0.8),
        (0.75, "high_tom", 0.7),
        (0.5, "mid_tom", 0.8),
        (0.25, "low_tom", 0.9),
    ),
    ((1.0, "snare", 0.8), (0.5, "snare", 0.9), (0.5, "low_tom", 0.6)),
)


TRIPLET_FILL = ((1.0, "high_tom", 0.8), (2 / 3, "mid_tom", 0.85), (1 / 3, "low_tom", 0.9))


def _fill(plan: Plan, generator: np.random.Generator) -> tuple[tuple[float, str, float], ...]:
    """A fill that fits the groove: triplets where the counts are dotted, else one of `FILLS`."""
    choice = FILLS[int(generator.integers(len(FILLS)))]
    return TRIPLET_FILL if plan.groove.steps % 3 == 0 else choice


def drum_cues(plan: Plan, bars: Sequence[Bar], generator: np.random.Generator) -> Iterator[Cue]:
    """Drums: the groove, a crash where a section begins, a fill where a phrase ends, rests in breaks."""
    steps, usual = plan.groove.steps, plan.groove.beats_per_bar
    previous_section = ""
    for bar in bars:
        phrase = bar.phrase
        if "drums" not in phrase.layers:
            previous_section = phrase.section
            continue
        first = bar.index == 0
        if bar.index in phrase.silent_drum_bars:
            yield Cue("kick", bar.start, 0.5, 0, 1.0)
            continue
        if first and phrase.section != previous_section:
            yield Cue("crash", bar.start, 4.0, 0, 0.8)
        previous_section = phrase.section
        fill = _fill(plan, generator) if phrase.fill and bar.last else ()
        fill_start = bar.start + bar.counts - (fill[0][0] if fill else 0.0)
        for voice, pattern in plan.groove.lines(phrase.lifted).items():
            for position, letter in _steps(pattern, bar, steps, usual):
                if position < fill_start or voice == "kick":
                    yield Cue(voice, position, 0.25, 0, LEVELS[letter])
        for before, voice, level in fill:
            yield Cue(voice, bar.start + bar.counts - before, 0.25, 0, level)


def _bass_pitch(plan: Plan, chord: int, letter: str, next_chord: int) -> int:
    if letter == "a":
        target = scale_pitch(plan, next_chord - 1)
        pitch = target - 1 if chord != next_chord else scale_pitch(plan, chord + 3)
    elif letter == "7":
        pitch = scale_pitch(plan, chord - 1) - 2
    else:
        pitch = scale_pitch(plan, chord - 1 + BASS_DEGREES[letter])
    low = 33 + (pitch - 33) % 12
    return low + 12 if letter == "8" else low


def bass_cues(plan: Plan, bars: Sequence[Bar]) -> Iterator[Cue]:
    """Bass line: each note lasts until the next one of the bar, at most two counts."""
    steps, usual = plan.groove.steps, plan.groove.beats_per_bar
    for bar in bars:
        if "bass" not in bar.phrase.layers:
            continue
        sounding = list(_steps(plan.groove.bass, bar, steps, usual))
        ends = [place for place, _ in sounding[1:]] + [float(bar.start + bar.counts)]
        for (place, letter), end in zip(sounding, ends, strict=True):
            pitch = _bass_pitch(plan, bar.chord, letter, bar.next_chord)
            yield Cue("bass", place, min(end - place, 2.0) * 0.92, pitch, 0.9 if place == bar.start else 0.75)


SHORT_VOICES = frozenset({"muted_guitar", "accordion", "organ"})


def chord_cues(plan: Plan, bars: Sequence[Bar]) -> Iterator[Cue]:
    """Chords struck in the groove's pattern and a pad that changes with the harmony."""
    steps, usual = plan.groove.steps, plan.groove.beats_per_bar
    broken = plan.groove.chords.count("x") >= 2 * usual - 1 and plan.chord_voice in ("piano", "guitar")
    for bar in bars:
        pitches = chord_pitches(plan, bar.chord)
        if "chords" in bar.phrase.layers:
            for number, (place, letter) in enumerate(_steps(plan.groove.chords, bar, steps, usual)):
                length = 0.3 if plan.chord_voice in SHORT_VOICES else 1.2
                # A busy pattern is played as a broken chord, one note at a time.
                struck = (
                    [pitches[(0, 1, 2, 1)[number % 4]] + (12 if number % 4 == 2 else 0)]
                    if broken
                    else pitches
                )
                for pitch in struck:
                    yield Cue(
                        plan.chord_voice, place, length, pitch, LEVELS[letter] * (1.0 if broken else 0.8)
                    )
        if "pad" in bar.phrase.layers:
            for pitch in pitches:
                yield Cue("pad", float(bar.start), bar.counts * 0.98, pitch, 0.8)


def _motif(plan: Plan, number: int) -> list[tuple[float, float, int]]:
    """Two bars of melody: (place in counts, length, step from the chord's note), always the same."""
    generator = np.random.default_rng([plan.seed, 40 + number])
    span = 2.0 * plan.groove.beats_per_bar
    lengths = np.array([0.5, 1.0, 1.5, 2.0]) if plan.groove.steps == 4 else np.array([1 / 3, 2 / 3, 1.0, 2.0])
    place, step, notes = float(generator.choice([0.0, 0.0, 0.5, 1.0])), int(generator.choice([0, 2, 4])), []
    while place < span - 1.0:
        length = float(generator.choice(lengths, p=[0.42, 0.36, 0.1, 0.12]))
        length = min(length, span - 0.5 - place)
        if generator.random() < 0.86:
            notes.append((place, length * 0.94, step))
        place += length
        # Mostly steps, now and then a leap, always pulled back to the middle.
        step += (
            int(generator.choice([-2, -1, -1, 0, 1, 1, 2])) - (1 if step > 5 else 0) + (1 if step < -1 else 0)
        )
    return notes


def _melody_pitch(plan: Plan, chord: int, step: int, *, strong: bool) -> int:
    """The tune's own scale step near the key note; on strong places the nearest note of the chord.

    So the tune keeps its shape over changing chords, and the two agree where it is heard most.
    """
    if strong:
        tones = {(chord - 1 + third) % 7 for third in (0, 2, 4)}
        step = min((step + shift for shift in (0, -1, 1, -2, 2)), key=lambda near: near % 7 not in tones)
    pitch = scale_pitch(plan, step)
    if plan.minor and chord == 5 and step % 7 == 6:
        pitch += 1
    return pitch + 12 if plan.tonic < 60 else pitch


def melody_cues(plan: Plan, bars: Sequence[Bar]) -> Iterator[Cue]:
    """Melody: a two-bar motif, its answer, and the motif again, following the chords."""
    for bar in bars:
        if "melody" not in bar.phrase.layers or bar.index % 2:
            continue
        answer = (bar.index // 2) % 2
        room = sum(bar.phrase.bars[bar.index : bar.index + 2])
        for place, length, step in _motif(plan, 2 * bar.phrase.motif + answer):
            if place + length > room:
                break
            chord = bar.chord if place < bar.counts else bar.next_chord
            pitch = _melody_pitch(plan, chord, step, strong=place % 1.0 == 0.0)
            yield Cue(plan.melody_voice, bar.start + place, length, pitch, 0.85)


def pickup_cues(plan: Plan) -> Iterator[Cue]:
    """What is heard before the first bar."""
    for count in range(-plan.pickup_counts, 0):
        if plan.pickup == "sticks":
            yield Cue("sticks", float(count), 0.25, 0, 0.9)
        elif plan.pickup == "notes":
            for half in (0.0, 0.5):
                pitch = scale_pitch(plan, int(2 * (count + half)) % 7)
                yield Cue(plan.melody_voice, count + half, 0.45, pitch, 0.8)
        elif plan.pickup == "fill":
            yield Cue("snare", float(count), 0.25, 0, 0.8)
            yield Cue("mid_tom" if count < -1 else "low_tom", count + 0.5, 0.25, 0, 0.8)


def ending_cues(plan: Plan, end: int) -> Iterator[Cue]:
    """The last chord on the one after the last bar, for endings that have it."""
    if plan.ending not in ("hit", "ritard"):
        return
    yield Cue("kick", float(end), 0.5, 0, 1.0)
    yield Cue("crash", float(end), 4.0, 0, 0.9)
    yield Cue("bass", float(end), LAST_CHORD_COUNTS, _bass_pitch(plan, 1, "R", 1), 0.95)
    for pitch in chord_pitches(plan, 1):
        yield Cue("pad", float(end), LAST_CHORD_COUNTS, pitch, 0.9)
        yield Cue(plan.chord_voice, float(end), LAST_CHORD_COUNTS, pitch, 0.9)


def arrange(plan: Plan) -> list[Cue]:
    """All cues of a plan, in counts from the first bar's one; the same plan gives the same cues."""
    bars = lay_bars(plan)
    generator = np.random.default_rng([plan.seed, 1])
    end = bars[-1].start + bars[-1].counts
    return [
        *pickup_cues(plan),
        *drum_cues(plan, bars, generator),
        *bass_cues(plan, bars),
        *chord_cues(plan, bars),
        *melody_cues(plan, bars),
        *ending_cues(plan, end),
    ]
