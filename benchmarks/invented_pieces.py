"""Invented pieces with known beats, bars, eights and phrases, for fitting and measuring the listening.

Every piece is drawn from a seed: style, tempo, metre, chords, bass, drums, melody, sections, odd phrases,
fills, swing, drift, human timing. It is written as MIDI and rendered by FluidSynth with a General MIDI
soundfont (Debian packages fluidsynth, fluid-soundfont-gm, timgm6mb-soundfont). Nothing is taken from an
existing tune.

    python benchmarks/invented_pieces.py FOLDER --first 0 --count 50
"""

from __future__ import annotations

import argparse
import json
import subprocess
from dataclasses import dataclass, field
from pathlib import Path

import mido
import numpy as np
import soundfile
from invented_drums import add_drums

SOUNDFONTS = ("/usr/share/sounds/sf2/FluidR3_GM.sf2", "/usr/share/sounds/sf2/TimGM6mb.sf2")
TICKS = 480
KICK, SNARE, RIM, CLAP, HAT, OPEN_HAT, CRASH, RIDE, LOW_TOM, HIGH_TOM, TAMB, SHAKER, COWBELL, CONGA = (
    36,
    38,
    37,
    39,
    42,
    46,
    49,
    51,
    45,
    50,
    54,
    70,
    56,
    63,
)

