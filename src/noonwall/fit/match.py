"""Rank songs for a dance and dances for a song, each rank with its reasons as codes and facts."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from math import exp

from noonwall.dance.model import Dance
from noonwall.dance.turns import walls_of
from noonwall.errors import BrokenFile, CannotDance
from noonwall.fit.costs import Costs
from noonwall.fit.counts import PACES, CountGrid, Music, count_grid
from noonwall.fit.outline import Outline, outline_of
from noonwall.fit.run import Run, fit_grid
from noonwall.fit.tempo import classify, is_swung, tempo_wanted

# The scale below is our own judgement, no source: it orders songs, and its reasons are what a teacher reads.
TEMPO_TOLERANCE = 0.08
"""A song this share outside the wanted tempos keeps 1/e of its score."""
OTHER_BAR = 0.15
"""What is left of the score if the bars differ: a waltz danced to 4/4 is hardly a dance."""
OTHER_PACE = 0.9
"""What is left if the song must be counted at half or double its tempo."""
SHARES = {"phrases": 0.35, "length": 0.15, "swing": 0.1}
"""How much of the score hangs on each; the rest (0.4) comes with tempo and bar alone."""
SHORTEST_SECONDS = 100.0
LONGEST_SECONDS = 300.0
DOUBTFUL = 0.5
"""Below this certainty a song's count may be wrong, and the rank says so."""


