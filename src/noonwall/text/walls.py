"""Restarts, tags, the ending and the sequence: what notes tell of walls, put on the dance."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from fractions import Fraction

from noonwall.dance.claims import RestartClaim
from noonwall.dance.model import Dance, Ending, Figure, Part, Restart, Section, Tag
from noonwall.dance.turns import normal
from noonwall.findings import Place
from noonwall.floor import dance_run
from noonwall.text.document import Document, Note
from noonwall.text.lexicon import Lexicon
from noonwall.text.notes import (
    INSTEAD_IN_BRACKETS,
    INSTEAD_OF,
    STEP_CHANGE,
    THEN_AGAIN,
    UP_TO_LETTER,
    Entry,
    WallNote,
    count_told,
    read_counted_sequence,
    read_sequence,
    read_wall_note,
)
from noonwall.text.resolve import Slot, resolve
from noonwall.text.steps import LineRead, natural_counts, read_line


@dataclass(slots=True)
class WallFacts:
    """What the notes tell, ready to be put on the dance."""

    restarts: list[Restart] = field(default_factory=list)
    tags: list[Tag] = field(default_factory=list)
    ending: Ending | None = None
    entries: list[Entry] = field(default_factory=list)
    claims: list[RestartClaim] = field(default_factory=list)
    extra_parts: list[Part] = field(default_factory=list)

    def apply(self, dance: Dance) -> Dance:
        """Return the dance with its walls' facts."""
        sequence = dance.sequence
        if self.entries:
            sequence = tuple(_entry_label(entry, dance) for entry in self.entries)
        elif dance.is_phrased:
            sequence = tuple(part.label for part in dance.parts if part.kind == "part")
        parts = dance.parts + tuple(self.extra_parts)
        return replace(
            dance,
            parts=parts,
            sequence=sequence,
            restarts=tuple(self.restarts),
            tags=tuple(self.tags),
            ending=self.ending,
        )


def _entry_label(entry: Entry, dance: Dance) -> str:
    if entry.kind == "part":
        return f"{entry.label}:{entry.counts}" if entry.counts else entry.label
    if entry.kind == "tag":
        tags = [part.label for part in dance.parts if part.kind in ("tag", "bridge")]
        wanted = f"tag{entry.label or 1}"
        return wanted if wanted in tags else (tags[0] if tags else "tag")
    return "ending"


def wall_facts(
    document: Document, dance: Dance, line_ends: dict[int, tuple[str, Fraction]], lexicon: Lexicon
) -> WallFacts:
    """Return what the notes of a document tell of walls.

    Args:
        document: the sorted sheet.
        dance: the dance so far, with its tags' parts.
        line_ends: for each counted line its part and the count after it.
        lexicon: the words of the sheet's language.
    """
    return _Facts(document, dance, line_ends, lexicon).gather()


_KEYWORDS = {
    "restart": re.compile(r"\bre-?start|\breprise\b", re.I),
    "tag": re.compile(r"\b(?:tag|bridge|pont)s?\b", re.I),
    "ending": re.compile(r"\b(?:ending|finale?|outro)\b", re.I),
}


def _pieces(note: Note) -> list[Note]:
    """Cut a note that speaks of several things ("1 restart (wall 3), 1 tag (after wall 5)") in pieces."""
    kinds = [kind for kind, pattern in _KEYWORDS.items() if pattern.search(note.text)]
    if len(kinds) < 2:
        parts = re.split(r"\s(?:and|et|&)\s|;", note.text) if note.kind == "restart" else []
        told = [part for part in parts if count_told(part)]
        if len(told) > 1 and len(told) == len(parts):
            return [replace(note, text=part) for part in parts]
        return [note]
    borders = [m.end() for m in re.finditer(r"(?<=[.;,·|/)])\s+|\s[-–—·|+&]\s|\s(?:and|et)\s", note.text)]
    starts = [0, *borders]
    found: list[tuple[str, list[str]]] = []
    for begin, end in zip(starts, [*borders, len(note.text)], strict=True):
        clause = note.text[begin:end]
        told = [kind for kind, pattern in _KEYWORDS.items() if pattern.search(clause)]
        if len(told) > 1:
            return [note]
        if told and not (found and found[-1][0] == told[0]):
            found.append((told[0], [clause]))
        elif found:
            found[-1][1].append(clause)
        else:
            found.append((note.kind, [clause]))
    merged = {kind for kind, _ in found}
    if len(merged) < 2 or any(not read_wall_note("".join(texts)).walls for _, texts in found[1:]):
        return [note]
    return [replace(note, kind=kind, text="".join(texts)) for kind, texts in found]