# Patterns per bar of 4 counts on a grid of 4 places a count: drum, places. "x" styles are mutated.
GROOVES_4 = {
    "rock": {KICK: [0, 8], SNARE: [4, 12], HAT: [0, 2, 4, 6, 8, 10, 12, 14]},
    "rock_busy": {KICK: [0, 6, 8, 10], SNARE: [4, 12], HAT: [0, 2, 4, 6, 8, 10, 12, 14]},
    "four_floor": {KICK: [0, 4, 8, 12], CLAP: [4, 12], OPEN_HAT: [2, 6, 10, 14]},
    "four_floor_16": {KICK: [0, 4, 8, 12], SNARE: [4, 12], HAT: list(range(16)), OPEN_HAT: [2, 6, 10, 14]},
    "trance": {KICK: [0, 4, 8, 12], OPEN_HAT: [2, 6, 10, 14], CLAP: [4, 12], SHAKER: list(range(16))},
    "train": {KICK: [0, 4, 8, 12], SNARE: list(range(16))},
    "two_step": {KICK: [0, 8], SNARE: [4, 12], HAT: [4, 12]},
    "two_step_fast": {KICK: [0, 4, 8, 12], SNARE: [2, 6, 10, 14], HAT: list(range(0, 16, 2))},
    "metal_double": {KICK: list(range(0, 16, 2)), SNARE: [4, 12], RIDE: [0, 4, 8, 12]},
    "metal_gallop": {KICK: [0, 2, 3, 4, 6, 7, 8, 10, 11, 12, 14, 15], SNARE: [4, 12], CRASH: [0, 8]},
    "punk": {KICK: [0, 4, 8, 12], SNARE: [2, 6, 10, 14], HAT: [0, 2, 4, 6, 8, 10, 12, 14]},
    "half_time": {KICK: [0, 5, 10], SNARE: [8], HAT: [0, 2, 4, 6, 8, 10, 12, 14]},
    "one_drop": {KICK: [8], RIM: [8], HAT: [0, 2, 4, 6, 8, 10, 12, 14]},
    "steppers": {KICK: [0, 4, 8, 12], RIM: [8], HAT: [2, 6, 10, 14]},
    "dembow": {KICK: [0, 4, 8, 12], SNARE: [3, 6, 11, 14], HAT: [0, 2, 4, 6, 8, 10, 12, 14]},
    "cha_cha": {KICK: [0, 8], CONGA: [12, 14, 4], COWBELL: [0, 4, 8, 12], SHAKER: list(range(0, 16, 2))},
    "break": {KICK: [0, 2, 10, 11], SNARE: [4, 12, 7], HAT: list(range(0, 16, 2))},
    "swing_ride": {KICK: [0, 8], RIDE: [0, 4, 6, 8, 12, 14], HAT: [4, 12]},
    "shuffle": {KICK: [0, 8], SNARE: [4, 12], HAT: [0, 2, 4, 6, 8, 10, 12, 14]},
    "ballad": {KICK: [0, 6, 8], RIM: [4, 12], HAT: list(range(0, 16, 2))},
    "stomp_clap": {KICK: [0, 2, 8, 10], CLAP: [4, 12], TAMB: [4, 12]},
    "disco": {
        KICK: [0, 4, 8, 12],
        SNARE: [4, 12],
        HAT: [0, 1, 3, 4, 5, 7, 8, 9, 11, 12, 13, 15],
        OPEN_HAT: [2, 6, 10, 14],
    },
    "none": {},
}
GROOVES_3 = {
    "waltz": {KICK: [0], SNARE: [4, 8], HAT: [0, 4, 8]},
    "waltz_rim": {KICK: [0], RIM: [4, 8], HAT: [0, 2, 4, 6, 8, 10]},
    "waltz_slow": {KICK: [0], SNARE: [8], HAT: [0, 2, 4, 6, 8, 10]},
    "waltz_brush": {SHAKER: [0, 4, 8], KICK: [0]},
    "waltz_pop": {KICK: [0, 6], SNARE: [8], TAMB: [4, 8]},
    "none": {},
}
STYLE_TEMPO = {
    "rock": (84, 176),
    "rock_busy": (84, 150),
    "four_floor": (112, 150),
    "four_floor_16": (112, 145),
    "trance": (126, 150),
    "train": (100, 140),
    "two_step": (88, 128),
    "two_step_fast": (88, 120),
    "metal_double": (110, 190),
    "metal_gallop": (110, 180),
    "punk": (85, 125),
    "half_time": (120, 180),
    "one_drop": (130, 170),
    "steppers": (120, 150),
    "dembow": (85, 108),
    "cha_cha": (104, 128),
    "break": (84, 175),
    "swing_ride": (110, 190),
    "shuffle": (86, 150),
    "ballad": (76, 104),
    "stomp_clap": (80, 120),
    "disco": (106, 132),
    "none": (70, 160),
    "waltz": (86, 180),
    "waltz_rim": (86, 160),
    "waltz_slow": (84, 150),
    "waltz_brush": (80, 180),
    "waltz_pop": (84, 150),
}
PROGRESSIONS = (
    (0, 5, 7, 0),
    (0, 7, 9, 5),
    (9, 5, 0, 7),
    (0, 0, 5, 7),
    (0, 5, 0, 7),
    (9, 7, 5, 7),
    (0, 9, 5, 7),
    (0, 0, 0, 0),
    (0, 10, 5, 0),
    (2, 7, 0, 0),
    (0, 4, 5, 7),
    (9, 9, 5, 7),
    (0, 0, 0, 0, 5, 5, 0, 0, 7, 5, 0, 7),
    (0, 3, 10, 5),
    (0, 7, 0, 7),
    (0, 0, 7, 7, 7, 7, 0, 0),
    (0, 0, 5, 5, 7, 7, 0, 0),
)
BASS_PROGRAMS, PAD_PROGRAMS = (32, 33, 34, 35, 36, 38, 39, 43), (48, 50, 88, 89, 90, 91, 16, 52, 19)
CHORD_PROGRAMS = (0, 1, 4, 5, 7, 24, 25, 26, 27, 28, 29, 30, 17, 21, 11, 46, 62, 81)
LEAD_PROGRAMS = (22, 40, 56, 61, 65, 66, 73, 80, 81, 82, 84, 87, 29, 30, 26, 105, 110, 52, 54, 85)


@dataclass
class Piece:
    """What is known about one invented piece; counts are beats from the first bar's one."""

    seed: int
    style: str
    bpm: float
    beats_per_bar: int
    swing: float
    sections: list[tuple[str, int, int]] = field(default_factory=list)  # kind, first count, counts
    notes: list[tuple[float, float, int, int, int]] = field(
        default_factory=list
    )  # count, length, channel, pitch, vel
    programs: dict[int, int] = field(default_factory=dict)
    pickup: int = 0