@dataclass(frozen=True, slots=True)
class Reason:
    """One reason for a rank: ``share`` of the score that it leaves (1 is all of it), code and facts.

    Codes: match.tempo-in-range, match.tempo-slow, match.tempo-fast, match.pace, match.bars-differ,
    match.phrases-fit, match.phrases-need-changes, match.phrases-drift, match.swing-against, match.too-short,
    match.too-long, match.doubtful-count, match.cannot-count, match.cannot-dance.
    """

    code: str
    share: float
    facts: dict[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Match:
    """One dance with one song. ``score`` runs from 0 to 100; ``reasons`` lead with the most telling one.

    ``pace`` is the counts danced per beat heard; ``changes`` and ``walls`` describe the best run.
    """

    name: str
    score: float
    reasons: tuple[Reason, ...]
    bpm: float = 0.0
    pace: Fraction = Fraction(1)
    walls: int = 0
    changes: int = 0
    wait_counts: int = 0
    finish_facing: int = 0
    rhythms: tuple[str, ...] = ()


def rank_songs(dance: Dance, songs: Iterable[tuple[str, Music]], costs: Costs | None = None) -> list[Match]:
    """Rank named songs for a dance, best first; songs that cannot be counted come last.

    Raises:
        CannotDance: the dance has no steps or no whole counts.
    """
    plan = outline_of(dance)
    return ranked(judge(dance, plan, name, music, costs or Costs()) for name, music in songs)


def rank_dances(music: Music, dances: Iterable[tuple[str, Dance]], costs: Costs | None = None) -> list[Match]:
    """Rank named dances for a song, best first; dances that cannot be danced come last."""
    found = []
    for name, dance in dances:
        try:
            plan = outline_of(dance)
        except CannotDance:
            found.append(Match(name, 0.0, (Reason("match.cannot-dance", 0.0),)))
            continue
        found.append(judge(dance, plan, name, music, costs or Costs()))
    return ranked(found)


def ranked(matches: Iterable[Match]) -> list[Match]:
    """Return matches best first; equal scores in the order of their names."""
    return sorted(matches, key=lambda match: (-match.score, match.name))


def judge(dance: Dance, plan: Outline, name: str, music: Music, costs: Costs) -> Match:
    """Judge one dance with one song under ``name``."""
    pace, tempo = _tempo(dance, music)
    try:
        grid = count_grid(music, pace)
        run = fit_grid(dance, plan, grid, costs, runners_up=0)
    except (BrokenFile, CannotDance):
        return Match(name, 0.0, (Reason("match.cannot-count", 0.0),))
    bpm = music.bpm * float(pace)
    whole = [tempo, *_pace(music, pace), *_bars(dance, music), *_certainty(music)]
    parts = {"phrases": _phrases(run), "length": _length(plan, grid, music), "swing": _swing(dance, music)}
    score = 1.0 - sum(SHARES.values())
    for key, reason in parts.items():
        score += SHARES[key] * (reason.share if reason else 1.0)
    for reason in whole:
        score *= reason.share
    reasons = [*whole, *(reason for reason in parts.values() if reason)]
    # the reason that takes most comes first; where nothing is amiss, the tempo and the phrases speak
    reasons.sort(key=lambda reason: reason.share)
    return Match(
        name,
        round(100 * score, 1),
        tuple(reasons),
        round(bpm, 2),
        pace,
        len(run.walls),
        run.changes,
        run.wait_counts,
        run.finish.facing,
        tuple(classify(bpm, music.beats_per_bar, music.swing)),
    )


def _tempo(dance: Dance, music: Music) -> tuple[Fraction, Reason]:
    """Choose the pace that suits the dance and judge the tempo that comes of it."""
    wanted = tempo_wanted(dance)
    shares = {pace: exp(-wanted.distance(music.bpm * float(pace)) / TEMPO_TOLERANCE) for pace in PACES}
    pace = max(PACES, key=lambda p: shares[p] * (1.0 if p == 1 else OTHER_PACE))
    bpm = music.bpm * float(pace)
    facts: dict[str, object] = {
        "bpm": round(bpm, 1),
        "low": round(wanted.low, 1),
        "high": round(wanted.high, 1),
        "source": wanted.source,
    }
    code = "match.tempo-in-range"
    if not wanted.holds(bpm):
        code = "match.tempo-slow" if bpm < wanted.low else "match.tempo-fast"
        facts["percent_off"] = round(100 * wanted.distance(bpm), 1)
    return pace, Reason(code, shares[pace], facts)


def _pace(music: Music, pace: Fraction) -> list[Reason]:
    if pace == 1:
        return []
    facts: dict[str, object] = {"heard_bpm": round(music.bpm, 1), "pace": str(pace)}
    return [Reason("match.pace", OTHER_PACE, facts)]


def _bars(dance: Dance, music: Music) -> list[Reason]:
    if (dance.beats_per_bar % 3 == 0) == (music.beats_per_bar % 3 == 0):
        return []
    facts: dict[str, object] = {"dance_bar": dance.beats_per_bar, "song_bar": music.beats_per_bar}
    return [Reason("match.bars-differ", OTHER_BAR, facts)]


def _certainty(music: Music) -> list[Reason]:
    known = [music.certainty[key] for key in ("beats", "bar_starts", "bpm") if key in music.certainty]
    if not known or min(known) >= DOUBTFUL:
        return []
    return [Reason("match.doubtful-count", 0.7 + 0.3 * min(known), {"certainty": round(min(known), 2)})]


_MISFITS = ("off-bar", "off-eight", "off-phrase", "own-period")
_CHANGES = ("invented-restart", "invented-tag", "moved-change", "stated-change", "dropped-change")


def _phrases(run: Run) -> Reason:
    """Judge how the walls lie on the music: what the best run still costs, per wall."""
    misfit = sum(item.cost for item in run.items if item.code in _MISFITS)
    change = sum(item.cost for item in run.items if item.code in _CHANGES)
    astray = sum(item.code in _MISFITS[:3] for item in run.items)
    facts: dict[str, object] = {"walls": len(run.walls), "changes": run.changes, "walls_off_phrase": astray}
    # ten points a wall, as if every wall began off the eight, halve this share
    share = 1 / (1 + (misfit + change) / (10 * len(run.walls)))
    if run.changes:
        return Reason("match.phrases-need-changes", share, facts)
    return Reason("match.phrases-drift" if astray else "match.phrases-fit", share, facts)


def _length(plan: Outline, grid: CountGrid, music: Music) -> Reason | None:
    """Judge the length: a class wants to see every wall, and to be done in time."""
    seconds = music.audio_end
    if plan.is_phrased:
        needed = sum(part.counts for part in plan.parts)
    else:
        needed = plan.parts[0].counts * walls_of(plan.parts[0].straight.turn)
    facts: dict[str, object] = {"seconds": round(seconds), "counts": grid.counts, "needed_counts": needed}
    short = min(seconds / SHORTEST_SECONDS, grid.counts / needed)
    if short < 1:
        return Reason("match.too-short", short, facts)
    if seconds > LONGEST_SECONDS:
        return Reason("match.too-long", LONGEST_SECONDS / seconds, facts)
    return None


def _swing(dance: Dance, music: Music) -> Reason | None:
    """Judge the feel: a sheet that writes "a" between counts wants swung music, one with "e" straight."""
    swung = is_swung(music.swing)
    offs = [step.at % 1 for part in dance.parts for step in part.steps]
    rolls, straights = offs.count(Fraction(3, 4)), offs.count(Fraction(1, 4))
    if swung is None or rolls == straights or swung == (rolls > straights):
        return None
    facts: dict[str, object] = {
        "song": "swung" if swung else "straight",
        "a_steps": rolls,
        "e_steps": straights,
    }
    return Reason("match.swing-against", 0.5, facts)
