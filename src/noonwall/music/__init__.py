"""Listening: a sound file in, a MusicMap out. See README.md in this folder."""

from noonwall.music.exports import beat_file, markers, midi_click
from noonwall.music.layout import Correction
from noonwall.music.listening import listen
from noonwall.music.map import Alternative, MusicMap, reapply

__all__ = ["Alternative", "Correction", "MusicMap", "beat_file", "listen", "markers", "midi_click", "reapply"]
