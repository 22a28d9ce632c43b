"""Cut the text of a sheet into blocks, sections and counted lines; everything else is header or note."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache

from noonwall.text.labels import Label, bracketed_label, read_label, split_pair, trailing_label
from noonwall.text.lexicon import Lexicon, fold, lexicon_of
from noonwall.text.tokens import tokenise

ZERO_WIDTH = dict.fromkeys([*range(0x200B, 0x2010), *range(0x202A, 0x202F), *range(0x2060, 0x206A), 0xFEFF, 0xAD])
ODD_SPACES = {0xA0: " ", 0x202F: " ", 0x2007: " ", 0x2009: " ", 0x3000: " ", 0x0B: " ", 0x0C: " ", 0x85: "\n"}


@dataclass(slots=True)
class Counted:
    """A line with counts: its label, and its step text with the place of its first character."""

    number: int
    column: int
    label: Label | None
    text: str
    joins: list[tuple[int, int, int]] = field(default_factory=list)  # offset in text, line, column
    marker: str = ""

    def place(self, offset: int) -> tuple[int, int]:
        """Return (line, column), from 1, of an offset in ``text``."""
        line, column, base = self.number, self.column, 0
        for at, other_line, other_column in self.joins:
            if offset >= at:
                line, column, base = other_line, other_column, at
        return line, column + offset - base


@dataclass(slots=True)
class RawSection:
    """A heading and its counted lines. ``span`` is the range a heading states, as (first, last)."""

    label: str
    heading: str
    number: int
    column: int = 1
    span: tuple[int, int] | None = None
    lines: list[Counted] = field(default_factory=list)


@dataclass(slots=True)
class Block:
    """A stretch danced as a whole. ``kind``: main, part, tag, bridge, ending."""

    kind: str
    label: str
    text: str
    number: int
    sections: list[RawSection] = field(default_factory=list)

    @property
    def has_lines(self) -> bool:
        """True if any step is written in it."""
        return any(section.lines for section in self.sections)


@dataclass(slots=True)
class Note:
    """A line that is no step: kind restart, tag, ending, sequence, option, repeat, comment; and where.

    ``after`` is the number of the counted line it follows (0 for none); ``block`` the index of its block.
    """

    kind: str
    text: str
    number: int
    after: int = 0
    block: int = 0
    marker: str = ""
    column: int = 1


@dataclass(slots=True)
class Document:
    """All lines of a sheet, sorted."""

    lines: list[str]
    language: str
    header: list[tuple[int, str]] = field(default_factory=list)
    blocks: list[Block] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)
    letters_are_parts: bool = False


def clean(text: str) -> str:
    """Return the text without invisible marks, with plain spaces and one kind of line end."""
    return text.translate(ZERO_WIDTH).translate(ODD_SPACES).replace("\r\n", "\n").replace("\r", "\n")


_ROMAN = r"(?:X{0,2}(?:IX|IV|V?I{1,3}|V)|X{1,2})"
_MARKED = re.compile(
    rf"""^\W{{0,4}}(?:
      (?P<word>section|sections|sect|sec|set|block|bloc|step\sset|s)\s?[.\-:]?\s?\#?(?P<num>\d{{1,2}}|{_ROMAN}|[A-H](?=\W|$))(?=[\s:.)\]\-–—,(·•|]|$)
    | (?P<roman>{_ROMAN})\s?[.):\-–—]\s*(?=\S)
    | (?P<paren>\d{{1,2}})\)\s+(?=[A-Za-zÀ-ÿ])
    | \#\s?(?P<hash>\d{{1,2}})(?=[\s:.)\-–])
    | (?:part|partie)\s(?P<part>\d{{1,2}})(?=[\s:.)\-–]|$)
    | (?P<ordinal>first|second|third|fourth|fifth|sixth|seventh|eighth|premier|deuxième|troisième|quatrième)\s(?:eight|set|section|block|8|huit|bloc|partie)\b
    | (?P<letter>[A-H])[.)]\s+(?=[A-ZÀ-Ý0-9½¼])
    | (?P<ranged>\d{{1,2}})\s*[.):\-–]?\s*(?=[\[(]\d{{1,2}}\s?[-–]\s?\d{{1,2}}[\])])
    | (?P<eight>\d{{1,2}})\s?(?:er|ère|e|eme|ème|st|nd|rd|th)\s+(?:huit|8|eight|section|set|wall\ssection|bloc|partie|série|phrase)\b
    )""",
    re.VERBOSE | re.IGNORECASE,
)
_PART = re.compile(
    r"^\W{0,4}(?:(?:part|partie|section|phrase|pattern)\s+(?P<a>[A-H])(?P<an>\d?)|(?P<b>[A-H])(?P<bn>\d?)\s*[:=]|(?P<w>verse|chorus|couplet|refrain)|(?P<c>[A-H])(?P<cn>\d?)(?=\s*(?:[\[(]\d|\W*$)))(?=[\s:.,)\]=\-–—(]|$)",
    re.IGNORECASE,
)
_TAG = re.compile(r"^\W*(?:(?:(?:1st|2nd|3rd|first|second|easy|short|long|le|la|un|une|petit|the|\d[a-z]*|\d+\s?[- ]\s?(?:counts?|comptes?|temps|beats?|cts?))\s){0,2}(tag|bridge|pont|transition)s?)\b", re.I)
_ENDING = re.compile(r"^\W*(?:optional\s|big\s|pour\s|to\s|le\s)?(ending|finale|finish|final|fin|outro|end of (?:the )?dance|fin de (?:la )?danse)\b(?!\s?(?:of (?:the )?wall|du mur|facing|with weight|weight|pdc|appui|poids))", re.I)
_RESTART = re.compile(r"\bre-?start(?:s|ing)?\b|\bredémarr|\breprise\b", re.I)
_OPTION = re.compile(r"^\W*(?:(?:easy|easier|non.?turning|no.?turn|low.?impact|alternative|alternate|optional?|beginner)\s*(?:option|alternative|version|step|ending)?s?|options?(?:\s[^\W\d]+){0,3}(?=\s*:)|options?|variante?s?|alternatives?|or|ou|pour les débutants|plus facile)\b\s*(?:[:,(]|for\b|counts?\b|\d|pour\b|sans\b|facile\b|-|–|of\b|to\b|instead|on\b|sur\b|aux\b|au\b|is\b|non|easy|option)", re.I)
_SEQUENCE = re.compile(r"^\W*(?:dance\s|danced\s|order of\s|ordre\s(?:de\s)?)?(?:sequence|séquence|sequencing|phrasing|order|ordre|structure|phrased|enchaînement|déroulement|routine order|pattern)\b[^:]{0,30}[:=\-–]", re.I)
_REPEAT_ALL = re.compile(
    r"^\W*(?:repeat(?:\W|$)(?!.*\d)|repeat (?:the )?(?:dance|pattern|from)|(?:and )?(?:start|begin)s?(?: the)?(?: dance)?(?: over| again| from)|start again|begin again|begin dance|start dance|again\b|do it (?:all )?again|from the top|recommenc|reprendre (?:la danse|au début|du début|depuis|tout)|reprenez|on recommence|on reprend|et on recommence|répéter (?:la danse|du début|au début)|repeat$|repeat\W*$|bonne danse|amusez|enjoy|have fun|happy danc|smile|gardez|souri|au début|da capo|begin the dance)",
    re.I,
)
_REPEATS = re.compile(r"\s*(?:repeat|rpt|répét|repet|reprendre|reprise|refaire|idem|same|mirror|again|recommencer)", re.I)
_COLUMNS = re.compile(r"^\W*(?:counts?|beats?|comptes?|temps|cts?)\s*[|/\t:;-]*\s*(?:steps?|description|pas|footwork|movements?|action|figures?)\W*(?:facing|face|mur)?\W*$", re.I)
_FACT = re.compile(
    r"\b(?:choreograph\w*|choreo|chor[ée]g\w*|chor[ée]\b|music|musique|track|song|chanson|artist\w*|bpm|level|niveau|intro\w*|walls?\b\s*[:=]|counts?\s*[:=]|comptes?\s*[:=]|murs?\s*[:=]|description|start(?:s|ing)?\s(?:on|after|with|position)|départ|position|feet together|weight on|pieds (?:joints|ensemble)|poids du|contact|email|e-mail|www|http|lead in|wait|attendre|prepared by|written by|last update|copyright|source|tempo|traduc\w*|traduit|type|dance type|format|rythme|rhythm|suggested)\b",
    re.I,
)
_LEGEND = re.compile(r"^\W*(?:(?:PD|PG|RF|LF|PdC|PDC|D|G|R|L|fwd|tog|WOL|WOR)\s*[=:]\s*\w+)", re.I)
_WALL_FACT = re.compile(r"(?:\b(?:one|two|four|1|2|4|8)[\s-]*walls?\b|\b[1248]\s*murs?\b|\b(?:un|deux|quatre) murs?\b|\bwalls?\s*[:=]\s*\d)", re.I)
_COUNT_FACT = re.compile(r"\b\d{2,3}\s*[-–]?\s*(?:counts?|comptes?|temps|cts|c)\b", re.I)
_MARKER = re.compile(r"(\*+|†+|‡+|#{1,3}(?!\d)|§+|\^+)")


def sort_lines(text: str, language: str, lexicon: Lexicon) -> Document:
    """Return the document of a sheet's text: header, blocks with sections and counted lines, notes."""
    lines = clean(text).split("\n")
    document = Document(lines, language)
    document.letters_are_parts = _letters_are_parts(lines)
    _Sorter(document, lexicon).sort()
    return document


