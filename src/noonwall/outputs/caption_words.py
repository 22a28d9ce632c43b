"""The words of captions and chapters, in the language asked for."""

from __future__ import annotations

from noonwall.teach.call_words import primary_of
from noonwall.words.tables import word_table


def caption_word(language: str, section: str, name: str, /, **values: object) -> str:
    """Return the words of ``section.name`` with its {braces} filled; a region falls back to its language.

    Raises:
        NoonwallError: noonwall does not speak that language.
    """
    return word_table(primary_of(language), "captions")[section][name].format_map(values)


def clock_word(language: str, facing: int) -> str:
    """Return a facing in eighths as a clock of the language: "3:00", "3h"."""
    hour = facing % 8 * 3 // 2 or 12
    return caption_word(language, "clock", "half" if facing % 2 else "whole", hour=hour)
