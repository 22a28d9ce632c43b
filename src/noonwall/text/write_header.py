"""Write the facts of a dance above its steps: title, author, counts, walls, level, music, intro, start."""

from __future__ import annotations

import re

from noonwall.dance.model import Dance, Foot
from noonwall.text.header import read_header
from noonwall.text.lexicon import fold
from noonwall.text.write_facings import shows_start
from noonwall.text.write_words import Wording, wording_of


def write_header(dance: Dance, wording: Wording) -> list[str]:
    """Return the lines of facts, the title first wherever the reader still finds it there."""
    facts = _facts(dance, wording)
    if not dance.title:
        return facts
    labelled = wording.one("header", "title").format(value=dance.title)
    first = [dance.title, *facts]
    for lines in (first, [labelled, *facts], [*facts, labelled]):
        numbered = list(enumerate(lines, 1))
        told, without = read_header(numbered, []), read_header(list(enumerate(facts, 1)), [])
        same = (told.counts, told.walls, told.level, told.intro, told.bpm, told.is_waltz, told.start_free)
        alone = (without.counts, without.walls, without.level, without.intro, without.bpm, without.is_waltz)
        if told.title == dance.title and same == (*alone, without.start_free):
            return lines
    return first


def _facts(dance: Dance, wording: Wording) -> list[str]:
    """Return the lines of facts below the title."""
    told: list[str] = []
    if dance.choreographer:
        told.append(_fact(wording, "choreographer", dance.choreographer))
    if dance.date and dance.date not in dance.choreographer:
        told.append(_fact(wording, "date", date_in(dance.date, wording)))
    body = []
    if dance.stated_counts is not None:
        body.append(_fact(wording, "counts", dance.stated_counts))
    if dance.stated_walls is not None:
        body.append(_fact(wording, "walls", dance.stated_walls))
    if dance.level:
        level = level_in(dance.level, dance.language, wording)
        body.append(_fact(wording, "level", level[:1].upper() + level[1:]))
    if dance.beats_per_bar == 3:
        body.append(wording.one("header", "rhythm"))
    if body:
        told.append(wording.one("header", "facts").join(body))
    if dance.music:
        told.append(_fact(wording, "music", dance.music))
    if dance.bpm is not None and not _says_bpm(dance.music, dance.bpm):
        told.append(_fact(wording, "bpm", f"{dance.bpm:g}"))
    if dance.intro_counts is not None:
        told.append(_fact(wording, "intro", dance.intro_counts))
    if dance.start_free_foot is Foot.LEFT or not shows_start(dance.main):
        told.append(wording.one("header", "start").format(foot=wording.foot(dance.start_free_foot.other)))
    return told


def _says_bpm(text: str, bpm: float) -> bool:
    """True if a line of music already tells the tempo."""
    return bool(re.search(rf"\b{bpm:g}\s*bpm\b|\bbpm\W{{0,3}}{bpm:g}\b", text, re.I))


def _fact(wording: Wording, name: str, value: object) -> str:
    return wording.one("header", name).format(value=value)


def level_id(level: str, language: str) -> str:
    """Return the id of a level as a sheet in ``language`` writes it; a level of no table is its own id."""
    for tag in dict.fromkeys((language.split("-")[0], "en", "fr")):
        for name, spellings in wording_of(tag).tables["levels"].items():
            if fold(level) in {fold(spelling) for spelling in spellings}:
                return str(name)
    return level.lower()


def level_in(level: str, language: str, wording: Wording) -> str:
    """Return a level in the words of ``wording``; a level of that language is kept."""
    if language.split("-")[0] == wording.language:
        return level
    name = level_id(level, language)
    spellings = wording.all("levels", name)
    if not spellings or fold(level) in {fold(spelling) for spelling in spellings}:
        return level
    return spellings[0]


def month_number(word: str) -> int | None:
    """Return 1..12 for the name of a month, or its first letters, in English or French; None otherwise."""
    folded = fold(word).rstrip(".")
    if len(folded) < 3:
        return None
    for tag in ("en", "fr"):
        for number, name in enumerate(wording_of(tag).all("months", "names"), 1):
            if fold(name).startswith(folded):
                return number
    return None


def date_in(date: str, wording: Wording) -> str:
    """Return a date with its month in the words of ``wording``."""

    def month(match: re.Match[str]) -> str:
        number = month_number(match[0])
        names = wording.all("months", "names")
        if number is None or fold(names[number - 1]).startswith(fold(match[0]).rstrip(".")):
            return match[0]
        return names[number - 1]

    return re.sub(r"[^\W\d_]+\.?", month, date)
