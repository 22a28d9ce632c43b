"""The words that are said aloud: facts to words in each language, and words back to facts.

What is said is a row of facts such as (("figure", "coaster-step"), ("side", "L")), kept in chunks: what
stands between two commas. Words come from ``words/<language>/calls.toml`` alone, and are read back from
there: a text is cut into the expressions of the table, so that a wrong or doubtful wording is found, in
whichever language.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any

from noonwall.errors import NoonwallError
from noonwall.figures import vocabulary
from noonwall.teach.cue import Cue

CALL_LANGUAGES = ("en", "fr")

Fact = tuple[str, str]
Chunk = tuple[Fact, ...]

LONGEST_ROW = 8
"""Steps of one kind that are told in a row: "walk right, left, right"."""

_WORD = re.compile(r"\d+|[^\W\d_]+(?:['’-][^\W\d_]+)*")
_NUMBERED = frozenset({
    "wall", "restart_after", "restart_short", "tag_counts", "tag_inside", "hold_on", "on", "times",
})  # fmt: skip
"""Announcements that hold a number; a part of a phrased dance is named by a letter."""


def primary_of(language: str) -> str:
    """Return the language of a BCP 47 tag: "fr-CA" is spoken from the French table.

    Raises:
        NoonwallError: noonwall does not speak that language.
    """
    primary = language.lower().replace("_", "-").split("-")[0]
    if primary not in CALL_LANGUAGES:
        raise NoonwallError(f'Nothing can be said in "{language}": choose en or fr.')
    return primary


@lru_cache(maxsize=len(CALL_LANGUAGES))
def call_table(primary: str) -> Mapping[str, Mapping[str, str]]:
    """Return the table of words of "en" or "fr"."""
    file = resources.files("noonwall").joinpath("words", primary, "calls.toml")
    return tomllib.loads(file.read_text("utf-8"))


@dataclass(frozen=True, slots=True)
class CallRules:
    """How figures and steps are called in any language; see ``call_rules.toml``."""

    sideways: frozenset[str]
    unsure: frozenset[str]
    telling: frozenset[str]
    no_side: frozenset[str]
    full_turn: frozenset[str]
    rows: frozenset[str]
    same_as: Mapping[str, str]
    turned_as: Mapping[str, str]
    steps: Mapping[str, str]


@lru_cache(maxsize=1)
def call_rules() -> CallRules:
    """Return the rules of calling."""
    file = resources.files("noonwall").joinpath("teach", "call_rules.toml")
    told: dict[str, Any] = tomllib.loads(file.read_text("utf-8"))
    lists = ("sideways", "unsure", "telling", "no_side", "full_turn", "rows")
    names = {name: frozenset(told[name]) for name in lists}
    return CallRules(**names, same_as=told["same_as"], turned_as=told["turned_as"], steps=told["steps"])


@lru_cache(maxsize=len(CALL_LANGUAGES))
def _printed_names(primary: str) -> Mapping[str, str]:
    """Return the printed name of every figure: the first of ``figures.toml``."""
    file = resources.files("noonwall").joinpath("words", primary, "figures.toml")
    names: dict[str, list[str]] = tomllib.loads(file.read_text("utf-8"))["names"]
    return {figure: told[0] for figure, told in names.items()}


# --- facts to words ----------------------------------------------------------------------------------------


def say_chunks(chunks: Iterable[Chunk], language: str) -> str:
    """Return the words of several chunks, with commas between.

    Raises:
        KeyError: a fact has no words.
    """
    return ", ".join(say_chunk(chunk, language) for chunk in chunks)


@lru_cache(maxsize=4096)
def say_chunk(chunk: Chunk, language: str) -> str:
    """Return the words of one chunk in a language.

    Raises:
        KeyError: a fact has no words.
    """
    table = call_table(primary_of(language))
    told = dict(chunk)
    if "figure" in told:
        return _say_figure(told, table, primary_of(language))
    if "step" in told:
        step = _say_step(told["step"], told.get("side", ""), table)
        return f"{step} {_say_turn(told['turn'], table)}" if "turn" in told else step
    key, value = chunk[0]
    if key == "turn":
        return _say_turn(value, table)
    if key == "count":
        part = value.startswith("+")
        return table["between"][value[1:]] if part else table["numbers"][value]
    if key in ("facing", "clock"):
        return table[key][value]
    return table["announce"][key].format(n=value)


def figure_name(figure: str, place: str, primary: str) -> tuple[str, bool]:
    """Return what a figure is called, and whether that says its place."""
    table = call_table(primary)
    at = table["figures_at"].get(f"{figure}.{place}")
    return (at, True) if at else (table["figures"].get(figure) or _printed_names(primary)[figure], False)


def _say_figure(told: Mapping[str, str], table: Mapping[str, Mapping[str, str]], primary: str) -> str:
    figure, place = told["figure"], told.get("place", "")
    name, has_place = figure_name(figure, place, primary)
    is_sideways = figure in call_rules().sideways
    order = "sideways" if is_sideways or len(told.get("side", "")) > 1 else "foot"
    sides = table["sides_to" if is_sideways else "sides"]
    side = sides[told["side"]] if "side" in told else ""
    text = table["order"][order].format(
        name=name.format(side=side),
        place=table["places"][place] if place and not has_place else "",
        side="" if "{side}" in name else side,
        turn=_say_turn(told["turn"], table) if "turn" in told else "",
    )
    return " ".join(text.split())


def _say_turn(value: str, table: Mapping[str, Mapping[str, str]]) -> str:
    return table["turns"][value[1:]].format(side=table["sides_to"][value[0]])


def _say_step(step: str, side: str, table: Mapping[str, Mapping[str, str]]) -> str:
    if not side:
        return table["steps"][step]
    if len(side) > 1:
        return " ".join([table["steps"][step], *(table["sides_row"][foot] for foot in side)])
    sided = table["sided"].get(step)
    if sided is None:
        return table["order"]["step"].format(name=table["steps"][step], side=table["sides"][side])
    return sided.format(
        side=table["sides"][side],
        side_m=table["sides_m"][side],
        side_f=table["sides_f"][side],
        side_to=table["sides_to"][side],
    )


# --- words to facts ----------------------------------------------------------------------------------------

_Expressions = dict[tuple[str, ...], list[Chunk]]


@lru_cache(maxsize=len(CALL_LANGUAGES))
def _expressions(primary: str) -> Mapping[str, _Expressions]:
    """Return the expressions of a language by sort, each a row of words with the facts it may stand for."""
    table = call_table(primary)
    out: dict[str, _Expressions] = {
        sort: {} for sort in ("figure", "place", "side", "turn", "step", "announce")
    }

    def add(sort: str, text: str, *facts: Fact) -> None:
        out[sort].setdefault(_words(text), []).append(facts)

    for figure in vocabulary().figures:
        name = figure_name(figure, "", primary)[0]
        add("figure", name.format(side=""), ("figure", figure))
        for side in table["sides_to"] if "{side}" in name else ():
            add("figure", name.format(side=table["sides_to"][side]), ("figure", figure), ("side", side))
    for name, text in table["figures_at"].items():
        figure, place = name.rsplit(".", 1)
        add("figure", text, ("figure", figure), ("place", place))
    for place, text in table["places"].items():
        add("place", text, ("place", place))
    for side in table["sides"]:
        for told in {table["sides"][side], table["sides_to"][side]}:
            add("side", told, ("side", side))
    for side in ("R", "L"):
        for amount in table["turns"]:
            add("turn", _say_turn(side + amount, table), ("turn", side + amount))
        for step in table["steps"]:
            add("step", _say_step(step, side, table), ("step", step), ("side", side))
    for step, text in table["steps"].items():
        add("step", text, ("step", step))
        for length in range(2, LONGEST_ROW + 1) if step in call_rules().rows else ():
            for row in (("RL" * length)[:length], ("LR" * length)[:length]):
                add("step", _say_step(step, row, table), ("step", step), ("side", row))
    for name, text in table["announce"].items():
        number = "#" if name in _NUMBERED else "§" if name == "part" else ""
        add("announce", text.format(n="0" if number == "#" else "Z"), (name, number))
    for key in ("facing", "clock"):
        for value, text in table[key].items():
            add("announce", text, (key, value))
    for value, text in table["numbers"].items():
        add("announce", text, ("count", value))
    for value, text in table["between"].items():
        add("announce", text, ("count", f"+{value}"))
    return out


def _words(text: str) -> tuple[str, ...]:
    return tuple(_WORD.findall(text.lower()))


def read_chunk(text: str, language: str) -> frozenset[Chunk]:
    """Return every row of facts that a chunk of words may stand for, sorted; one if it is well worded."""
    primary, words = primary_of(language), _words(text)
    found = set()
    for sorts in (("figure", "place", "side", "turn"), ("step", "turn"), ("turn",), ("announce",)):
        for facts in _readings(words, sorts, _expressions(primary)):
            keys = [key for key, _ in facts]
            is_one = len(set(keys)) == len(keys) and sorts[0] in (*keys, "announce") and _may_be(dict(facts))
            # words may be cut into expressions that are never said in that order
            if is_one and _words(say_chunk(tuple(sorted(facts)), language)) == words:
                found.add(tuple(sorted(facts)))
    return frozenset(found)


def _may_be(told: Mapping[str, str]) -> bool:
    """True unless a figure is given a place where it is not danced, or where it is another figure."""
    figure, place = told.get("figure", ""), told.get("place", "")
    return not (figure and place) or (
        figure in _with_places() and f"{figure}.{place}" not in call_rules().same_as
    )


@lru_cache(maxsize=1)
def _with_places() -> frozenset[str]:
    """Return the figures that a text may place otherwise, such as a shuffle forward or back."""
    figures = vocabulary().figures.values()
    return frozenset(f.id for f in figures if any(s.open_place for form in f.forms for s in form.steps))


def _readings(
    words: tuple[str, ...], sorts: tuple[str, ...], expressions: Mapping[str, _Expressions]
) -> Iterator[Chunk]:
    """Give every way to cut a row of words into expressions of some sorts."""
    if not words:
        yield ()
        return
    for length in range(len(words), 0, -1):
        for sort in sorts:
            for facts in _known(words[:length], expressions[sort], sort):
                for rest in _readings(words[length:], sorts, expressions) if sort != "announce" else [()]:
                    if sort != "announce" or length == len(words):
                        yield (*facts, *rest)


def _known(words: tuple[str, ...], expressions: _Expressions, sort: str) -> Iterator[Chunk]:
    yield from (facts for facts in expressions.get(words, ()) if facts[0][1] not in ("#", "§"))
    if sort != "announce":
        return
    for place, word in enumerate(words):
        stand_in = "0" if word.isdigit() else "z"
        for facts in expressions.get((*words[:place], stand_in, *words[place + 1 :]), ()):
            if facts[0][1] == ("#" if word.isdigit() else "§"):
                yield ((facts[0][0], word.upper()),)


def read_facts(text: str, language: str) -> tuple[Fact, ...] | None:
    """Return the facts that a text says, sorted within each chunk; None if it cannot be read in one way."""
    out: list[Fact] = []
    for chunk in text.split(","):
        found = read_chunk(chunk, language)
        if len(found) != 1:
            return None
        out += next(iter(found))
    return tuple(out)


def same_facts(cue: Cue, languages: Iterable[str]) -> bool:
    """True if the words of a cue, read back in each language, say exactly its facts and nothing else."""
    return all(
        read_facts(text, language) == cue.facts for text, language in zip(cue.words, languages, strict=True)
    )
