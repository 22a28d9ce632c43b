"""Hold what a text says against what the floor shows: one file per check."""

from collections.abc import Callable

from noonwall.checks import (
    body,
    counts,
    facing,
    headings,
    level,
    loop,
    options,
    restarts,
    room,
    safety,
    turns,
    weight,
)
from noonwall.checks.proof import Named, Proof, in_order, proof_of, tracks_of
from noonwall.checks.restarts import settled
from noonwall.checks.room import room_of
from noonwall.findings import Finding

CHECKS: dict[str, Callable[[Proof], list[Finding]]] = {
    "counts": counts.check,
    "weight": weight.check,
    "facing": facing.check,
    "loop": loop.check,
    "restarts": restarts.check,
    "headings": headings.check,
    "body": body.check,
    "room": room.check,
    "level": level.check,
    "options": options.check,
    "safety": safety.check,
}
"""All checks by the name of their file and of their page in docs/checks.md."""


def check_all(proof: Proof) -> list[Finding]:
    """Run every check and return all findings in the order of the text."""
    found = [finding for check in CHECKS.values() for finding in check(proof)]
    settled_turns = turns.settle(proof, found, _judge_turns)
    return in_order([finding for finding in settled_turns if finding.code not in turns.HINTS])


def _judge_turns(proof: Proof) -> list[Finding]:
    """Run the checks whose remarks a wrong turn can cause."""
    return [*facing.check(proof), *restarts.check(proof), *headings.check(proof)]


__all__ = ["CHECKS", "Named", "Proof", "check_all", "proof_of", "room_of", "settled", "tracks_of"]