def draw_piece(seed: int) -> Piece:
    """Draw everything about a piece from its seed."""
    rng = np.random.default_rng(seed)
    triple = rng.random() < 0.17
    grooves = GROOVES_3 if triple else GROOVES_4
    names = [name for name in grooves if name != "none"]
    style = str(rng.choice(names)) if rng.random() < 0.93 else "none"
    low, high = STYLE_TEMPO[style]
    swung = style in ("shuffle", "swing_ride") or (rng.random() < 0.12 and style not in ("train",))
    piece = Piece(
        seed,
        style,
        round(float(rng.uniform(low, high)), 2),
        3 if triple else 4,
        float(rng.uniform(0.6, 0.69)) if swung else 0.5,
    )
    _draw_sections(piece, rng)
    _draw_music(piece, rng)
    return piece


def _draw_sections(piece: Piece, rng: np.random.Generator) -> None:
    bar = piece.beats_per_bar
    phrase = 8 * bar if bar == 4 else int(rng.choice([24, 24, 48]))
    eight = 2 * bar
    intro = int(rng.choice([0, 1, 2, 4, 4])) * eight
    count = 0
    if intro:
        piece.sections.append(("intro", 0, intro))
        count = intro
    piece.pickup = int(rng.choice([0, 0, 0, 0, 1, 2, bar - 1]))
    order = list(rng.choice(["ABAB", "AABA", "ABCB", "AABB", "ABAC"]))
    target = 75.0 * piece.bpm / 60.0
    index = 0
    while count < target:
        kind = order[index % 4]
        length = phrase
        if rng.random() < 0.13:
            length += int(
                rng.choice([bar, -bar, eight, -eight, 2 if bar == 4 else bar], p=[0.35, 0.2, 0.2, 0.15, 0.1])
            )
        elif rng.random() < 0.08:
            length = phrase // 2
        if rng.random() < 0.07:
            kind = "break"
        piece.sections.append((kind, count, length))
        count += length
        index += 1
    if rng.random() < 0.6:
        piece.sections.append(("outro", count, eight * int(rng.choice([1, 2]))))


def _draw_music(piece: Piece, rng: np.random.Generator) -> None:
    key = int(rng.integers(0, 12))
    minor = rng.random() < 0.4
    kinds = {}
    for kind in ("intro", "A", "B", "C", "break", "outro"):
        kinds[kind] = _draw_kind(piece, rng)
    piece.programs = {
        0: int(rng.choice(BASS_PROGRAMS)),
        1: int(rng.choice(CHORD_PROGRAMS)),
        2: int(rng.choice(PAD_PROGRAMS)),
        3: int(rng.choice(LEAD_PROGRAMS)),
        4: int(rng.choice(CHORD_PROGRAMS)),
    }
    for early in range(piece.pickup):
        if rng.random() < 0.9:
            piece.notes.append((early - piece.pickup, 0.9, 3, 67 + key % 12 - 6 + early, 92))
    keep_drums = rng.random() < 0.6
    crash, fill_chance = rng.random() < 0.6, float(rng.choice([0.0, 0.4, 0.9]))
    for index, (kind, first, length) in enumerate(piece.sections):
        plan = kinds[kind]
        if keep_drums and kind in "ABC":
            plan = {**plan, "drums": kinds["A"]["drums"], "bass": kinds["A"]["bass"]}
        last_section = index == len(piece.sections) - 1
        play_section(
            piece,
            rng,
            plan,
            key,
            minor,
            first,
            length,
            crash=crash and kind != "intro",
            fill=rng.random() < fill_chance and not last_section,
        )


