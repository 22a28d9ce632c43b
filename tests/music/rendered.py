"""Random rendered songs with exact truth, for tests and measurements of the listening.

    python -m tests.music.rendered --count 40 --seed 1 --out DIR [--renderer soundfont]

The songs are planned here and played by the demo band, or as General MIDI through the Debian
programs fluidsynth and a soundfont when these are installed. The truth comes from the plan, never
from the audio. Its fields are described in `noonwall.demo.band_truth.truth_of`.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from noonwall.demo.band import Rendered, play, render_plan, shape_ending, write_song
from noonwall.demo.band_grooves import GROOVES, Groove
from noonwall.demo.band_mix import master, mix, sounding_end_seconds
from noonwall.demo.band_plan import FULL_BAND, Phrase, Plan
from noonwall.demo.band_score import Cue, perform
from noonwall.demo.band_truth import plan_clock, total_counts, truth_of
from noonwall.demo.band_voices import SAMPLE_RATE
from tests.music.rendered_midi import soundfont_audio

RENDERERS = ("synth", "soundfont")

# How often each genre comes: what is danced most, most; the hard ones enough to be measured.
GENRE_WEIGHTS = {
    "rock": 12,
    "train": 6,
    "shuffle": 9,
    "polka": 5,
    "cha_cha": 7,
    "disco": 9,
    "one_drop": 4,
    "half_time": 3,
    "funk": 5,
    "soul": 4,
    "jive": 5,
    "west_coast": 7,
    "bossa": 3,
    "night_club": 4,
    "stomp": 4,
    "waltz": 8,
    "slow_waltz": 4,
    "six_eight": 2,
    "two_four": 2,
}

PROGRESSIONS = (
    (1, 5, 6, 4),
    (1, 4, 1, 5),
    (1, 6, 4, 5),
    (6, 4, 1, 5),
    (1, 4, 5, 4),
    (2, 5, 1, 1),
    (1, 3, 4, 5),
    (1, 1, 4, 5),
    (4, 1, 5, 6),
    (1, 5, 4, 4),
    (1, 2, 4, 1),
    (6, 5, 4, 5),
)
BLUES = (1, 4, 1, 1, 4, 4, 1, 1, 5, 4, 1, 5)

Generator = np.random.Generator


def _chords(generator: Generator, bars: int) -> tuple[int, ...]:
    """A chord for each bar: four chords of one or two bars each, repeated, with a close at the end."""
    progression = PROGRESSIONS[int(generator.integers(len(PROGRESSIONS)))]
    width = int(generator.choice([1, 1, 2]))
    line = [progression[(bar // width) % 4] for bar in range(bars)]
    if generator.random() < 0.6:
        line[-1] = int(generator.choice([5, 5, 1]))
    return tuple(line)


def _odd_bars(generator: Generator, bars: tuple[int, ...], usual: int) -> tuple[int, ...]:
    """The bars of a phrase with extra or missing counts at its end."""
    if usual == 3:
        extra = int(generator.choice([3, 6, -3]))
    elif usual == 2:
        extra = int(generator.choice([2, 4, 8, -4]))
    else:
        extra = int(generator.choice([4, 4, 2, 8, -4]))
    if extra < 0:
        return bars[: len(bars) + extra // usual]
    return bars + (usual,) * (extra // usual) + ((extra % usual,) if extra % usual else ())


def _intro(generator: Generator, groove: Groove, chords: tuple[int, ...]) -> list[Phrase]:
    """0 to 32 waiting counts, by the whole band or a part of it."""
    usual = groove.beats_per_bar
    choices = {4: (0, 1, 2, 4, 4, 8, 8), 3: (0, 2, 4, 4, 8), 2: (0, 2, 4, 8)}[usual]
    bars = int(generator.choice(choices))
    if not bars:
        return []
    layers = (
        FULL_BAND,
        frozenset({"drums", "bass", "chords"}),
        frozenset({"chords", "pad"}),
        frozenset({"drums"}),
        frozenset({"chords", "bass"}),
        frozenset({"drums", "bass"}),
    )[int(generator.integers(6))]
    line = tuple(chords[bar % len(chords)] for bar in range(bars))
    return [Phrase("intro", (usual,) * bars, line, layers=layers, fill=bool(generator.random() < 0.7))]


def _section(
    generator: Generator, groove: Groove, section: str, chords: tuple[int, ...], odd: bool
) -> Phrase:
    """One phrase: who plays, where the drums rest, and its bars."""
    usual = groove.beats_per_bar
    bars = (usual,) * len(chords)
    layers = set(FULL_BAND)
    if section in ("verse", "chorus") and generator.random() < 0.9:
        layers.add("melody")
    if section == "verse" and generator.random() < 0.4:
        layers.discard("pad")
    silent: frozenset[int] = frozenset()
    if section == "break":
        layers.discard("drums" if generator.random() < 0.6 else "bass")
    elif generator.random() < 0.15:
        rests = int(generator.choice([1, 1, 2]))
        silent = frozenset(range(len(bars) - rests, len(bars)))
    if odd:
        bars = _odd_bars(generator, bars, usual)
        chords = (chords + (chords[-1],) * len(bars))[: len(bars)]
    return Phrase(
        section,
        bars,
        chords,
        layers=frozenset(layers),
        lifted=section == "chorus",
        silent_drum_bars=silent,
        fill=bool(generator.random() < 0.7),
        motif={"verse": 0, "chorus": 1, "bridge": 2, "break": 2}[section],
        odd=odd,
    )


FORMS = (
    ("verse", "verse", "chorus", "verse", "chorus", "chorus"),
    ("verse", "chorus", "verse", "chorus", "bridge", "chorus"),
    ("verse", "verse", "chorus", "chorus", "verse", "chorus"),
    ("verse", "chorus", "verse", "chorus", "break", "chorus", "chorus"),
    ("verse", "chorus", "break", "verse", "chorus", "bridge", "chorus"),
)


def _phrases(
    generator: Generator, groove: Groove, bpm: float, length_seconds: float
) -> tuple[list[Phrase], int]:
    """Intro and phrases up to about the wanted length, and the usual counts of a phrase."""
    usual = groove.beats_per_bar
    blues = usual == 4 and generator.random() < 0.06
    bars = 12 if blues else 16 if usual == 2 else 8
    harmony = {
        name: BLUES if blues else _chords(generator, bars) for name in ("verse", "chorus", "bridge", "break")
    }
    phrases = _intro(generator, groove, harmony["verse"])
    phrase_seconds = bars * usual * 60.0 / bpm
    wanted = max(3, round((length_seconds - 8.0) / phrase_seconds))
    form = FORMS[int(generator.integers(len(FORMS)))]
    odd_count = int(generator.choice([0, 1, 2], p=[0.5, 0.35, 0.15]))
    # The last phrase is never odd: after it there is nothing by which to tell.
    odd = set(generator.choice(wanted - 1, size=min(odd_count, wanted - 1), replace=False).tolist())
    for number in range(wanted):
        section = form[number % len(form)]
        phrases.append(_section(generator, groove, section, harmony[section], number in odd))
    return phrases, bars * usual


def random_plan(seed: int, *, genre: str | None = None, length_seconds: float = 95.0) -> Plan:
    """A random song before it is played.

    Args:
        seed: the same seed gives the same plan.
        genre: a groove name, or None for a weighted choice.
        length_seconds: about how long; at least three phrases are made, so slow songs are longer.

    Returns:
        The plan. Tempo 80 to 190 counts a minute (night club from 56), any intro, odd phrases in
        half of the songs, drift in one of six, human timing up to 8 ms standard deviation.
    """
    generator = np.random.default_rng([seed, 77])
    names = list(GENRE_WEIGHTS)
    weights = np.array([GENRE_WEIGHTS[name] for name in names], dtype=np.float64)
    chosen = str(generator.choice(names, p=weights / weights.sum()))
    groove = GROOVES[genre or chosen]
    low, high = groove.tempo_bpm
    bpm = float(generator.uniform(low, high))
    # Half of the songs were made with a whole number in the tempo box, the others were played.
    bpm = float(round(bpm)) if generator.random() < 0.5 else round(bpm, 3)
    phrases, phrase_counts = _phrases(generator, groove, bpm, length_seconds)
    pickup = str(generator.choice(["none", "sticks", "notes", "fill"], p=[0.6, 0.12, 0.18, 0.1]))
    pickup_counts = {
        "none": 0,
        "sticks": groove.beats_per_bar,
        "notes": int(generator.integers(1, 3)),
        "fill": 2,
    }[pickup]
    return Plan(
        title=f"Harbour Hall test song {seed}",
        groove=groove,
        bpm=bpm,
        phrases=tuple(phrases),
        phrase_counts=phrase_counts,
        seed=seed,
        swing=float(generator.choice(groove.swings)),
        tonic=int(generator.integers(55, 67)),
        minor=bool(generator.random() < 0.3),
        silence_seconds=round(
            float(generator.choice([0.05, generator.uniform(0.05, 0.6), generator.uniform(0.6, 2.5)])), 4
        ),
        pickup=pickup,
        pickup_counts=pickup_counts,
        ending=str(generator.choice(["hit", "ritard", "cold", "fade"], p=[0.4, 0.2, 0.2, 0.2])),
        drift=float(generator.choice([0.0, generator.uniform(0.003, 0.015)], p=[5 / 6, 1 / 6])),
        humanise_seconds=float(generator.uniform(0.0, 0.008)),
        chord_voice=str(generator.choice(groove.chord_voices)),
        melody_voice=str(generator.choice(["voice", "voice", "fiddle", "brass", "bell"])),
        drive=float(generator.choice([0.6, 1.0, 2.0, 3.5])),
        peak_dbfs=float(generator.choice([-0.5, -1.0, -3.0, -9.0])),
    )


def _lead_in_noise(samples: NDArray[np.float32], plan: Plan) -> None:
    """In one song of eight, quiet hiss from the very start, as from a worn record, in place."""
    generator = np.random.default_rng([plan.seed, 78])
    if generator.random() < 1 / 8:
        level = 10.0 ** (float(generator.uniform(-56.0, -40.0)) / 20.0) * float(np.abs(samples).max())
        samples += (level * generator.standard_normal(samples.shape)).astype(np.float32)
        np.clip(samples, -1.0, 1.0, out=samples)


def render_random(plan: Plan, renderer: str = "synth") -> Rendered:
    """Play a plan with the demo band ("synth") or through a soundfont ("soundfont").

    Raises:
        ValueError: no such renderer.
        FileNotFoundError: the soundfont renderer is wanted and its program or a soundfont is missing.
    """
    if renderer == "synth":
        rendered = render_plan(plan)
    elif renderer == "soundfont":
        notes, length_seconds = play(plan)
        stereo = soundfont_audio(notes, length_seconds)
        shape_ending(stereo, plan)
        samples = master(stereo, drive=plan.drive, peak_dbfs=plan.peak_dbfs)
        truth = truth_of(plan)
        truth["audio_end"] = round(sounding_end_seconds(samples), 6)
        rendered = Rendered(samples, SAMPLE_RATE, truth)
    else:
        raise ValueError(f"unknown renderer {renderer!r}; choose one of {', '.join(RENDERERS)}")
    rendered.truth["renderer"] = renderer
    _lead_in_noise(rendered.samples, plan)
    return rendered


def random_song(seed: int, renderer: str = "synth") -> tuple[NDArray[np.float32], int, dict[str, Any]]:
    """A random song: samples (samples, 2) float32, sample rate, truth."""
    rendered = render_random(random_plan(seed), renderer)
    return rendered.samples, rendered.sample_rate, rendered.truth


def click_song(plan: Plan) -> Rendered:
    """The plan's clock made audible: one dry stick click on every count, nothing else.

    A test compares these onsets with the truth's beats, so a slip between the two cannot hide.
    """
    cues = [
        Cue("sticks", float(count), 0.25, 0, 1.0) for count in range(-plan.pickup_counts, total_counts(plan))
    ]
    notes = perform(
        cues,
        plan_clock(plan),
        swing=plan.swing,
        humanise_seconds=0.0,
        generator=np.random.default_rng(plan.seed),
    )
    stereo = mix(notes, notes[-1].start_seconds + 1.0)[:2]
    return Rendered(master(stereo, drive=0.5, peak_dbfs=-1.0), SAMPLE_RATE, truth_of(plan))


def main() -> None:
    """Write random songs and their truth into a folder."""
    parser = argparse.ArgumentParser(description="Write random test songs with their exact truth.")
    parser.add_argument("--count", type=int, default=40, help="how many songs")
    parser.add_argument("--seed", type=int, default=1, help="seed of the first song; the others follow")
    parser.add_argument("--out", type=Path, required=True, help="folder to write into")
    parser.add_argument("--renderer", choices=RENDERERS, default="synth")
    parser.add_argument("--genre", choices=sorted(GROOVES), default=None)
    chosen = parser.parse_args()
    chosen.out.mkdir(parents=True, exist_ok=True)
    for seed in range(chosen.seed, chosen.seed + chosen.count):
        plan = random_plan(seed, genre=chosen.genre)
        name = f"{chosen.renderer}-{seed:05d}-{plan.groove.name}"
        write_song(chosen.out, name, render_random(plan, chosen.renderer))


if __name__ == "__main__":
    main()
