"""Plays the band's notes as General MIDI through fluidsynth, when that program is installed.

Debian packages: fluidsynth and one of fluid-soundfont-gm, timgm6mb-soundfont. Used by measurements
only; nothing in the package needs it. Program and percussion numbers are those of the General MIDI
sound set (MIDI Manufacturers Association, General MIDI 1; from memory).
"""

from __future__ import annotations

import shutil
import subprocess
import tempfile
import wave
from collections.abc import Sequence
from pathlib import Path

import mido
import numpy as np
from numpy.typing import NDArray

from noonwall.demo.band_score import Note
from noonwall.demo.band_voices import SAMPLE_RATE

SOUNDFONTS = (
    Path("/usr/share/sounds/sf2/FluidR3_GM.sf2"),
    Path("/usr/share/sounds/sf2/TimGM6mb.sf2"),
    Path("/usr/share/soundfonts/default.sf2"),
)

# Percussion keys on channel 10.
PERCUSSION = {
    "kick": 36,
    "snare": 38,
    "rim": 37,
    "sticks": 75,
    "hat": 42,
    "open_hat": 46,
    "shaker": 70,
    "tambourine": 54,
    "ride": 51,
    "crash": 49,
    "clap": 39,
    "cowbell": 56,
    "guiro": 73,
    "low_tom": 45,
    "mid_tom": 47,
    "high_tom": 50,
    "low_conga": 64,
    "high_conga": 62,
}

# Programs, numbered from 0: electric bass, steel guitar, muted guitar, piano, strings, organ,
# accordion, brass section, choir, fiddle, vibraphone.
PROGRAMS = {
    "bass": 33,
    "guitar": 25,
    "muted_guitar": 28,
    "piano": 0,
    "pad": 48,
    "organ": 16,
    "accordion": 21,
    "brass": 61,
    "voice": 53,
    "fiddle": 110,
    "bell": 11,
}

LOUDNESS = {"pad": 0.55, "voice": 0.9, "accordion": 0.7, "organ": 0.6, "guiro": 0.7}

# With 500,000 microseconds to the quarter and this many ticks, one tick is 0.05 ms.
TICKS_PER_QUARTER = 10_000
TICKS_PER_SECOND = 2 * TICKS_PER_QUARTER

# Measured with FluidR3_GM's drums: sound reaches a fifth of its peak 2.4 to 5.2 ms after the
# written start, of which about this much is the program's own delay; taken away from the result.
DELAY_SECONDS = 0.003


def soundfont_path() -> Path | None:
    """A General MIDI soundfont of this computer, or None if it or fluidsynth is missing."""
    if shutil.which("fluidsynth") is None:
        return None
    return next((path for path in SOUNDFONTS if path.exists()), None)


def midi_file(notes: Sequence[Note], length_seconds: float) -> mido.MidiFile:
    """A MIDI file in real time: the clock of the song is in the notes, the tempo event is constant."""
    events: list[tuple[int, int, mido.Message]] = []
    channels: dict[str, int] = {}
    for note in notes:
        velocity = max(1, min(127, round(127 * note.level * LOUDNESS.get(note.voice, 1.0))))
        start = round(note.start_seconds * TICKS_PER_SECOND)
        if note.voice in PERCUSSION:
            channel, key, stop = 9, PERCUSSION[note.voice], start + TICKS_PER_SECOND // 5
        else:
            free = [number for number in range(16) if number != 9 and number not in channels.values()]
            channel, key = channels.setdefault(note.voice, free[0]), note.pitch
            stop = start + max(round(note.length_seconds * TICKS_PER_SECOND), 1)
        events.append((start, 1, mido.Message("note_on", channel=channel, note=key, velocity=velocity)))
        events.append((stop, 0, mido.Message("note_off", channel=channel, note=key)))
    file = mido.MidiFile(ticks_per_beat=TICKS_PER_QUARTER)
    track = mido.MidiTrack()
    file.tracks.append(track)
    track.append(mido.MetaMessage("set_tempo", tempo=500_000))
    for voice, channel in channels.items():
        track.append(mido.Message("program_change", channel=channel, program=PROGRAMS[voice]))
    now = 0
    for tick, _, message in sorted(events, key=lambda event: event[:2]):
        track.append(message.copy(time=tick - now))
        now = tick
    track.append(
        mido.MetaMessage("end_of_track", time=max(round(length_seconds * TICKS_PER_SECOND) - now, 0))
    )
    return file


def soundfont_audio(notes: Sequence[Note], length_seconds: float) -> NDArray[np.float32]:
    """Render notes through fluidsynth; rows (2, samples) at 44.1 kHz, exactly the length asked for.

    Raises:
        FileNotFoundError: fluidsynth or a soundfont is not installed.
        subprocess.CalledProcessError: fluidsynth failed.
    """
    soundfont = soundfont_path()
    if soundfont is None:
        raise FileNotFoundError(
            "install the Debian packages fluidsynth and fluid-soundfont-gm for this renderer"
        )
    with tempfile.TemporaryDirectory() as folder:
        score, sound = Path(folder) / "song.mid", Path(folder) / "song.wav"
        midi_file(notes, length_seconds).save(score)
        command = [
            "fluidsynth",
            "-ni",
            "-q",
            "-g",
            "0.5",
            "-r",
            str(SAMPLE_RATE),
            "-F",
            str(sound),
            "-T",
            "wav",
            "-O",
            "s16",
            str(soundfont),
            str(score),
        ]
        subprocess.run(command, check=True, capture_output=True, timeout=120)
        with wave.open(str(sound), "rb") as file:
            raw = np.frombuffer(file.readframes(file.getnframes()), dtype="<i2").reshape(-1, 2)
    rows = np.zeros((2, round(length_seconds * SAMPLE_RATE)), dtype=np.float32)
    raw = raw[round(DELAY_SECONDS * SAMPLE_RATE) :]
    size = min(raw.shape[0], rows.shape[1])
    rows[:, :size] = raw[:size].T.astype(np.float32) / 32768.0
    return rows
