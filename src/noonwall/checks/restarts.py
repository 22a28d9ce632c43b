"""Restarts and tags: the foot that is free there, the facing on that very wall, and notes that disagree."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from noonwall.checks.proof import Proof
from noonwall.dance.claims import Claims, RestartClaim
from noonwall.dance.model import Dance, Restart
from noonwall.dance.turns import normal
from noonwall.findings import Finding, Severity
from noonwall.floor import Stance, dance_run


@dataclass(frozen=True, slots=True)
class Voice:
    """What one region of the text (before, inside or after the steps) says of restarts as a whole."""

    name: str
    walls: tuple[int, ...]
    claims: tuple[RestartClaim, ...]


def check(proof: Proof) -> list[Finding]:
    """Return restarts and tags that the floor or another line of the text contradicts."""
    if proof.dance.is_phrased:
        return []
    contradictions = list(_contradictions(proof))
    return [*contradictions, *_restarts(proof, bool(contradictions)), *_tags(proof)]


def settled(dance: Dance, claims: Claims) -> Dance:
    """Return the dance with the restarts of the most trustworthy region where regions contradict each other.

    A region whose stated facings hold on the floor wins over one whose do not; otherwise the note at the
    steps wins over the foot of the sheet, and the foot, which tells more, over the header.
    """
    dispute = _dispute(dance, claims)
    if dispute is None:
        return dance
    winner, losers = dispute
    false = {wall for voice in losers for wall in voice.walls} - set(winner.walls)
    kept = tuple(restart for restart in dance.restarts if restart.wall not in false)
    return replace(dance, restarts=kept) if kept else dance


def _voices(dance: Dance, claims: Claims) -> list[Voice]:
    lines = [figure.place.line for figure in dance.main.figures if figure.place]
    if not lines:
        return []
    regions: dict[str, list[RestartClaim]] = {"body": [], "foot": [], "header": []}
    for claim in claims.restarts:
        if claim.kind != "restart" or not claim.walls:
            continue
        line = claim.place.line
        regions["header" if line < min(lines) else "foot" if line > max(lines) else "body"].append(claim)
    voices = []
    for name, said in regions.items():
        walls = tuple(sorted({wall for claim in said for wall in claim.walls}))
        if walls:
            voices.append(Voice(name, walls, tuple(said)))
    return voices


def _dispute(dance: Dance, claims: Claims) -> tuple[Voice, list[Voice]] | None:
    """Return the region that wins and those that contradict it, or None if none does."""
    voices = _voices(dance, claims)
    every = {wall for voice in voices for wall in voice.walls}
    if len(voices) < 2 or any(set(voice.walls) == every for voice in voices):
        return None  # one place names them all, and the others may each tell a part
    ranked = sorted(voices, key=lambda voice: (-_facings_kept(dance, voice), -_agreeing(voice, voices)))
    winner = ranked[0]
    # A shorter list may be incomplete; two that each name a wall the other lacks cannot both hold.
    losers = [
        v for v in voices if not set(v.walls) <= set(winner.walls) and not set(winner.walls) <= set(v.walls)
    ]
    return (winner, losers) if losers else None


def _agreeing(voice: Voice, voices: list[Voice]) -> int:
    return sum(other.walls == voice.walls for other in voices)


def _facings_kept(dance: Dance, voice: Voice) -> int:
    """Return how many of the facings a region states hold if its walls are the ones that are cut."""
    cuts = {claim.after_count for claim in voice.claims if claim.after_count is not None}
    cuts |= {restart.after_count for restart in dance.restarts}
    if not cuts:
        return 0
    after = min(cuts)
    tried = replace(dance, restarts=tuple(Restart(wall, after) for wall in voice.walls), tags=(), ending=None)
    ends = {wall.number: normal(wall.stance_end.facing) for wall in dance_run(tried, max(voice.walls)).walls}
    kept = 0
    for claim in voice.claims:
        stated = (
            claim.facings if len(claim.facings) == len(claim.walls) else claim.facings[:1] * len(claim.walls)
        )
        kept += sum(1 if ends.get(w) == f else -1 for w, f in zip(claim.walls, stated, strict=False))
    return kept


def _contradictions(proof: Proof) -> Iterator[Finding]:
    dispute = _dispute(proof.dance, proof.claims)
    if dispute is None:
        return
    winner, losers = dispute
    for voice in losers:
        for claim in voice.claims:
            if set(claim.walls) <= set(winner.walls):
                continue
            said, meant = list(claim.walls), _meant(claim.walls, winner.walls)
            facts: dict[str, object] = {
                "stated": said, "shown": meant, "line": winner.claims[0].place.line,
            }  # fmt: skip
            yield Finding(
                "restart.walls",
                Severity.WRONG,
                claim.place,
                claim.after_count,
                facts,
                proof.quote(claim.place),
            )


def _meant(walls: tuple[int, ...], true: tuple[int, ...]) -> list[int]:
    """Return ``walls`` with those that are false replaced by those that are missing."""
    missing = [wall for wall in true if wall not in walls]
    out = [wall if wall in true else (missing.pop(0) if missing else 0) for wall in walls]
    return [wall for wall in out if wall]


def _restarts(proof: Proof, is_disputed: bool) -> Iterator[Finding]:
    """The free foot and the stated facing at every cut."""
    walls = {wall.number: wall for wall in proof.run.walls}
    start = proof.dance.start_free_foot
    for restart in proof.dance.restarts:
        place = restart.place
        if restart.after_count >= proof.dance.main.counts:
            facts: dict[str, object] = {
                "count": int(restart.after_count),
                "total": int(proof.dance.main.counts),
            }
            yield Finding("restart.beyond", Severity.WRONG, place, None, facts, proof.quote(place))
            continue
        wall = walls.get(restart.wall)
        if wall is None:
            continue
        end = wall.stance_end
        if end.free_foot is not None and end.free_foot is not start and restart.change is None:
            facts = {"wall": restart.wall, "free": end.free_foot.value, "start": start.value}
            certain = proof.part_is_understood(proof.dance.main) and not proof.claims.steps
            severity = proof.severity(certain)
            yield Finding("restart.foot", severity, place, restart.after_count, facts, proof.quote(place))
        if restart.stated_facing is not None and not is_disputed:
            yield from _facing(
                proof, "restart.facing", restart.wall, restart.stated_facing, end, place, restart.after_count
            )


def _facing(
    proof: Proof, code: str, wall: int, stated: int, stance: Stance, place: object, count: Fraction
) -> Iterator[Finding]:
    shown = normal(stance.facing)
    if normal(stated) == shown:
        return
    facts: dict[str, object] = {"wall": wall, "stated": normal(stated), "shown": shown}
    fits = _walls_that_fit(proof, count, normal(stated))
    if fits:
        facts["fits"] = fits
        code += "-or-wall"
    # Facings in the steps that were doubted already, or words not understood, may be the true cause.
    doubted = any(not claim.agrees for claim in proof.claims.facings) or any(
        trouble.code.startswith("facing") for trouble in proof.claims.steps
    )
    certain = proof.part_is_understood(proof.dance.main) and not doubted
    spot = place if place is None else proof.line_place(place.line)  # type: ignore[attr-defined]
    yield Finding(code, proof.severity(certain), spot, count, facts, proof.quote(spot))


def _walls_that_fit(proof: Proof, count: Fraction, stated: int) -> list[int]:
    """Return the walls up to 8 on which ``count`` would face ``stated`` if no other wall were cut."""
    part = proof.dance.main
    done = sum(step.turn for step in part.steps if step.at < count)
    return [n for n in range(1, 9) if normal(part.turn * (n - 1) + done) == stated][:3]


def _tags(proof: Proof) -> Iterator[Finding]:
    """The foot after a tag, and the facing stated for it."""
    start = proof.dance.start_free_foot
    for wall in proof.run.walls:
        for tag, stance in wall.tag_stances:
            if tag.stated_facing is not None:
                yield from _facing(
                    proof, "tag.facing", wall.number, tag.stated_facing, stance, tag.place, tag.after_count
                )
            part = proof.dance.part(tag.part)
            ends_wall = tag.after_count >= proof.dance.main.counts or tag.then_restart
            free = wall.stance_end.free_foot
            if ends_wall and free is not None and free is not start and stance.free_foot in (None, start):
                facts: dict[str, object] = {"wall": wall.number, "free": free.value, "start": start.value}
                place = part.place or tag.place
                certain = proof.part_is_understood(part) and not proof.claims.steps
                yield Finding("tag.foot", proof.severity(certain), place, None, facts, proof.quote(place))