def _letters_are_parts(lines: list[str]) -> bool:
    """Letters name parts if some line tells the order they are danced in ("A A B A")."""
    for line in lines:
        match = _SEQUENCE.match(line)
        if match and re.search(r"\b[A-H]\d{0,2}\b.*\b[A-H]\d{0,2}\b", line[match.end() - 1 :]):
            return True
        run = re.findall(r"(?<![A-Za-z])(?:[A-H]\d{0,2}|[Tt]ag\s?\d?|TAG\s?\d?)(?![A-Za-z'’])", line)
        if len(run) >= 4 and len("".join(run)) >= 0.5 * len(re.sub(r"[\W]", "", line)):
            return True
    parts = {m["a"].upper() for line in lines if (m := _PART.match(line)) and m["a"] and re.match(r"\W*part", line, re.I)}
    return len(parts) > 1


class _Sorter:
    """Goes through the lines once, with one line of foresight."""

    def __init__(self, document: Document, lexicon: Lexicon) -> None:
        self.document = document
        self.lexicon = lexicon
        self.labels = [read_label(line) for line in document.lines]
        self.started = False
        self.block: Block | None = None
        self.section: RawSection | None = None
        self.last_counted: Counted | None = None
        self.bodies: dict[int, str] = {}
        self.has_labels = sum(label is not None for label in self.labels) >= 2
        self.read_odd_labels()
        self.pending: list[tuple[int, str]] = []

    def sort(self) -> None:
        """Sort every line."""
        for index, line in enumerate(self.document.lines):
            if line.strip():
                self.take(index, line)

    def read_odd_labels(self) -> None:
        """Counts that stand behind the steps: in a right-hand column, or in brackets after each step."""
        for reader in (bracketed_label, trailing_label):
            found = {}
            for index, line in enumerate(self.document.lines):
                if self.labels[index] is None and (read := reader(line)) and self.is_steps(read[1]):
                    found[index] = read
            if len(found) >= 3 and len(found) > sum(label is not None for label in self.labels):
                for index, (label, body) in found.items():
                    self.labels[index], self.bodies[index] = label, body
                self.has_labels = True

    # -- helpers --------------------------------------------------------------------------------

    def next_content(self, index: int) -> int | None:
        """Return the index of the next line with content."""
        for j in range(index + 1, len(self.document.lines)):
            if self.document.lines[j].strip():
                return j
        return None

    def is_steps(self, text: str, least: int = 1) -> bool:
        """True if most of the words of ``text`` belong to dancing."""
        dance, odd = _dance_words(text, self.lexicon.language)
        return dance >= least and dance >= odd

    def new_block(self, kind: str, label: str, text: str, number: int) -> Block:
        """Begin a block."""
        self.block = Block(kind, label, text, number)
        self.document.blocks.append(self.block)
        self.section = None
        self.last_counted = None
        return self.block

    def body(self, index: int) -> Block:
        """Return the current block, the main one if none has begun."""
        self.started = True
        if self.block is None:
            self.block = self.new_block("main", "", "", index + 1)
        return self.block

    def open_section(self, label: str, heading: str, index: int, span: tuple[int, int] | None) -> None:
        """Begin a section."""
        column = len(self.document.lines[index]) - len(self.document.lines[index].lstrip()) + 1
        block = self.body(index)
        self.section = RawSection(label, heading, index + 1, column, span)
        block.sections.append(self.section)
        self.last_counted = None

    def note(self, kind: str, index: int, text: str) -> None:
        """Keep a line that is no step."""
        after = self.last_counted.number if self.last_counted else self.last_line_of_block()
        marker = _MARKER.match(text.strip())
        block = len(self.document.blocks) - 1
        self.document.notes.append(
            Note(kind, text, index + 1, after, block, marker.group() if marker else "")
        )

    def last_line_of_block(self) -> int:
        """Return the number of the last counted line of the current block, 0 if none."""
        if self.block is None:
            return 0
        numbers = [line.number for section in self.block.sections for line in section.lines]
        return numbers[-1] if numbers else 0

    # -- one line -------------------------------------------------------------------------------

    def take(self, index: int, line: str) -> None:
        """Sort one line."""
        label = self.labels[index]
        stripped = line.strip()
        if _COLUMNS.match(stripped) or _LEGEND.match(stripped):
            self.note("comment", index, line)
            return
        if self.special(index, line, label):
            return
        if label is not None and self.number_opens_heading(index, label):
            label = self.labels[index] = None
        if label is not None and self.is_heading_label(index, line, label):
            self.heading_from_label(index, line, label)
            return
        marked = self.marked_heading(index, line)
        if marked:
            return
        if label is not None and self.accepts_label(index, line, label):
            self.counted(index, line, label)
            return
        if not self.started and not self.has_labels and self.is_steps(line, 3) and not _FACT.search(line):
            self.unlabelled(index, line)
            return
        if not self.started:
            if self.opens_body(index, line):
                self.open_section("", stripped, index, None)
            else:
                self.document.header.append((index + 1, line))
            return
        self.unlabelled(index, line)

    def special(self, index: int, line: str, label: Label | None) -> bool:
        """Tags, restarts, endings, options, sequences, repeats. Return True if the line is one."""
        text = line.strip()
        if label is not None and not label.bracketed and _starts_with_steps(line[label.end :]):
            return False
        if label is None and self.is_negative(text):
            if self.started:
                self.note("comment", index, line)
            else:
                self.document.header.append((index + 1, line))
            return True
        if label is None and _SEQUENCE.match(text) and not self.is_part_heading(text):
            self.note("sequence", index, line)
            if not self.started:
                self.document.header.append((index + 1, line))
            return True
        if _REPEAT_ALL.match(text) and label is None and not re.match(r"\W*repeat.*\d", text, re.I):
            self.note("repeat", index, line)
            if self.started and self.block is not None and self.block.kind == "main":
                self.section = None
            return True
        if _TAG.match(text) and not self.is_negative(text):
            return self.special_block("tag", index, line)
        if self.started and _ENDING.match(text) and self.is_ending(text):
            return self.special_block("ending", index, line)
        if self.started and _RESTART.search(text) and (self.extends_note(index, line) or self.ends_comment(index, line)):
            return True
        if _RESTART.search(text) and not _starts_with_steps(text):
            if not self.is_negative(text):
                self.note("restart", index, line)
                if not self.started:
                    self.document.header.append((index + 1, line))
            elif not self.started:
                self.document.header.append((index + 1, line))
            else:
                self.note("comment", index, line)
            return True
        if label is None and self.tag_told(text):
            self.note("tag", index, line)
            if not self.started:
                self.document.header.append((index + 1, line))
            return True
        if label is None and _OPTION.match(text) and self.started:
            self.note("option", index, line)
            return True
        if self.started and re.match(r"^\W*(?:notes?|nb|n\.b\.?|remarques?|tip|conseil|styling)\b\s*[:.\-–]", text, re.I):
            self.note("comment", index, line)
            return True
        return False

    def tag_told(self, text: str) -> bool:
        """ "At the end of wall 3, add this 4 count tag"."""
        told = re.search(r"\b(?:tag|bridge|pont|transition)s?\b", text, re.I)
        wall = re.search(
            r"\b(?:(?:walls?|murs?)\s*(?:n[°o]\s*)?(?:\d|one|two|three|un|deux|trois)|(?:\d\w{0,3}|first|second|third|fourth)\s(?:walls?|murs?|times? through)(?!\s*\())|répétition|repetition|(?:end|fin) (?:of|du|des)\b",
            text,
            re.I,
        )
        if _WALL_FACT.search(text) and not self.started and not re.search(r"\b(?:end of|after|fin d|apr[eè]s)\b", text, re.I):
            return False
        return bool(told and wall) and not self.is_negative(text)

    def is_negative(self, text: str) -> bool:
        """ "No tags, no restarts"."""
        return bool(
            re.search(r"\b(?:no|zero|without|sans|ni|aucun|pas de|0|none)\s(?:any\s)?(?:tags?|re-?starts?|bridges?|ponts?)", text, re.I)
            or re.search(r"\b(?:tags?|restarts?)\s*[/&,]?\s*(?:tags?|restarts?)?\s*[:=]\s*(?:no|none|0|aucun|non|nil)\b", text, re.I)
        )

    def is_ending(self, text: str) -> bool:
        """ "Ending: wall 7 ..." tells the end of the dance; "Big finish" may be a heading like any other."""
        if re.match(r"^\W*(?:optional\s|pour\s|le\s)?(?:ending|finale?|fin|outro|end of|fin de)\b", text, re.I):
            return True
        return bool(re.search(r"\d|:|\b(?:wall|face|facing|front|mur)\b", text, re.I))

    def special_block(self, kind: str, index: int, line: str) -> bool:
        """A tag or ending: a block of its own if steps follow, else a note."""
        if not self.started:
            self.note(kind, index, line)
            self.document.header.append((index + 1, line))
            return True
        follow = self.next_content(index)
        text = line.strip()
        tail = self.steps_of_note(text)
        counted_tail = self.counted_tail(text)
        steps_behind = self.is_steps(tail, 1) and not re.search(r"\b(?:walls?|murs?)\b", tail, re.I)
        follows = follow is not None and self.labels[follow] is not None and not self.labels[follow].bracketed  # type: ignore[union-attr]
        follows = follows and _plausible(self.document.lines[follow], self.labels[follow])  # type: ignore[arg-type, index]
        if kind == "ending" and not (follows or steps_behind) and not re.search(r"[:\-–\d]", text):
            self.note("comment", index, line)
            return True
        if re.search(r"\b(?:here|ici)\b", text, re.I) and not re.search(r"[:]\s*\S", text):
            follows = steps_behind = False
        elif not follows and not steps_behind:
            follows = self.steps_soon(index)
        self.note(kind, index, line)
        if counted_tail is not None:
            steps_behind, follows = True, False
        if follows or steps_behind:
            outer, outer_section = self.block, self.section
            number = sum(b.kind == kind for b in self.document.blocks) + 1
            name = re.match(r"\W*(?:tag|bridge|pont|transition)\s*(?:n[°o]\s*)?(\d|[A-D]\b)?", text, re.I)
            own = (name[1] or "") if name else ""
            self.started = True
            block = self.new_block(kind, f"{kind}{own or number}" if kind == "tag" else kind, line, index + 1)
            self.document.notes[-1].block = len(self.document.blocks) - 1
            self.document.notes[-1].marker = self.document.notes[-1].marker or ""
            if not follows:
                self.open_section("", "", index, None)
                assert self.section is not None
                if counted_tail is not None:
                    label, tail = counted_tail
                    self.section.lines.append(Counted(index + 1, line.rfind(tail) + 1, label, tail))
                else:
                    offset = line.rfind(tail) if tail else 0
                    self.section.lines.append(Counted(index + 1, offset + 1, None, tail))
                if kind == "tag" and outer is not None and not self.body_done(index):
                    self.block, self.section = outer, outer_section
            del block
        return True

    def steps_of_note(self, text: str) -> str:
        """The steps that a tag's own line tells: "BRIDGE: on wall 3: sway R, L, R, L, then carry on"."""
        body = re.split(r"[,;.]?\s*\b(?:then|puis|and then|et)\s+(?:carry|continue|restart|start|begin|repren|recommenc|go on|on repart)", text, flags=re.I)[0]
        pieces = re.split(r"(?<=[:)\]])\s", body)
        for piece in reversed(pieces):
            if self.is_steps(piece, 1):
                return piece
        return re.split(r"[:)\]]", text)[-1]

    def counted_tail(self, text: str) -> tuple[Label, str] | None:
        """ "TAG  1-4  Sway R, L, R, L": counts on the same line."""
        match = re.match(r"^\W*\w+(?:\s?\d)?\W{0,3}\s+(?=[\d\[(])", text)
        if not match:
            return None
        rest = text[match.end() :]
        label = read_label(rest)
        if label is None or len(label.ticks) < 2 or not self.is_steps(rest[label.end :]):
            return None
        return label, rest[label.end :]

    def steps_soon(self, index: int) -> bool:
        """True if counted lines follow after one line of text (facts of the tag)."""
        follow = self.next_content(index)
        if follow is None or self.labels[follow] is not None:
            return False
        second = self.next_content(follow)
        return (
            second is not None
            and second - index <= 3
            and self.labels[second] is not None
            and self.labels[second].first == 1  # type: ignore[union-attr]
            and not _MARKED.match(self.document.lines[follow])
            and not self.labels[second].bracketed  # type: ignore[union-attr]
        )

    def body_done(self, index: int) -> bool:
        """True if no more main sections follow."""
        for j in range(index + 1, len(self.document.lines)):
            label = self.labels[j]
            if label is not None and (label.bracketed or label.first > 8):
                return False
            if _MARKED.match(self.document.lines[j]):
                return False
        return True

    def is_part_heading(self, text: str) -> bool:
        """True for "Part A" when letters are parts."""
        return self.document.letters_are_parts and bool(_PART.match(text)) and not _SEQUENCE.match(text)

    def is_heading_label(self, index: int, line: str, label: Label) -> bool:
        """True if a label such as [1-8] or 9-16 heads a section instead of counting a line."""
        length = label.last - label.first + 1
        pair = len(label.ticks) == 2 and length in (6, 8, 12, 16) and not label.is_range
        if _REPEATS.match(line[label.end :]):
            return False
        if not (label.is_range and length >= 6 or pair or label.bracketed and label.is_range and length >= 4):
            return False
        follow = self.next_content(index)
        while label.bracketed and follow is not None and self.labels[follow] is None and follow - index < 3:
            if _MARKED.match(self.document.lines[follow]) or _TAG.match(self.document.lines[follow]):
                break
            follow = self.next_content(follow)
        if follow is None or self.labels[follow] is None:
            return label.bracketed and not _starts_with_steps(line[label.end :])
        after = self.labels[follow]
        assert after is not None
        if label.bracketed and not after.bracketed and len(after.ticks) < len(label.ticks):
            return after.first <= label.last
        inside = after.first in (1, label.first) and after.last <= max(label.last, length)
        if label.bracketed and not after.bracketed and inside:
            return True
        return inside and (len(after.ticks) < len(label.ticks) or after.last < label.last or not after.is_range)

    def number_opens_heading(self, index: int, label: Label) -> bool:
        """ "3 WALKS FORWARD": a heading that begins with a number, right above a line that carries on."""
        if not label.one_number or label.bracketed or label.written in "&a":
            return False
        follow = self.next_content(index)
        after = self.labels[follow] if follow is not None else None
        if after is None or follow != index + 1 or after.first == label.first + 1 or after.ticks[0] < 1:
            return False
        if label.first == 1 and after.first == 1:
            return True
        lines = self.section.lines if self.section else []
        last = max((line.label.last for line in lines if line.label), default=0)
        expected = {1, last + 1}
        return label.first not in expected and after.first in expected

    def heading_from_label(self, index: int, line: str, label: Label) -> None:
        """Begin a section headed by its counts."""
        self.leave_tag(label)
        self.open_section(f"{label.first}-{label.last}", line[label.end :].strip(), index, (label.first, label.last))

    def leave_tag(self, label: Label | None) -> None:
        """A main section after a tag's steps returns to the dance."""
        if self.block is not None and self.block.kind in ("tag", "ending", "bridge"):
            mains = [b for b in self.document.blocks if b.kind in ("main", "part")]
            longer = label is None or label.first > 1 or not mains
            if longer and (mains or label is None or label.first > 1 or not self.block.has_lines):
                pass
            if mains and (label is None or label.first > 8):
                self.block = mains[-1]
                self.section = None
            elif not mains:
                self.new_block("main", "", "", 0)

    def marked_heading(self, index: int, line: str) -> bool:
        """Headings such as "Section 1", "S1:", "II.", "Part A", "TAG"."""
        text = line.strip()
        part = _PART.match(text)
        if part and self.document.letters_are_parts:
            letter = (part["a"] or part["b"] or part["c"] or part["w"] or "").upper()
            sub = part["an"] or part["bn"] or part["cn"] or ""
            if part["w"]:
                letter = part["w"].capitalize()
            current = self.block.label if self.block and self.block.kind == "part" else None
            rest = text[part.end() :].strip(" :=-–—.()")
            span = re.search(r"\[?\(?(\d{1,2})\s?[-–]\s?(\d{1,2})\)?\]?", rest)
            if current != letter:
                self.started = True
                self.new_block("part", letter, line, index + 1)
            if sub or span or self.is_steps(rest):
                bounds = (int(span[1]), int(span[2])) if span and int(span[2]) > int(span[1]) else None
                self.open_section(letter + sub if sub else (f"{bounds[0]}-{bounds[1]}" if bounds else letter), rest, index, bounds)
            return True
        marked = _MARKED.match(text)
        if marked and marked["letter"] and (self.document.letters_are_parts or not text[0].isupper()):
            return False
        if not marked or (marked["roman"] and not text[: marked.end()].isupper()):
            return False
        if marked["word"] and marked["word"].lower() == "s" and not marked["num"]:
            return False
        if self.labels[index] is not None and marked["paren"] and self.per_line_numbers():
            return False
        follow = self.next_content(index)
        rest = text[marked.end() :].lstrip(" :·•|")
        if not self.started and not (self.is_steps(rest) or follow is not None and self.labels[follow] is not None):
            return False
        name = _section_name(marked)
        span = re.search(r"[\[(]?\b(\d{1,2})\s?(?:[-–]|to|à)\s?(\d{1,2})\b[\])]?", rest)
        bounds = (int(span[1]), int(span[2])) if span and int(span[2]) - int(span[1]) in (3, 5, 7, 11, 15) else None
        self.leave_tag(None)
        self.open_section(name, rest.strip(" :.-–—)·•|"), index, bounds)
        return True

    def per_line_numbers(self) -> bool:
        """True if the sheet numbers each line "1)" "2)"."""
        return sum(bool(re.match(r"\s*\d{1,2}\)", line)) for line in self.document.lines) > 8

    def accepts_label(self, index: int, line: str, label: Label) -> bool:
        """True if a label at the start of a line counts steps."""
        rest = line[label.end :]
        if not _plausible(line, label):
            return False
        if not self.started:
            if _FACT.search(rest) and not self.is_steps(rest, 2):
                return False
            return self.is_steps(rest) and label.first <= 1
        if not rest.strip():
            return self.next_content(index) is not None
        dance, odd = _dance_words(rest, self.lexicon.language, True)
        return dance >= odd or bool(_REPEATS.match(rest))

    def counted(self, index: int, line: str, label: Label) -> None:
        """Keep a counted line."""
        block = self.body(index)
        if self.section is None or self.section_is_over(label):
            if block.kind == "main" and self.section is None and block.sections and label.first > 1:
                self.section = block.sections[-1]
            else:
                self.open_section("", "", index, None)
        assert self.section is not None
        body = self.bodies.get(index, line[label.end :])
        lines = self.section.lines
        last = max((held.label.last for held in lines if held.label), default=0)
        label = split_pair(label, last + 1)
        for piece, offset, text in _groups(label, body):
            counted = Counted(index + 1, (0 if index in self.bodies else label.end) + offset + 1, piece, text)
            lines.append(counted)
        counted = lines[-1]
        marker = _MARKER.search(line)
        counted.marker = marker.group() if marker else ""
        self.last_counted = counted
        if _RESTART.search(line):
            self.note("restart", index, line)

    def section_is_over(self, label: Label) -> bool:
        """Counting from 1 again, or over eight with a heading-less sheet, begins a new section."""
        assert self.section is not None
        if not self.section.lines or self.section.lines[-1].label is None:
            return False
        last = self.section.lines[-1].label.last
        if label.first == 1 and last >= 4 and not (label.one_number and label.written in "&a"):
            return True
        return False

    def opens_body(self, index: int, line: str) -> bool:
        """True if a header line is the first heading: dance words, and a counted line right below."""
        follow = self.next_content(index)
        if follow is None or not self.is_steps(line):
            if not self.has_labels and self.is_steps(line, 2) and not _FACT.search(line):
                return self.is_steps(line, 3)
            return self.caps_heading(index, line, follow)
        label = self.labels[follow]
        if _MARKED.match(self.document.lines[follow].strip()):
            return False
        if _FACT.search(line) or _WALL_FACT.search(line) or _COUNT_FACT.search(line):
            return False
        if label is None:
            return not self.has_labels and len(tokenise(line, self.lexicon)) >= 3
        return label.first <= 1 and follow - index <= 2 and _plausible(self.document.lines[follow], label)

    def caps_heading(self, index: int, line: str, follow: int | None) -> bool:
        """A short line that stands right above the first counted line, and not the title."""
        if follow is None or self.labels[follow] is None or follow - index > 1 or not self.document.header:
            return False
        if _FACT.search(line) or _WALL_FACT.search(line) or _COUNT_FACT.search(line) or ":" in line:
            return False
        label = self.labels[follow]
        assert label is not None
        above = index > 0 and not self.document.lines[index - 1].strip()
        return label.first == 1 and (above or line.strip().isupper()) and _plausible(self.document.lines[follow], label)

    def unlabelled(self, index: int, line: str) -> None:
        """A line of the body without counts: heading, continuation, steps without counts, or comment."""
        text = line.strip()
        follow = self.next_content(index)
        next_label = self.labels[follow] if follow is not None else None
        if self.continues(index, line):
            self.join(index, line)
            return
        if self.extends_note(index, line):
            return
        if _FACT.search(text) and not self.is_steps(text, 2):
            self.note("comment", index, line)
            return
        heads = next_label is not None and follow is not None and self.is_heading_label(follow, self.document.lines[follow], next_label)
        if next_label is not None and not heads and follow is not None and follow - index <= 2 and self.begins(next_label):
            if self.is_steps(text) or text.isupper() or len(text.split()) <= 6:
                self.leave_tag(next_label)
                self.open_section("", text, index, None)
                return
        if not self.has_labels and self.is_steps(text, 2):
            self.body(index)
            if self.section is None:
                self.open_section("", "", index, None)
            assert self.section is not None
            column = len(line) - len(line.lstrip()) + 1
            counted = Counted(index + 1, column, None, text)
            self.section.lines.append(counted)
            self.last_counted = counted
            return
        if not self.has_labels and self.is_steps(text, 1) and text.isupper():
            self.open_section("", text, index, None)
            return
        self.note("comment", index, line)

    def extends_note(self, index: int, line: str) -> bool:
        """A line right under a note about walls that the note's sentence runs on into."""
        if not self.document.notes:
            return False
        last = self.document.notes[-1]
        if last.number + last.text.count("\n") != index or last.kind not in ("restart", "tag", "ending"):
            return False
        above = self.document.lines[index - 1].rstrip()
        if above.endswith((".", "!", ":")) and not line.strip()[:1].islower():
            return False
        last.text += "\n" + line
        return True

    def ends_comment(self, index: int, line: str) -> bool:
        """A sentence about a restart that began on the line above."""
        last = self.document.notes[-1] if self.document.notes else None
        if last is None or last.kind != "comment" or last.number != index or not line.strip()[:1].islower():
            return False
        last.kind = "restart"
        last.text += "\n" + line
        return True

    def begins(self, label: Label) -> bool:
        """True if a label begins a section: 1, or the count after the last section."""
        if self.section is None or not self.section.lines:
            return True
        last = self.section.lines[-1].label
        return last is None or label.first in (1, last.last + 1) or label.first > last.last

    def continues(self, index: int, line: str) -> bool:
        """True if the line carries on the counted line above it."""
        last = self.last_counted
        if last is None or last.label is None or index == 0 or not self.document.lines[index - 1].strip():
            return False
        if self.labels[index] is not None:
            return False
        text = line.strip()
        above = self.document.lines[index - 1].rstrip()
        dangling = above.endswith((",", "&", "-", "+", "/")) or fold(above.split()[-1]) in (
            "and", "et", "to", "the", "on", "a", "le", "la", "du", "with", "en", "sur", "beside", "over",
        )  # fmt: skip
        indent = len(line) - len(line.lstrip())
        lower = text[:1].islower() or text[:1] in "(&+,"
        if dangling or text[:1] in "(&+,":
            return True
        if not lower or text.startswith(("or ", "ou ")):
            return False
        return indent >= 2 or fold(text.split()[0].strip(",.")) in _RUNNING_ON

    def join(self, index: int, line: str) -> None:
        """Append a continuation to the counted line above."""
        last = self.last_counted
        assert last is not None
        indent = len(line) - len(line.lstrip())
        last.joins.append((len(last.text) + 1, index + 1, indent + 1))
        last.text = last.text + " " + line.strip()


