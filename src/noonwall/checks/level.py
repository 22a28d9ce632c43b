"""Level: what the dance asks against what published guides allow at the level its header names."""

from __future__ import annotations

import tomllib
import unicodedata
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from importlib import resources
from typing import Any

from noonwall.checks.proof import Proof
from noonwall.figures import vocabulary
from noonwall.findings import Finding, Severity

FIRST_EIGHT = 8


@dataclass(frozen=True, slots=True)
class Asked:
    """What one wall of a dance (all parts of a phrased one) asks of a dancer.

    ``turns`` counts figures that turn, ``syncopated`` steps off the whole counts; ``difficulty`` is that of
    the hardest figure, 1 to 10 on the vocabulary's own scale, 0 if all are plain steps.
    """

    counts: Fraction
    turns: int
    syncopated: int
    cuts: int
    first_cut: Fraction | None
    difficulty: int


def asked_of(proof: Proof) -> Asked:
    """Return what the dance asks of a dancer."""
    dance = proof.dance
    parts = [part for part in dance.parts if part.kind in ("main", "part")]
    figures = [figure for part in parts for figure in part.figures]
    known = vocabulary().figures
    steps = [step for figure in figures for step in figure.steps]
    cuts = [restart.after_count for restart in dance.restarts]
    return Asked(
        sum((part.counts for part in parts), Fraction(0)),
        sum(1 for step in steps if step.turn),
        sum(1 for step in steps if step.at.denominator != 1),
        len(dance.restarts) + len(dance.tags),
        min(cuts) if cuts else None,
        max((known[figure.id].difficulty for figure in figures if figure.id in known), default=0),
    )


@lru_cache(maxsize=1)
def _levels() -> dict[str, Any]:
    return tomllib.loads(resources.files(__package__).joinpath("levels.toml").read_text("utf-8"))


def level_of(text: str) -> str:
    """Return the id of the level a header names, "" if it is none of those with a published definition."""
    bare = "".join(c for c in unicodedata.normalize("NFKD", text.lower()) if not unicodedata.combining(c))
    words = " ".join(bare.split())
    return next((name for name, level in _levels().items() if words in level["names"]), "")


def check(proof: Proof) -> list[Finding]:
    """Return one piece of advice if the dance asks more than its stated level allows."""
    name = level_of(proof.dance.level)
    if not name:
        return []
    level, asked = _levels()[name], asked_of(proof)
    reasons = []
    if asked.counts > level.get("counts", asked.counts):
        reasons.append("counts")
    if asked.turns > level.get("turns", asked.turns):
        reasons.append("turns")
    if asked.syncopated and not level.get("syncopated", True):
        reasons.append("syncopated")
    if asked.cuts and not level.get("cut", True):
        reasons.append("cut")
    if asked.first_cut is not None and asked.first_cut < FIRST_EIGHT and not level.get("first_cut", True):
        reasons.append("first-cut")
    if not reasons:
        return []
    place = proof.line_place(proof.claims.header_lines.get("level", 0))
    facts: dict[str, object] = {"level": proof.dance.level, "reasons": reasons, "source": level["source"]}
    return [Finding("level.above", Severity.ADVICE, place, None, facts, proof.quote(place))]
