"""The cue card: one side for the floor or a music stand, one line for each eight (each six in a waltz).

Letters are as large as the paper allows. The rule of legibility: a capital is at least 16 minutes of arc
high, the least that ISO 9241-3 allows for screens (20 to 22 are preferred), as quoted by NUREG-0700 revision
2, 1.3.1-4, with its formula height = 6.283 · distance · minutes / 21600. For paper no standard was found, so
theirs is used. The card says in small print from how far it can be read; a long dance is read from nearer.
"""

from __future__ import annotations

from typing import Any

from noonwall.outputs.print_words import print_word, print_words
from noonwall.outputs.printed import TYPST_PAPERS
from noonwall.outputs.printed_data import Block, Made, Printed
from noonwall.outputs.typeset import CAP_HEIGHT, typeset

LEAST_MINUTES_OF_ARC = 16
READ_FROM_METRES = 2.0


def capital_millimetres(distance_metres: float, minutes_of_arc: float = LEAST_MINUTES_OF_ARC) -> float:
    """Return how high a capital must be, in millimetres, to be read from ``distance_metres``.

    Source: the formula of NUREG-0700 revision 2, 1.3.1-4.
    """
    return 6.283 * distance_metres * 1000 * minutes_of_arc / 21600


def make(printed: Printed, kind: str = "pdf", paper: str = "a4") -> Made:
    """Return the cue card as a tagged PDF, a side for each language, landscape.

    Args:
        printed: what is printed.
        kind: "pdf".
        paper: "a4", "a5" or "letter".
    """
    made = typeset(
        "card.typ",
        {
            "title": printed.title,
            "writer": printed.writer,
            "languages": printed.languages,
            "unproved": printed.unproved,
            "paper": TYPST_PAPERS[paper],
            "sides": [_side(printed, number) for number in range(len(printed.languages))],
            "cap_height": CAP_HEIGHT,
            "capital_at_one_metre": capital_millimetres(1.0),
            "wanted_capital": capital_millimetres(READ_FROM_METRES),
        },
    )
    return Made(made.document, made.pages, made.not_shown)


def _side(printed: Printed, number: int) -> dict[str, Any]:
    language = printed.languages[number]
    return {
        "title": printed.title,
        "facts": _facts(printed, number),
        "lines": [line for block in printed.blocks for line in _lines(block, number)],
        "legible": print_word(language, "card", "legible", height="{height}", distance="{distance}"),
        "notes": [texts[number] for kind in ("sequence", "short") for texts in printed.told(kind)],
        "stand_in": print_words((language,), "sheet", "not_shown", codes="{codes}")[0],
    }


def _facts(printed: Printed, number: int) -> list[str]:
    told = {fact.id: (fact.value[number], fact.name[number]) for fact in printed.facts}
    facts = [" ".join(told[name]) for name in ("counts", "walls") if name in told]
    if "intro" in told:
        facts.append(print_word(printed.languages[number], "card", "wait", n=told["intro"][0]))
    return facts


def _lines(block: Block, number: int) -> list[dict[str, Any]]:
    """Return the line of a block: its counts or its name, and its figures; none for a mere pose."""
    if not block.cues:
        return [] if block.kind != "part" else [{"counts": block.short[number], "cues": [], "facing": None}]
    counts = block.counts if block.kind == "section" else block.short[number]
    return [{"counts": counts, "cues": [list(cue) for cue in block.cues[number]], "facing": block.facing}]