def _draw_kind(piece: Piece, rng: np.random.Generator) -> dict:
    grooves = GROOVES_4 if piece.beats_per_bar == 4 else GROOVES_3
    pattern = {drum: list(places) for drum, places in grooves[piece.style].items()}
    if pattern and rng.random() < 0.4:
        drum = list(pattern)[int(rng.integers(0, len(pattern)))]
        places = set(pattern[drum])
        places ^= {int(rng.integers(0, 4 * piece.beats_per_bar))}
        pattern[drum] = sorted(places)
    if pattern and rng.random() < 0.2:
        pattern.pop(list(pattern)[int(rng.integers(0, len(pattern)))])
    return {
        "drums": pattern,
        "chords": PROGRESSIONS[int(rng.integers(0, len(PROGRESSIONS)))],
        "chord_bars": float(rng.choice([1, 1, 1, 2, 0.5])),
        "bass": str(
            rng.choice(
                ["root", "root_fifth", "eighths", "offbeat", "walk", "syncopated", "octaves", "sixteenth"]
            )
        ),
        "comp": str(
            rng.choice(
                ["pad", "strum8", "offbeat", "boom_chuck", "arpeggio", "stabs", "whole", "sixteenth", "none"]
            )
        ),
        "pad": bool(rng.random() < 0.4),
        "motif": _draw_motif(piece, rng),
        "melody": bool(rng.random() < 0.75),
        "level": int(rng.integers(-12, 13)),
    }


def _draw_motif(piece: Piece, rng: np.random.Generator) -> list[tuple[float, float, int]]:
    """Two bars of melody: place in counts, length, scale step."""
    span = 2 * piece.beats_per_bar
    place = float(rng.choice([0, 0, 0, 0.5, 1, -0.5, -1]))
    notes, step = [], int(rng.integers(0, 7))
    while place < span - 1:
        length = float(rng.choice([0.5, 1, 1, 2, 1.5, 0.25]))
        if rng.random() < 0.8:
            notes.append((place, length, step))
        step += int(rng.choice([-2, -1, -1, 0, 1, 1, 2]))
        place += length
    return notes


def play_section(
    piece: Piece,
    rng: np.random.Generator,
    plan: dict,
    key: int,
    minor: bool,
    first: int,
    length: int,
    *,
    crash: bool,
    fill: bool,
) -> None:
    """Write the notes of one section."""
    scale = (0, 2, 3, 5, 7, 8, 10) if minor else (0, 2, 4, 5, 7, 9, 11)
    bar = piece.beats_per_bar
    kind = next(name for name, start, _ in piece.sections if start == first)
    quiet = kind in ("intro", "break", "outro")
    mute_drums = quiet and rng.random() < 0.6
    mute_bass = quiet and rng.random() < 0.4
    add = piece.notes.append
    fill_from = length - int(rng.choice([1, 2, bar])) if fill and not mute_drums else length + 9
    for count in range(length):
        here, in_bar, bar_number = first + count, count % bar, count // bar
        chord_index = int((count / bar) / plan["chord_bars"])
        degree = plan["chords"][chord_index % len(plan["chords"])]
        root = key + degree
        third = 3 if (degree in (2, 4, 9) or (minor and degree in (0, 5))) else 4
        chord = [root, root + third, root + 7]
        if not mute_drums:
            _drums(piece, rng, plan, here, in_bar, count >= fill_from, add)
            if count == 0 and crash:
                add((here, 1.0, 9, CRASH, 112))
        if not mute_bass:
            _bass(rng, plan["bass"], here, in_bar, bar, 36 + root % 12, count, plan["level"], add)
        _comp(plan, here, in_bar, bar, chord, chord_index, count, add)
        if plan["melody"] and in_bar == 0 and bar_number % 2 == 0:
            turn = 1 if bar_number % 8 >= 6 else 0
            for place, duration, step in plan["motif"]:
                octave, note = divmod(step + turn * 2, 7)
                if 0 <= count + place < length:
                    add(
                        (
                            here + place,
                            duration * 0.9,
                            3,
                            72 + key % 12 - 6 + 12 * octave + scale[note],
                            88 + plan["level"],
                        )
                    )


def _drums(
    piece: Piece, rng: np.random.Generator, plan: dict, here: int, in_bar: int, filling: bool, add
) -> None:
    if filling:
        for part in range(4):
            if rng.random() < 0.75:
                add(
                    (
                        here + part / 4,
                        0.2,
                        9,
                        int(rng.choice([SNARE, LOW_TOM, HIGH_TOM])),
                        int(rng.integers(75, 115)),
                    )
                )
        return
    for drum, places in plan["drums"].items():
        for place in places:
            if place // 4 == in_bar:
                strong = 10 if place % 4 == 0 else 0
                add(
                    (
                        here + (place % 4) / 4,
                        0.2,
                        9,
                        drum,
                        int(np.clip(88 + strong + rng.integers(-8, 9), 1, 127)),
                    )
                )


