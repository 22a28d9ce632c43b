"""Render scores of the music21 corpus with exact beats and bars, for measuring the listening.

Needs music21 (its corpus ships with the package), FluidSynth and a General MIDI soundfont; run it with a
Python that has music21, which noonwall itself does not need. Scores with one time signature of 2/4, 3/4, 4/4
or 6/8 are repeated until they last about a minute, at a tempo drawn between 80 and 190 beats a minute (the
beat of 6/8 is the dotted quarter).

    python benchmarks/corpus_pieces.py FOLDER --count 14
"""

from __future__ import annotations

import argparse
import json
import random
import subprocess
from pathlib import Path

import mido
from music21 import chord, corpus, note

SOUNDFONT = "/usr/share/sounds/sf2/FluidR3_GM.sf2"
BEATS = {"2/4": (1.0, 2), "3/4": (1.0, 3), "4/4": (1.0, 4), "6/8": (1.5, 2)}
INSTRUMENTS = (0, 4, 21, 22, 24, 25, 40, 56, 71, 73)
LENGTH_SECONDS = 60.0


def notes_of(score) -> tuple[list[tuple[float, float, int, int]], float]:
    """(quarter, length, pitch, part) of every note, and the length of the score in quarters."""
    found = []
    for part_number, part in enumerate(score.parts):
        for element in part.flatten().notes:
            pitches = element.pitches if isinstance(element, chord.Chord) else (element.pitch,)
            if isinstance(element, (note.Note, chord.Chord)):
                found += [
                    (float(element.offset), float(element.quarterLength), pitch.midi, part_number)
                    for pitch in pitches
                ]
    return found, float(score.highestTime)


def render(path, seed: int, folder: Path) -> bool:
    """Render one score if it is of a usable kind."""
    chance = random.Random(seed)
    score = corpus.parse(path)
    signatures = {signature.ratioString for signature in score.recurse().getElementsByClass("TimeSignature")}
    if len(signatures) != 1 or not score.parts or (kind := signatures.pop()) not in BEATS:
        return False
    quarters_per_beat, beats_per_bar = BEATS[kind]
    measures = list(score.parts[0].getElementsByClass("Measure"))
    if len(measures) < 8:
        return False
    bar_quarters = quarters_per_beat * beats_per_bar
    pickup = measures[0].duration.quarterLength % bar_quarters
    found, length = notes_of(score)
    whole = bar_quarters * round((length - pickup) / bar_quarters)
    if abs(whole - (length - pickup)) > 0.01 and abs(whole - length) > 0.01:
        return False
    bpm = round(chance.uniform(80.0, 190.0 if kind != "6/8" else 130.0), 2)
    seconds_per_quarter = 60.0 / bpm / quarters_per_beat
    turns = max(1, round(LENGTH_SECONDS / (length * seconds_per_quarter)))
    start = 0.5
    events, beats, bars = [], [], []
    for turn in range(turns):
        base = turn * length
        for offset, duration, pitch, part in found:
            at = start + (base + offset) * seconds_per_quarter
            channel = part % 8
            events.append(
                (at, 1, mido.Message("note_on", channel=channel, note=pitch, velocity=chance.randint(78, 96)))
            )
            stop = at + 0.93 * duration * seconds_per_quarter
            events.append((stop, 0, mido.Message("note_off", channel=channel, note=pitch)))
        count = round((length - pickup) / quarters_per_beat)
        places = [pickup + beat * quarters_per_beat for beat in range(count)]
        if pickup:
            places = [
                place
                for place in (pickup - quarters_per_beat * back for back in range(3, 0, -1))
                if place >= -1e-6
            ] + places
        for place in places:
            beats.append(start + (base + place) * seconds_per_quarter)
            if (
                abs((place - pickup) / bar_quarters - round((place - pickup) / bar_quarters)) < 1e-6
                and place >= pickup
            ):
                bars.append(beats[-1])
    name = folder / f"corpus-{Path(str(path)).stem}-{kind.replace('/', '')}"
    write_sound(events, [chance.choice(INSTRUMENTS) for _ in range(8)], name)
    truth = {
        "bpm": bpm,
        "beats_per_bar": beats_per_bar,
        "beats": sorted(set(beats)),
        "bar_starts": bars,
        "kind": kind,
    }
    name.with_suffix(".json").write_text(json.dumps(truth))
    return True


def write_sound(events: list, programs: list[int], name: Path) -> None:
    """MIDI at one tick a millisecond, then FluidSynth."""
    track = mido.MidiTrack([mido.MetaMessage("set_tempo", tempo=480_000)])
    track += [
        mido.Message("program_change", channel=channel, program=program)
        for channel, program in enumerate(programs)
    ]
    now = 0
    for seconds, _, message in sorted(events, key=lambda event: event[:2]):
        tick = round(seconds * 1000)
        track.append(message.copy(time=tick - now))
        now = tick
    midi = mido.MidiFile(ticks_per_beat=480)
    midi.tracks.append(track)
    midi.save(name.with_suffix(".mid"))
    subprocess.run(
        [
            "fluidsynth",
            "-ni",
            "-q",
            "-g",
            "0.6",
            "-r",
            "44100",
            "-F",
            str(name.with_suffix(".wav")),
            "-O",
            "s16",
            SOUNDFONT,
            str(name.with_suffix(".mid")),
        ],
        check=True,
        capture_output=True,
    )
    name.with_suffix(".mid").unlink()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--count", type=int, default=14)
    parser.add_argument("--seed", type=int, default=5)
    parser.add_argument("--only", default="", help="part of a path in the corpus")
    options = parser.parse_args()
    options.folder.mkdir(parents=True, exist_ok=True)
    paths = [path for path in corpus.getCorePaths() if options.only in str(path)]
    random.Random(options.seed).shuffle(paths)
    made = 0
    for number, path in enumerate(paths):
        try:
            made += render(path, options.seed * 1000 + number, options.folder)
        except Exception as error:  # a corpus of many hands: some scores do not parse
            print(f"{path}: {error}")
        if made >= options.count:
            break


if __name__ == "__main__":
    main()
