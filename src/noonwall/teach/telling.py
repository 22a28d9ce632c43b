"""Told: one remark as an id with its facts, and its text in every language, made from the same facts."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any

from noonwall.dance.turns import clock
from noonwall.errors import NoonwallError
from noonwall.words.messages import say

Words = tuple[str, ...]
"""One text for each language of a lesson, in its order; all say the same."""

LESSON_LANGUAGES = ("en", "fr")


@dataclass(frozen=True, slots=True)
class Told:
    """A remark: ``id`` is a key of ``words/<language>/lesson.toml``, ``facts`` what it says, ``texts`` how.

    Facts are plain: feet are L, R or B, facings eighths from 12:00, figures their ids, numbers digits. Every
    text holds all of them, in the words of its language.
    """

    id: str
    facts: tuple[tuple[str, str], ...]
    texts: Words

    def fact(self, name: str) -> str:
        """Return one fact, "" if the remark does not have it."""
        return dict(self.facts).get(name, "")


@lru_cache(maxsize=len(LESSON_LANGUAGES))
def lesson_words(language: str) -> Mapping[str, Mapping[str, str]]:
    """Return the tables of a language; a region ("fr-CA") has those of its language.

    Raises:
        NoonwallError: no lesson is told in that language.
    """
    primary = language.lower().replace("_", "-").split("-")[0]
    if primary not in LESSON_LANGUAGES:
        raise NoonwallError(f'No lesson is told in "{language}": choose en or fr.')
    file = resources.files("noonwall.words").joinpath(primary, "lesson.toml")
    return tomllib.loads(file.read_text("utf-8"))


@lru_cache(maxsize=len(LESSON_LANGUAGES))
def _figure_names(language: str) -> Mapping[str, list[str]]:
    file = resources.files("noonwall.words").joinpath(language, "figures.toml")
    names: Mapping[str, list[str]] = tomllib.loads(file.read_text("utf-8"))["names"]
    return names


def lesson_word(language: str, table: str, name: str, /, **values: object) -> str:
    """Return the words of ``table.name`` with its {braces} filled as they are given."""
    text = lesson_words(language)[table][name]
    return text.format_map(values) if values else text


def lesson_texts(languages: tuple[str, ...], table: str, name: str, /, **values: object) -> Words:
    """Return :func:`lesson_word` in each language."""
    return tuple(lesson_word(language, table, name, **values) for language in languages)


def told(languages: tuple[str, ...], id: str, /, **facts: object) -> Told:
    """Return a remark in each language.

    Args:
        languages: BCP 47 tags.
        id: "table.key" of ``lesson.toml``; where ``n`` is 1 and the table has "key_one", that is taken.
        facts: what it says; lists are joined with commas.
    """
    plain = tuple((name, _plain(value)) for name, value in facts.items())
    return Told(id, plain, tuple(_text(language, id, dict(plain)) for language in languages))


def _plain(value: object) -> str:
    if isinstance(value, list | tuple):
        return ", ".join(_plain(one) for one in value)
    return str(value)


def _text(language: str, id: str, facts: dict[str, str]) -> str:
    table, _, key = id.partition(".")
    words = lesson_words(language)[table]
    if facts.get("n") == "1" and f"{key}_one" in words:
        key = f"{key}_one"
    text = words[key].format_map({name: worded(language, name, value) for name, value in facts.items()})
    return typographic(language, text)


def typographic(language: str, text: str) -> str:
    """Return a sentence whose French signs keep their space but do not begin a line."""
    return _BEFORE_SIGN.sub("\u00a0", text) if language.lower().startswith("fr") else text


_BEFORE_SIGN = re.compile(r" (?=[;:!?»%×])|(?<=«) ")


def worded(language: str, name: str, value: str) -> str:
    """Return a fact in the words of a language: its name tells what it is (see :data:`_AS`)."""
    return _AS[name](language.split("-")[0].lower(), value) if name in _AS and value else value


def _foot(language: str, value: str) -> str:
    return lesson_words(language)["foot"][value]


def _side(language: str, value: str) -> str:
    return lesson_words(language)["side"][value]


def _clock(_: str, value: str) -> str:
    return clock(int(value))


def _figures(language: str, value: str) -> str:
    names = _figure_names(language)
    return ", ".join(names[one][0] if one in names else one for one in value.split(", "))


def _turn(language: str, value: str) -> str:
    return lesson_words(language)["turn"].get(value, f"{value}/8")


def _feet(language: str, value: str) -> str:
    words = lesson_words(language)["feet"]
    return ", ".join(words.get(one, one) for one in value.split(", "))


def _move(language: str, value: str) -> str:
    return lesson_words(language)["move"][value]


def _caution(language: str, value: str) -> str:
    return say(language, "caution", value)


def _part(language: str, value: str) -> str:
    """Return what a part is called: "Part A", "Tag 2", "Ending"."""
    words = lesson_words(language)["part"]
    kind, number = re.fullmatch(r"(tag|bridge|ending|main)?(.*)", value, re.DOTALL).groups()  # type: ignore[union-attr]
    return f"{words[kind]} {number}".strip() if kind else f"{words['part']} {value}"


def _source(language: str, value: str) -> str:
    return lesson_words(language)["source"][value]


_AS: dict[str, Callable[[str, str], str]] = {
    **dict.fromkeys(("foot", "lead", "next_foot"), _foot),
    "side": _side,
    **dict.fromkeys(("facing", "facing_end", "shown", "shown_end"), _clock),
    **dict.fromkeys(("figure", "figures", "was"), _figures),
    "turn": _turn,
    "feet": _feet,
    "move": _move,
    "caution": _caution,
    "source": _source,
    "part": _part,
}


def told_plain(one: Told, languages: tuple[str, ...]) -> dict[str, Any]:
    """Return a remark for programs."""
    return {"id": one.id, "facts": dict(one.facts), "texts": dict(zip(languages, one.texts, strict=True))}