def _bass(
    rng: np.random.Generator,
    kind: str,
    here: int,
    in_bar: int,
    bar: int,
    root: int,
    count: int,
    level: int,
    add,
) -> None:
    loud = 96 + level
    if kind == "root" and in_bar == 0:
        add((here, bar * 0.95, 0, root, loud))
    elif kind == "root_fifth" and in_bar % 2 == 0:
        add((here, 1.2, 0, root + (7 if in_bar else 0) - (12 if in_bar and root > 41 else 0), loud))
    elif kind == "eighths":
        add((here, 0.45, 0, root, loud))
        add((here + 0.5, 0.45, 0, root, loud - 8))
    elif kind == "offbeat":
        add((here + 0.5, 0.4, 0, root, loud))
    elif kind == "walk":
        add((here, 0.9, 0, root + (0, 4, 7, 9)[in_bar % 4], loud))
    elif kind == "syncopated":
        for place in ((0.0,), (0.5,), (), (0.0, 0.5))[in_bar % 4]:
            add((here + place, 0.6, 0, root, loud))
    elif kind == "octaves":
        add((here, 0.4, 0, root, loud))
        add((here + 0.5, 0.4, 0, root + 12, loud))
    elif kind == "sixteenth":
        for part in range(4):
            add((here + part / 4, 0.2, 0, root, loud - (0 if part == 0 else 10)))


def _comp(
    plan: dict, here: int, in_bar: int, bar: int, chord: list[int], chord_index: int, count: int, add
) -> None:
    kind, base, loud = plan["comp"], 60, 70 + plan["level"]
    notes = [base + (note % 12) for note in chord]
    new_chord = int(((count - 1) / bar) / plan["chord_bars"]) != chord_index or count == 0
    places = {
        "strum8": (0.0, 0.5),
        "offbeat": (0.5,),
        "stabs": (0.0, 0.75) if in_bar % 2 == 0 else (0.5,),
        "boom_chuck": (0.0,) if in_bar % 2 == 1 or (bar == 3 and in_bar) else (),
        "none": (),
    }
    if kind in ("whole", "pad"):
        if new_chord:
            for note in notes:
                add((here, bar * plan["chord_bars"] * 0.97, 2 if kind == "pad" else 1, note, loud))
    elif kind in ("arpeggio", "sixteenth"):
        step = 2 if kind == "arpeggio" else 4
        for part in range(step):
            order = (count * step + part) % 4
            add((here + part / step, 0.9 / step, 4, ([*notes, notes[0] + 12])[order], loud))
    else:
        for place in places[kind]:
            for note in notes:
                add((here + place, 0.35, 1, note, loud))
    if plan["pad"] and new_chord:
        for note in notes:
            add((here, bar * plan["chord_bars"] * 0.97, 2, note, loud - 12))


def clock(piece: Piece, rng: np.random.Generator) -> np.ndarray:
    """Seconds of every count, with drift for live pieces and a slowing end for some."""
    total = piece.sections[-1][1] + piece.sections[-1][2] + 2
    period = np.full(total + 1, 60.0 / piece.bpm)
    if rng.random() < 0.12:
        drift = np.cumsum(rng.normal(0, 0.0025, total + 1))
        smooth = np.convolve(np.pad(drift - drift.mean(), 8, mode="edge"), np.ones(17) / 17, mode="valid")
        period *= 1.0 + np.clip(smooth, -0.04, 0.04)
    if rng.random() < 0.1:
        period[-8:] *= np.linspace(1.0, 1.4, 8)
    start = float(rng.choice([0.0, 0.0, 0.05, 0.4, 1.3, 2.7])) + piece.pickup * float(period[0])
    return start + np.concatenate(([0.0], np.cumsum(period)))


