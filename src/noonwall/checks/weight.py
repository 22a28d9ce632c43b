"""Weight: a foot can step only if it carries none, and a weightless action needs the free foot."""

from __future__ import annotations

from noonwall.checks.proof import Proof
from noonwall.dance.claims import StepTrouble
from noonwall.findings import Finding, Severity

CODES = {
    "weight.same-foot": Severity.WRONG,
    "weight.other-foot": Severity.WRONG,
    "weight.line-mirrored": Severity.WRONG,
    "weight.gesture-on-weight": Severity.WRONG,
    "weight.should-touch": Severity.DOUBTFUL,
    "weight.should-step": Severity.DOUBTFUL,
}


def check(proof: Proof) -> list[Finding]:
    """Return every step that the weight forbids, one remark a line.

    A foot error that one other foot, one mirrored line or one touch for a step would mend is reported as
    that; the rest as a step on the foot that carries the weight.
    """
    found: dict[int, Finding] = {}
    troubled = {
        trouble.place.line for trouble in proof.claims.counts if trouble.shown not in ("", trouble.stated)
    }
    for trouble in proof.claims.steps:
        if trouble.code not in CODES:
            continue
        finding = _finding(proof, trouble, trouble.place.line in troubled)
        held = found.get(trouble.place.line)
        if held is None or finding.severity.rank < held.severity.rank:
            found[trouble.place.line] = finding
    return list(found.values())


def _finding(proof: Proof, trouble: StepTrouble, is_miscounted: bool) -> Finding:
    foot = trouble.foot or "R"
    facts: dict[str, object] = {"foot": foot, "other": "L" if foot == "R" else "R", "text": trouble.text}
    severity = CODES[trouble.code]
    # A line that does not fit its counts drags its feet along: the counts are the finding to read first.
    if severity is Severity.WRONG and (is_miscounted or not proof.is_understood(trouble.place.line)):
        severity = Severity.DOUBTFUL
    place = proof.clause(trouble.place)
    if trouble.code == "weight.line-mirrored":
        place = proof.line_place(trouble.place.line)
    return Finding(trouble.code, severity, place, trouble.at, facts, proof.quote(place))
