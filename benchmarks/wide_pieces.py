"""Songs of the demo band drawn wider than danced music is: every bar length as often as the next, 60 to 200
counts a minute, intros of 0, 4, 8, 16 and 32 counts, phrases with 2, 4 or 8 counts more or 4 fewer.

The tempo is drawn first and then a groove that is played at it, so that no groove is stretched beyond what
its own table allows. For measuring, and for fitting with other seeds than those measured.

    python benchmarks/wide_pieces.py FOLDER --first 5001 --count 40 [--renderer soundfont]
"""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.music.rendered import RENDERERS, random_plan, render_random

from noonwall.demo.band import write_song
from noonwall.demo.band_grooves import GROOVES
from noonwall.demo.band_plan import FULL_BAND, Phrase, Plan

SLOWEST_BPM, FASTEST_BPM = 60.0, 200.0
METRES = ("2/4", "3/4", "4/4", "4/4", "6/8")
INTRO_COUNTS = (0, 4, 8, 16, 32)
EXTRA_COUNTS = {2: (2, 4, 8, -4), 3: (3, 6, -3), 4: (2, 4, 8, -4)}
INTRO_LAYERS = (
    FULL_BAND,
    frozenset({"drums", "bass"}),
    frozenset({"drums"}),
    frozenset({"chords", "bass"}),
    frozenset({"chords", "pad"}),
)


def metre_of(name: str) -> str:
    """Time signature of a groove of the band."""
    if name == "six_eight":
        return "6/8"
    return {2: "2/4", 3: "3/4", 4: "4/4"}[GROOVES[name].beats_per_bar]


def wide_plan(seed: int) -> Plan:
    """A random song; the same seed gives the same plan."""
    generator = np.random.default_rng([seed, 79])
    metre = str(generator.choice(METRES))
    family = [name for name in GROOVES if metre_of(name) == metre]
    low = max(SLOWEST_BPM, min(GROOVES[name].tempo_bpm[0] for name in family))
    high = min(FASTEST_BPM, max(GROOVES[name].tempo_bpm[1] for name in family))
    bpm = round(float(generator.uniform(low, high)), 2)
    fitting = [name for name in family if GROOVES[name].tempo_bpm[0] <= bpm <= GROOVES[name].tempo_bpm[1]]
    plan = random_plan(seed, genre=str(generator.choice(fitting)), length_seconds=100.0)
    phrases = [replace(phrase, odd=False) for phrase in plan.phrases if phrase.section != "intro"]
    phrases = [_plain(phrase, plan) for phrase in phrases]
    wanted = min(int(generator.integers(0, 3)), len(phrases) - 1)
    for index in generator.choice(len(phrases) - 1, size=wanted, replace=False).tolist():
        phrases[index] = _odd(generator, phrases[index], plan.groove.beats_per_bar)
    return replace(
        plan,
        bpm=bpm,
        phrases=(*_intro(generator, phrases[0], plan.groove.beats_per_bar), *phrases),
        drift=float(generator.choice([0.0, 0.0, 0.0, generator.uniform(0.003, 0.015)])),
        ending=str(generator.choice(["hit", "ritard", "cold", "fade"])),
    )


def _plain(phrase: Phrase, plan: Plan) -> Phrase:
    """A phrase of the usual length."""
    bars = plan.phrase_counts // plan.groove.beats_per_bar
    chords = (phrase.chords * 2)[:bars]
    silent = frozenset(bar for bar in phrase.silent_drum_bars if bar < bars)
    return replace(phrase, bars=(plan.groove.beats_per_bar,) * bars, chords=chords, silent_drum_bars=silent)


def _odd(generator: np.random.Generator, phrase: Phrase, usual: int) -> Phrase:
    extra = int(generator.choice(EXTRA_COUNTS[usual]))
    if extra < 0:
        bars = phrase.bars[: extra // usual]
    else:
        bars = phrase.bars + (usual,) * (extra // usual) + ((extra % usual,) if extra % usual else ())
    chords = (phrase.chords + (phrase.chords[-1],) * len(bars))[: len(bars)]
    silent = frozenset(bar for bar in phrase.silent_drum_bars if bar < len(bars))
    return replace(phrase, bars=bars, chords=chords, silent_drum_bars=silent, odd=True)


def _intro(generator: np.random.Generator, first: Phrase, usual: int) -> list[Phrase]:
    counts = int(generator.choice(INTRO_COUNTS))
    bars = counts // 4 * (usual if usual == 3 else 4) // usual
    if not bars:
        return []
    layers = INTRO_LAYERS[int(generator.integers(len(INTRO_LAYERS)))]
    chords = tuple(first.chords[bar % len(first.chords)] for bar in range(bars))
    return [Phrase("intro", (usual,) * bars, chords, layers=layers, fill=bool(generator.random() < 0.7))]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--first", type=int, default=5001)
    parser.add_argument("--count", type=int, default=40)
    parser.add_argument("--renderer", choices=RENDERERS, default="synth")
    options = parser.parse_args()
    options.folder.mkdir(parents=True, exist_ok=True)
    for seed in range(options.first, options.first + options.count):
        plan = wide_plan(seed)
        rendered = render_random(plan, options.renderer)
        rendered.truth["metre"] = metre_of(plan.groove.name)
        write_song(options.folder, f"wide-{options.renderer}-{seed:05d}-{plan.groove.name}", rendered)


if __name__ == "__main__":
    main()
