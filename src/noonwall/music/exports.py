"""A MusicMap in, files other programs read out: beat list, MIDI click, WebVTT markers."""

from __future__ import annotations

import io

import mido

from noonwall.music.layout import EIGHT_COUNTS
from noonwall.music.map import MusicMap

CLICK_TICKS_PER_BEAT = 480
CLICK_HIGH, CLICK_LOW = 76, 77  # General MIDI percussion: high and low wood block
CLICK_SECONDS = 0.05


def bar_positions(song: MusicMap) -> list[int]:
    """Place of every beat in its bar, from 1; beats of a pickup count up to the bar they lead into."""
    ones = {song.nearest_beat(time) for time in song.bar_starts}
    positions: list[int] = []
    place = 0
    for index in range(len(song.beats)):
        place = 1 if index in ones else place + 1
        positions.append(place)
    pickup = min(ones, default=0)
    for index in range(pickup):
        positions[index] = (song.beats_per_bar - pickup + index) % song.beats_per_bar + 1
    return positions


def beat_file(song: MusicMap) -> str:
    """One line a beat: seconds, a tab, the place in the bar (1 is the bar's one)."""
    pairs = zip(song.beats, bar_positions(song), strict=True)
    return "".join(f"{seconds:.4f}\t{place}\n" for seconds, place in pairs)


def midi_click(song: MusicMap) -> bytes:
    """A standard MIDI file (format 0) that clicks on every beat, higher on the bar's one.

    The file's tempo is constant at one tick a millisecond, so clicks fall on the heard beats, drift included.
    """
    track = mido.MidiTrack()
    track.append(mido.MetaMessage("set_tempo", tempo=CLICK_TICKS_PER_BEAT * 1000))
    track.append(mido.MetaMessage("track_name", name="click"))
    now = 0
    for seconds, place in zip(song.beats, bar_positions(song), strict=True):
        start = max(now, round(seconds * 1000))
        note = CLICK_HIGH if place == 1 else CLICK_LOW
        loud = 112 if place == 1 else 80
        track.append(mido.Message("note_on", channel=9, note=note, velocity=loud, time=start - now))
        length = round(CLICK_SECONDS * 1000)
        track.append(mido.Message("note_off", channel=9, note=note, time=length))
        now = start + length
    midi = mido.MidiFile(type=0, ticks_per_beat=CLICK_TICKS_PER_BEAT)
    midi.tracks.append(track)
    buffer = io.BytesIO()
    midi.save(file=buffer)
    return buffer.getvalue()


def _stamp(seconds: float) -> str:
    milliseconds = round(seconds * 1000)
    hours, rest = divmod(milliseconds, 3_600_000)
    minutes, rest = divmod(rest, 60_000)
    whole, part = divmod(rest, 1000)
    return f"{hours:02d}:{minutes:02d}:{whole:02d}.{part:03d}"


def markers(song: MusicMap) -> str:
    """WebVTT with one cue an eight: its number in the phrase, and the phrase's number.

    Cue ids are "intro" or "phrase N"; the text is "eight M" with the counts where the eight is cut short.
    Format: W3C WebVTT, cue timings as hours:minutes:seconds.milliseconds.
    """
    starts = list(song.eight_starts)
    ends = [*starts[1:], song.audio_end]
    lines = ["WEBVTT", ""]
    phrase, eight = 0, 0
    firsts = set(song.phrase_starts)
    usual = EIGHT_COUNTS[song.beats_per_bar]
    for start, end in zip(starts, ends, strict=True):
        if start in firsts:
            phrase, eight = phrase + 1, 0
        eight += 1
        counts = song.nearest_beat(end) - song.nearest_beat(start) if end < song.audio_end else usual
        short = "" if counts == usual else f" ({counts} counts)"
        if _stamp(end) > _stamp(start):
            lines += [
                f"phrase {phrase}" if phrase else "intro",
                f"{_stamp(start)} --> {_stamp(end)}",
                f"eight {eight}{short}",
                "",
            ]
    return "\n".join(lines)
