"""Turn a text about steps into its mirror image: left for right, and on the clock 9:00 for 3:00."""

from __future__ import annotations

import re

_PAIRS = {
    "en": [("right", "left"), ("rf", "lf"), ("clockwise", "counterclockwise"), ("cw", "ccw"), ("wor", "wol")],
    "fr": [("droite", "gauche"), ("pd", "pg")],
}
_LETTERS = {"en": ("R", "L"), "fr": ("D", "G")}
_MASCULINE = re.compile(r"\b(pieds?|genou|talon)(\s+)(gauche|droit)\b", re.IGNORECASE)


def mirror_words(text: str, language: str) -> str:
    """Swap left and right in every word of a text.

    In French "gauche" mirrors "droit" after a masculine noun and "droite" elsewhere.
    """
    held = _MASCULINE.sub(
        lambda m: m[1] + m[2] + _cased("xgauche" if m[3].lower() == "droit" else "xdroit", m[3]), text
    )
    swap = {word: other for pair in _PAIRS[language] for word, other in (pair, pair[::-1])}
    swapped = re.sub(r"[^\W\d_]+", lambda word: _word(word.group(), swap, language), held)
    return re.sub(r"\bx(gauche|droit)\b", r"\1", swapped, flags=re.IGNORECASE)


def _word(word: str, swap: dict[str, str], language: str) -> str:
    right, left = _LETTERS[language]
    if set(word) <= {right, left}:
        return word.translate(str.maketrans(right + left, left + right))
    other = swap.get(word.lower())
    return _cased(other, word) if other else word


def _cased(word: str, like: str) -> str:
    """Write a word in the capitals of another."""
    if like.isupper():
        return word.upper()
    return word.capitalize() if like[:1].isupper() else word


def mirror_clock(hour: float | None) -> float | None:
    """Return the clock hour seen in a mirror: 3 for 9, 10.5 for 1.5; 12 and 6 stay."""
    return None if hour is None else (12 - hour % 12) or 12


def mirror_clocks(text: str) -> str:
    """Mirror every facing of a text: 3:00, 3.00, 3h, 3h00, 3 o'clock."""
    text = re.sub(r"\b(\d{1,2})([:.hH])(00|30)\b", _minutes, text)
    return re.sub(
        r"\b\d{1,2}(?=\s?o\s?['’]?\s?clock|h\b|H\b)", lambda m: f"{mirror_clock(int(m.group())):g}", text
    )


def _minutes(match: re.Match[str]) -> str:
    hour = mirror_clock(int(match[1]) % 12 + int(match[3]) / 60)
    assert hour is not None
    return f"{int(hour)}{match[2]}{'30' if hour % 1 else '00'}"


def mirror_sheet(text: str, language: str) -> str:
    """Return the mirror image of a whole sheet."""
    return mirror_clocks(mirror_words(text, language))
