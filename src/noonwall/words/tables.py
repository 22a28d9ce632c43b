"""Read a table of words: ``words/<language>/<name>.toml``."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from importlib import resources


@lru_cache(maxsize=32)
def word_table(primary: str, name: str) -> Mapping[str, Mapping[str, str]]:
    """Return the table ``name`` of a language ("en", "fr"), read once."""
    file = resources.files("noonwall").joinpath("words", primary, f"{name}.toml")
    return tomllib.loads(file.read_text("utf-8"))