@lru_cache(maxsize=16384)
def _dance_words(text: str, language: str, sides: bool = False) -> tuple[int, int]:
    """Return how many words of a text belong to dancing, and how many nobody knows."""
    tokens = tokenise(text, lexicon_of(language))
    dance = sum(t.kind in ("move", "figure", "place", "turning", "foot", "feet", "repeat") for t in tokens)
    dance += sum(t.kind in ("side", "amount") for t in tokens) if sides else 0
    return dance, sum(t.kind == "unknown" for t in tokens)


_BORDER = re.compile(r"(?:[;|]|\s/\s|\s{2,}|\.\s|,\s)\s*(?=&?\d)")


def _groups(label: Label, body: str) -> list[tuple[Label, int, str]]:
    """Cut "1-2 walk R, L; 3&4 shuffle" at the counts that carry on within the line."""
    pieces: list[tuple[Label, int, str]] = []
    start, held = 0, label
    for match in _BORDER.finditer(body):
        inner = read_label(body[match.end() :])
        if inner is None or inner.first != held.last + 1 or match.end() <= start:
            continue
        rest = body[match.end() + inner.end :]
        strong = match.group().strip()[:1] in tuple(";|/") or len(inner.ticks) > 1
        if not strong or not re.match(r"\s*[A-Za-zÀ-ÿ¼½¾(]|\s*1/", rest):
            continue
        pieces.append((held, start, body[start : match.start()]))
        held, start = inner, match.end() + inner.end
    pieces.append((held, start, body[start:]))
    return pieces