_BEFORE_FINISH = re.compile(
    r"\b(?:then|puis|replace with|finish with|finir (?:avec|par)|add|ajouter)\b"
    r"|\d\s*(?:counts?|comptes?|temps)\b(?:\s*\([^)]*\))?[,:]?|\b\d[-–]\d+,",
    re.I,
)
_AFTER_FINISH = re.compile(
    r"\b(?:to (?:face|end|finish)|pour (?:finir|terminer|faire face|être)|facing|face [aà])\b", re.I
)


class _Facts:
    def __init__(
        self, document: Document, dance: Dance, line_ends: dict[int, tuple[str, Fraction]], lexicon: Lexicon
    ) -> None:
        self.document, self.dance, self.line_ends, self.lexicon = document, dance, line_ends, lexicon
        self.out = WallFacts()
        self.total = dance.main.counts
        self.loose_walls: list[tuple[Note, WallNote]] = []
        self.loose_counts: list[tuple[Note, Fraction]] = []

    def gather(self) -> WallFacts:
        """Read every note."""
        for note in self.document.notes:
            if note.kind == "sequence":
                self.sequence(note)
        for note in self.document.notes:
            for piece in _pieces(note) if note.kind in ("restart", "tag", "ending") else ():
                getattr(self, piece.kind)(piece)
        self.pair_loose()
        self.drop_contradicted()
        if self.dance.is_phrased and not self.out.entries:
            self.find_sequence()
        self.out.restarts.sort(key=lambda r: r.wall)
        return self.out

    def sequence(self, note: Note) -> None:
        """The order of parts, or the counts of each wall."""
        labels = {part.label for part in self.dance.parts if part.kind == "part"}
        entries = read_sequence(note.text, labels) if labels else []
        if len([e for e in entries if e.kind == "part"]) >= 2:
            self.out.entries = entries
            return
        numbers = None if labels else read_counted_sequence(note.text, int(self.total))
        if numbers:
            for wall, counts in enumerate(numbers, 1):
                if counts < self.total and wall < len(numbers):
                    self.add_restart(wall, Fraction(counts), None, note)

    def find_sequence(self) -> None:
        """A line of part letters without a name, such as "A A B A Tag B"."""
        labels = {part.label for part in self.dance.parts if part.kind == "part"}
        texts = [line for _, line in self.document.header] + [n.text for n in self.document.notes]
        best: list[Entry] = []
        for text in texts:
            entries = read_sequence(text, labels)
            told = "".join(e.label for e in entries)
            dense = len(entries) * 3 >= len(re.findall(r"\w+", text))
            if dense and len(entries) > max(2, len(best)) and told:
                best = entries
        self.out.entries = best

    def place_of(self, note: Note) -> Place:
        """Where the note stands."""
        column = len(note.text) - len(note.text.lstrip()) + 1
        return Place(note.number, column, len(note.text) + 1)

    def count_of(self, note: Note, told: WallNote) -> Fraction | None:
        """The count after which a note cuts: said in counts or sections, marked, or where it stands."""
        if told.count is not None:
            return Fraction(told.count)
        if told.section is not None:
            sections = self.dance.main.sections
            if 0 < told.section <= len(sections):
                section = sections[told.section - 1]
                return section.at + section.counts
        if note.marker:
            marked = self.marked(note)
            if marked is not None:
                return marked
        if told.here or self.stands_inside(note):
            end = self.line_ends.get(note.after)
            if end is not None:
                return end[1]
        return None

    def marked(self, note: Note) -> Fraction | None:
        """The count after the line that carries the same asterisks."""
        for block in self.document.blocks:
            for section in block.sections:
                for line in section.lines:
                    if (
                        line.marker == note.marker
                        and line.number != note.number
                        and line.number in self.line_ends
                    ):
                        return self.line_ends[line.number][1]
        for other in self.document.notes:
            same = other is not note and other.marker == note.marker and other.kind in ("comment", "restart")
            if same and self.stands_inside(other) and other.after in self.line_ends:
                return self.line_ends[other.after][1]
        return None

    def stands_inside(self, note: Note) -> bool:
        """True if the note stands between counted lines of the dance, or on one."""
        numbers = list(self.line_ends)
        return bool(numbers) and min(numbers) <= note.number <= max(numbers) and note.after in self.line_ends

    def restart(self, note: Note) -> None:
        """A restart note, or one half of it."""
        told = read_wall_note(note.text)
        count = self.count_of(note, told)
        also_tag = re.search(r"\b(?:tag|bridge|pont)\b", note.text, re.I)
        self.out.claims.append(
            RestartClaim(told.walls, count, told.facings, self.place_of(note), note.text.strip(), "restart")
        )
        if also_tag and any(p.kind == "tag" for p in self.dance.parts) and told.walls:
            for number, wall in enumerate(told.walls):
                self.add_tag(note, told, wall, number, count if count is not None else self.total, True)
            if count is not None and count < self.total:
                for number, wall in enumerate(told.walls):
                    self.add_restart(wall, count, _pick(told.facings, number, len(told.walls)), note)
            return
        if told.walls and count is not None:
            for number, wall in enumerate(told.walls):
                self.add_restart(wall, count, _pick(told.facings, number, len(told.walls)), note)
        elif told.walls:
            self.loose_walls.append((note, told))
        elif count is not None:
            self.loose_counts.append((note, count))

    def pair_loose(self) -> None:
        """ "Restart on wall 3" in the header and "RESTART HERE" in the body are one restart."""
        for number, (note, told) in enumerate(self.loose_walls):
            if not self.loose_counts:
                continue
            count = self.loose_counts[min(number, len(self.loose_counts) - 1)][1]
            for k, wall in enumerate(told.walls):
                if not any(r.wall == wall for r in self.out.restarts):
                    self.add_restart(wall, count, _pick(told.facings, k, len(told.walls)), note)

    def drop_contradicted(self) -> None:
        """Take the body before the header: a restart that a list elsewhere tells against the body goes.

        A note that stands at its place in the body names its walls; a list in the header or at the foot that
        names others for the same count is a contradiction, which the restart check reports.
        """
        inside = {
            wall
            for claim in self.out.claims
            if claim.kind == "restart" and self.is_inside(claim)
            for wall in claim.walls
        }
        if not inside:
            return
        for claim in self.out.claims:
            if claim.kind != "restart" or self.is_inside(claim) or not claim.walls:
                continue
            strange = set(claim.walls) - inside
            if strange and self.faces_better(claim, inside):
                self.out.restarts = [r for r in self.out.restarts if r.wall in claim.walls]
                return
            if strange and (set(claim.walls) & inside or len(claim.walls) == len(inside)):
                self.out.restarts = [
                    r
                    for r in self.out.restarts
                    if r.wall not in strange or (r.place and r.place.line != claim.place.line)
                ]

    def faces_better(self, claim: RestartClaim, inside: set[int]) -> bool:
        """True if the facings that a list outside the body states fit its walls, and none fits the body's."""
        if not claim.facings:
            return False
        outside = self.facings_right(tuple(r for r in self.out.restarts if r.wall in claim.walls))
        within = self.facings_right(tuple(r for r in self.out.restarts if r.wall in inside))
        return outside > 0 and within == 0

    def facings_right(self, restarts: tuple[Restart, ...]) -> int:
        """How many of the restarts' stated facings the floor shows."""
        run = dance_run(replace(self.dance, restarts=restarts, tags=()))
        ends = {wall.number: normal(wall.stance_end.facing) for wall in run.walls}
        return sum(r.stated_facing is not None and ends.get(r.wall) == r.stated_facing for r in restarts)

    def is_inside(self, claim: RestartClaim) -> bool:
        """True if a claim stands at its place in the body."""
        numbers = list(self.line_ends)
        return bool(numbers) and min(numbers) < claim.place.line <= max(numbers)

    def add_restart(self, wall: int, count: Fraction, facing: int | None, note: Note) -> None:
        """Keep a restart once."""
        if not 0 < count < self.total:
            return
        for held in self.out.restarts:
            if held.wall == wall and held.after_count == count:
                self.out.restarts.remove(held)
                stated = held.stated_facing if held.stated_facing is not None else facing
                change = held.change or self.step_change(note, count)
                self.out.restarts.append(replace(held, stated_facing=stated, change=change))
                return
        change = self.step_change(note, count)
        self.out.restarts.append(Restart(wall, count, change, facing, self.place_of(note)))

    def step_change(self, note: Note, count: Fraction) -> Part | None:
        """ "Replace counts 15-16 with ...": the steps danced instead, if they can be read."""
        there = INSTEAD_IN_BRACKETS.search(note.text)
        match = there or INSTEAD_OF.search(note.text) or STEP_CHANGE.search(note.text)
        if not match:
            return None
        steps = THEN_AGAIN.split(match["steps"])[0].strip(' .,;:«»"“”-–')
        what = "" if there else match["what"]
        label = re.search(r"(\d{1,2})\s*(?:[-–]|to|à|&|et|and)?\s*(\d{1,2}|&)?", what)
        read = read_line(steps, (), self.document.language)
        if not read.units:
            return None
        ticks: tuple[Fraction, ...] = ()
        if label and label[2] == "&":
            ticks = (Fraction(0), Fraction(1, 2))
        elif label and label[2]:
            ticks = tuple(Fraction(k) for k in range(int(label[2]) - int(label[1]) + 1))
        elif label:
            ticks = (Fraction(0),)
        length = Fraction(int(ticks[-1]) + 1) if ticks else natural_counts(read)
        ticks = ticks or tuple(Fraction(k) for k in range(int(length)))
        laid = read_line(steps, ticks, self.document.language)
        if not laid.layouts or laid.layouts[0].cost > 3:
            return None
        return _change_part(laid, length, self.dance, count)

    def tag(self, note: Note) -> None:
        """A tag note: after which walls its block is danced."""
        told = read_wall_note(note.text)
        walls = told.walls
        part = self.tag_part(note)
        if not walls and note.block < len(self.document.blocks):
            told, walls = self.later_walls(note, told)
        self.out.claims.append(
            RestartClaim(walls, None, told.facings, self.place_of(note), note.text.strip(), "tag")
        )
        if part is None:
            return
        count = told.count
        at = self.total
        if count is not None and count != part.counts and count < self.total:
            at = Fraction(count)
        elif told.here or (self.stands_inside(note) and not _says_end(note.text)):
            end = self.line_ends.get(note.after)
            if end is not None and told.here:
                at = end[1]
        restart = bool(re.search(r"restart|recommenc|reprendre", note.text, re.I)) and at < self.total
        for number, wall in enumerate(walls):
            shift = -1 if told.start_of_wall else 0
            self.add_tag(note, told, wall + shift, number, at, restart)

    def later_walls(self, note: Note, told: WallNote) -> tuple[WallNote, tuple[int, ...]]:
        """A bare "TAG" heading: the walls may stand in a line of text below it, or elsewhere in the sheet."""
        for other in self.document.notes:
            if other is note or other.kind not in ("comment", "tag", "restart"):
                continue
            if other.kind != "tag" and not re.search(r"\b(?:tag|wall|mur)", other.text, re.I):
                continue
            near = 0 < other.number - note.number <= 3
            for piece in _pieces(other):
                names = re.search(r"\b(?:tag|bridge|pont)\b", piece.text, re.I)
                if piece.kind != "restart" and (near or names):
                    found = read_wall_note(piece.text)
                    if found.walls:
                        return found, found.walls
        return told, ()

    def tag_part(self, note: Note) -> Part | None:
        """The part a tag note speaks of: its own block, or the one its number names."""
        tags = [part for part in self.dance.parts if part.kind in ("tag", "bridge")]
        if not tags:
            return None
        if note.block < len(self.document.blocks):
            own = [p for p in tags if p.place and p.place.line == note.number]
            if own:
                return own[0]
        name = re.search(r"\b(?:tag|bridge|pont)\s*(?:n[°o]\s*)?(\d)\b", note.text, re.I)
        if name:
            for part in tags:
                if part.label == f"tag{name[1]}":
                    return part
        return tags[0]

    def add_tag(
        self, note: Note, told: WallNote, wall: int, number: int, at: Fraction, restart: bool
    ) -> None:
        """Keep a tag once."""
        part = self.tag_part(note)
        if part is None or wall < 0:
            return
        if any(t.after_wall == wall and t.part == part.label and t.after_count == at for t in self.out.tags):
            return
        facing = _pick(told.facings, number, max(1, len(told.walls)))
        said = re.search(r"\b(\d{1,2})\s*-?\s*(?:counts?|comptes?|temps|beats?)\b", note.text, re.I)
        before_steps, colon, _ = note.text.partition(":")
        if told.times > 1 and colon and any(_line_of(f) == note.number for f in part.figures):
            # "tag after wall 2: rocking chair x2": the steps on the line have been danced twice already
            told = read_wall_note(before_steps)
        times = told.times if not said or int(said[1]) != part.counts else 1
        if times > 1:
            times = _times_at(note.text, wall, times)
        self.out.tags.append(Tag(wall, at, part.label, times, restart, facing, self.place_of(note)))

    def ending_part(self, note: Note, count: Fraction | None) -> str:
        """ "Dance 16 counts, then turn 1/4 left": the steps at the end of the note, as a part."""
        pieces = re.split(_BEFORE_FINISH, note.text)
        if len(pieces) < 2:
            return ""
        steps = re.split(_AFTER_FINISH, pieces[-1])[0]
        read = read_line(steps.strip(" ,.:;"), (), self.document.language)
        if not read.units or not read.layouts:
            return ""
        before = [
            s for s in self.dance.main.steps if (count is None or s.at < count) and s.takes_weight and s.foot
        ]
        free = before[-1].foot.other if before and before[-1].foot else self.dance.start_free_foot
        told = resolve([Slot(list(read.layouts), (), read.weight_on)], free, None)
        _, outcome, _, _ = told.choices[0]
        if not outcome.steps or outcome.troubles:
            return ""
        length = natural_counts(read)
        figure = Figure("steps", Fraction(0), length, outcome.steps, free)
        section = Section("ending", Fraction(0), length, (figure,))
        self.out.extra_parts.append(Part("ending", "ending", length, (section,), self.place_of(note)))
        return "ending"

    def lettered(self, note: Note) -> Fraction | None:
        """ "Dance A, then ...": the end of the section with that letter."""
        match = UP_TO_LETTER.search(note.text)
        if match and not self.dance.is_phrased:
            for section in self.dance.main.sections:
                if section.label == match[1]:
                    return section.at + section.counts
        return None

    def ending(self, note: Note) -> None:
        """An ending note: wall, count, facing."""
        told = read_wall_note(note.text)
        part = next((p.label for p in self.dance.parts if p.kind == "ending"), "")
        wall = told.walls[0] if told.walls else None
        count = Fraction(told.count) if told.count is not None else None
        if count is None and told.section is not None and told.section <= len(self.dance.main.sections):
            section = self.dance.main.sections[told.section - 1]
            count = section.at + section.counts
        if count is None:
            count = self.lettered(note)
        held = self.out.ending
        if (
            held is not None
            and held.wall is not None
            and held.after_count is None
            and wall in (None, held.wall)
        ):
            wall, held = held.wall, None
        if held is None or (held.wall is None and wall is not None):
            facing = told.facings[-1] if told.facings else None
            if not part:
                part = self.ending_part(note, count)
            self.out.ending = Ending(wall, count, part, facing, self.place_of(note))


