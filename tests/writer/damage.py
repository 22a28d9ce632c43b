"""Damage a sheet's characters and spelling the way files and typists do, without changing what it means."""

from __future__ import annotations

import re
from collections.abc import Callable
from random import Random

MISSPELT = {
    "forward": ("fordward", "foward"),
    "coaster": ("coster",),
    "shuffle": ("shuffel", "suffle"),
    "vaudeville": ("vaudevile",),
    "heel": ("heal",),
    "croiser": ("croisser",),
    "assembler": ("asembler",),
    "talon": ("tallon",),
    "recover": ("recovor",),
    "behind": ("behing",),
    "gauche": ("gauhce",),
}
EMOJI = ("💃🕺", "🎵", "❤️", "😀", "👢👢", "✨")
#: UTF-8 bytes of ¼ ½ ¾ read as Windows-1253 (Greek) and as Windows-1252.
GREEK = {"¼": "ΒΌ", "½": "Β½", "¾": "ΒΎ"}
LATIN = {"¼": "Â¼", "½": "Â½", "¾": "Â¾"}


def _fractions(text: str, rng: Random) -> str:
    how = rng.choice(("semicolon", "greek", "latin"))
    if how == "semicolon":
        return re.sub("([¼½¾])", r"\1;", text)
    table = GREEK if how == "greek" else LATIN
    return re.sub("[¼½¾]", lambda found: table[found[0]], text)


def _letter_o(text: str, rng: Random) -> str:
    found = list(re.finditer(r"\d0\b(?=[-&,:]| -)|(?<=[:.h])[03]0\b", text))
    for match in rng.sample(found, min(len(found), rng.choice((1, 2, 4)))):
        text = text[: match.start()] + match[0].replace("0", "O") + text[match.end() :]
    return text


def _degrees(text: str, rng: Random) -> str:
    return text.replace("°", rng.choice(("’", "º")))


def _commas(text: str, rng: Random) -> str:
    return re.sub(r"(?<=[A-Za-zé]), (?=[A-Za-z])", lambda m: "," if rng.random() < 0.5 else m[0], text)


def _capitals(text: str, rng: Random) -> str:
    return "\n".join(
        re.sub(
            r"[^\s]*[^\W\d][^\s]*",
            lambda m: m[0] if re.fullmatch(r"[\dae&,–-]*\d[\dae&,–-]*", m[0]) else m[0].upper(),
            line,
        )
        for line in text.split("\n")
    )


def _spelling(text: str, rng: Random) -> str:
    for right, wrongs in MISSPELT.items():
        if rng.random() < 0.5:
            wrong = rng.choice(wrongs)
            text = re.sub(right, wrong, text, count=rng.choice((1, 2, 99)))
    return text


def _spaces(text: str, rng: Random) -> str:
    return re.sub(r"(?<=\w) (?=\w)", lambda m: "  " if rng.random() < 0.08 else " ", text)


def _times(text: str, rng: Random) -> str:
    text = re.sub(r"(\d):(\d\d)", r"\1 :\2", text)
    return text.replace("o'clock", rng.choice(("o’ clock", "o’clock")))


def _emoji(text: str, rng: Random) -> str:
    lines = text.rstrip("\n").split("\n")
    lines[0] += f" {rng.choice(EMOJI)}"
    if rng.random() < 0.5:
        lines.append(rng.choice(EMOJI) * 3)
    return "\n".join(lines) + "\n"


def _marks(text: str, rng: Random) -> str:
    mark = rng.choice(("\u200f", "\u200e", "\ufeff", "\u00a0"))
    lines = text.split("\n")
    if mark == "\ufeff":
        return mark + text
    if mark == "\u00a0":
        return "\n".join(line.replace(" ", mark, 1) if rng.random() < 0.5 else line for line in lines)
    return "\n".join(mark + line if line and rng.random() < 0.3 else line for line in lines)


def _dots(text: str, rng: Random) -> str:
    lines = text.split("\n")
    return "\n".join(
        line + " . . . ." if re.match(r"\d", line) and rng.random() < 0.1 else line for line in lines
    )


DAMAGES: dict[str, Callable[[str, Random], str]] = {
    "broken fractions": _fractions,
    "letter O for zero": _letter_o,
    "degree sign": _degrees,
    "no space after comma": _commas,
    "capitals only": _capitals,
    "misspelt": _spelling,
    "double spaces": _spaces,
    "broken times": _times,
    "emoji": _emoji,
    "direction marks": _marks,
    "dots": _dots,
}


def damage_text(text: str, rng: Random) -> tuple[str, list[str]]:
    """Damage a text in one to three ways; also return which ways changed it. Line numbers stay the same."""
    done: list[str] = []
    wanted = rng.choice((1, 1, 2, 3))
    for name in rng.sample(list(DAMAGES), len(DAMAGES)):
        damaged = DAMAGES[name](text, rng)
        if damaged != text:
            text = damaged
            done.append(name)
        if len(done) == wanted:
            break
    return text, done
