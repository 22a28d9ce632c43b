"""Facing: every facing the text states, the walls of the header, turns of the wrong side or amount."""

from __future__ import annotations

from collections.abc import Iterator

from noonwall.checks.proof import USUAL_SIDE, Proof
from noonwall.checks.usual_turns import unusual_turns
from noonwall.dance.turns import normal, walls_of
from noonwall.findings import Finding, Severity


def check(proof: Proof) -> list[Finding]:
    """Return notes and turns that contradict each other, and walls that do not close."""
    return [*_turns(proof), *_notes(proof), *_open_turns(proof), *_walls(proof), *_unusual(proof)]


def _turns(proof: Proof) -> Iterator[Finding]:
    """A turn that several facings around it agree to call wrong."""
    for trouble in proof.claims.steps:
        if trouble.code not in ("facing.turn-side", "facing.turn-amount"):
            continue
        facts: dict[str, object] = {"said": trouble.said, "meant": trouble.meant, "text": trouble.text}
        severity = proof.severity(proof.is_understood(trouble.place.line))
        place = proof.clause(trouble.place)
        yield Finding(trouble.code, severity, place, trouble.at, facts, proof.quote(place))


def _notes(proof: Proof) -> Iterator[Finding]:
    """Facing notes against the floor."""
    for part in proof.dance.parts:
        claims = [claim for claim in proof.claims.facings if claim.part == part.label]
        for claim in claims:
            if claim.agrees:
                continue
            facts: dict[str, object] = {"stated": claim.stated, "shown": claim.shown}
            severity = proof.severity(proof.is_understood(claim.place.line))
            yield Finding("facing.note", severity, claim.place, claim.at, facts, proof.quote(claim.place))


def _open_turns(proof: Proof) -> Iterator[Finding]:
    """A turn whose side is not written; the side that the rest of the sheet asks for is shown."""
    seen: set[int] = set()
    for trouble in proof.claims.open_turns:
        line = trouble.place.line
        if line in seen:
            continue
        seen.add(line)
        facts: dict[str, object] = {"meant": trouble.meant, "text": trouble.text}
        place = proof.clause(trouble.place)
        yield Finding("turn.no-side", Severity.DOUBTFUL, place, trouble.at, facts, proof.quote(place))


def _walls(proof: Proof) -> Iterator[Finding]:
    """The header's number of walls against the order of the net turn."""
    dance = proof.dance
    stated = dance.stated_walls
    if stated is None or dance.is_phrased:
        return
    shown = walls_shown(proof)
    if stated == shown:
        return
    place = proof.line_place(proof.claims.header_lines.get("walls", 0))
    facts: dict[str, object] = {"stated": stated, "shown": shown, "facing": dance.main.turn}
    certain = proof.part_is_understood(dance.main) and place is not None and not proof.claims.open_turns
    yield Finding("walls.header", proof.severity(certain), place, None, facts, proof.quote(place))


def walls_shown(proof: Proof) -> int:
    """Return how many walls the dance has when it is danced: the order of its net turn.

    A dance that ends on its starting foot turns the same way every time. One that ends on the other foot is
    danced mirrored every second wall, turns back again, and so sees one wall or two.
    """
    main = proof.dance.main
    end = proof.tracks[main.label].end
    if end.free_foot not in (None, proof.dance.start_free_foot):
        return 2 if normal(main.turn) else 1
    return walls_of(main.turn)


def _unusual(proof: Proof) -> Iterator[Finding]:
    """Turns the less usual way: hints, never said alone."""
    for part in proof.dance.parts:
        for section in part.sections:
            for figure, step in unusual_turns(section):
                yield Finding(USUAL_SIDE, Severity.ADVICE, figure.place, step.at)
