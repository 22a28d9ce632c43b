"""The whole way from a sound file to a MusicMap, in order: decode, spectra, onsets, beats, structure, map."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from noonwall.music.beatwise import Beatwise, see
from noonwall.music.certainty import beat_certainty, choose, doubts
from noonwall.music.counting import Reading, beats_within, read_all
from noonwall.music.decode import read_blocks
from noonwall.music.ending import follow_ending
from noonwall.music.faults import Remark, fault
from noonwall.music.layout import USUAL_PHRASE_COUNTS, lay
from noonwall.music.map import Alternative, MusicMap, laid_out
from noonwall.music.onsets import Onsets, compress, find_onsets
from noonwall.music.opening import intro_phrases
from noonwall.music.passages import gather
from noonwall.music.pulse import Times
from noonwall.music.spectra import Spectra, measure
from noonwall.music.structure import Structure, hear_structure
from noonwall.music.swing import find_swing, is_dotted

SILENCE = 2e-4  # band magnitude of about -70 dB full scale
CURVE_BEATS = 8


def listen(path: str | Path) -> MusicMap:
    """Hear one song.

    Args:
        path: A wav, flac, mp3, ogg or m4a file (or another sound format that FFmpeg reads).

    Returns:
        What was heard, with certainties. A piece without a steady beat gives a map without beats, `bpm` 0,
        and a remark that says so.

    Raises:
        BrokenFile: The file cannot be heard at all: missing, unreadable, no sound, silent, a video, too long.
    """
    path = Path(path)
    spectra = measure(read_blocks(path))
    if spectra.bands.size == 0 or float(np.percentile(spectra.bands.max(axis=1), 99.0)) < SILENCE:
        raise fault("sound.silent", path)
    return hear(spectra)


def hear(spectra: Spectra) -> MusicMap:
    """Hear a piece whose spectra are measured."""
    compressed = compress(spectra)
    onsets = find_onsets(spectra, compressed)
    passages = gather(spectra, compressed)
    readings = read_all(onsets, passages)
    if not readings:
        return _nothing(spectra.seconds)
    chosen, alternatives = choose(readings, onsets)
    times = follow_ending(beats_within(chosen, onsets), onsets)
    sure = beat_certainty(readings, chosen, times, onsets)
    if sure["pulse"] < 0.1 or times.size < 9:
        return _nothing(spectra.seconds)
    beatwise = see(passages, onsets, times)
    dotted = is_dotted(onsets, times)
    structure = hear_structure(beatwise, chosen.bpm, dotted=dotted)
    song = _map(spectra, onsets, chosen, times, beatwise, structure, alternatives, sure)
    return replace(song, time_signature=_time_signature(structure.beats_per_bar, dotted=dotted))


def _nothing(seconds: float) -> MusicMap:
    certainty = dict.fromkeys(
        (
            "bpm",
            "beats_per_bar",
            "beats",
            "bar_starts",
            "eight_starts",
            "phrase_starts",
            "intro_counts",
            "odd_phrases",
            "swing",
        ),
        0.0,
    ) | {"audio_end": 1.0}
    return MusicMap(
        0.0,
        4,
        (),
        (),
        (),
        (),
        0,
        (),
        round(seconds, 4),
        certainty,
    ).remarked((Remark("song.no-beat"),))


def _map(
    spectra: Spectra,
    onsets: Onsets,
    chosen: Reading,
    times: Times,
    beatwise: Beatwise,
    structure: Structure,
    alternatives: tuple[Alternative, ...],
    sure: dict[str, float],
) -> MusicMap:
    beats = tuple(round(float(time), 5) for time in times)
    steps = np.diff(times)
    bpm = chosen.bpm if not chosen.pulse.drifting else 60.0 / float(np.median(steps))
    swing, swing_sure = find_swing(onsets, times)
    starts = [int(start) for start in structure.phrases]
    phrases = [(start, stop - start) for start, stop in zip(starts, [*starts[1:], len(beats)], strict=True)]
    intro, intro_sure = intro_phrases(beatwise, phrases, USUAL_PHRASE_COUNTS[structure.beats_per_bar])
    grid = sure["beats"]
    bars = grid * structure.bar_certainty
    certainty = {
        "bpm": sure["bpm"],
        "beats_per_bar": grid * structure.metre_certainty,
        "beats": grid,
        "bar_starts": bars,
        "eight_starts": min(bars, grid * structure.eight_certainty),
        "phrase_starts": min(bars, grid * structure.phrase_certainty),
        "intro_counts": intro_sure * min(bars, grid * structure.phrase_certainty),
        "odd_phrases": 0.9 * min(bars, grid * structure.phrase_certainty),
        "audio_end": 1.0,
        "swing": swing_sure * grid,
    }
    certainty = {name: round(float(value), 3) for name, value in certainty.items()}
    curve = tuple(
        (beats[k], round(60.0 * CURVE_BEATS / (beats[k + CURVE_BEATS] - beats[k]), 2))
        for k in range(0, len(beats) - CURVE_BEATS, CURVE_BEATS)
    )
    song = MusicMap(
        round(bpm, 3),
        structure.beats_per_bar,
        beats,
        (),
        (),
        (),
        0,
        (),
        round(spectra.seconds, 4),
        certainty,
        swing=swing,
        tempo_curve=curve,
        alternatives=alternatives,
        breaks=_breaks(beatwise, beats),
    )
    song = laid_out(
        song, lay(beats, structure.beats_per_bar, starts, phrases[intro][0] if phrases else 0, song.audio_end)
    )
    return replace(song, band_in=song.phrase_starts[0]).remarked(doubts(song, chosen))


def _time_signature(beats_per_bar: int, *, dotted: bool) -> str:
    """The time signature as musicians write it: six eighths may be counted as two dotted counts or as six."""
    if beats_per_bar == 6 or (dotted and beats_per_bar == 2):
        return "6/8"
    return f"{beats_per_bar}/4"


def _breaks(beatwise: Beatwise, beats: tuple[float, ...]) -> tuple[tuple[float, float], ...]:
    """Passages of at least eight beats where the onsets thin out to under a third of the usual."""
    strength = beatwise.rhythm.mean(axis=1)
    smooth = np.convolve(np.pad(strength, 2, mode="edge"), np.ones(4) / 4, mode="same")[2:-2]
    thin = smooth < 0.33 * np.median(smooth)
    edges = np.flatnonzero(np.diff(np.concatenate(([0], thin.astype(np.int8), [0]))))
    return tuple(
        (beats[start], beats[stop])
        for start, stop in zip(edges[::2], edges[1::2], strict=True)
        if stop - start >= 8 and stop < len(beats)
    )