def _plausible(line: str, label: Label) -> bool:
    """Counts of a line go forward and are not too many."""
    ticks = label.ticks
    rising = all(b >= a for a, b in zip(ticks, ticks[1:], strict=False))
    return rising and label.last - label.first <= 16 or label.is_range


def _starts_with_steps(rest: str) -> bool:
    """True if text behind a label reads like a step, whatever notes follow it."""
    words = fold(rest).split()[:3]
    return bool(words) and any(
        w.strip(",.:;()") in _STEP_STARTS for w in words[:2]
    )


_ORDINALS = (
    "first second third fourth fifth sixth seventh eighth premier deuxieme troisieme quatrieme".split()
)
_RUNNING_ON = frozenset(
    "and then with while making turning stepping taking ending facing weight to as et puis en avec face pour finir "
    "poids pdc tout over for onto".split()
)
_STEP_STARTS = frozenset(
    "step rock walk cross touch side kick stomp heel toe shuffle coaster sailor jazz vine pivot turn point hold "
    "forward back behind sway poser croiser avancer reculer pas rock pointer talon assembler marcher pivoter "
    "stomp scuff pd pg pied tour triple chasse right left r l rf lf".split()
)


def _section_name(marked: re.Match[str]) -> str:
    if marked["roman"]:
        return marked["roman"].upper()
    if marked["ordinal"]:
        return str(_ORDINALS.index(fold(marked["ordinal"])) % 8 + 1)
    for kind in ("paren", "ranged", "eight", "letter", "hash", "part"):
        if marked[kind]:
            return marked[kind]
    number = marked["num"].upper()
    if marked["word"].lower() == "s":
        return "S" + number
    return number


def whole(value: Fraction) -> int:
    """Return the whole count that a moment belongs to."""
    return int(value // 1)
