"""What the studio's dance page asks for: a text proved as one types, danced, in both languages."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from noonwall.errors import CannotDance
from noonwall.findings import Severity
from noonwall.outputs.markup import symbols
from noonwall.outputs.markup import text as escaped
from noonwall.outputs.page import film_choice, film_data, stage, strips
from noonwall.outputs.page_data import PageData
from noonwall.outputs.page_parts import shared_values
from noonwall.outputs.page_words import PageWords, page_words
from noonwall.pipeline.paging import page_data
from noonwall.pipeline.proving import Proved, prove
from noonwall.pipeline.rewriting import rewritten
from noonwall.pipeline.shelving import shelf_facts

MOST_CHARACTERS = 200_000
"""Longest text that the studio reads: far beyond any sheet, and still proved in seconds."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """How many remarks of one kind there are, worded, and the line of the first; "clean" is good news."""

    kind: str
    words: str
    line: int = 0


@dataclass(frozen=True, slots=True)
class SheetChecked:
    """A text checked: facts, remarks by line, and the first step danced on each line.

    ``data`` holds facts, findings and gaps as the page of a proved dance shows them.
    """

    language: str
    is_danced: bool
    verdicts: tuple[Verdict, ...]
    data: PageData
    first_steps: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class FilmShown:
    """A text danced: the script's data, and the pieces of the page that belong to it as HTML."""

    data: dict[str, Any]
    films: str
    strips: str


@lru_cache(maxsize=128)
def proved_text(text: str) -> Proved:
    """Return a text proved; the latest are kept, for a page asks several times."""
    return prove(text)


def facts_for_shelf(text: str) -> dict[str, Any]:
    """Return the facts by which a shelf finds a text."""
    return shelf_facts(proved_text(text))


def check_sheet(text: str, told: str) -> SheetChecked:
    """Check a text, without making its film.

    Args:
        text: the sheet.
        told: language of the remarks.
    """
    proved = proved_text(text)
    data = page_data(proved, told, with_films=False)
    return SheetChecked(
        proved.reading.language,
        proved.run is not None,
        _verdicts(data, proved.run is not None, page_words(told)),
        data,
        _first_steps(proved),
    )


def _verdicts(data: PageData, is_danced: bool, words: PageWords) -> tuple[Verdict, ...]:
    told = []
    kinds = [(each.value, [f.line for f in data.findings if f.severity is each]) for each in Severity]
    for kind, lines in [*kinds, ("gap", [gap.line for gap in data.not_understood])]:
        if lines:
            told.append(Verdict(kind, words.number("verdict", kind, len(lines)), min(lines)))
    if not told and is_danced:
        told = [Verdict("clean", words.say("verdict", "clean"))]
    return tuple(told)


def _first_steps(proved: Proved) -> tuple[tuple[int, int], ...]:
    """Return (line, step) of every line that begins something of the first film."""
    if proved.dance is None:
        return ()
    first: dict[int, int] = {}
    part = next((part for part in proved.dance.parts if part.kind in ("main", "part")), None)
    at = 0
    for figure in (figure for section in (part.sections if part else ()) for figure in section.figures):
        if figure.place and figure.steps:
            first.setdefault(figure.place.line, at)
        at += len(figure.steps)
    return tuple(first.items())


def film_of_text(text: str, told: str) -> FilmShown:
    """Dance a text for the page, worded in the language ``told``."""
    return _film(page_data(proved_text(text), told), page_words(told))


def _film(data: PageData, words: PageWords) -> FilmShown:
    films = tuple(film for film in data.films if film.steps)
    if not films:
        return FilmShown({**film_data(data, words), "films": []}, "", '<div id="strips"></div>')
    return FilmShown(film_data(data, words), film_choice(data, words), strips(data, words))


@lru_cache(maxsize=4)
def empty_stage(told: str) -> tuple[str, str]:
    """Return the page's symbols and its stage without a film, as HTML, in the language ``told``."""
    words = page_words(told)
    shown = stage(PageData("", (), (), ()), words)
    return symbols(words), shown.replace(" hidden>", ">", 1)


@lru_cache(maxsize=4)
def floor_picture(told: str) -> tuple[str, str]:
    """Return the page's symbols and the floor alone, without controls, as HTML."""
    words = page_words(told)
    scene = shared_values(words, ("page", "controls", "legend", "feet"))["floor_scene"]
    name = escaped(words.say("page", "floor"))
    return symbols(words), (
        f'<svg id="floor" class="floor" viewBox="-118 -106 236 212" role="img" aria-label="{name}">'
        f"{scene}</svg>"
    )


def beside_each_other(text: str) -> tuple[tuple[str, str], ...]:
    """Return the sheet written anew in English and French, line beside line.

    Raises:
        CannotDance: there is no dance to write.
    """
    english, french = (rewritten(proved_text(text), tag).split("\n") for tag in ("en", "fr"))
    longest = max(len(english), len(french))
    english += [""] * (longest - len(english))
    french += [""] * (longest - len(french))
    return tuple(zip(english, french, strict=True))


def written_in(text: str, language: str) -> str:
    """Return the sheet written anew in a language ("en", "fr").

    Raises:
        CannotDance: there is no dance to write.
    """
    return rewritten(proved_text(text), language)


__all__ = [
    "MOST_CHARACTERS",
    "CannotDance",
    "FilmShown",
    "SheetChecked",
    "Verdict",
    "beside_each_other",
    "check_sheet",
    "empty_stage",
    "facts_for_shelf",
    "film_of_text",
    "floor_picture",
    "proved_text",
    "written_in",
]
