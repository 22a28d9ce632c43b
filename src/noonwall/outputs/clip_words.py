"""The words of clips, in the language asked for: ``words/<language>/clip.toml``."""

from __future__ import annotations

from noonwall.errors import NoonwallError
from noonwall.words.tables import word_table

CLIP_LANGUAGES = ("en", "fr")


def clip_word(language: str, section: str, name: str, /, **values: object) -> str:
    """Return the words of ``section.name`` with its {braces} filled; a region falls back to its language.

    Raises:
        NoonwallError: noonwall makes no clip in that language.
    """
    primary = language.lower().replace("_", "-").split("-")[0]
    if primary not in CLIP_LANGUAGES:
        raise NoonwallError(f'No clip can be made in "{language}": choose en or fr.')
    text = word_table(primary, "clip")[section][name]
    return text.format_map(values) if values else text


def clip_fault(language: str, name: str, /, **facts: object) -> NoonwallError:
    """Return the error for what cannot be filmed, as one sentence in a language."""
    return NoonwallError(clip_word(language, "fault", name, **facts))
