"""The words of captions and chapters, in the language asked for."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from importlib import resources

from noonwall.teach.call_words import primary_of


@lru_cache(maxsize=2)
def _load(primary: str) -> Mapping[str, Mapping[str, str]]:
    file = resources.files("noonwall").joinpath("words", primary, "captions.toml")
    return tomllib.loads(file.read_text("utf-8"))


def caption_word(language: str, section: str, name: str, /, **values: object) -> str:
    """Return the words of ``section.name`` with its {braces} filled; a region falls back to its language.

    Raises:
        NoonwallError: noonwall does not speak that language.
    """
    return _load(primary_of(language))[section][name].format_map(values)


def clock_word(language: str, facing: int) -> str:
    """Return a facing in eighths as a clock of the language: "3:00", "3h"."""
    hour = facing % 8 * 3 // 2 or 12
    return caption_word(language, "clock", "half" if facing % 2 else "whole", hour=hour)
