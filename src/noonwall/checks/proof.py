"""What every check is given: the dance, what its text claims, and what the floor shows."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from noonwall.dance.claims import Claims
from noonwall.dance.model import Dance, Figure, Foot, Part, Section
from noonwall.findings import Finding, Place, Severity
from noonwall.floor import RunDanced, Stance, Track, dance_part, dance_run, opening_stance

HEADING_SIDE, HEADING_ORDER, USUAL_SIDE = "hint.heading-side", "hint.heading-order", "hint.usual-side"
"""Codes of hints, which no user sees: they only bear witness when a turn is wrong for other reasons."""


@dataclass(frozen=True, slots=True)
class Named:
    """A figure in a heading: its id, its foot or side ("L", "R" or ""), its turn in eighths and side."""

    figure: str
    foot: str = ""
    amount: int = 0
    turn_side: str = ""


@dataclass(frozen=True, slots=True)
class Proof:
    """One dance on trial.

    Attributes:
        dance: the dance as it was read.
        claims: what the text says besides the steps.
        run: all walls with their tags and restarts.
        tracks: every part danced once, by its label, facing 12:00 at its start.
        lines: the lines of the text, for quoting.
        gaps: numbers of the lines that hold words which were not understood.
        named: by the line of a heading, the figures it names.
    """

    dance: Dance
    claims: Claims
    run: RunDanced
    tracks: dict[str, Track]
    lines: tuple[str, ...] = ()
    gaps: frozenset[int] = field(default_factory=frozenset)
    named: dict[int, tuple[Named, ...]] = field(default_factory=dict)

    def quote(self, place: Place | None) -> str:
        """Return the text at a place: the marked stretch, or the whole line where none is marked."""
        if place is None or not 0 < place.line <= len(self.lines):
            return ""
        line = self.lines[place.line - 1]
        return line[place.column - 1 : place.end - 1] if place.end > place.column else line.strip()

    def clause(self, place: Place | None) -> Place | None:
        """Return a place without a bracket that it opens and does not close, so that the quote reads well."""
        quoted = self.quote(place)
        if place is None or place.end <= place.column or quoted.count("(") <= quoted.count(")"):
            return place
        kept = quoted[: quoted.rindex("(")].rstrip(" ,;")
        return Place(place.line, place.column, place.column + len(kept)) if kept else place

    def line_place(self, number: int) -> Place | None:
        """Return the place of the written stretch of a line, or None if there is no such line."""
        if not 0 < number <= len(self.lines):
            return None
        line = self.lines[number - 1]
        first = len(line) - len(line.lstrip())
        return Place(number, first + 1, len(line.rstrip()) + 1)

    def is_understood(self, *numbers: int) -> bool:
        """True if every word of these lines was understood."""
        return self.gaps.isdisjoint(numbers)

    def lines_of(self, section: Section) -> set[int]:
        """Return the numbers of the lines that the steps of a section stand on."""
        return {figure.place.line for figure in section.figures if figure.place}

    def part_is_understood(self, part: Part) -> bool:
        """True if every word of every counted line of a part was understood."""
        return all(self.gaps.isdisjoint(self.lines_of(section)) for section in part.sections)

    def severity(self, is_certain: bool) -> Severity:
        """A contradiction is wrong if all around it was understood, else only doubtful."""
        return Severity.WRONG if is_certain else Severity.DOUBTFUL


def tracks_of(dance: Dance) -> dict[str, Track]:
    """Dance every part once, facing 12:00, on the foot that its first step leaves free."""
    usual = opening_stance(dance.start_free_foot)
    return {part.label: dance_part(part, _start_of(part, usual)) for part in dance.parts}


def _start_of(part: Part, usual: Stance) -> Stance:
    if part.kind == "main":
        return usual
    for step in part.steps:
        if step.foot in (Foot.LEFT, Foot.RIGHT):
            return usual if step.move in ("bump", "sway", "swivel") else opening_stance(step.foot)
        if step.foot is Foot.BOTH and step.takes_weight:
            break
    return usual


def proof_of(
    dance: Dance,
    claims: Claims | None = None,
    lines: tuple[str, ...] = (),
    run: RunDanced | None = None,
    gaps: frozenset[int] = frozenset(),
    named: dict[int, tuple[Named, ...]] | None = None,
) -> Proof:
    """Dance a dance and return it with its claims, ready for the checks."""
    return Proof(
        dance, claims or Claims(), run or dance_run(dance), tracks_of(dance), lines, gaps, named or {}
    )


def figure_at(part: Part, count: Fraction) -> Figure | None:
    """Return the figure that is being danced at ``count``, or None."""
    found = None
    for figure in part.figures:
        if figure.at > count:
            break
        found = figure
    return found


def in_order(findings: list[Finding]) -> list[Finding]:
    """Return findings in the order of the text; those without a place come first, worse before better."""
    return sorted(
        findings,
        key=lambda f: (
            f.place.line if f.place else 0,
            f.place.column if f.place else 0,
            f.severity.rank,
            f.code,
        ),
    )
