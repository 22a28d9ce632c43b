"""Facing: every facing the text states, the walls of the header, turns of the wrong side or amount."""

from __future__ import annotations

from collections.abc import Iterator

from noonwall.checks.proof import Proof
from noonwall.dance.claims import FacingClaim
from noonwall.dance.model import Figure, Part
from noonwall.dance.turns import normal, walls_of
from noonwall.findings import Finding, Severity


def check(proof: Proof) -> list[Finding]:
    """Return notes and turns that contradict each other, and walls that do not close."""
    turns = list(_turns(proof))
    notes = list(_notes(proof))
    return [*turns, *notes, *_open_turns(proof), *_walls(proof, bool(turns or notes))]


def _turns(proof: Proof) -> Iterator[Finding]:
    """A turn that several facings around it agree to call wrong."""
    for trouble in proof.claims.steps:
        if trouble.code not in ("facing.turn-side", "facing.turn-amount"):
            continue
        facts: dict[str, object] = {"said": trouble.said, "meant": trouble.meant, "text": trouble.text}
        severity = proof.severity(proof.is_understood(trouble.place.line))
        yield Finding(trouble.code, severity, trouble.place, trouble.at, facts, proof.quote(trouble.place))


def _notes(proof: Proof) -> Iterator[Finding]:
    """Facing notes against the floor; several with one offset mean that one turn before them is wrong."""
    for part in proof.dance.parts:
        claims = [claim for claim in proof.claims.facings if claim.part == part.label]
        run: list[FacingClaim] = []
        sure = None
        for claim in [*claims, None]:
            offset = normal(claim.stated - claim.shown) if claim and not claim.agrees else None
            if run and (offset is None or offset != normal(run[0].stated - run[0].shown)):
                yield from _disagreement(proof, part, run, sure, is_last=claim is None)
                run = []
            if claim is None:
                break
            if claim.agrees:
                sure = claim
            else:
                run.append(claim)


def _disagreement(
    proof: Proof, part: Part, run: list[FacingClaim], sure: FacingClaim | None, is_last: bool
) -> Iterator[Finding]:
    turn = _one_turn(part, sure, run[0]) if len(run) > 1 else None
    if turn is not None and is_last:
        said = turn.turn
        meant = _shortest(said + run[0].stated - run[0].shown)
        facts: dict[str, object] = {
            "said": said,
            "meant": meant,
            "notes": len(run),
            "text": proof.quote(turn.place),
        }
        certain = turn.place is not None and proof.is_understood(turn.place.line)
        yield Finding(
            "facing.turn", proof.severity(certain), turn.place, turn.at, facts, proof.quote(turn.place)
        )
        return
    for claim in run:
        more: dict[str, object] = {"stated": claim.stated, "shown": claim.shown}
        certain = proof.is_understood(claim.place.line)
        yield Finding(
            "facing.note", proof.severity(certain), claim.place, claim.at, more, proof.quote(claim.place)
        )


def _one_turn(part: Part, sure: FacingClaim | None, first: FacingClaim) -> Figure | None:
    """Return the only turning figure between the last facing that agrees and the first that does not."""
    after = sure.at if sure else -1
    turning = [figure for figure in part.figures if figure.turn and after < figure.at <= first.at]
    return turning[0] if len(turning) == 1 else None


def _shortest(eighths: int) -> int:
    turn = normal(eighths)
    return turn - 8 if turn > 4 else turn


def _open_turns(proof: Proof) -> Iterator[Finding]:
    """A turn whose side is not written; the side that the rest of the sheet asks for is shown."""
    seen: set[int] = set()
    for trouble in proof.claims.open_turns:
        line = trouble.place.line
        if line in seen:
            continue
        seen.add(line)
        facts: dict[str, object] = {"meant": trouble.meant, "text": trouble.text}
        yield Finding(
            "turn.no-side", Severity.DOUBTFUL, trouble.place, trouble.at, facts, proof.quote(trouble.place)
        )


def _walls(proof: Proof, is_explained: bool) -> Iterator[Finding]:
    """The header's number of walls against the order of the net turn."""
    dance = proof.dance
    stated = dance.stated_walls
    if stated is None or dance.is_phrased:
        return
    shown = walls_shown(proof)
    if stated == shown or is_explained:
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
