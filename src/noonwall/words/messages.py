"""Word findings and facts for people: a code and its facts in, sentences in English or French out.

Sentences live in ``<language>/messages.toml``. A field is ``{name:kind}``; the kind says how its value is
worded: ``foot``, ``side``, ``clock``, ``turn`` (signed eighths), ``amount`` (eighths without a side),
``count`` (fraction from 0), ``list``, ``action``, ``format`` (of a file),
``readings`` (other tempos), or none; ``_Words`` below has them all.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from importlib import resources
from string import Formatter
from typing import Any

from noonwall.errors import NoonwallError
from noonwall.findings import Finding

LANGUAGES = ("en", "fr")

LONGEST_QUOTE = 24
"""Characters of the old text that are said again before the new; more is on the screen already."""


@dataclass(frozen=True, slots=True)
class Spoken:
    """A finding in words: a title of a few words, what is shown, and the edit that would mend it ("")."""

    title: str
    shows: str
    mend_text: str = ""

    @property
    def message(self) -> str:
        """Title and explanation as running text."""
        return f"{self.title} {self.shows}".strip()


@lru_cache(maxsize=4)
def messages(language: str) -> dict[str, Any]:
    """Return the table of messages of a language ("en", "fr", or a tag such as "fr-CA").

    Raises:
        NoonwallError: the language is not spoken.
    """
    base = language.split("-")[0].lower()
    if base not in LANGUAGES:
        raise NoonwallError(f'The language "{language}" is not spoken here: choose en or fr.')
    return tomllib.loads(
        resources.files("noonwall").joinpath("words", base, "messages.toml").read_text("utf-8")
    )


def speak(finding: Finding, language: str) -> Spoken:
    """Return a finding in words.

    Raises:
        NoonwallError: the language is not spoken.
        KeyError: the code has no message: a fault of the program.
    """
    table = messages(language)
    template = table["findings"][finding.code]
    facts = dict(finding.facts)
    words = _Words(table)
    mend_text = ""
    if finding.mend:
        usual = "mend" if len(finding.says) <= LONGEST_QUOTE else "mend_line"
        lead = template.get("mend", table["phrase"][usual])
        mend_text = words.vformat(lead, (), facts | {"says": finding.says, "mend": finding.mend})
    return Spoken(
        words.vformat(template["title"], (), facts), words.vformat(template["shows"], (), facts), mend_text
    )


def say(language: str, table: str, key: str, /, **facts: object) -> str:
    """Return one worded phrase of a table of messages.toml, its fields filled in."""
    held = messages(language)
    return _Words(held).vformat(held[table][key], (), facts)


def fault_words(error: NoonwallError, language: str) -> str:
    """Return what an error says, in a language; in its own words if it has no code."""
    if error.code in messages(language)["fault"]:
        return say(language, "fault", error.code, **error.facts)
    return str(error)


def count_text(at: Fraction, language: str = "en") -> str:
    """Return a count as dancers say it: 0 is "1", 1/2 is "1&", 1/4 is "1e", 3/4 is "1a"."""
    whole = int(at // 1)
    signs = {Fraction(0): "", Fraction(1, 2): "&", Fraction(1, 4): "e", Fraction(3, 4): "a"}
    return f"{whole + 1}{signs.get(at - whole, '+')}"


_FRACTIONS = {1: "⅛", 2: "¼", 3: "⅜", 4: "½", 5: "⅝", 6: "¾", 7: "⅞"}


class _Words(Formatter):
    """Words a value by the kind its field names."""

    def __init__(self, table: dict[str, Any]) -> None:
        self.table = table

    def format_field(self, value: Any, format_spec: str) -> str:
        if not format_spec:
            return str(value)
        return str(getattr(self, f"word_{format_spec}")(value))

    def word_foot(self, value: object) -> str:
        """A foot with its article where the language has one."""
        return str(self.table["foot"][str(value)])

    def word_side(self, value: object) -> str:
        return str(self.table["side"].get(str(value), ""))

    def word_clock(self, value: int) -> str:
        facing = int(value) % 8
        hour, half = (facing * 3 // 2) or 12, facing % 2
        return str(self.table["clock"]["half" if half else "whole"].format(hour=hour))

    def word_amount(self, value: int) -> str:
        size = abs(int(value))
        if size in _FRACTIONS:
            return str(self.table["turn"]["part"].format(amount=_FRACTIONS[size]))
        if size % 8 == 0:
            turns = size // 8
            return str(
                self.table["turn"]["none" if not turns else "full" if turns == 1 else "turns"].format(n=turns)
            )
        return str(self.table["turn"]["mixed"].format(n=size // 8, amount=_FRACTIONS[size % 8]))

    def word_turn(self, value: int) -> str:
        amount = self.word_amount(value)
        return f"{amount} {self.table['side']['R' if int(value) > 0 else 'L']}" if value else amount

    def word_count(self, value: Fraction) -> str:
        return count_text(Fraction(value))

    def word_list(self, value: list[object]) -> str:
        words = [str(each) for each in value]
        joint = f" {self.table['phrase']['and']} "
        return joint.join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else "".join(words)

    def word_reasons(self, value: list[object]) -> str:
        return self.word_list([self.table["reason"][str(each)] for each in value])

    def word_place(self, value: object) -> str:
        return str(self.table["place"][str(value)])

    def word_action(self, value: object) -> str:
        return str(self.table["action"].get(str(value), value))

    def word_format(self, value: object) -> str:
        return str(self.table["format"].get(str(value), value))

    def word_readings(self, value: object) -> str:
        """Other tempos with their kinds in brackets, as music/certainty.py tells them: "60.0 (half)"."""
        kinds = self.table["reading"]
        return re.sub(r"\(([\w-]+)\)", lambda met: f"({kinds.get(met[1], met[1])})", str(value))

    def word_metres(self, value: float) -> str:
        text = f"{value:.1f}"
        return text.replace(".", ",") if self.table["phrase"]["decimal"] == "," else text
