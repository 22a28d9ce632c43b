"""Read the counts an author puts before a step: ``1&2``, ``&3-4``, ``1,2,3&4``, ``a2``, ``9-16``, ``123``."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise

HALF = Fraction(1, 2)
QUARTERS = {"&": HALF, "e": Fraction(1, 4), "a": Fraction(3, 4)}
LONGEST_COUNT = 128

_ITEM = re.compile(
    r"(\d{1,3}|[&+]|\bet\b|\band\b|(?-i:[ae](?![a-zéèàç'’])|[AE](?![A-Za-zÉÈéèàç'’])))|([-–—,.;/ \t]+|\bà\b|\bto\b)|(.)",
    re.I,
)
_RANGE_WORDS = ("à", "to")


@dataclass(frozen=True, slots=True)
class Label:
    """Counts of a line: ``ticks`` as fractions where count 1 is 1; ``first`` and ``last`` whole counts.

    ``end`` is the text offset after the label. ``is_range`` marks "1-8": first and last with more between.
    ``bracketed`` marks [1-8] or (1-8). ``plain_ticks``
    are the ticks if "1 et 2" means two whole counts; empty if no word stands between counts.
    ``wraps`` marks "8&1": its last count is count 1 of the next section.
    """

    ticks: tuple[Fraction, ...]
    first: int
    last: int
    end: int
    is_range: bool
    bracketed: bool
    written: str
    one_number: bool = False
    plain_ticks: tuple[Fraction, ...] = ()
    wraps: bool = False


_START = re.compile(
    r"""\s*(?:(?:counts?|comptes?|temps|beats?|cts?\.?|count:)\s*[:.]?\s*)?(?P<open>[\[(<{]?)\s*
    (?P<counts>(?:&|\+|et\b|and\b|a(?=\s?\d)|e(?=\s?\d))?\s?(?:\d|O(?=\d))(?:\d|(?<=\d)O(?!\w)|O(?=\d)|[&+]|[-–—,.;\s]|/(?=\d/)|\bet\b|\band\b|\bà\b|\bto\b|(?-i:[ae](?![a-zéèàç'’])|[AE](?![A-Za-zÉÈéèàç'’])))*
      |[&+](?=\s|[-:.)]|$|[A-Za-z])|(?-i:a)(?=\s\s|\t|[.:)]\s|\s(?-i:[A-Z])|(?-i:[A-Z][a-z])))
    (?P<close>[\])>}]?)""",
    re.VERBOSE | re.IGNORECASE,
)
_NOT_LABEL = re.compile(
    r"\s*(?:/|⁄|°|º|%|x\d|ème|eme|e\b|er\b|st\b|nd\b|rd\b|th\b|murs?\b|walls?\b|counts?\b|comptes?\b|temps\b(?!\s+(?:de pause|d['’]arr))|bpm|c\b|c/|w\b|beats?\b|h\d|h\b|:\d|times\b|fois\b|sections?\b|min\b|sec\b|more\b|restarts?\b|tags?\b|o.?clock)",
    re.I,
)


@lru_cache(maxsize=8192)
def read_label(text: str) -> Label | None:
    """Return the count label at the start of ``text``, or None if it begins with something else."""
    match = _START.match(text)
    if not match:
        return None
    opened, closed = match["open"], match["close"]
    trimmed = match["counts"].rstrip(" \t,.;-–—/")
    end = match.start("counts") + len(trimmed)
    trimmed, end = _give_back(trimmed, end, text)
    if not trimmed:
        return None
    if opened:
        if not closed:
            return None
        end = match.end()
    elif (
        (trimmed == "1" and text[end : end + 1] in tuple("¼½¾⅛⅜"))
        or _NOT_LABEL.match(text, end)
        or (trimmed.isdigit() and _SLASH.match(text, end))
    ):
        return None
    counts = _counts(trimmed)
    if counts is None:
        return None
    ticks, first, last, is_range, plain, wraps = counts
    tail = _TAIL.match(text, end)
    end = tail.end() if tail else end
    return Label(ticks, first, last, end, is_range, bool(opened), trimmed, len(ticks) == 1, plain, wraps)


_SLASH = re.compile(r"\s*[/⁄]")
_RATIO = re.compile(r"\s*[/⁄]\s?\d")
_TAIL = re.compile(r"\s*(?:[:.)\]|]|[-–—]+(?=\s|$))?\s*\|?\s*")
_LETTER_O = re.compile(r"(?<=\d)[oO]|[oO](?=\d)")
_Counts = tuple[tuple[Fraction, ...], int, int, bool, tuple[Fraction, ...], bool]


@lru_cache(maxsize=1024)
def _counts(written: str) -> _Counts | None:
    """Return ticks, first, last, ``is_range``, ``plain_ticks`` and ``wraps`` of a label as it is written."""
    parsed = _parse(_LETTER_O.sub("0", written))
    if parsed is None:
        return None
    ticks, is_range, plain = parsed
    whole = [int(t) for t in ticks if t.denominator == 1]
    first = whole[0] if whole else int(ticks[0]) + 1
    last = max(whole) if whole else int(ticks[-1])
    if last > LONGEST_COUNT:
        return None
    wraps = bool(re.search(r"[2-9]\D+1$", written))
    return ticks, first, last, is_range, plain if plain != ticks else (), wraps


def _give_back(trimmed: str, end: int, text: str) -> tuple[str, int]:
    """ "7-8 1/4 turn": the 1 belongs to the fraction; "1-4 2 paddles": the 2 says how many."""
    if _RATIO.match(text, end):
        if trimmed.isdigit():
            return "", end
        glued = re.search(r"\d{2,3}$", trimmed)
        shorter = trimmed[:-1] if glued else re.sub(r"[-–—,.;\s]*\d+$", "", trimmed)
        if shorter and shorter != trimmed:
            return shorter, end - (len(trimmed) - len(shorter))
    several = _RANGE_AND_MORE.match(trimmed)
    if several and 1 < int(several[3]) <= int(several[2]) and _WORD.match(text, end):
        # "1-4 2 paddle turns": a count that goes back is no count but how many
        return several[1], several.end(1) + end - len(trimmed)
    return trimmed, end


_RANGE_AND_MORE = re.compile(r"(\d+\s*[-–—]\s*(\d+))\s+(\d)$")
_WORD = re.compile(r"\s*[^\W\d_]")


def _parse(text: str) -> tuple[tuple[Fraction, ...], bool, tuple[Fraction, ...]] | None:
    """Return the ticks (count 1 is 1) of a label, whether it is a range, and the ticks without its words."""
    words: set[Fraction] = set()
    ticks: list[Fraction] = []
    pending: list[Fraction] = []
    joiner = ""
    last_whole: int | None = None
    is_range = False
    found = _ITEM.findall(text)
    for place, (item, gap, junk) in enumerate(found):
        if junk:
            return None
        if gap:
            joiner = gap.strip() or joiner or " "
            continue
        if item[0].isdigit():
            numbers = _split_run(item, last_whole, found[place + 1 :])
            for number in numbers:
                dashed = (joiner[:1] in "-–—" and joiner != "") or joiner.lower() in _RANGE_WORDS
                if dashed and last_whole is not None and number - last_whole > 1 and not pending:
                    ticks += [Fraction(n) for n in range(last_whole + 1, number)]
                    is_range = True
                ticks += [number - 1 + p if p != HALF or number else p for p in pending]
                pending = []
                ticks.append(Fraction(number))
                last_whole = number
                joiner = ""
        else:
            part = QUARTERS[{"+": "&", "et": "&", "and": "&"}.get(item.lower(), item.lower())]
            if last_whole is None or (ticks and joiner[:1] in tuple(",-–—") and joiner):
                pending.append(part)
            else:
                ticks.append(last_whole + part)
                if item.lower() in ("et", "and"):
                    words.add(last_whole + part)
            joiner = ""
    if pending and last_whole is None and len(pending) == 1:
        return (pending[0],), False, (pending[0],)
    if not ticks:
        return None
    return tuple(ticks), is_range, tuple(t for t in ticks if t not in words)


def _split_run(item: str, last_whole: int | None, after: list[tuple[str, str, str]]) -> list[int]:
    """ "123" in a waltz is three counts, "5678" four; "12" alone is twelve, but in "12&3" it is 1 and 2."""
    number = int(item)
    digits = [int(c) for c in item]
    rising = len(digits) >= 3 and all(b == a + 1 for a, b in pairwise(digits))
    if rising:
        return digits
    if len(digits) == 2 and digits[1] == digits[0] + 1:
        following = next((int(it) for it, _, _ in after if it[:1].isdigit()), None)
        if last_whole == digits[0] - 1 or (last_whole is None and following == digits[1] + 1):
            return digits
    if number == 1 and last_whole is not None and last_whole > 1:
        return [last_whole + 1]
    return [number]


_TRAILING = re.compile(
    r"(?:[.·…_\-–\s]{2,}|\s)[\[(]?(?P<counts>&?\d{1,2}(?:\s?[&,\-–]\s?\d{0,2})*&?)[\])]?\s*(?P<tail>[\[(][^)\]]*[\])])?\s*$"
)
_INLINE = re.compile(r"[(\[]\s*(&?\s?\d{1,2}(?:\s?[&,\-–]\s?\d{0,2})*|&|a)\s*[)\]]")


def trailing_label(text: str) -> tuple[Label, str] | None:
    """Return the counts written at the end of a line ("Vine right, touch ..... 1-4") and the text before them."""
    match = _TRAILING.search(text)
    if not match or not match.start():
        return None
    label = read_label(match["counts"] + " ")
    if label is None or not (len(label.ticks) > 1 or "." in match.group()):
        return None
    return label, text[: match.start()] + " " * (match.end() - match.start() - len(match["tail"] or "")) + (
        match["tail"] or ""
    )


def bracketed_label(text: str) -> tuple[Label, str] | None:
    """Return the counts in brackets behind the steps ("rock L (3), recover R (4)") and the text without them."""
    ticks: list[Fraction] = []
    bare = text
    for match in _INLINE.finditer(text):
        written = match[1].strip()
        if written in ("&", "a"):
            if not ticks:
                return None
            ticks.append(ticks[-1] // 1 + QUARTERS[written])
        else:
            parsed = _parse(written)
            if parsed is None:
                return None
            ticks += parsed[0]
        bare = bare[: match.start()] + " " * (match.end() - match.start()) + bare[match.end() :]
    rising = all(b > a for a, b in pairwise(ticks))
    if not ticks or not rising or ticks[-1] > LONGEST_COUNT:
        return None
    whole = [int(t) for t in ticks if t.denominator == 1]
    if not whole:
        return None
    return Label(tuple(ticks), whole[0], whole[-1], 0, False, False, f"{whole[0]}-{whole[-1]}"), bare


def split_pair(label: Label, expected: int) -> Label:
    """Return "67" read as counts 6 and 7 where count 6 is due; any other label as it is."""
    digits = [int(c) for c in label.written if c.isdigit()]
    if label.one_number and len(digits) == 2 and digits[1] == digits[0] + 1 and digits[0] == expected:
        ticks = (Fraction(digits[0]), Fraction(digits[1]))
        return Label(ticks, digits[0], digits[1], label.end, False, label.bracketed, label.written)
    return label
