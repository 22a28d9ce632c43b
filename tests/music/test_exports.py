"""Beat file, MIDI click and WebVTT markers, each read back by other means than they were written."""

from __future__ import annotations

import io
import re

import mido
import pytest

from noonwall.music import beat_file, markers, midi_click
from noonwall.music.exports import CLICK_HIGH, bar_positions
from tests.music.test_map import song

# W3C WebVTT: timestamps hh:mm:ss.ttt, cue timings joined by " --> ", a blank line between cues.
CUE = re.compile(
    r"^(?:[^\n]*\n)?(\d\d):([0-5]\d):([0-5]\d)\.(\d{3}) --> (\d\d):([0-5]\d):([0-5]\d)\.(\d{3})\n(.+)$"
)


def test_beat_file_is_seconds_and_place_in_the_bar() -> None:
    heard = song(pickup=1)
    rows = [line.split("\t") for line in beat_file(heard).splitlines()]
    assert [float(seconds) for seconds, _ in rows] == pytest.approx(heard.beats, abs=5e-5)
    assert [int(place) for _, place in rows[:6]] == [4, 1, 2, 3, 4, 1]


def test_waltz_pickup_counts_up_to_the_bar() -> None:
    assert bar_positions(song((12, 24, 24), bar=3, pickup=2))[:5] == [2, 3, 1, 2, 3]


def test_midi_click_plays_on_the_beats() -> None:
    """mido's own playing time of each click, in seconds, is the beat to half a millisecond."""
    heard = song()
    midi = mido.MidiFile(file=io.BytesIO(midi_click(heard)))
    now, times, ones = 0.0, [], []
    for message in midi:
        now += message.time
        if message.type == "note_on" and message.velocity:
            times.append(now)
            if message.note == CLICK_HIGH:
                ones.append(now)
    assert times == pytest.approx(heard.beats, abs=6e-4)
    assert ones == pytest.approx(heard.bar_starts, abs=6e-4)


def test_markers_are_webvtt_with_a_cue_for_each_eight() -> None:
    heard = song()
    text = markers(heard)
    assert text.startswith("WEBVTT\n\n")
    cues = [CUE.match(block) for block in text.split("\n\n")[1:] if block.strip()]
    assert all(cues) and len(cues) == len(heard.eight_starts)
    starts = [int(cue[1]) * 3600 + int(cue[2]) * 60 + int(cue[3]) + int(cue[4]) / 1000 for cue in cues if cue]
    assert starts == pytest.approx(heard.eight_starts, abs=6e-4)
    assert "intro" in text and "phrase 4" in text and "(4 counts)" in text
