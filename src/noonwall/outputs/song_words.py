"""The words of a song's page: its own, and those it shares with the page of a proved dance."""

from __future__ import annotations

import tomllib
from functools import lru_cache
from importlib import resources

from noonwall.outputs.page_words import LANGUAGES, PageWords, page_words


@lru_cache(maxsize=len(LANGUAGES))
def _load(language: str) -> PageWords:
    file = resources.files("noonwall").joinpath("words", language, "song_page.toml")
    own = tomllib.loads(file.read_text("utf-8"))
    return PageWords(language, {**page_words(language).table, **own})


def song_words(language: str) -> PageWords:
    """Return the words for a BCP 47 tag; a region falls back to its language.

    Raises:
        NoonwallError: noonwall does not speak that language.
    """
    return _load(page_words(language).language)


def clock_text(seconds: float) -> str:
    """Return seconds as a person writes them: 0:42, 3:10."""
    whole = int(max(0.0, seconds) + 1e-6)
    return f"{whole // 60}:{whole % 60:02d}"


def number_text(value: float, words: PageWords) -> str:
    """Return a number with at most one decimal, with the decimal sign of the language (CLDR: fr has ",")."""
    plain = f"{value:.1f}".removesuffix(".0")
    return plain.replace(".", ",") if words.language == "fr" else plain


def sure_word(certainty: float) -> str:
    """Return the id of a certainty in words: certain from .85, likely from .6, else doubtful.

    .6 is where listening itself begins to doubt; .85 is our own choice.
    """
    return "certain" if certainty >= 0.85 else "likely" if certainty >= 0.6 else "doubtful"
