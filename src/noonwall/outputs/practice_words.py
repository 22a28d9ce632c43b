"""The words of practice tracks: their tags, and what is said of them."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from importlib import resources

from noonwall.errors import NoonwallError

PRACTICE_LANGUAGES = ("en", "fr")


@lru_cache(maxsize=len(PRACTICE_LANGUAGES))
def _load(language: str) -> Mapping[str, Mapping[str, str]]:
    file = resources.files("noonwall").joinpath("words", language, "practice.toml")
    return tomllib.loads(file.read_text("utf-8"))


def practice_word(language: str, section: str, name: str, /, **values: object) -> str:
    """Return the words of ``section.name`` with its {braces} filled; a region falls back to its language."""
    primary = language.lower().replace("_", "-").split("-")[0]
    text = _load(primary if primary in PRACTICE_LANGUAGES else "en")[section][name]
    return text.format_map(values) if values else text


def practice_fault(language: str, name: str, /, **values: object) -> NoonwallError:
    """Return an error that speaks the language asked for."""
    return NoonwallError(practice_word(language, "fault", name, **values))
