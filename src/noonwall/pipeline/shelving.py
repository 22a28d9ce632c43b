"""What a shelf is handed: the facts of a sheet, computed by other stages, as plain data.

The keys are those of the shelf's own ``Facts``; the shelf knows no stage and no stage knows the shelf.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

from noonwall import __version__
from noonwall.dance.model import Dance, Foot, Part, Step
from noonwall.errors import NoonwallError
from noonwall.findings import Severity
from noonwall.fit.folder import AUDIO_SUFFIXES
from noonwall.pipeline.figures_danced import figures_used, seen_from
from noonwall.pipeline.proving import Proved, prove
from noonwall.text.source import load_text, sheets_in
from noonwall.text.write_header import level_id
from noonwall.words.messages import fault_words
from noonwall.words.nearest import figure_names

STRETCH_COUNTS = 4
"""Counts of one stretch of steps: half an eight, the shortest that dancers speak of as a piece (our own)."""
LANGUAGES = ("en", "fr")
LONGEST_TITLE = 120


@dataclass(frozen=True, slots=True)
class SheetRead:
    """A sheet on its way to a shelf: its text and facts, or in ``trouble`` why it cannot be read."""

    name: str
    text: str = ""
    facts: dict[str, Any] | None = None
    trouble: str = ""


def shelf_facts(proved: Proved) -> dict[str, Any]:
    """Return the facts by which a shelf finds a proved sheet; a sheet without steps has a title at least."""
    dance, told = proved.dance, proved.facts
    severities = [finding.severity for finding in proved.findings]
    language = proved.reading.language
    facts: dict[str, Any] = {
        "title": (dance.title if dance else "") or _first_line(proved),
        "language": language,
        "wrong": severities.count(Severity.WRONG),
        "doubtful": severities.count(Severity.DOUBTFUL),
        "unread": len(proved.reading.claims.not_understood),
        "edition": __version__,
    }
    if dance is None:
        return facts
    figures = figures_used(dance, proved.reading.claims)
    facts |= {
        "level": level_id(dance.level, language) if dance.level else "",
        "counts": told["total_counts"],
        "walls": told["walls"],
        "bpm": dance.bpm,
        "meter": told["meter"],
        "choreographer": dance.choreographer,
        "figures": figures,
        "names": _names_of(figures),
        "shape": shape_of(dance),
    }
    return facts


def read_for_shelf(text: str, language: str | None = None) -> tuple[Proved, dict[str, Any]]:
    """Prove a text, without trying mends, and return it with its facts for a shelf."""
    proved = prove(text, language, with_mends=False)
    return proved, shelf_facts(proved)


def sheets_for_shelf(paths: Iterable[Path], language: str = "en") -> Iterator[SheetRead]:
    """Read many files of any kind for a shelf, one after the other; a bad one is told of and stops nothing.

    Args:
        paths: the files (``sheets_in`` lists those of a folder).
        language: language of the sentences about files that cannot be read.
    """
    for path in paths:
        try:
            text = load_text(path).text
            yield SheetRead(str(path), text, read_for_shelf(text)[1])
        except NoonwallError as error:
            yield SheetRead(str(path), trouble=fault_words(error, language))
        except Exception as error:  # a fault of ours in one sheet must not cost a teacher the other thousands
            told = f"{path.name}: noonwall failed on this sheet ({type(error).__name__}: {error})."
            yield SheetRead(str(path), trouble=told)


def is_sound(path: Path) -> bool:
    """True if the name of a file is that of a sound file; it is not opened, and nothing heavy is loaded."""
    return path.suffix.lower() in AUDIO_SUFFIXES


def _first_line(proved: Proved) -> str:
    return next((line.strip()[:LONGEST_TITLE] for line in proved.reading.lines if line.strip()), "")


def _danced_parts(dance: Dance) -> list[Part]:
    return [part for part in dance.parts if part.kind in ("main", "part")]


def _names_of(figures: list[str]) -> list[str]:
    """Return every name of some figures in every language."""
    tables = [figure_names(language) for language in LANGUAGES]
    return list(dict.fromkeys(name for one in figures for table in tables for name in table.get(one, ())))


def shape_of(dance: Dance) -> list[tuple[int, str]]:
    """Return the steps of a dance as (gram, lead), one for the four counts that begin on every count.

    Two stretches have the same gram if they hold the same steps at the same counts, whichever foot begins and
    whichever way the dancer faces; ``lead`` is the foot that begins ("L" or "R"). A wall goes round: its last
    stretches run into its first. Stretches in which no foot moves are left out.
    """
    shape: list[tuple[int, str]] = []
    for part in _danced_parts(dance):
        counts = int(part.counts)
        by_count: list[list[Step]] = [[] for _ in range(counts)]
        for step in part.steps:
            if 0 <= int(step.at) < counts:
                by_count[int(step.at)].append(step)
        for start in range(counts):
            stretch = [
                (step.at % 1 + offset, step)
                for offset in range(min(STRETCH_COUNTS, counts))
                for step in by_count[(start + offset) % counts]
            ]
            lead = next((step.foot for _, step in stretch if step.foot in (Foot.LEFT, Foot.RIGHT)), None)
            if lead is not None:
                shape.append((_gram(stretch, lead), lead.value))
    return shape


def _gram(stretch: list[tuple[Fraction, Step]], lead: Foot) -> int:
    """Return a number for a stretch of steps that is the same for its mirror image."""
    sense = 1 if lead is Foot.RIGHT else -1
    acts = [
        f"{at}{step.move}{seen_from(lead, step.foot)}{step.takes_weight:d}{step.to}"
        f"{step.turn * sense}{seen_from(lead, Foot(step.side) if step.side else None)}"
        for at, step in stretch
    ]
    # six bytes: two of a million stretches fall together less than once in a hundred libraries
    return int.from_bytes(hashlib.blake2b(";".join(acts).encode(), digest_size=6).digest(), "big")


__all__ = [
    "SheetRead",
    "is_sound",
    "read_for_shelf",
    "shape_of",
    "sheets_for_shelf",
    "sheets_in",
    "shelf_facts",
]
