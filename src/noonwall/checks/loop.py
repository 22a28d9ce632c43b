"""The loop: does the end of a wall leave free the foot that the next wall begins on?"""

from __future__ import annotations

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
    # A mended foot elsewhere is the cause then; the dance is not meant to mirror.
    severity = Severity.ADVICE if proof.claims.steps else Severity.DOUBTFUL
    return [Finding("loop.mirrored", severity, last.place, last.at, facts, proof.quote(last.place))]
