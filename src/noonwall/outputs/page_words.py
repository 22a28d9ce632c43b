"""The page's own words, in the language asked for."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources

from noonwall.errors import NoonwallError

LANGUAGES = ("en", "fr")

FRACTIONS = {1: "⅛", 2: "¼", 3: "⅜", 4: "½", 5: "⅝", 6: "¾", 7: "⅞", 8: "1"}
"""Eighths of a turn as a reader writes them."""


@dataclass(frozen=True, slots=True)
class PageWords:
    """All words of the page in one language, by section and id."""

    language: str
    table: Mapping[str, Mapping[str, str]]

    def say(self, section: str, name: str, **values: object) -> str:
        """Return the words of ``section.name`` with its {braces} filled from ``values``."""
        text = self.table[section][name]
        return text.format_map(values) if values else text

    def number(self, section: str, name: str, n: int) -> str:
        """Return the singular or plural of ``section.name``; French counts 0 as singular, English does not.

        Source: Unicode CLDR plural rules, languages en and fr.
        """
        single = n < 2 if self.language == "fr" else n == 1
        return self.say(section, f"{name}_{'one' if single else 'many'}", n=n)

    def turn(self, eighths: int) -> str:
        """Return a turn in words ("¼ turn right"), "" for none; whole turns are added up ("1¼")."""
        if not eighths:
            return ""
        return self.say("turn", "right" if eighths > 0 else "left", amount=turn_amount(eighths))

    def turn_short(self, eighths: int) -> str:
        """Return a turn as a mark of a few characters ("¼ R"), "" for none."""
        if not eighths:
            return ""
        letter = self.say("turn", "letter_right" if eighths > 0 else "letter_left")
        return f"{turn_amount(eighths)} {letter}"


def turn_amount(eighths: int) -> str:
    """Return the size of a turn as a mixed number: 2 gives "¼", 10 gives "1¼"."""
    whole, part = divmod(abs(eighths), 8)
    return (str(whole) if whole else "") + (FRACTIONS[part] if part else "")


@lru_cache(maxsize=len(LANGUAGES))
def _load(language: str) -> PageWords:
    file = resources.files("noonwall").joinpath("words", language, "page.toml")
    return PageWords(language, tomllib.loads(file.read_text("utf-8")))


def page_words(language: str) -> PageWords:
    """Return the page's words for a BCP 47 tag; a region falls back to its language ("fr-CA" to "fr").

    Raises:
        NoonwallError: noonwall does not speak that language.
    """
    primary = language.lower().replace("_", "-").split("-")[0]
    if primary not in LANGUAGES:
        raise NoonwallError(f'No page can be made in "{language}": choose {" or ".join(LANGUAGES)}.')
    return _load(primary)
