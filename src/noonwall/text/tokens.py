"""Cut a line of step text into tokens with a kind, a canonical value and a place."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import NamedTuple

from noonwall.dance.turns import eighths_of_clock
from noonwall.text.lexicon import Entry, Lexicon, fold, lexicon_of

_RAW = re.compile(
    r"""
    (?P<amount>(?:\d\s?)?[ÂΒ]?[¼½¾⅛⅜⅝⅞]|[ÂΒ][ΌΎ]|\d\s?[/⁄∕]\s?[248](?!\d))
  | (?P<clock>\d{1,2}\s?[:.hH]\s?(?:[0oO]{2}|3[0oO])(?!\d)h?|\d{1,2}\s?[oO]\s?['’´`]?\s?[cC]lock|\d{1,2}\s?[hH](?![a-zA-Z]))
  | (?P<degrees>\d{2,3}\s?(?:°|º|['’](?=\s|$)|deg\w*))
  | (?P<times>[xX×]\s?\d(?!\w)|\d\s?[xX×](?!\w))
  | (?P<number>\d+)
  | (?P<word>P\.\s?[DG]\.?(?!\w)|[RL]\.\s?F\.?(?!\w)|[^\W\d_]+)
  | (?P<mark>\S)
    """,
    re.VERBOSE,
)
_GLYPHS = {"¼": 2, "½": 4, "¾": 6, "⅛": 1, "⅜": 3, "⅝": 5, "⅞": 7, "Ό": 2, "Ύ": 6}
_MARKS = {
    **dict.fromkeys(",;/.|", "sep"),
    **dict.fromkeys("&+", "and"),
    **dict.fromkeys("([{", "open"),
    **dict.fromkeys(")]}", "close"),
    ":": "colon",
    **dict.fromkeys("-–—‑", "dash"),
}
_TIMES = frozenset(["times", "fois"])
_DIGITS = re.compile(r"\d+")
_FEET_RUN = re.compile(r"[RL]{2,6}|[DG]{3,6}")
_RLE = {"R": "R", "L": "L", "D": "R", "G": "L"}
_NUMBER_WORDS = {
    "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "eight": 8,
    "deux": 2, "trois": 3, "quatre": 4, "cinq": 5, "huit": 8,
}  # fmt: skip
_SKIPPED = frozenset("-–‑'’´`")


Raw = tuple[str, str, int, int, str, str]
"""A piece of text before its meaning is known: kind, text, start, end, its folded form, and the folded form
that is looked up: the known word that it misspells, if there is just one."""

MOST_TEXTS, MOST_WORDS = 512, 4096
"""What is remembered at most: a text within its sheet, a word across sheets; memory must stay flat."""
LONGEST_REMEMBERED = 400
"""Characters of a remembered text; whoever writes longer lines pays for them."""


class Token(NamedTuple):
    """A token: ``kind``, canonical ``value``, text offsets, and its other meanings.

    Kinds beyond the lexicon's: clock, degrees, times, number, feet (a run such as RLR), sep, and, open,
    close, colon, dash, mark, unknown.
    """

    kind: str
    value: str
    start: int
    end: int
    running: bool = False
    others: tuple[Entry, ...] = ()
    mended: str = ""


def amount_of(text: str) -> int | None:
    """Return a fraction of a turn in eighths: "¼" is 2, "1/4" is 2, "1 ½" is 12; None if it is none."""
    compact = text.replace(" ", "").replace("⁄", "/").replace("∕", "/")
    if "/" in compact:
        top, bottom = compact.split("/")
        eighths = int(top) * 8 / int(bottom)
        return int(eighths) if eighths == int(eighths) else None
    whole = int(compact[0]) * 8 if compact[0].isdigit() else 0
    return whole + _GLYPHS[compact[-1]]


def clock_of(text: str) -> int | None:
    """Return a written facing ("3:00", "15h00", "6 o'clock", "1OH30") in eighths; None if it is none."""
    digits = re.match(r"(\d{1,2})\s?(?:[:.hH]\s?([0oO3])[0oO])?", text)
    if not digits:
        return None
    hour = int(digits[1]) + (0.5 if digits[2] == "3" else 0.0)
    return eighths_of_clock(hour) if hour <= 24 else None


def tokenise(text: str, lexicon: Lexicon) -> list[Token]:
    """Return the tokens of ``text``; every character that is not white space belongs to one of them."""
    if len(text) <= LONGEST_REMEMBERED and lexicon is lexicon_of(lexicon.language):
        return list(_remembered(text, lexicon.language))
    return _tokens(text, lexicon)


@lru_cache(maxsize=MOST_TEXTS)
def _remembered(text: str, language: str) -> tuple[Token, ...]:
    """A line is cut into tokens to tell what it is, and again to read its steps."""
    return tuple(_tokens(text, lexicon_of(language)))


def _tokens(text: str, lexicon: Lexicon) -> list[Token]:
    raw = _pieces(text, lexicon)
    raw, asides = _without_times(raw)
    mended = {i: piece[1] for i, piece in enumerate(raw) if piece[4] is not piece[5]}
    tokens: list[Token] = []
    i = 0
    while i < len(raw):
        while asides and i >= asides[0][0]:
            tokens.append(asides.pop(0)[1])
        kind, piece, start, end, _, _ = raw[i]
        if kind == "word":
            begin = i
            token, i = _word(raw, i, lexicon)
            if mended and token.kind != "unknown":
                wrong = next((mended[k] for k in range(begin, i) if k in mended), "")
                token = token._replace(mended=wrong) if wrong else token
        elif kind == "mark":
            i += 1
            token = Token(_MARKS.get(piece, "mark"), piece, start, end)
        elif kind == "number":
            token, i = _number(raw, i, lexicon)
        else:
            i += 1
            half_done = kind == "amount" and piece[-1] in _GLYPHS and i < len(raw)
            if half_done and raw[i][1] == ";" and raw[i][2] == end:
                end, i = raw[i][3], i + 1
            token = Token(*_measure(kind, piece), start, end)
        tokens.append(token)
    return tokens + [token for _, token in asides]


def _measure(kind: str, piece: str) -> tuple[str, str]:
    """Return kind and value of an amount of turn, a facing, an angle or a number of times."""
    if kind == "amount":
        return "amount", str(amount_of(piece))
    if kind == "clock":
        facing = clock_of(piece)
        return "clock" if facing is not None else "unknown", str(facing)
    digits = _DIGITS.findall(piece)[0]
    if kind == "times":
        return "times", digits
    eighths, rest = divmod(int(digits), 45)
    return ("unknown", "") if rest else ("degrees", str(eighths))


def _pieces(text: str, lexicon: Lexicon) -> list[Raw]:
    """Cut a text into pieces; those that may be words are folded and mended."""
    out: list[Raw] = []
    language = lexicon.language if lexicon is lexicon_of(lexicon.language) else ""
    for match in _RAW.finditer(text):
        kind, piece = match.lastgroup or "mark", match.group()
        start, end = match.span()
        if language and len(piece) <= LONGEST_REMEMBERED:
            out.append((kind, piece, start, end, *_folded_piece(kind, piece, language)))
        else:
            out.append((kind, piece, start, end, *_folded(kind, piece, lexicon)))
    return out


@lru_cache(maxsize=MOST_WORDS)
def _folded_piece(kind: str, piece: str, language: str) -> tuple[str, str]:
    return _folded(kind, piece, lexicon_of(language))


def _folded(kind: str, piece: str, lexicon: Lexicon) -> tuple[str, str]:
    """Return a piece folded, and the one known word that it misspells or itself once more."""
    folded = fold(piece)
    if kind != "word":
        return folded, folded
    if "." in folded:  # a full stop inside "P.D." belongs to the word
        folded = folded.replace(".", "").replace(" ", "")
    if folded in lexicon.words and folded not in lexicon.misspelt:
        return folded, folded
    return folded, lexicon.nearest(folded) or folded


def _without_times(raw: list[Raw]) -> tuple[list[Raw], list[tuple[int, Token]]]:
    """Take "three times" or "deux fois" out of the words it interrupts ("clap two times the hands").

    Returns the pieces left, and each aside with the index before which it is told again.
    """
    left: list[Raw] = []
    asides: list[tuple[int, Token]] = []
    if _TIMES.isdisjoint([piece[4] for piece in raw]):
        return raw, asides
    i = 0
    while i < len(raw):
        kind, _, start, _, folded, _ = raw[i]
        count = folded if kind == "number" else str(_NUMBER_WORDS.get(folded, ""))
        after_word = bool(left) and left[-1][0] == "word"
        if count and after_word and i + 1 < len(raw) and raw[i + 1][4] in _TIMES:
            asides.append((len(left), Token("times", count, start, raw[i + 1][3])))
            i += 2
        else:
            left.append(raw[i])
            i += 1
    return left, asides


def _number(raw: list[Raw], i: int, lexicon: Lexicon) -> tuple[Token, int]:
    """A phrase such as "2 fois" or "45 degrees" may begin with a number."""
    matched = _match(raw, i, lexicon)
    if matched:
        entries, after = matched
        return _token(entries, raw[i][2], raw[after - 1][3]), after
    return Token("number", raw[i][1], raw[i][2], raw[i][3]), i + 1


def _match(raw: list[Raw], i: int, lexicon: Lexicon) -> tuple[tuple[Entry, ...], int] | None:
    """Return the meanings of the longest known phrase that begins at ``i`` and where it ends."""
    branch = lexicon.tree.get(raw[i][5])
    best: tuple[tuple[Entry, ...], int] | None = None
    j = i + 1
    while branch is not None:
        if branch.entries:
            best = (branch.entries, j)
        if not branch.follow:
            break
        k = j
        while k < len(raw) and raw[k][1] in _SKIPPED and raw[k][2] - raw[k - 1][3] <= 1:
            k += 1
        if k >= len(raw):
            break
        branch = branch.follow.get(raw[k][5])
        j = k + 1
    return best


def _token(entries: tuple[Entry, ...], start: int, end: int) -> Token:
    first = entries[0]
    return Token(first.kind, first.value, start, end, first.running, entries[1:])


def _word(raw: list[Raw], i: int, lexicon: Lexicon) -> tuple[Token, int]:
    _, piece, start, end, _, folded = raw[i]
    matched = _match(raw, i, lexicon)
    if matched:
        entries, after = matched
        return _token(entries, start, raw[after - 1][3]), after
    if folded in _NUMBER_WORDS:
        return Token("number", str(_NUMBER_WORDS[folded]), start, end), i + 1
    if _FEET_RUN.fullmatch(piece) or (lexicon.language == "fr" and re.fullmatch(r"[DG]{2}", piece)):
        return Token("feet", "".join(_RLE[c] for c in piece), start, end), i + 1
    glued = re.fullmatch(r"([a-zA-Zéà]{3,})([RL])", piece)
    if glued and glued[1].islower():
        single = lexicon.tree.get(fold(glued[1]))
        if single and single.entries:
            foot = fold(glued[2])
            raw[i] = ("word", glued[2], start + len(glued[1]), end, foot, foot)
            return _token(single.entries, start, start + len(glued[1])), i
    return Token("unknown", piece, start, end), i + 1