def _times_at(text: str, wall: int, times: int) -> int:
    """ "Once after wall 2 and twice after wall 5": how often the tag is danced after ``wall``."""
    spot = re.search(rf"(?<![\d:]){wall}(?![\d:.])", text)
    if spot is None or not re.search(r"\b(?:once|une fois)\b", text, re.I):
        return times
    words = re.findall(r"\b(once|twice|une fois|deux fois)\b", text[: spot.start()], re.I)
    return 1 if words and words[-1].lower() in ("once", "une fois") else times


def _says_end(text: str) -> bool:
    return bool(re.search(r"\b(?:end|fin|after|après)\b", text, re.I))


def _pick(facings: tuple[int, ...], number: int, walls: int) -> int | None:
    """The facing stated for the wall at ``number``: one for all, or one each."""
    if not facings:
        return None
    if len(facings) == walls:
        return facings[number]
    return facings[0] if len(facings) == 1 else None


def _line_of(figure: Figure) -> int:
    return figure.place.line if figure.place else 0


def _change_part(read: LineRead, length: Fraction, dance: Dance, count: Fraction) -> Part | None:
    """Return the steps of a step change as a part, danced from the foot that is free there."""
    before = [s for s in dance.main.steps_before(count - length) if s.takes_weight and s.foot]
    free = before[-1].foot.other if before and before[-1].foot else dance.start_free_foot
    told = resolve([Slot(list(read.layouts), (), read.weight_on)], free, None)
    _, outcome, _, _ = told.choices[0]
    figure = Figure("steps", Fraction(0), length, outcome.steps, free)
    return Part("change", "change", length, (Section("change", Fraction(0), length, (figure,)),))
