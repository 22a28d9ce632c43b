"""The words that printed things say of themselves, in the language asked for."""

from __future__ import annotations

from noonwall.errors import NoonwallError
from noonwall.words.tables import word_table

PRINT_LANGUAGES = ("en", "fr")


def print_word(language: str, section: str, name: str, /, **values: object) -> str:
    """Return the words of ``section.name`` with its {braces} filled; a region falls back to its language.

    Raises:
        NoonwallError: noonwall does not print in that language.
    """
    primary = language.lower().replace("_", "-").split("-")[0]
    if primary not in PRINT_LANGUAGES:
        raise NoonwallError(f'Nothing can be printed in "{language}": choose en or fr.')
    text = word_table(primary, "print")[section][name]
    return text.format_map(values) if values else text


def print_words(languages: tuple[str, ...], section: str, name: str, /, **values: object) -> tuple[str, ...]:
    """Return :func:`print_word` in each language."""
    return tuple(print_word(language, section, name, **values) for language in languages)


def joined(words: tuple[str, ...], joint: str = " / ") -> str:
    """Return texts of several languages as one, those that are alike once."""
    return joint.join(dict.fromkeys(words))
