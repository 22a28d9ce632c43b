"""The words that printed things say of themselves, in the language asked for."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from importlib import resources

from noonwall.errors import NoonwallError

PRINT_LANGUAGES = ("en", "fr")


@lru_cache(maxsize=len(PRINT_LANGUAGES))
def _load(language: str) -> Mapping[str, Mapping[str, str]]:
    file = resources.files("noonwall").joinpath("words", language, "print.toml")
    return tomllib.loads(file.read_text("utf-8"))


def print_word(language: str, section: str, name: str, /, **values: object) -> str:
    """Return the words of ``section.name`` with its {braces} filled; a region falls back to its language.

    Raises:
        NoonwallError: noonwall does not print in that language.
    """
    primary = language.lower().replace("_", "-").split("-")[0]
    if primary not in PRINT_LANGUAGES:
        raise NoonwallError(f'Nothing can be printed in "{language}": choose en or fr.')
    text = _load(primary)[section][name]
    return text.format_map(values) if values else text


def print_words(languages: tuple[str, ...], section: str, name: str, /, **values: object) -> tuple[str, ...]:
    """Return :func:`print_word` in each language."""
    return tuple(print_word(language, section, name, **values) for language in languages)


def joined(words: tuple[str, ...], joint: str = " / ") -> str:
    """Return texts of several languages as one, those that are alike once."""
    return joint.join(dict.fromkeys(words))
