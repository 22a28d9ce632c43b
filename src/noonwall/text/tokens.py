"""Cut a line of step text into tokens with a kind, a canonical value and a place."""

from __future__ import annotations

import re
from typing import NamedTuple

from noonwall.dance.turns import eighths_of_clock
from noonwall.text.lexicon import Entry, Lexicon, fold

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
_SEPARATORS = frozenset(",;/.|")
_FEET_RUN = re.compile(r"[RL]{2,6}|[DG]{3,6}")
_RLE = {"R": "R", "L": "L", "D": "R", "G": "L"}
_NUMBER_WORDS = {
    "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "eight": 8,
    "deux": 2, "trois": 3, "quatre": 4, "cinq": 5, "huit": 8,
}  # fmt: skip
_SKIPPED = frozenset("-–‑'’´`")


class Raw(NamedTuple):
    """A piece of text before its meaning is known."""

    kind: str
    text: str
    start: int
    end: int
    folded: str


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
    raw, asides = _without_times([_raw(m) for m in _RAW.finditer(text)])
    mended = _mend_words(raw, lexicon)
    tokens: list[Token] = []
    i = 0
    while i < len(raw):
        while asides and i >= asides[0][0]:
            tokens.append(asides.pop(0)[1])
        kind, piece, start, end, _ = raw[i]
        if kind == "word":
            begin = i
            token, i = _word(raw, i, lexicon)
            wrong = next((mended[k] for k in range(begin, i) if k in mended), "") if mended else ""
            if wrong and token.kind != "unknown":
                token = token._replace(mended=wrong)
            tokens.append(token)
            continue
        i += 1
        if kind == "amount":
            if i < len(raw) and raw[i][1] == ";" and raw[i][2] == end and piece[-1] in _GLYPHS:
                end, i = raw[i][3], i + 1
            tokens.append(Token("amount", str(amount_of(piece)), start, end))
        elif kind == "clock":
            facing = clock_of(piece)
            tokens.append(Token("clock" if facing is not None else "unknown", str(facing), start, end))
        elif kind == "degrees":
            degrees = int(re.match(r"\d+", piece).group())  # type: ignore[union-attr]
            value = str(degrees // 45) if degrees % 45 == 0 else ""
            tokens.append(Token("degrees" if value else "unknown", value, start, end))
        elif kind == "times":
            tokens.append(Token("times", re.sub(r"\D", "", piece), start, end))
        elif kind == "number":
            number, i = _number(raw, i - 1, lexicon)
            tokens.append(number)
        else:
            tokens.append(_mark(piece, start, end))
    return tokens + [token for _, token in asides]


def _mend_words(raw: list[Raw], lexicon: Lexicon) -> dict[int, str]:
    """Put the one known word for each misspelt one, in place; return what was written, by index."""
    mended: dict[int, str] = {}
    for i, piece in enumerate(raw):
        known = piece.folded in lexicon.words and piece.folded not in lexicon.misspelt
        if piece.kind != "word" or known:
            continue
        near = lexicon.nearest(piece.folded)
        if near:
            raw[i] = Raw(piece.kind, piece.text, piece.start, piece.end, near)
            mended[i] = piece.text
    return mended


def _raw(match: re.Match[str]) -> Raw:
    """A full stop inside "P.D." belongs to the word."""
    text = match.group()
    folded = fold(text)
    if "." in folded and match.lastgroup == "word":
        folded = folded.replace(".", "").replace(" ", "")
    return Raw(match.lastgroup or "mark", text, match.start(), match.end(), folded)


def _without_times(raw: list[Raw]) -> tuple[list[Raw], list[tuple[int, Token]]]:
    """Take "three times" or "deux fois" out of the words it interrupts ("clap two times the hands").

    Returns the pieces left, and each aside with the index before which it is told again.
    """
    left: list[Raw] = []
    asides: list[tuple[int, Token]] = []
    i = 0
    while i < len(raw):
        count = raw[i].folded if raw[i].kind == "number" else str(_NUMBER_WORDS.get(raw[i].folded, ""))
        if (
            count
            and i + 1 < len(raw)
            and raw[i + 1].folded in ("times", "fois")
            and left
            and left[-1].kind == "word"
        ):
            asides.append((len(left), Token("times", count, raw[i].start, raw[i + 1].end)))
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


def _mark(piece: str, start: int, end: int) -> Token:
    if piece in _SEPARATORS:
        return Token("sep", piece, start, end)
    if piece in "&+":
        return Token("and", piece, start, end)
    if piece in "([{":
        return Token("open", piece, start, end)
    if piece in ")]}":
        return Token("close", piece, start, end)
    if piece == ":":
        return Token("colon", piece, start, end)
    if piece in "-–—‑":
        return Token("dash", piece, start, end)
    return Token("mark", piece, start, end)


def _match(raw: list[Raw], i: int, lexicon: Lexicon) -> tuple[tuple[Entry, ...], int] | None:
    """Return the meanings of the longest known phrase that begins at ``i`` and where it ends."""
    branch = lexicon.tree.get(raw[i].folded)
    best: tuple[tuple[Entry, ...], int] | None = None
    j = i + 1
    while branch is not None:
        if branch.entries:
            best = (branch.entries, j)
        if not branch.follow:
            break
        k = j
        while k < len(raw) and raw[k].text in _SKIPPED and raw[k].start - raw[k - 1].end <= 1:
            k += 1
        if k >= len(raw):
            break
        branch = branch.follow.get(raw[k].folded)
        j = k + 1
    return best


def _token(entries: tuple[Entry, ...], start: int, end: int, mended: str = "") -> Token:
    first = entries[0]
    return Token(first.kind, first.value, start, end, first.running, entries[1:], mended)


def _word(raw: list[Raw], i: int, lexicon: Lexicon) -> tuple[Token, int]:
    _, piece, start, end, folded = raw[i]
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
            raw[i] = Raw("word", glued[2], start + len(glued[1]), end, fold(glued[2]))
            return _token(single.entries, start, start + len(glued[1])), i
    return Token("unknown", piece, start, end), i + 1
