"""The words of practice tracks: their tags, and what is said of them."""

from __future__ import annotations

from noonwall.errors import NoonwallError
from noonwall.words.tables import word_table

PRACTICE_LANGUAGES = ("en", "fr")


def practice_word(language: str, section: str, name: str, /, **values: object) -> str:
    """Return the words of ``section.name`` with its {braces} filled; a region falls back to its language."""
    primary = language.lower().replace("_", "-").split("-")[0]
    text = word_table(primary if primary in PRACTICE_LANGUAGES else "en", "practice")[section][name]
    return text.format_map(values) if values else text


def practice_fault(language: str, name: str, /, **values: object) -> NoonwallError:
    """Return an error that speaks the language asked for."""
    return NoonwallError(practice_word(language, "fault", name, **values))
