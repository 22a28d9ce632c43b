"""Read what notes say of walls: restarts, tags, endings and the order of parts."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from noonwall.text.lexicon import fold
from noonwall.text.tokens import clock_of

_ORDINALS = {
    "first": 1, "second": 2, "third": 3, "fourth": 4, "fifth": 5, "sixth": 6, "seventh": 7, "eighth": 8, "ninth": 9,
    "tenth": 10, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10,
    "premier": 1, "premiere": 1, "deuxieme": 2, "second ": 2, "troisieme": 3, "quatrieme": 4, "cinquieme": 5, "sixieme": 6,
    "septieme": 7, "huitieme": 8, "neuvieme": 9, "dixieme": 10,
}  # fmt: skip
_NUM = r"(?:\d{1,2}(?:st|nd|rd|th|eme|er|ere|e)?|" + "|".join(sorted(_ORDINALS, key=len, reverse=True)) + r")"
_LIST = rf"{_NUM}(?:\s*(?:,|&|\+|/|and|et|ainsi que|puis|then)\s*(?:(?:the|du|le|la|a la|de la|de|on|during|wall|mur|after|apres)\s+)*{_NUM})*"
_NTH = r"(?:\d{1,2}(?:st|nd|rd|th|eme|er|ere|e)|first|second|third|fourth|fifth|sixth|seventh|eighth|ninth|tenth|premiere?|deuxieme|troisieme|quatrieme|cinquieme|sixieme|septieme|huitieme|neuvieme|dixieme)"
_ORDINAL_LIST = rf"(?:{_NUM}\s*(?:,|&|\+|and|et)\s*(?:(?:the|la|le|de|de la)\s+)*)*{_NTH}"
_WORD = r"(?:walls?|murs?|times? through|times? around|time|rotations?|repetitions?|repeats?|rounds?|sequences?|fois|routine|passage)"
_WALLS = [
    re.compile(rf"\b{_WORD}\s*(?:n[°o]\s*|#\s*|:\s*)?({_LIST})"),
    re.compile(rf"(?:(?<=after )|(?<=apres ))({_LIST})\s*{_WORD}\b"),
    re.compile(rf"\b({_ORDINAL_LIST})\s*{_WORD}\b"),
]
_COUNT_AFTER = [
    re.compile(
        r"\b(?:dance|danser?|dancing|faire|do)\s*(?:the\s|les\s)?(?:first\s|premiers\s)?(?:counts?|comptes?|temps)\s*1\s?(?:[-–]|to|a)\s?(\d{1,3})"
    ),
    re.compile(
        r"\b(?:after|apres|au bout de|following|up to(?: and including)?|jusqu.au|through|dance|danser?|danced|fin du|suite au)\s*(?:only\s|just\s|le\s|les\s|the\s|l.\s|a\s|au\s)?(?:first\s|premiers?\s)?(?:counts?|comptes?|temps|beats?|cts?)\s*(\d{1,3})"
    ),
    re.compile(
        r"\b(?:after|apres|au bout de|dance|dancing|danced|danser?|faire|fait|only|first|premiers?|do)\s*(?:only\s|just\s|the\s|les\s|le\s|des\s|aux?\s)?(?:first\s|premiers?\s)?(\d{1,3})\s*(?:premiers?\s*)?(?:counts?|comptes?|temps|beats?|cts?|c\b)"
    ),
    re.compile(
        r"\b(\d{1,3})\s*(?:counts?|comptes?|temps|beats?)\s*(?:in|into|only|then restart|puis restart)\b"
    ),
    re.compile(r"\b(?:at|on|au|a)\s*(?:the end of\s*)?(?:counts?|comptes?|temps|beats?)\s*(\d{1,3})"),
    re.compile(r"\brestart\w*\s+(?:after|at|apres)\s+(?:count\s)?(\d{1,3})(?![\d\w:])"),
    re.compile(r"\(\s*(\d{1,3})\s*(?:counts?|comptes?|temps|cts?)\s*\)\s*$"),
    # "restart on wall 3: replace counts 15-16 with ...": the changed counts are the last before it
    re.compile(
        r"\b(?:replace|change|remplac\w+|modifi\w+)\s(?:the\s|les\s)?(?:counts?|comptes?|temps)\s*(?:\d{1,3}\s*(?:[-–&]|to|a|et|and)\s*)?(\d{1,3})(?!\d|\s*&|\s*(?:of|de|du|in)\b)"
    ),
]
_SECTION_AFTER = re.compile(
    rf"\b(?:after|apres|end of|fin de|a la fin de|dance|danser?|following|up to)\s*(?:the\s|la\s|les\s|l.\s)?(?:first\s|premieres?\s)?(?:(?:section|sect|sec|s|set|bloc|block)s?\s*(?:n[°o]\s*)?(\d{{1,2}}|{_NUM})|({_NUM})\s*(?:premieres?\s*)?(?:sections?|sets?|blocs?|blocks?|eights?|huit))"
)
_CLOCK = re.compile(
    r"\d{1,2}\s?[:.hH]\s?(?:[0oO]{2}|3[0oO])|\d{1,2}\s?o\s?['’´`]?\s?clock|\d{1,2}\s?h(?![a-z0-9])"
)
_WALL_WORDS = [
    (
        re.compile(
            r"\b(?:front wall|facing front|face the front|facing the front|midi|home wall|mur de face|mur de depart|starting wall|(?:to|at) the front)\b"
        ),
        0,
    ),
    (
        re.compile(
            r"\b(?:back wall|facing back|facing the back|mur arriere|mur du fond|(?:to|at) the back\b)"
        ),
        4,
    ),
]
_BARE_HOUR = re.compile(
    r"\b(?:facing|face a|face)\s+(?:the\s)?(3|6|9|12)\b(?!\s*(?:counts?|comptes?|[:.]\d))"
)
_TIMES = re.compile(r"\b(?:twice|deux fois|2 fois|x\s?2|2\s?x|two times)\b")
_PARTS = re.compile(
    r"(?<![A-Za-z])(?:(?P<part>[A-H])(?P<sub>\d{0,2})(?:\s?\((?:first\s|les\s|premiers\s|counts?\s|comptes?\s)*(?:1\s?[-–]\s?)?(?P<cut>\d{1,2})[^)]*\))?|(?P<tag>[Tt]ag|TAG|[Bb]ridge|BRIDGE|[Pp]ont|PONT)\s?(?P<tagno>\d)?|(?P<end>[Ee]nding|ENDING|[Ff]inal|FINAL|FIN|[Ff]in))(?P<times>\s?[x×]\s?\d)?(?![A-Za-z'’])"
)

INSTEAD_IN_BRACKETS = re.compile(r"\(\s*(?P<steps>[^()]{3,60}?)\s+(?:instead of|au lieu d[ue])", re.I)
INSTEAD_OF = re.compile(
    r"\b(?:counts?|comptes?|temps)\s*(?P<what>\d{1,2}(?:\s*(?:[-–&]|to|à)\s*(?:\d{1,2})?)?)\s*[:,]?\s*(?P<steps>[^.;:]{3,60}?)\s+(?:instead of|au lieu d[eu])",
    re.I,
)
STEP_CHANGE = re.compile(
    r"(?:replace|change|instead of|rempla[cç]\w+|modifi\w+|au lieu d[eu])\b(?P<what>.*?)(?:\bwith\b|\bto\b|\bby\b|\bpar\b|\bdo\b|:|,)(?P<steps>.+)",
    re.I,
)
THEN_AGAIN = re.compile(
    r"(?:,|;|\.|\bet\b|\band\b|\bpuis\b|\bthen\b)?\s*(?:and|et|then|puis)?\s*(?:restart|reprendre|recommenc|start again|begin again)"
)
UP_TO_LETTER = re.compile(
    r"\b(?i:danc\w*|danser?|section|apr[eè]s|after|end of|fin de)\s+(?i:the\s|la\s)?(?i:section\s)?([A-H])\b"
)


@dataclass(frozen=True, slots=True)
class WallNote:
    """Numbers a note tells: walls, a count or section after which, facings in eighths, repeats."""

    walls: tuple[int, ...] = ()
    count: int | None = None
    section: int | None = None
    facings: tuple[int, ...] = ()
    times: int = 1
    here: bool = False
    start_of_wall: bool = False
    sides: dict[str, int] = field(default_factory=dict)


def _value(text: str) -> int:
    digits = re.match(r"\d+", text)
    return int(digits.group()) if digits else _ORDINALS[text]


def _numbers(text: str) -> list[int]:
    return [_value(m) for m in re.findall(_NUM, text)]


def read_wall_note(text: str) -> WallNote:
    """Return the numbers in a restart, tag or ending note."""
    folded = fold(text)
    facings, bare = _facings(folded)
    count, section = None, None
    for pattern in _COUNT_AFTER:
        if match := pattern.search(bare):
            count = int(match[1])
            bare = bare[: match.start()] + " " * (match.end() - match.start()) + bare[match.end() :]
            break
    if match := _SECTION_AFTER.search(bare):
        section = _value(match[1] or match[2])
        bare = bare[: match.start()] + " " * (match.end() - match.start()) + bare[match.end() :]
    return WallNote(
        _walls(bare),
        count,
        section,
        facings,
        2 if _TIMES.search(folded) else 1,
        bool(re.search(r"\b(?:here|ici)\b", folded)),
        bool(re.search(r"\b(?:at the (?:beginning|start) of wall|au debut du)", folded)),
    )


def count_told(text: str) -> bool:
    """True if the text names both a wall and a count: a restart of its own."""
    told = read_wall_note(text)
    return bool(told.walls) and told.count is not None


def _walls(text: str) -> tuple[int, ...]:
    found: list[int] = []
    for pattern in _WALLS:
        for match in pattern.finditer(text):
            before = text[max(0, match.start() - 3) : match.start()]
            after = text[match.end() : match.end() + 9]
            if re.search(r"\d\s*$", before):
                continue
            numbers = [n for n in _numbers(match[1]) if 0 < n <= 40]
            if len(numbers) > 1 and re.match(
                r"\s*(?:counts|comptes|temps|beats|restart|tag|bridge|pont)", after
            ):
                numbers.pop()  # "wall 3, 4 counts": the last number is a length
            found += numbers
        if found:
            break
    return tuple(dict.fromkeys(found))


def _facings(folded: str) -> tuple[tuple[int, ...], str]:
    """Return the facings a note names, in order, and the text without them."""
    spots: list[tuple[int, int]] = []
    bare = folded
    for match in _CLOCK.finditer(folded):
        facing = clock_of(match.group())
        if facing is not None:
            spots.append((match.start(), facing))
            bare = bare[: match.start()] + " " * (match.end() - match.start()) + bare[match.end() :]
    for pattern, facing in _WALL_WORDS:
        for match in pattern.finditer(bare):
            spots.append((match.start(), facing))
            bare = bare[: match.start()] + " " * (match.end() - match.start()) + bare[match.end() :]
    for match in _BARE_HOUR.finditer(bare):
        spots.append((match.start(), int(match[1]) % 12 * 2 // 3))
        bare = bare[: match.start(1)] + " " * len(match[1]) + bare[match.end(1) :]
    bare = re.sub(
        r"[(\[]?\s*\b(?:you (?:are |will be )?)?(?:facing|face a|face au|face)\b(?: the)?\s*[)\]]?",
        lambda m: " " * len(m.group()),
        bare,
    )
    bare = re.sub(r"mur de\s{2,}", lambda m: " " * len(m.group()), bare)
    return tuple(facing for _, facing in sorted(spots)), bare


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of a sequence: a part (with how many counts of it, None for all), a tag, or the ending."""

    kind: str
    label: str
    counts: int | None = None


