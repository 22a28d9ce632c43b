"""Words as they are searched: without case, accents or signs, so that both databases find the same."""

from __future__ import annotations

import re
import unicodedata
from datetime import UTC, date, datetime

from noonwall.shelf.faults import ShelfError

_LIGATURES = {"œ": "oe", "æ": "ae", "ø": "o", "ß": "ss", "ł": "l", "đ": "d", "ı": "i"}
_WORD = re.compile(r"[^\W_]+")


def folded(text: str) -> str:
    """Return text without case and accents: "Été" becomes "ete", "Cœur" becomes "coeur"."""
    # ASCII has neither accents nor ligatures, and most sheets are ASCII
    if text.isascii():
        return text.lower()
    bare = _bare(text)
    for ligature, letters in _LIGATURES.items():
        bare = bare.replace(ligature, letters)
    return unicodedata.normalize("NFC", _bare(bare))


def _bare(text: str) -> str:
    # a letter taken apart may have a case of its own, and its case marks of their own
    apart = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", text).casefold())
    # a text has many letters and few kinds of marks: looking at kinds is ten times quicker
    for mark in filter(unicodedata.combining, set(apart)):
        apart = apart.replace(mark, "")
    return apart


def words_of(text: str) -> list[str]:
    """Return the searchable words of a text in order: runs of letters and digits, folded."""
    return _WORD.findall(folded(text))


def clean(text: str) -> str:
    """Return text that every database can keep: NUL and halves of characters become U+FFFD."""
    if text.isascii():
        return text.replace("\0", "\ufffd")
    return text.replace("\0", "\ufffd").encode("utf-16", "surrogatepass").decode("utf-16", "replace")


def moment(now: datetime) -> str:
    """Return a moment as the shelf writes it: ISO 8601, UTC, milliseconds."""
    return now.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def utc_now() -> datetime:
    """Return the present moment in UTC."""
    return datetime.now(UTC)


def day_of(asked: str | date) -> str:
    """Return a day as ISO 8601.

    Raises:
        ShelfError: it is not a date.
    """
    try:
        return (asked if isinstance(asked, date) else date.fromisoformat(asked)).isoformat()[:10]
    except ValueError as error:
        raise ShelfError("shelf.bad-date", wanted=asked) from error
