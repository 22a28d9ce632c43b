"""The words of the studio's pages, in the language asked for."""

from __future__ import annotations

import re
import tomllib
from functools import lru_cache
from importlib import resources

from noonwall.outputs.page_words import LANGUAGES, PageWords, page_words


@lru_cache(maxsize=len(LANGUAGES))
def _load(language: str) -> PageWords:
    file = resources.files("noonwall").joinpath("words", language, "studio.toml")
    table = {**page_words(language).table, **tomllib.loads(file.read_text("utf-8"))}
    if language == "fr":
        table = {name: {key: _bound(said) for key, said in words.items()} for name, words in table.items()}
    return PageWords(language, table)


def _bound(said: str) -> str:
    """Return French words with their signs bound to them: no line begins with a colon (CLDR)."""
    return re.sub(r" (?=[:;?!»…])|(?<=«) ", "\u00a0", said)


def studio_words(language: str) -> PageWords:
    """Return the words for a BCP 47 tag, with those of the page of a proved dance; a region falls back.

    Raises:
        NoonwallError: the studio does not speak that language.
    """
    return _load(page_words(language).language)


def studio_language(asked: str) -> str:
    """Return the first language that the studio speaks of an Accept-Language header (RFC 9110), else "en"."""
    wanted: list[tuple[float, str]] = []
    for one in asked.split(","):
        tag, _, quality = one.strip().partition(";q=")
        try:
            wanted.append((-float(quality or 1), tag.split("-")[0].lower()))
        except ValueError:
            continue
    spoken = [tag for _, tag in sorted(wanted, key=lambda each: each[0]) if tag in LANGUAGES]
    return spoken[0] if spoken else LANGUAGES[0]


__all__ = ["LANGUAGES", "PageWords", "studio_language", "studio_words"]
