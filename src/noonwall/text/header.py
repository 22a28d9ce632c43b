"""Read the facts of a header: title, choreographer, counts, walls, level, music, tempo, intro, lead foot."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from noonwall.text.lexicon import fold

_NUMBERS = {
    "one": 1, "two": 2, "three": 3, "four": 4, "eight": 8, "un": 1, "deux": 2, "trois": 3, "quatre": 4, "huit": 8,
    "sixteen": 16, "seize": 16, "thirty two": 32, "trente deux": 32,
}  # fmt: skip
_GRADES = (
    "beginner|improver|intermediate|advanced|newcomer|novice|debutante?|intermediaire|avance|confirme|expert"
)
_QUALIFIERS = "absolute|ultra|easy|high|higher|low|lower|upper|true|early|basic|grande?s?|vraie?s?|tres|facile|advanced|debut"
_LEVEL_RE = re.compile(
    rf"(?<![a-z])(?:(?:{_QUALIFIERS})[\s-])*(?:{_GRADES})s?"
    rf"(?:\s?(?:/|-|a|to)\s?(?:(?:{_QUALIFIERS})\s)?(?:{_GRADES})s?|\s?\+|\s(?:plus|facile|avance|absolu)(?![a-z]))?(?![a-z])(?!s?['’]?\s?(?:class|cours))"
)
_SHORT_LEVEL = re.compile(r"(?<![a-z])(int|inter|beg|adv|imp)\.(?![a-z])")
_LONG_LEVELS = {
    "int": "intermediate",
    "inter": "intermediate",
    "beg": "beginner",
    "adv": "advanced",
    "imp": "improver",
}
_LEVEL_LABEL = re.compile(r"(?:level|niveau|difficulte|difficulty)\s*[:=\-–]?\s*([^|,;\n]{2,40})")
_COUNTS = [
    re.compile(
        r"(?:^|[|,;•·]\s*)(?:counts?|comptes?|temps)\s*[-–]\s*(\d{1,3})(?=\s*(?:$|[|,;•·]|[-–]\s*(?:walls?|murs?|level|niveau)))"
    ),
    re.compile(r"(?:counts?|comptes?|temps|cts|cpts?)\s*[:=]\s*(\d{1,3})(?!\d|\s*[-–&/:.,]\s*\d)"),
    re.compile(r"(?<![\d/])(\d{2,3})\s*[-–]?\s*(?:counts?|comptes?|temps|cts?|cpts?|beats?|c(?=\W))"),
]
_ONE_DIGIT_COUNT = re.compile(
    r"(?<![\d/.:x×])([468])\s*[-–]?\s*(?:counts?|comptes?|temps|cts?|cpts?|c(?=\W))"
)
"""A dance of one digit of counts; "wait 8 counts" is more usual, so only walls beside it make it the total."""
_WALLS = [
    re.compile(r"(?:^|[|,;•·]\s*|\s[-–]\s)(?:walls?|murs?)\s*[-–]\s*(\d)(?=\s*(?:$|[|,;•·]|[-–]))"),
    re.compile(r"(?:walls?|murs?)\s*[:=]\s*(\d|one|two|four|un|deux|quatre)"),
    re.compile(
        r"(?<![\d.:])(\d|one|two|four|eight|single|un|deux|quatre)\s*[-–]?\s*(?:walls?|murs?|w(?=\W|$))"
    ),
]
_BPM = [
    re.compile(r"(\d{2,3})(?:[.,]\d)?\s*(?:bpm|b\.p\.m|batt|beats per minute)"),
    re.compile(r"(?:bpm|tempo)\s*[:=\-–]?\s*(\d{2,3})"),
]
_INTRO = re.compile(
    r"(?:intro[a-z]*|lead[- ]?in|start\w*|wait|attend\w*|depart|begin(?:s|ning)?\b|demarr\w*|commenc\w*|debute\b|debut\b|count[- ]?in)\b[^\n]{0,40}?(?<![\dx×])(\d{1,2})(?P<eights>\s*[x×]\s*8)?\s*(?:counts?|beats?|comptes?|temps|cts?|cpts?|c\b)"
)
_INTRO_AFTER = re.compile(
    r"(?<!\d)(\d{1,2})(?P<eights>\s*[x×]\s*8)?\s*(?:counts?|beats?|comptes?|temps|cts?|-)?\s*(?:intro|d.intro|lead|in\b(?! \w+ \w)|avant (?:de )?(?:demarr|commenc|debut)|before (?:start|you start|begin))"
)
_INTRO_PLAIN = re.compile(
    r"(?:start\w*|depart|begin(?:s|ning)?|(?<!\w)in)(?:\s+(?:on|with|du|sur)\s[a-z ]{3,24})?\s+(?:after|apres|on|at|a)\s+(\d{1,2})(?![\d:'])(?!\.\d)"
)
_INTRO_BARE = re.compile(
    r"(?:intro[a-z]*|lead[- ]?in|count[- ]?in|wait)\s*[:=\-–]?\s*(\d{1,2})(?P<eights>\s*[x×]\s*8\b)?(?!\.\d)(?![\d:'s]|\s*(?:s\b|sec|min))"
)
_CHOREO = re.compile(
    r"(?:choreographed\s*by|choreography(?:\s*by)?|choreographe?rs?|choreo\b\.?(?:\s*by)?|choregraphie(?:\s*(?:de|par))?|choregraphee?\s*par|choregraphes?|chore?g?\b\.?|devised by|made up by|put together by|written by|danced? by|auteure?s?|ecrite? par)\s*(?:[:\-–]|by\b|par\b|de\b)?\s*(.+)"
)
_BY = re.compile(r"^\s*(?:by|par)\s+(.+)")
_MUSIC = re.compile(
    r"^\W*(?:(?:suggested|recommended|practice|teaching)\s)?(?:music|musique|track|song|chanson|tune)\b[^:\-–]{0,24}[:\-–]\s*(.+)"
)
_DATE = re.compile(
    r"\b((?:jan|feb|fev|mar|apr(?!es)|avr|may|mai|jun|juin|jul|juil|aug|aout|sep|oct|nov|dec)[a-z]*\.?\s*(?:19|20)?\d{2}|(?:19|20)\d{2}|\d{1,2}/(?:19|20)?\d{2})\b"
)
_LEFT_START = re.compile(
    r"(?:weight (?:is |starts? )?on (?:the )?r(?:ight|f)?\b(?! side)|\bwor\b|start(?:s|ing)? (?:on|with) (?:the )?l(?:eft|f)\b|poids (?:du corps )?sur (?:le )?(?:pied droit|pd)|pdc (?:sur )?pd|appui (?:sur )?(?:pd|pied droit)|depart (?:du |sur )?(?:le )?(?:pied gauche|pg)|lead(?:s|ing)? (?:foot )?(?:left|l)\b|left (?:foot )?lead|left foot start|commence(?:r)? (?:du |par (?:le )?)(?:pied gauche|pg)|weight starts right)"
)
_RIGHT_START = re.compile(
    r"(?:weight (?:is |starts? )?on (?:the )?l(?:eft|f)?\b(?! side)|\bwol\b|start(?:s|ing)? (?:on|with) (?:the )?r(?:ight|f)\b|poids (?:du corps )?sur (?:le )?(?:pied gauche|pg)|pdc (?:sur )?pg|appui (?:sur )?(?:pg|pied gauche)|depart (?:du |sur )?(?:le )?(?:pied droit|pd)|right (?:foot )?lead|right foot start|commence(?:r)? (?:du |par (?:le )?)(?:pied droit|pd))"
)
_TITLE = re.compile(
    r"^\s*(?:title|titre|(?:dance )?name|name of (?:the )?dance|nom(?: de la danse)?)(?:\s*[:=]|\s[-–])\s*(.+)",
    re.I,
)
_WALTZ = re.compile(r"\bwaltz|\bvalse|\b3/4\b|\b6/8\b")
_NOT_TITLE = re.compile(
    r"\b(?:choreo|choreg|music|musique|level|niveau|walls?\b|murs?\b|counts?\b|comptes?\b|bpm|intro|http|www|@|tags?\b|restarts?\b|step ?sheet|fiche|line dance description)"
)


@dataclass(slots=True)
class Header:
    """Facts of a header; None or "" where it says nothing. ``lines`` gives the line each fact is on."""

    title: str = ""
    choreographer: str = ""
    date: str = ""
    level: str = ""
    counts: int | None = None
    walls: int | None = None
    music: str = ""
    bpm: float | None = None
    intro: int | None = None
    start_free: str = ""
    is_waltz: bool = False
    lines: dict[str, int] = field(default_factory=dict)


def read_header(lines: list[tuple[int, str]], notes: list[tuple[int, str]]) -> Header:
    """Return the facts of header lines; ``notes`` are lines of the body that may hold one too."""
    header = Header()
    lines = [(number, re.sub(r"(?<=\S)[ ]{2}(?=\S)", " ", line)) for number, line in lines]
    for number, line in lines:
        _facts(header, number, line)
    for number, line in notes:
        if re.search(r"music|musique|bpm|intro|wait|chor", fold(line)):
            _facts(header, number, line, only=("music", "bpm", "intro", "choreographer"))
    header.title = _title(lines, header)
    return header


def _put(header: Header, name: str, value: object, number: int, only: tuple[str, ...]) -> None:
    if (only and name not in only) or getattr(header, name) not in (None, ""):
        return
    setattr(header, name, value)
    header.lines[name] = number


def _number(text: str) -> int:
    return 1 if text == "single" else _NUMBERS[text] if text in _NUMBERS else int(text)


def _facts(header: Header, number: int, line: str, only: tuple[str, ...] = ()) -> None:
    folded = fold(line)
    # folding can only shorten a line by combining marks; places inside it are not needed here
    intro = (
        _INTRO.search(folded)
        or _INTRO_AFTER.search(folded)
        or _INTRO_BARE.search(folded)
        or _INTRO_PLAIN.search(folded)
    )
    if intro:
        eights = 8 if "eights" in intro.re.groupindex and intro["eights"] else 1
        _put(header, "intro", int(intro[1]) * eights, number, only)
    for pattern in _BPM:
        if match := pattern.search(folded):
            _put(header, "bpm", float(match[1]), number, only)
    without_intro = (
        folded[: intro.start()] + " " * (intro.end() - intro.start()) + folded[intro.end() :]
        if intro
        else folded
    )
    told = re.search(
        r"\b(?:tag|bridge|pont|restart|sequence|after|apres|wait|start|attendre)\b", without_intro
    )
    if not told or not re.match(r"\W*(?:tag|restart|sequence|\*)", without_intro):
        has_walls = any(pattern.search(without_intro) for pattern in _WALLS)
        for pattern in (*_COUNTS, _ONE_DIGIT_COUNT) if has_walls else _COUNTS:
            match = pattern.search(without_intro)
            if (
                match
                and not _of_tag(without_intro, match.start())
                and not re.search(r"\b[a-h]\s*[=:]\s*$", without_intro[: match.start()])
            ):
                _put(header, "counts", int(match[1]), number, only)
        for pattern in _WALLS:
            if (match := pattern.search(without_intro)) and not _of_tag(without_intro, match.start()):
                value = _number(match[1])
                if value in (1, 2, 4, 8):
                    _put(header, "walls", value, number, only)
    _level(header, number, line, folded, only)
    choreo = _CHOREO.search(folded) or _BY.match(folded)
    if choreo:
        _put(header, "choreographer", _name(line[choreo.start(1) : choreo.end(1)]), number, only)
    if music := _MUSIC.match(folded):
        _put(header, "music", line[music.start(1) : music.end(1)].strip(), number, only)
    if (date := _DATE.search(folded)) and not music:
        _put(header, "date", line[date.start(1) : date.end(1)].strip(), number, only)
    if _LEFT_START.search(folded):
        _put(header, "start_free", "L", number, only)
    elif _RIGHT_START.search(folded):
        _put(header, "start_free", "R", number, only)
    if not only and _WALTZ.search(folded):
        header.is_waltz = True


def _of_tag(text: str, at: int) -> bool:
    return bool(re.search(r"\b(?:tag|bridge|pont|restart|after|apres)\b[^.;|/—–]{0,14}$", text[:at]))


def _level(header: Header, number: int, line: str, folded: str, only: tuple[str, ...]) -> None:
    labelled = _LEVEL_LABEL.search(folded)
    where = folded[labelled.start(1) : labelled.end(1)] if labelled else folded
    offset = labelled.start(1) if labelled else 0
    match = _LEVEL_RE.search(where)
    if match:
        raw = line[offset + match.start() : offset + match.end()] if len(line) == len(folded) else match[0]
        one = (
            re.sub(r"(?<=[a-zé])s(?=$|\s|/)", "", raw.lower())
            if not raw.lower().endswith("plus")
            else raw.lower()
        )
        _put(header, "level", one.replace(" +", "+").strip(), number, only)
    elif labelled:
        raw = line[labelled.start(1) : labelled.end(1)] if len(line) == len(folded) else labelled[1]
        words = re.split(r"\s{2,}|\t|\.|–|\(|-\s", raw.strip())[0]
        if words:
            _put(header, "level", words.lower().strip(), number, only)
    elif (short := _SHORT_LEVEL.search(folded)) and any(pattern.search(folded) for pattern in _COUNTS):
        _put(header, "level", _LONG_LEVELS[short[1]], number, only)


def _title(lines: list[tuple[int, str]], header: Header) -> str:
    """The first line that is no fact; a line "Title: ..." before any other."""
    for number, line in lines:
        if match := _TITLE.match(line):
            header.lines["title"] = number
            return _titled(re.split(r"\s{3,}|\t", match[1].strip())[0])
    for rank, (number, line) in enumerate(lines):
        text = re.sub(r"^[^\w(«\"“]+|[^\w)!?.»\"”'’]+$", "", line.strip())
        if not re.search(r"\w", text):
            continue
        plain = rank == 0 and not re.search(r"[:=\d]|\b(?:by|par)\b", fold(text))
        if (
            not plain
            and (_BY.match(fold(text)) or _NOT_TITLE.search(fold(text)))
            and not _leads_with_title(text)
        ):
            continue
        header.lines["title"] = number
        text = re.split(r"\s{3,}|\t|\s[|]\s|\s[—–-]\s(?=\d)", text)[0]
        text = _without_facts(text)
        by = re.search(
            r"\s[-–(]?\s*(?:by|par|chor\w*\.?\s*:?)\s+(?=[A-ZÀ-Ý])|\s\((?:de|d['’])\s?(?=[A-ZÀ-Ý])", text
        )
        if by and by.start() > 3:
            if not header.choreographer:
                header.choreographer = _name(text[by.end() :].rstrip(")"))
                header.lines["choreographer"] = number
            text = text[: by.start()]
        return _titled(text.strip(' -–,("“”«»'))
    return ""


_FACT_BEHIND = re.compile(
    r"\s*(?:\s[-–—/]\s|[|•·,(]|\s{2,})\s*(?=(?:counts?|comptes?|walls?|murs?|level|niveau|music|musique|chor[eé]\w*)\b"
    r"|\d{1,3}\s?-?\s?(?:counts?|comptes?|temps|cts?|c|walls?|murs?|w)\b"
    r"|(?:(?:absolute|ultra|easy|high|low|basic|grand)\s)?(?:beginner|improver|intermediate|d[eé]butante?|novice|interm[eé]diaire)\b)",
    re.I,
)


def _without_facts(text: str) -> str:
    """ "PEBBLE BEACH - Count: 16 - Wall: 4": the title ends where the facts begin."""
    facts = _FACT_BEHIND.search(text)
    text = text[: facts.start()] if facts and facts.start() > 1 else text
    # "(polka)", "(the warm-up one)": titles begin their words large, so a remark in small letters is none of it
    return re.sub(r"(?<=\S)\s*\((?!de\s|d['’]|by\s|par\s)[a-zà-ÿ][^()]*\)\s*$", "", text)


def _leads_with_title(text: str) -> bool:
    """ "COWBOY BOOGIE - 24 count hall version": the title comes first on a line of facts."""
    head = re.split(r"\s[-–—|(]\s?|\s{2,}|\(", text)[0]
    return bool(head) and head.isupper() and not _NOT_TITLE.search(fold(head))


_SMALL_WORDS = frozenset(
    "du de des la le les et a au aux en sur un une pour dans of the and an on in at to for by with or".split()
)


def _titled(text: str) -> str:
    """A title in capitals is written as a title, small words small; a mixed one is kept."""
    letters = [c for c in re.sub(r"\([^)]*\)", "", text) if c.isalpha()]
    if not letters or not all(c.isupper() for c in letters):
        return text
    words = text.lower().split(" ")
    return " ".join(
        word
        if 0 < rank < len(words) - 1 and fold(word) in _SMALL_WORDS
        else _after_mark(word[:1].upper() + word[1:], rank == 0)
        for rank, word in enumerate(words)
    )


def _name(text: str) -> str:
    """A choreographer's name without the facts that follow it on the line."""
    cut = re.split(
        r"\s{2,}|\s//?\s|\s\|\s|(?<=\w\w)[.;]\s|\s[-–—]\s(?=[Mm]us|\d)|\b(?:[Mm]usic|[Mm]usique|[Ll]evel|[Nn]iveau)\b",
        text.strip(" :-–"),
    )[0]
    return re.sub(r"[\s,(–-]+$", "", cut)


def _after_mark(word: str, is_first: bool) -> str:
    """Raise the letter after a quotation mark, a bracket or an elided article ("L'Été", "d'Été")."""
    raised = re.sub(r"(^[\"“«(]|-)(\w)", lambda m: m[1] + m[2].upper(), word)
    elided = re.match(r"([ldjLDJ]['’])(\w)(.*)", raised)
    if elided:
        head = elided[1] if is_first else elided[1].lower()
        return head + elided[2].upper() + elided[3]
    return raised
