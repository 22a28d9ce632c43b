"""A proved dance, on a song or to a click, as a cue sheet: all that is counted and said."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil, floor

from noonwall.dance.model import Dance, Foot, Step
from noonwall.errors import CannotDance
from noonwall.fit import CountGrid, FinishChange, Music, Run, as_danced, check_ending, count_grid
from noonwall.fit.counts import PACES
from noonwall.floor import dance_run, walls_told
from noonwall.pipeline.printed_sheet import title_of, unproved_words
from noonwall.pipeline.proving import Proved
from noonwall.teach.announce import announcements
from noonwall.teach.call_words import call_rules
from noonwall.teach.called_cues import Item, items_of, plan_calls
from noonwall.teach.calls import Called
from noonwall.teach.counted import Stretch, Taught, beats_of, click_times, eight_of, stretches_of
from noonwall.teach.cue import Beat, CueSheet
from noonwall.teach.cues import Speaks, count_cues, count_in_cues
from noonwall.teach.speech import estimate_seconds
from noonwall.text.write_names import Piece, pieces_of
from noonwall.words.messages import say

CLICK_BPM = {4: 110.0, 3: 87.0}
"""Tempo of a click where neither the sheet nor the teacher says one: within what beginners dance to, and the
middle of the waltz in the DanceSport rules (28 to 30 bars a minute)."""


@dataclass(frozen=True, slots=True)
class Counted:
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
    Without them it is danced to an even click, with one eight (one six in a waltz) before it, or two if the
    sheet is not proved and the first cue says so.

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
    is_unproved = bool(unproved_words(proved, ("en",)))
    # a sheet that is not proved is told to be so before the count-in: the click leaves time for it
    eights = 2 if is_unproved else 1
    counted = on_song(dance, run, music) if run and music else _to_click(dance, bpm, walls, eights)
    called = plan_calls(
        _items(dance, counted, known, run is not None, is_unproved),
        counted.beats,
        languages,
        measure,
        swing=counted.swing,
        beats_per_bar=dance.beats_per_bar,
        lead_beats=lead_beats,
    )
    cues = [
        *count_in_cues(counted.beats, languages, eight_of(dance.beats_per_bar)),
        *count_cues(counted.beats, counted.stretches, languages, measure, counted.swing),
        *called.cues,
    ]
    return CueSheet(
        title_of(proved, languages[0]),
        languages,
        counted.beats,
        tuple(sorted(cues, key=lambda cue: cue.from_seconds)),
        called.left_out,
        counted.ends_seconds,
    )


def _items(
    dance: Dance, counted: Counted, known: Collection[str], is_to_end: bool, is_unproved: bool
) -> tuple[Item, ...]:
    said = {beat.count: beat.said for beat in counted.beats}
    is_phrased = dance.is_phrased and bool(dance.sequence)
    announced = announcements(
        counted.stretches, said, counted.finish, is_phrased=is_phrased, is_to_end=is_to_end
    )
    return items_of(called_in(counted.stretches), announced, known, is_unproved)


def called_in(stretches: Sequence[Stretch]) -> tuple[Called, ...]:
    """Return the figures and single acts of a run where they are danced, in order."""
    out: list[Called] = []
    block = 0
    for stretch in stretches:
        told: dict[Fraction, list[tuple[Fraction, Step]]] = {}
        for moment in stretch.moments:
            local = stretch.local(moment.count)
            section = stretch.section(local)
            # a tag danced twice has each of its sections twice
            begin = moment.count - (local - section.at)
            told.setdefault(begin, []).append((moment.count, moment.step))
        for begin, steps in sorted(told.items()):
            block += 1
            out += _pieces(begin, steps, block)
    return tuple(out)


def _pieces(begin: Fraction, steps: Sequence[tuple[Fraction, Step]], block: int) -> Iterator[Called]:
    """Give the figures of a section that begins at a count of the run."""
    own = tuple(
        replace(step, at=count - begin, side="" if step.foot and step.side == step.foot.value else step.side)
        for count, step in steps
    )
    found = [_turned_vine(part) for whole in pieces_of(_as_struts(own)) for part in _parted(whole)]
    for piece in _rows(found):
        at = piece.steps[0].at
        start = ceil(at) if at < 0 else floor(at)
        yield Called(
            piece.figure, piece.lead, piece.place, piece.steps, begin + at, int(begin) + start, block, start
        )


def _as_struts(steps: Sequence[Step]) -> tuple[Step, ...]:
    """Return steps with a point whose heel then drops as the touch of a toe strut."""
    after = (*steps[1:], None)
    return tuple(
        replace(step, move="touch")
        if following
        and step.move in ("point", "toe")
        and (following.move, following.foot) == ("drop", step.foot)
        else step
        for step, following in zip(steps, after, strict=True)
    )


def _parted(piece: Piece) -> tuple[Piece, ...]:
    """Return a pivot with a step after it as the pivot and the step, which may belong to what follows."""
    if piece.figure not in ("step-pivot-step", "step-pivot-cross"):
        return (piece,)
    rest = (Piece("", step.foot, (step,)) for step in piece.steps[2:])
    return (Piece("pivot-turn", piece.lead, piece.steps[:2]), *rest)


_AFTER_VINE = {"touch": "vine-touch", "scuff": "vine-scuff", "brush": "vine-brush", "hitch": "vine-hitch"}


def _turned_vine(piece: Piece) -> Piece:
    """Return side, behind, quarter turn forward as the vine that it is, with what ends it."""
    steps = piece.steps
    if len(steps) not in (3, 4) or [step.to for step in steps[:3]] != ["side", "behind", "fwd"]:
        return piece
    out = 2 if piece.lead is Foot.RIGHT else -2
    end = _AFTER_VINE.get(steps[3].move, "") if len(steps) == 4 else "vine"
    is_vine = [step.turn for step in steps[:3]] == [0, 0, out] and all(s.move == "step" for s in steps[:3])
    return replace(piece, figure=end, place="") if is_vine and end else piece


def _rows(pieces: Sequence[Piece]) -> Iterator[Piece]:
    """Put single acts of one kind that follow each other together: stomp right, stomp left."""
    rules = call_rules()
    held: Piece | None = None
    for piece in pieces:
        first = piece.steps[0]
        is_plain = not piece.figure or piece.figure in rules.unsure
        is_row = is_plain and {(s.move, s.to) for s in piece.steps} == {(first.move, first.to)}
        if held and is_row and (first.move, first.to) == (held.steps[0].move, held.steps[0].to):
            held = Piece("", held.lead, (*held.steps, *piece.steps))
            continue
        if held:
            yield held
        held = Piece("", piece.lead, piece.steps) if is_row else None
        if not is_row:
            yield piece
    if held:
        yield held


def on_song(dance: Dance, run: Run, music: Music) -> Counted:
    """Return a run on its song counted beat by beat, with its finish: what :func:`cue_sheet` words."""
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
    return Counted(stretches, beats, music.swing or 0.5, music.audio_end, finish)


def _grid_of(run: Run, music: Music) -> CountGrid:
    """Return the counts of a song at the pace at which the run was laid on it."""
    first = run.walls[0]
    grids = [count_grid(music, pace) for pace in sorted(PACES, key=lambda pace: pace != 1)]
    return min(grids, key=lambda grid: abs(grid.seconds(first.start_count) - first.start_seconds) > 1e-3)


def _to_click(dance: Dance, bpm: float | None, walls: int | None, eights: int) -> Counted:
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
    before = eights * eight_of(dance.beats_per_bar)
    # one beat more sounds on which the last weight settles
    times = click_times(pace, before, counts + 1)
    beats = beats_of(stretches, times, before, dance.beats_per_bar)
    return Counted(stretches, beats, 0.5, times[-1] + 60.0 / pace, None)
