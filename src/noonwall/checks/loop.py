"""The loop: does the end of a wall leave free the foot that the next wall begins on?"""

from __future__ import annotations

from noonwall.checks.facing import walls_shown
from noonwall.checks.proof import Proof
from noonwall.findings import Finding, Severity


def check(proof: Proof) -> list[Finding]:
    """Return a remark if the dance ends on the wrong foot: its next wall is danced mirrored."""
    dance = proof.dance
    if dance.is_phrased:
        return []
    track = proof.tracks[dance.main.label]
    free = track.end.free_foot
    if free is None or free is dance.start_free_foot or not track.moments:
        return []
    last = dance.main.figures[-1]
    facts: dict[str, object] = {"end": free.value, "start": dance.start_free_foot.value}
    # Some dances are meant to mirror. Where the header's walls agree, or a wrong foot elsewhere is the cause
    # and reported, this is no more than worth knowing.
    agrees = walls_shown(proof) == dance.stated_walls or (
        dance.stated_walls is None and not dance.main.turn % 8
    )
    severity = Severity.ADVICE if agrees or proof.claims.steps else Severity.DOUBTFUL
    return [Finding("loop.mirrored", severity, last.place, last.at, facts, proof.quote(last.place))]
