"""Other ways, less load, a chair, and cautions: what was found of them, worded in each language."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import groupby
from math import floor, log2

from noonwall.dance.model import Dance, Foot
from noonwall.teach.easier import Swap, found_options, sheet_options
from noonwall.teach.gentle import low_impact, seated_feet
from noonwall.teach.spans import danced, spans_of
from noonwall.teach.spelling import Spelling
from noonwall.teach.telling import Told, told
from noonwall.teach.values import Gentle, Piece, Way
from noonwall.teach.watch import cautions_of, count_name


def ways_of(dance: Dance, spelling: Spelling) -> tuple[Way, ...]:
    """Return the sheet's own options and those that were found, each with its places, steps and proof."""
    parts = [part for part in dance.parts if part.kind in ("main", "part")]
    swaps = (*sheet_options(dance), *found_options(dance, parts))
    groups = groupby(swaps, key=lambda one: (one.kind, one.part, one.figure, one.was, one.text))
    return tuple(_way(dance, spelling, tuple(held)) for _, held in groups)


def _way(dance: Dance, spelling: Spelling, swaps: tuple[Swap, ...]) -> Way:
    first, languages = swaps[0], spelling.languages
    facts: dict[str, object] = {"counts": [_counts(swap) for swap in swaps]}
    if dance.is_phrased:
        facts["part"] = first.part
    if first.kind != "sheet":
        facts |= {"figure": first.figure, "was": first.was}
        facts |= {"before": first.difficulty[0], "after": first.difficulty[1]}
    steps = tuple(replace(step, at=step.at - first.at) for step in first.steps)
    free = next((one.foot for one in steps if one.foot in (Foot.LEFT, Foot.RIGHT)), None)
    lines = spelling.steps(steps, int(first.counts), free or dance.start_free_foot, int(first.at))
    worst = next((swap.proof for swap in swaps if not swap.proof.holds), None)
    centimetres = round(100 * max(swap.proof.metres for swap in swaps))
    if worst is None:
        fewest = min(swap.proof.after for swap in swaps)
        proof = told(languages, "proof.holds", centimetres=centimetres, n=fewest)
    else:
        proof = told(languages, f"proof.{_fails(swaps)}", centimetres=centimetres)
    key = f"way.{first.kind}{'_part' if dance.is_phrased else ''}"
    return Way(first.kind, swaps, told(languages, key, **facts), lines, proof)


def _counts(swap: Swap) -> str:
    first, last = count_name(swap.at), count_name(swap.at + swap.counts - 1)
    return f"{first}–{last}" if first != last else first


def _fails(swaps: Sequence[Swap]) -> str:
    """Return the id of the first thing that another way does not keep."""
    proof = next(swap.proof for swap in swaps if not swap.proof.holds)
    if not proof.feet:
        return "feet"
    if not proof.weight:
        return "weight"
    return "place" if proof.facing else "facing"


def gentle_of(dance: Dance, languages: tuple[str, ...]) -> tuple[Gentle, ...]:
    """Return each part with less load; a part without jumps, stomps and spins needs none."""
    found = []
    for part in dance.parts:
        low = low_impact(part, dance.start_free_foot)
        if not low.changes:
            continue
        remarks = [told(languages, f"gentle.{one.kind}", **dict(one.facts)) for one in low.changes]
        if dance.is_phrased or part.kind != "main":
            remarks.insert(0, told(languages, "gentle.part", part=part.label))
        remarks.append(told(languages, "gentle.proved" if low.proof.holds else "gentle.not_proved"))
        found.append(Gentle(low, tuple(remarks)))
    return tuple(found)


def seated_words(dance: Dance, languages: tuple[str, ...], pieces: Sequence[Piece]) -> tuple[Told, ...]:
    """Return how the dance is done on a chair: how to sit, then the feet of every piece."""
    found = [told(languages, "seated.how"), told(languages, "seated.arms")]
    for piece in pieces:
        track = danced(dance.part(piece.part), dance.start_free_foot)
        feet = seated_feet(track.between(piece.at, piece.end))
        if feet:
            found.append(told(languages, "seated.feet", piece=piece.number, feet=feet))
    return tuple(found)


LEAST_METS, MOST_METS = 3, 6
"""Line dancing is moderate exercise, 3.0 to 6.0 METs (CDC/ACSM list of intensities); general dancing has 7.8
in the 2011 Compendium of Physical Activities, so the upper end may be passed."""


def caution_words(dance: Dance, languages: tuple[str, ...], minutes: int) -> tuple[Told, ...]:
    """Return the cautions with their counts, effort and sound, and that the hall and the doctor come first.

    Args:
        dance: the dance.
        languages: of the texts.
        minutes: how long the lesson is, for the sound.
    """
    found = []
    for part in dance.parts:
        for caution, counts in cautions_of(spans_of(part)).items():
            facts: dict[str, object] = {"counts": list(counts), "caution": caution}
            key = "caution.at" if len(counts) > 1 else "caution.at_count"
            if dance.is_phrased or part.kind != "main":
                found.append(told(languages, f"{key}_part", part=part.label, **facts))
            else:
                found.append(told(languages, key, **facts))
    loudest = loudest_decibels(minutes)
    return (
        *found,
        told(languages, "caution.room"),
        told(languages, "caution.effort", least=LEAST_METS, most=MOST_METS),
        told(languages, "caution.sound", decibels=loudest, minutes=dose_minutes(loudest)),
        told(languages, "caution.always"),
    )


def loudest_decibels(minutes: int) -> int:
    """Return the level in dBA, a whole number, at which a lesson of so many minutes is a day's dose of noise.

    NIOSH recommended limit: 85 dBA over 8 hours, 3 dB exchange. Never more than 100, the ceiling of the WHO
    Global Standard for Safe Listening Venues and Events, 2022.
    """
    return min(100, floor(85 + 3 * log2(480 / max(minutes, 1))))


def dose_minutes(decibels: int) -> int:
    """Return in how many minutes a day's dose of noise is reached: 480 / 2^((L - 85) / 3) (NIOSH)."""
    return int(480 / 2 ** ((decibels - 85) / 3))
