"""What the shelf says of itself, and why two dances are alike, in the language asked for."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from noonwall.errors import NoonwallError
from noonwall.words.nearest import figure_names
from noonwall.words.tables import word_table

SHELF_LANGUAGES = ("en", "fr")


class LikenessFound(Protocol):
    """What a shelf says of a dance that is like another."""

    @property
    def shared_counts(self) -> int:
        """Counts that both dance."""

    @property
    def counts(self) -> int:
        """Counts that were compared."""

    @property
    def is_mirrored(self) -> bool:
        """True if the shared steps begin with the other foot."""

    @property
    def figures(self) -> Sequence[str]:
        """Figures that both use."""


def shelf_word(language: str, section: str, name: str, /, **facts: object) -> str:
    """Return the words of ``section.name``, its fields filled in; a region falls back to its language.

    Raises:
        NoonwallError: the language is not spoken.
    """
    primary = language.lower().replace("_", "-").split("-")[0]
    if primary not in SHELF_LANGUAGES:
        raise NoonwallError(f'The shelf does not speak "{language}": choose en or fr.')
    table = word_table(primary, "shelf")[section]
    # Unicode CLDR plural rules: English has one for 1, French for 0 and 1
    if facts.get("n") in ((0, 1) if primary == "fr" else (1,)):
        name = f"{name}_one" if f"{name}_one" in table else name
    return table[name].format_map(facts)


def why_alike(found: LikenessFound, language: str) -> str:
    """Return in a sentence why two dances are alike."""
    told = shelf_word(language, "alike", "shared", shared=found.shared_counts, counts=found.counts)
    if found.is_mirrored:
        told += shelf_word(language, "alike", "mirrored")
    if found.figures:
        told += shelf_word(language, "alike", "figures", n=len(found.figures))
    return f"{told}."


def figure_name(figure: str, language: str) -> str:
    """Return the name of a figure in a language; an id that is none stays as it is."""
    return figure_names(language.split("-")[0]).get(figure, (figure,))[0]
