"""Options: an easier way must leave the dancer where the written way does."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from noonwall.checks.proof import Proof
from noonwall.dance.model import Option, Part, Step
from noonwall.dance.turns import normal
from noonwall.findings import Finding, Severity
from noonwall.floor import Stance, dance_steps

STEP_METRES = 0.5
"""An option may end this far from the written way: one side step (floor/place.py)."""


def check(proof: Proof) -> list[Finding]:
    """Return options that change the counts, the free foot, the facing, or the place by more than a step."""
    found: list[Finding] = []
    for option in proof.dance.options:
        part = next((part for part in proof.dance.parts if part.label == option.part), None)
        if part is None or not option.figures:
            continue
        for code, facts in _differences(proof, part, option):
            # what an option replaces is told by where it stands, so its remarks are never certain
            severity = Severity.ADVICE if code == "option.place" else Severity.DOUBTFUL
            found.append(
                Finding(
                    code, severity, option.place, option.at, facts, option.text or proof.quote(option.place)
                )
            )
    return found


def _differences(proof: Proof, part: Part, option: Option) -> list[tuple[str, dict[str, object]]]:
    end = option.at + option.counts
    taken = [step for figure in option.figures for step in figure.steps]
    if any(step.at < option.at or step.at >= end for step in taken):
        return [("option.counts", {"counts": int(option.counts)})]
    start = proof.tracks[part.label].at(option.at)
    written = _after([step for step in part.steps if option.at <= step.at < end], start)
    optional = _after(taken, start)
    out: list[tuple[str, dict[str, object]]] = []
    if written.free_foot is not optional.free_foot and None not in (written.free_foot, optional.free_foot):
        assert written.free_foot is not None and optional.free_foot is not None
        facts: dict[str, object] = {"free": optional.free_foot.value, "meant": written.free_foot.value}
        out.append(("option.foot", facts))
    if normal(written.facing) != normal(optional.facing):
        out.append(("option.facing", {"stated": normal(optional.facing), "shown": normal(written.facing)}))
    apart = hypot(written.centre[0] - optional.centre[0], written.centre[1] - optional.centre[1])
    if not out and apart > STEP_METRES:
        out.append(("option.place", {"metres": round(apart, 1)}))
    return out


def _after(steps: Sequence[Step], start: Stance) -> Stance:
    moments = dance_steps(steps, start)
    return moments[-1].stance if moments else start