def read_sequence(text: str, labels: set[str]) -> list[Entry]:
    """Return the order of parts in a sequence line; ``labels`` are the parts that exist."""
    body = re.sub(r"^[^:=]{0,40}[:=]", "", text, count=1) if re.search(r"[:=]", text[:44]) else text
    out: list[Entry] = []
    for match in _PARTS.finditer(body):
        times = int(re.sub(r"\D", "", match["times"] or "") or 1)
        if match["part"]:
            letter, sub = match["part"], match["sub"]
            cut = (
                int(match["cut"])
                if match["cut"]
                else (int(sub) if sub and letter + sub not in labels else None)
            )
            label = letter + sub if letter + sub in labels else letter
            if label in labels:
                out += [Entry("part", label, cut)] * times
        elif match["tag"]:
            out += [Entry("tag", match["tagno"] or "")] * times
        else:
            out.append(Entry("ending", ""))
    return out


def read_counted_sequence(text: str, total: int) -> list[int] | None:
    """Return the counts danced on each wall ("32-32-16-32-Tag"), or None if the line tells none."""
    body = re.sub(r"^[^:=]{0,40}[:=]", "", text, count=1)
    numbers = [int(n) for n in re.findall(r"(?<![\d:/])(\d{1,3})(?![\d:/])", body)]
    if len(numbers) >= 3 and all(0 < n <= total for n in numbers) and total in numbers:
        return numbers
    return None