def write(piece: Piece, folder: Path) -> Path:
    """Render the piece as NAME.wav beside NAME.json with its truth."""
    rng = np.random.default_rng(piece.seed + 10_000_000)
    times = clock(piece, rng)
    human = float(rng.choice([0.0, 0.0, 0.004, 0.010]))
    synthetic = rng.random() < 0.5
    hits: list[tuple[float, int, int]] = []
    events: list[tuple[float, int, mido.Message]] = []
    for place, length, channel, pitch, loud in piece.notes:
        start = _at(times, _swung(place, piece.swing)) + (rng.normal(0, human) if human else 0.0)
        stop = max(start + 0.03, _at(times, _swung(place + length, piece.swing)))
        pitch, loud = int(np.clip(pitch, 0, 127)), int(np.clip(loud, 1, 127))
        if synthetic and channel == 9:
            hits.append((max(start, 0.0), pitch, loud))
            continue
        events.append(
            (max(start, 0.0), 1, mido.Message("note_on", channel=channel, note=pitch, velocity=loud))
        )
        events.append((max(stop, 0.01), 0, mido.Message("note_off", channel=channel, note=pitch)))
    name = folder / f"piece{piece.seed:05d}"
    _write_midi(events, piece, name.with_suffix(".mid"))
    font = SOUNDFONTS[int(rng.integers(0, 2))]
    subprocess.run(
        [
            "fluidsynth",
            "-ni",
            "-q",
            "-g",
            "0.5",
            "-r",
            "44100",
            "-R",
            "1" if rng.random() < 0.4 else "0",
            "-C",
            "0",
            "-F",
            str(name.with_suffix(".wav")),
            "-O",
            "s16",
            font,
            str(name.with_suffix(".mid")),
        ],
        check=True,
        capture_output=True,
    )
    if synthetic:
        music, _ = soundfile.read(name.with_suffix(".wav"))
        soundfile.write(name.with_suffix(".wav"), add_drums(music, hits, rng), 44100, subtype="PCM_16")
    _write_truth(piece, times, name.with_suffix(".json"))
    return name.with_suffix(".wav")


def _write_truth(piece: Piece, times: np.ndarray, path: Path) -> None:
    total = piece.sections[-1][1] + piece.sections[-1][2]
    bars, eights, phrases = [], [], []
    bar = piece.beats_per_bar
    for _, first, length in piece.sections:
        phrases.append(first)
        bars += list(range(first, first + length, bar))
        eights += list(range(first, first + length, 2 * bar))
    truth = {
        "bpm": 60.0 / float(np.median(np.diff(times[:total]))),
        "beats_per_bar": bar,
        "style": piece.style,
        "swing": piece.swing,
        "beats": [round(float(times[k]), 5) for k in range(total)],
        "bar_counts": bars,
        "eight_counts": eights,
        "phrase_counts": phrases,
        "sections": piece.sections,
    }
    path.write_text(json.dumps(truth), encoding="utf-8")


def _swung(place: float, swing: float) -> float:
    whole = np.floor(place)
    part = place - whole
    if swing == 0.5:
        return place
    return float(whole + (part * 2 * swing if part < 0.5 else swing + (part - 0.5) * 2 * (1 - swing)))


def _at(times: np.ndarray, place: float) -> float:
    if place < 0:
        return float(times[0] + place * (times[1] - times[0]))
    return float(np.interp(place, np.arange(times.size), times))


def _write_midi(events: list, piece: Piece, path: Path) -> None:
    track = mido.MidiTrack()
    track.append(mido.MetaMessage("set_tempo", tempo=500_000))
    for channel, program in piece.programs.items():
        track.append(mido.Message("program_change", channel=channel, program=program))
    events.sort(key=lambda event: (event[0], event[1]))
    now = 0
    for seconds, _, message in events:
        tick = round(seconds * 2 * 960)
        track.append(message.copy(time=tick - now))
        now = tick
    song = mido.MidiFile(ticks_per_beat=960)
    song.tracks.append(track)
    song.save(path)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--count", type=int, default=50)
    options = parser.parse_args()
    options.folder.mkdir(parents=True, exist_ok=True)
    for seed in range(options.first, options.first + options.count):
        path = write(draw_piece(seed), options.folder)
        path.with_suffix(".mid").unlink()


if __name__ == "__main__":
    main()
