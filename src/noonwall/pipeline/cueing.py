"""A proved dance, on a song or to a click, as a cue sheet: all that is counted and said."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from noonwall.dance.model import Dance
from noonwall.errors import CannotDance
from noonwall.fit import CountGrid, FinishChange, Music, Run, as_danced, check_ending, count_grid
from noonwall.fit.counts import PACES
from noonwall.floor import dance_run, walls_told
from noonwall.pipeline.printed_sheet import title_of
from noonwall.pipeline.proving import Proved
from noonwall.teach.counted import Stretch, Taught, beats_of, click_times, eight_of, stretches_of
from noonwall.teach.cue import Beat, CueSheet
from noonwall.teach.cues import Speaks, count_cues, count_in_cues
from noonwall.teach.speech import estimate_seconds
from noonwall.words.messages import say

CLICK_BPM = {4: 110.0, 3: 87.0}
"""Tempo of a click where neither the sheet nor the teacher says one: within what beginners dance to, and the
middle of the waltz in the DanceSport rules (28 to 30 bars a minute)."""


@dataclass(frozen=True, slots=True)
class _Counted:
    """A run counted: its stretches, every beat, where "and" sounds, and where the audio ends."""

    stretches: tuple[Stretch, ...]
    beats: tuple[Beat, ...]
    swing: float
    ends_seconds: float
    finish: FinishChange | None


def cue_sheet(
    proved: Proved,
    languages: tuple[str, ...],
    *,
    run: Run | None = None,
    music: Music | None = None,
    bpm: float | None = None,
    walls: int | None = None,
    known: Collection[str] = frozenset(),
    speaks: Speaks | None = None,
    lead_beats: int | None = None,
) -> CueSheet:
    """Return all that is counted and said while a dance is danced.

    With ``run`` and ``music`` the dance is laid on the song as fitted: its restarts, tags, and an ending at
    the front (the sheet's own ending where it holds in this song, else the smallest change that was found).
    Without them it is danced to an even click, with one eight (one six in a waltz) before it.

    Args:
        proved: the sheet; it holds a dance.
        languages: of the words, side by side: "en", "fr" or a region of them.
        run: the dance on the song; needs ``music``.
        music: the song as heard.
        bpm: tempo of the click; by default that of the sheet.
        walls: how many walls to dance to the click; by default as many as the sheet speaks of.
        known: ids of the figures that the class knows: they are called by name, others by their steps.
        speaks: how many seconds a text takes in a language; by default estimated from its syllables.
        lead_beats: how many beats ahead calls begin; by default what lets most be said at this tempo.

    Raises:
        CannotDance: the sheet holds no steps.
        NoonwallError: noonwall does not speak one of the languages.
        BrokenFile: the song cannot be counted.
    """
    dance = proved.dance
    if dance is None:
        raise CannotDance(say(proved.reading.language, "cli", "no_steps"))
    measure = speaks or estimate_seconds
    counted = _on_song(dance, run, music) if run and music else _to_click(dance, bpm, walls)
    eight = eight_of(dance.beats_per_bar)
    cues = [
        *count_in_cues(counted.beats, languages, eight),
        *count_cues(counted.beats, counted.stretches, languages, measure, counted.swing),
    ]
    return CueSheet(
        title_of(proved, languages[0]),
        languages,
        counted.beats,
        tuple(sorted(cues, key=lambda cue: cue.from_seconds)),
        (),
        counted.ends_seconds,
    )


def _on_song(dance: Dance, run: Run, music: Music) -> _Counted:
    grid = _grid_of(run, music)
    danced = as_danced(dance, run)
    floor = dance_run(danced, len(run.walls))
    taught, _ = check_ending(dance, run.walls, grid)
    ending: Taught | None = None
    finish = run.finish.changes[0] if run.finish.changes else None
    if taught and taught.holds and dance.ending and dance.ending.part:
        mirrored = run.walls[-1].mirrored
        ending, finish = Taught(dance.part(dance.ending.part), Fraction(taught.after_count), mirrored), None
    lengths = [wall.length for wall in run.walls]
    stretches = stretches_of(danced, floor, lengths, ending, finish)
    beats = beats_of(stretches, grid.times, run.start_count, dance.beats_per_bar)
    return _Counted(stretches, beats, music.swing or 0.5, music.audio_end, finish)


def _grid_of(run: Run, music: Music) -> CountGrid:
    """Return the counts of a song at the pace at which the run was laid on it."""
    first = run.walls[0]
    grids = [count_grid(music, pace) for pace in sorted(PACES, key=lambda pace: pace != 1)]
    return min(grids, key=lambda grid: abs(grid.seconds(first.start_count) - first.start_seconds) > 1e-3)


def _to_click(dance: Dance, bpm: float | None, walls: int | None) -> _Counted:
    number = walls or walls_told(dance)
    told = dance.ending
    if walls is None and told and told.wall:
        number = told.wall
    floor = dance_run(dance, number)
    last = floor.walls[-1]
    ending: Taught | None = None
    if told and told.part and told.wall in (None, last.number):
        part = dance.part(told.part)
        after = told.after_count
        after = max(Fraction(0), last.counts - part.counts) if after is None else after
        ending = Taught(part, after)
    stretches = stretches_of(dance, floor, None, ending)
    counts = ceil(max((stretch.end for stretch in stretches), default=Fraction(0)))
    pace = bpm or dance.bpm or CLICK_BPM.get(dance.beats_per_bar, CLICK_BPM[4])
    before = eight_of(dance.beats_per_bar)
    # one beat more sounds on which the last weight settles
    times = click_times(pace, before, counts + 1)
    beats = beats_of(stretches, times, before, dance.beats_per_bar)
    return _Counted(stretches, beats, 0.5, times[-1] + 60.0 / pace, None)
