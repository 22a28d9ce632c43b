"""The names of figures that lie nearest to words which were not understood."""

from __future__ import annotations

import tomllib
import unicodedata
from difflib import get_close_matches
from functools import lru_cache
from importlib import resources


@lru_cache(maxsize=4)
def figure_names(language: str) -> dict[str, tuple[str, ...]]:
    """Return all names of every figure by its id; the first is the one printed."""
    base = language.split("-")[0].lower()
    text = resources.files("noonwall").joinpath("words", base, "figures.toml").read_text("utf-8")
    return {figure: tuple(names) for figure, names in tomllib.loads(text)["names"].items()}


@lru_cache(maxsize=4)
def _all_names(language: str) -> tuple[str, ...]:
    return tuple(name for names in figure_names(language).values() for name in names)


def nearest_names(text: str, language: str, most: int = 3) -> tuple[str, ...]:
    """Return up to ``most`` names of figures that look like ``text``, the nearest first."""
    return tuple(get_close_matches(text.lower().strip(" .,;:()"), _all_names(language), most, 0.6))


def plain(text: str) -> str:
    """Return words without case, accents and hyphens, as they are compared."""
    bare = unicodedata.normalize("NFKD", text.lower().replace("-", " "))
    return " ".join("".join(c for c in bare if not unicodedata.combining(c)).split())
