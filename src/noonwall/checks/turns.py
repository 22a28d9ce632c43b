"""One wrong turn: several remarks about facings, walls and headings that a single other turn would settle.

A turn that is written wrong is seen where it leads to: at the next facing note, at the walls of the header,
at a restart, in the heading above. Every turn of the dance is tried the other way and in other amounts; if
exactly one line makes at least two of those remarks go away, that line is the mistake and they are its echo.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from noonwall.checks.proof import HEADING_ORDER, HEADING_SIDE, USUAL_SIDE, Proof, proof_of
from noonwall.dance.claims import FacingClaim, StepTrouble
from noonwall.dance.model import Dance, Figure, Part, Section, Step
from noonwall.dance.turns import normal
from noonwall.findings import Finding, Severity

HINTS = (HEADING_SIDE, HEADING_ORDER, USUAL_SIDE)
"""What is too weak to be said alone, but counts as a witness when something else is wrong too."""

ECHOES = (
    "facing.note",
    "walls.header",
    "restart.facing",
    "restart.facing-or-wall",
    "tag.facing",
    "tag.facing-or-wall",
    "heading.turn-side",
    "heading.turn-amount",
    "heading.no-turn",
    *HINTS,
)
"""Remarks that a wrong turn elsewhere can cause."""

MENDED = ("facing.turn-side", "facing.turn-amount")
"""Turns that were taken otherwise than they are written so that the facing notes hold."""

MOST_TURNS = 32
"""Turns that are tried; a dance with more and with contradictions besides needs a person."""

AMOUNTS = (2, 4)
"""Amounts that authors confuse: a quarter and a half (wording.md, mistakes seen)."""

Judge = Callable[[Proof], list[Finding]]
Left = tuple[int, int]
"""How many remarks and how many hints are left."""


@dataclass(frozen=True, slots=True)
class _Trial:
    """A turn that was tried: the figure it belongs to, what it says, what it was taken for, what remains."""

    figure: Figure
    said: int
    meant: int
    left: Left


def settle(proof: Proof, findings: list[Finding], judge: Judge) -> list[Finding]:
    """Return the findings with those that one wrong turn explains put together into one.

    Args:
        proof: the dance.
        findings: what all checks say of it.
        judge: the checks whose remarks may be echoes, to be run on a dance with another turn.
    """
    mended = [finding for finding in findings if finding.code in MENDED]
    if len(mended) > 1:
        return findings
    written = _as_written(proof) if mended else proof
    echoes = _left(judge(written) if mended else findings)
    if not echoes[0] or sum(echoes) < 2:
        return findings
    trials = list(_trials(written, judge))
    if not trials:
        return findings
    fewest = min(trial.left for trial in trials)
    best = [trial for trial in trials if trial.left == fewest]
    lines = {trial.figure.place.line for trial in best if trial.figure.place}
    gained = sum(echoes) - sum(fewest)
    if gained < 2 or fewest[0] >= echoes[0] or len(lines) != 1:
        return findings
    if mended and mended[0].place and mended[0].place.line in lines:
        return findings
    cause = best[0]
    kept = [finding for finding in findings if finding.code not in (*ECHOES, *MENDED)]
    still = judge(_with_turn(written, cause.figure, cause.said, cause.meant)) if fewest[0] else []
    kept += [finding for finding in still if finding.code in ECHOES]
    return [*kept, _finding(written, cause, echoes[0] - fewest[0])]


def _left(findings: list[Finding]) -> Left:
    hints = sum(finding.code in HINTS for finding in findings)
    return sum(finding.code in ECHOES for finding in findings) - hints, hints


def _as_written(proof: Proof) -> Proof:
    """Return the proof with every turn that reading mended as it is written."""
    for trouble in proof.claims.steps:
        figure = _figure_of(proof, trouble) if trouble.code in MENDED else None
        if figure is not None:
            proof = _with_turn(proof, figure, trouble.meant, trouble.said)
    steps = tuple(trouble for trouble in proof.claims.steps if trouble.code not in MENDED)
    return replace(proof, claims=replace(proof.claims, steps=steps))


def _figure_of(proof: Proof, trouble: StepTrouble) -> Figure | None:
    for part in proof.dance.parts:
        for figure in part.figures if part.label == trouble.part else ():
            if any(step.at == trouble.at and step.turn == trouble.meant for step in figure.steps):
                return figure
    return None


def _finding(proof: Proof, cause: _Trial, places: int) -> Finding:
    place = proof.clause(cause.figure.place)
    assert place is not None
    facts: dict[str, object] = {"said": cause.said, "meant": cause.meant}
    at, quote = cause.figure.at, proof.quote(place)
    if places < 2:  # one remark; the other witnesses are only what is usual
        return Finding("facing.turn-usual", Severity.DOUBTFUL, place, at, facts, quote)
    severity = proof.severity(proof.is_understood(place.line))
    return Finding("facing.turn", severity, place, at, facts | {"places": places}, quote)


def _trials(proof: Proof, judge: Judge) -> Iterator[_Trial]:
    turning = [
        (figure, step.turn)
        for part in proof.dance.parts
        if part.kind in ("main", "part")
        for figure in part.figures
        if figure.place
        for step in figure.steps
        if step.turn
    ]
    for figure, said in turning[:MOST_TURNS]:
        sign = 1 if said > 0 else -1
        for meant in (-said, *(sign * amount for amount in AMOUNTS if amount != abs(said))):
            trial = _with_turn(proof, figure, said, meant)
            yield _Trial(figure, said, meant, _left(judge(trial)))


def _with_turn(proof: Proof, figure: Figure, said: int, meant: int) -> Proof:
    """Return the proof of the same dance with the first turn ``said`` of a figure taken for ``meant``."""
    index = next(i for i, step in enumerate(figure.steps) if step.turn == said)
    steps: tuple[Step, ...] = (
        *figure.steps[:index],
        replace(figure.steps[index], turn=meant),
        *figure.steps[index + 1 :],
    )
    changed = replace(figure, steps=steps)
    part = next(part for part in proof.dance.parts if any(each is figure for each in part.figures))
    sections = tuple(_with_figure(section, figure, changed) for section in part.sections)
    parts = tuple(replace(part, sections=sections) if each is part else each for each in proof.dance.parts)
    dance: Dance = replace(proof.dance, parts=parts)
    facings = tuple(_after(claim, part, figure.steps[index], meant - said) for claim in proof.claims.facings)
    claims = replace(proof.claims, facings=facings)
    return proof_of(dance, claims, proof.lines, None, proof.gaps, proof.named)


def _with_figure(section: Section, old: Figure, new: Figure) -> Section:
    if not any(figure is old for figure in section.figures):
        return section
    return replace(section, figures=tuple(new if figure is old else figure for figure in section.figures))


def _after(claim: FacingClaim, part: Part, step: Step, change: int) -> FacingClaim:
    """Return a facing claim as it stands when the turn of an earlier step is changed."""
    if claim.part != part.label or claim.at < step.at:
        return claim
    shown = normal(claim.shown + change)
    return replace(claim, shown=shown, agrees=normal(claim.stated) == shown)
