"""The wording of a written sheet: the tables of ``words/<language>/writing.toml``."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any

from noonwall.dance.model import Foot

LANGUAGES = ("en", "fr", "fr-CA")
_FORMS = re.compile(r"\(([^()|]*)\|([^()|]*)\)")


@dataclass(frozen=True, slots=True)
class Wording:
    """How one language is written. ``language`` is what the reader is told: "en" or "fr"."""

    tag: str
    language: str
    tables: dict[str, dict[str, Any]]
    figures: dict[str, str]

    def one(self, table: str, key: str) -> str:
        """Return the one wording of ``key`` in ``table``.

        Raises:
            KeyError: the table has no such key.
        """
        return str(self.tables[table][key])

    def all(self, table: str, key: str) -> list[str]:
        """Return every wording of ``key``, the preferred first; empty if there is none."""
        held = self.tables[table].get(key, [])
        return [held] if isinstance(held, str) else list(held)

    def foot(self, foot: Foot | None) -> str:
        """Return how a foot is written, "" for none."""
        return "" if foot is None else self.one("feet", foot.value)


def spoken(pattern: str, running: bool) -> str:
    """Choose the verb form of a pattern: "(step|stepping) {foot}" is "step {foot}" or "stepping {foot}"."""
    return _FORMS.sub(lambda match: match[2] if running else match[1], pattern)


@lru_cache(maxsize=4)
def wording_of(language: str) -> Wording:
    """Return the wording of "en", "fr" (France) or "fr-CA" (Québec).

    Raises:
        ValueError: noonwall writes no such language.
    """
    if language not in LANGUAGES:
        raise ValueError(f"{language} is not a language noonwall writes: choose {', '.join(LANGUAGES)}.")
    base = language.split("-")[0]
    tables = _load(base, "writing")
    canada = tables.pop("quebec", {})
    if language == "fr-CA":
        for name, rows in canada.items():
            tables[name] = {**tables[name], **rows}
    names = {figure: spellings[0] for figure, spellings in _load(base, "figures")["names"].items()}
    return Wording(language, base, tables, names)


def _load(language: str, name: str) -> dict[str, dict[str, Any]]:
    file = resources.files("noonwall.words").joinpath(language, f"{name}.toml")
    return tomllib.loads(file.read_text("utf-8"))
