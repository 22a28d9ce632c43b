"""The words of clips, in the language asked for: ``words/<language>/clip.toml``."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from importlib import resources

from noonwall.errors import NoonwallError

CLIP_LANGUAGES = ("en", "fr")


@lru_cache(maxsize=len(CLIP_LANGUAGES))
def _load(primary: str) -> Mapping[str, Mapping[str, str]]:
    file = resources.files("noonwall").joinpath("words", primary, "clip.toml")
    return tomllib.loads(file.read_text("utf-8"))


def clip_word(language: str, section: str, name: str, /, **values: object) -> str:
    """Return the words of ``section.name`` with its {braces} filled; a region falls back to its language.

    Raises:
        NoonwallError: noonwall makes no clip in that language.
    """
    primary = language.lower().replace("_", "-").split("-")[0]
    if primary not in CLIP_LANGUAGES:
        raise NoonwallError(f'No clip can be made in "{language}": choose en or fr.')
    text = _load(primary)[section][name]
    return text.format_map(values) if values else text


def clip_fault(language: str, name: str, /, **facts: object) -> NoonwallError:
    """Return the error for what cannot be filmed, as one sentence in a language."""
    return NoonwallError(clip_word(language, "fault", name, **facts))
