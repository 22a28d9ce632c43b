"""The words that are said aloud, by language: ``words/<language>/calls.toml``."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from importlib import resources

from noonwall.errors import NoonwallError

CALL_LANGUAGES = ("en", "fr")


def primary_of(language: str) -> str:
    """Return the language of a BCP 47 tag: "fr-CA" is spoken from the French table.

    Raises:
        NoonwallError: noonwall does not speak that language.
    """
    primary = language.lower().replace("_", "-").split("-")[0]
    if primary not in CALL_LANGUAGES:
        raise NoonwallError(f'Nothing can be said in "{language}": choose en or fr.')
    return primary


@lru_cache(maxsize=len(CALL_LANGUAGES))
def call_table(primary: str) -> Mapping[str, Mapping[str, str]]:
    """Return the table of words of "en" or "fr"."""
    file = resources.files("noonwall").joinpath("words", primary, "calls.toml")
    return tomllib.loads(file.read_text("utf-8"))
