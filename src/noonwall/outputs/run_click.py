"""The click of a run as MIDI: a tempo map that follows the song's own beats, and a marker where anything
begins."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import ceil

import mido

from noonwall.outputs.captions import plain
from noonwall.outputs.chapters import Chapter
from noonwall.teach.cue import CueSheet

TICKS_PER_BEAT = 480
LONGEST_BEAT_MICROSECONDS = 8_000_000
"""A lead-in longer than this is cut into several beats: a MIDI tempo holds 24 bits, 16.7 seconds at most."""

HIGH, LOW = 76, 77
"""General MIDI percussion: high and low wood block."""

CLICK_TICKS = 30


def run_click(
    sheet: CueSheet, chapters: Sequence[Chapter], beats_per_bar: int = 4, speed: float = 1.0
) -> bytes:
    """Return a standard MIDI file (format 1) that clicks on every beat of a run.

    The first track holds the tempo, one value for each beat, so that a beat is always 480 ticks and yet
    sounds where the song has it (within a millisecond over a whole song: what rounding loses is made up at
    the next beat), and a marker for each wall, tag, restart and the ending, in the first language of the
    sheet. The second track clicks, higher on each first beat of a bar. Texts are UTF-8.

    Args:
        sheet: the run.
        chapters: of the run, at any speed.
        beats_per_bar: 3 or 4.
        speed: of the track.
    """
    midi = mido.MidiFile(type=1, ticks_per_beat=TICKS_PER_BEAT, charset="utf-8")
    times = [beat.seconds / speed for beat in sheet.beats]
    lead = _lead_in(times)
    midi.tracks.append(_conductor(sheet, chapters, beats_per_bar, times, lead))
    midi.tracks.append(_clicks(sheet, beats_per_bar, lead))
    buffer = io.BytesIO()
    midi.save(file=buffer)
    return buffer.getvalue()


def _lead_in(times: Sequence[float]) -> int:
    """Return how many beats of silence stand for the time before the first beat."""
    return ceil(times[0] * 1e6 / LONGEST_BEAT_MICROSECONDS) if times and times[0] > 0 else 0


def _conductor(
    sheet: CueSheet, chapters: Sequence[Chapter], beats_per_bar: int, times: Sequence[float], lead: int
) -> mido.MidiTrack:
    events: list[tuple[int, mido.MetaMessage]] = [
        (0, mido.MetaMessage("track_name", name=plain(sheet.title) or "run")),
        (0, mido.MetaMessage("time_signature", numerator=beats_per_bar, denominator=4)),
    ]
    events += [
        (beat * TICKS_PER_BEAT, mido.MetaMessage("set_tempo", tempo=tempo))
        for beat, tempo in enumerate(_tempos(times, lead))
    ]
    first = sheet.beats[0].count if sheet.beats else 0
    for chapter in chapters:
        at = 0 if chapter.kind == "intro" else (chapter.count - first + lead) * TICKS_PER_BEAT
        events.append((at, mido.MetaMessage("marker", text=plain(chapter.names[0]))))
    return _track(events)


def _tempos(times: Sequence[float], lead: int) -> Iterator[int]:
    """Give the microseconds of every beat; what rounding loses is made up at the next one."""
    marks = [times[0] * number / lead for number in range(lead)] + list(times)
    whole = [round(mark * 1e6) for mark in marks]
    for before, following in pairwise(whole):
        yield max(1, following - before)


def _clicks(sheet: CueSheet, beats_per_bar: int, lead: int) -> mido.MidiTrack:
    events: list[tuple[int, mido.Message | mido.MetaMessage]] = [
        (0, mido.MetaMessage("track_name", name="click"))
    ]
    for number, beat in enumerate(sheet.beats, lead):
        place = (beat.said - 1) if beat.said else beat.count
        note, loud = (HIGH, 112) if place % beats_per_bar == 0 else (LOW, 80)
        at = number * TICKS_PER_BEAT
        events.append((at, mido.Message("note_on", channel=9, note=note, velocity=loud)))
        events.append((at + CLICK_TICKS, mido.Message("note_off", channel=9, note=note)))
    return _track(events)


def _track(events: Sequence[tuple[int, mido.Message | mido.MetaMessage]]) -> mido.MidiTrack:
    track = mido.MidiTrack()
    now = 0
    for at, message in sorted(events, key=lambda event: event[0]):
        track.append(message.copy(time=at - now))
        now = at
    return track
