"""Invented tunes without drums: jigs, reels, hornpipes, waltzes and airs for one to three instruments.

They teach the listening what a beat is when nobody plays the drums, and that three notes to a beat are no
reason to count faster. Written and rendered like the invented pieces.

    python benchmarks/invented_tunes.py FOLDER --first 0 --count 40
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path

import numpy as np
from invented_pieces import LEAD_PROGRAMS, PROGRESSIONS, Piece, write

# kind: beats per bar, notes per beat, tempo range, swing
KINDS = {
    "jig": (2, 3, (78, 130), 0.5),
    "reel": (4, 4, (80, 125), 0.5),
    "march": (4, 2, (90, 150), 0.5),
    "hornpipe": (4, 2, (100, 180), 0.64),
    "waltz_tune": (3, 2, (88, 180), 0.5),
    "air": (4, 2, (84, 130), 0.5),
}
CHANCES = (0.34, 0.16, 0.14, 0.12, 0.12, 0.12)


def draw_tune(seed: int) -> Piece:
    """Draw a tune of four or eight parts, AABB, from its seed."""
    rng = np.random.default_rng(seed + 777_000)
    kind = str(rng.choice(list(KINDS), p=CHANCES))
    bar, parts, (low, high), swing = KINDS[kind]
    piece = Piece(seed, kind, round(float(rng.uniform(low, high)), 2), bar, swing)
    length = 8 * bar
    key, minor = int(rng.integers(0, 12)), rng.random() < 0.3
    accompany = str(rng.choice(["none", "none", "boom", "block", "drone"]))
    accent = int(rng.choice([0, 6, 14]))
    melodies = {name: _melody(rng, bar, parts, kind) for name in "AB"}
    chords = {name: PROGRESSIONS[int(rng.integers(0, len(PROGRESSIONS)))] for name in "AB"}
    count = 0
    turns = max(1, round(70.0 * piece.bpm / 60.0 / (4 * length)))
    for name in "AABB" * turns:
        piece.sections.append((name, count, length))
        _play(piece, rng, melodies[name], chords[name], count, length, (key, minor, accompany, accent))
        count += length
    piece.programs = {
        0: int(rng.choice([32, 42, 43])),
        1: int(rng.choice([0, 21, 22, 24, 25, 46])),
        3: int(rng.choice([*LEAD_PROGRAMS, 0, 21, 22, 24, 40, 40, 73, 74, 105])),
    }
    return piece


def _melody(rng: np.random.Generator, bar: int, parts: int, kind: str) -> list[tuple[float, float, int]]:
    """Eight bars: place, length, scale step; chord tones on the beat, steps between, rests rarely."""
    notes, step = [], int(rng.integers(0, 8))
    busy = float(rng.uniform(0.55, 0.95)) if kind != "air" else 0.35
    motif: list[tuple[float, float, int]] = []
    for number in range(8):
        if number in (2, 4, 6) and motif and rng.random() < 0.6:
            notes += [(place + number * bar, length, other) for place, length, other in motif]
            continue
        here = []
        for beat in range(bar):
            place, end = float(beat), float(beat + 1)
            while place < end - 1e-6:
                length = 1.0 / parts if rng.random() < busy else min(end - place, 2.0 / parts)
                on_beat = abs(place - beat) < 1e-6
                step = int(
                    np.clip(step + rng.choice([-3, -2, 2, 3] if on_beat else [-1, 1, 1, -1, 0]), -3, 11)
                )
                here.append((place, length, step))
                place += length
        if number == 7:
            here = [note for note in here if note[0] < bar - 1] + [(float(bar - 1), 1.0, 0)]
        notes += [(place + number * bar, length, other) for place, length, other in here]
        if number < 2:
            motif = here
    return notes


def _play(
    piece: Piece,
    rng: np.random.Generator,
    melody: list,
    chords: tuple,
    first: int,
    length: int,
    manner: tuple[int, bool, str, int],
) -> None:
    key, minor, accompany, accent = manner
    scale = (0, 2, 3, 5, 7, 8, 10) if minor else (0, 2, 4, 5, 7, 9, 11)
    bar, add = piece.beats_per_bar, piece.notes.append
    for place, duration, step in melody:
        octave, note = divmod(step, 7)
        strong = accent if abs(place - round(place)) < 1e-6 else 0
        add(
            (
                first + place,
                duration * 0.92,
                3,
                62 + key + 12 * octave + scale[note],
                84 + strong + int(rng.integers(-5, 6)),
            )
        )
    for beat in range(length):
        root = 38 + (key + chords[(beat // bar) % len(chords)]) % 12
        in_bar = beat % bar
        if accompany == "boom" or (accompany == "block" and in_bar == 0):
            add(
                (first + beat, 0.8 if accompany == "boom" else bar * 0.95, 0, root, 80 if in_bar == 0 else 66)
            )
        if (accompany == "boom" and in_bar) or (accompany == "block" and in_bar == 0):
            for interval in (12, 16, 19):
                add((first + beat, 0.5 if accompany == "boom" else bar * 0.95, 1, root + interval, 62))
        if accompany == "drone" and beat % length == 0:
            add((first + beat, length * 0.99, 1, 50 + key % 12, 60))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--count", type=int, default=40)
    options = parser.parse_args()
    options.folder.mkdir(parents=True, exist_ok=True)
    for seed in range(options.first, options.first + options.count):
        path = write(draw_tune(seed), options.folder)
        path.with_suffix(".mid").unlink()
        truth_path = path.with_suffix(".json")
        truth = json.loads(truth_path.read_text())
        truth["beats_only"] = truth["beats_per_bar"] == 2
        truth_path.write_text(json.dumps(truth))


if __name__ == "__main__":
    main()
