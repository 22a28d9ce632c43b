"""The printed sheet: a dance on one or two pages, for a teacher's folder."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from noonwall.outputs.print_words import print_words
from noonwall.outputs.printed_data import Block, Drawn, Made, Printed, PrintedFact, Words
from noonwall.outputs.typeset import FONTS, typeset

WIDE_FACTS = ("music", "date")
"""Facts that get a line of their own."""

MOST_PAGES = 2

SETTINGS: tuple[dict[str, float], ...] = (
    {"size": 10.5, "gap": 1.05, "scale": 0.2, "tallest": 34},
    {"size": 10.5, "gap": 0.95, "scale": 0.16, "tallest": 26},
    {"size": 9.5, "gap": 0.8, "scale": 0.14, "tallest": 22},
    {"size": 8.6, "gap": 0.65, "scale": 0.115, "tallest": 18},
)
"""From roomy to tight: type size in points, gaps in em, millimetres of paper for a centimetre of floor, and
the tallest drawing in millimetres."""

NEARLY_ONE_PAGE = 1.3
"""Text that fills more pages than this in the roomiest setting is left on two: smaller type cannot help."""

DRAWING_WIDTH_MILLIMETRES = {1: 58, 2: 52}
"""Width of the column of drawings, by the number of languages."""


def make(printed: Printed, kind: str = "pdf", paper: str = "a4") -> Made:
    """Return the sheet as a tagged PDF; a long one is set smaller, so that it stays on two pages if it can.

    Args:
        printed: what is printed.
        kind: "pdf".
        paper: "a4", "a5" or "letter".
    """
    height = PAGE_HEIGHT_MILLIMETRES[paper][len(printed.languages) > 1]
    plain = plain_of(printed) | {"paper": TYPST_PAPERS[paper], "page_height": height}
    first = made = typeset("sheet.typ", plain | SETTINGS[0])
    wanted = 1 if first.filled < NEARLY_ONE_PAGE else MOST_PAGES
    for setting in SETTINGS[1:-1] if wanted == 1 else SETTINGS[2:]:
        if made.pages <= wanted:
            break
        made = typeset("sheet.typ", plain | setting)
    # where no setting gets it on one page, two roomy ones are better than two tight ones
    best = made if made.pages < first.pages else first
    return Made(best.document, best.pages, best.not_shown)


TYPST_PAPERS = {"a4": "a4", "a5": "a5", "letter": "us-letter"}
PAGE_HEIGHT_MILLIMETRES = {"a4": (297.0, 210.0), "a5": (210.0, 148.0), "letter": (279.4, 215.9)}
"""Height of a page upright and lying."""


def plain_of(printed: Printed) -> dict[str, Any]:
    """Return the sheet as the plain values of its template."""
    languages = printed.languages
    short = [fact for fact in printed.facts if fact.id not in WIDE_FACTS]
    return {
        "title": printed.title,
        "writer": printed.writer,
        "languages": languages,
        "facts": [_fact(fact) for fact in short],
        "lines": [_fact(fact) for fact in printed.facts if fact.id in WIDE_FACTS],
        "before": [list(texts) for texts in printed.told("sequence")],
        "blocks": [_block(block) for block in printed.blocks],
        "around": around(printed),
        "open": [list(texts) for texts in printed.told("open")],
        "cautions": cautions(printed),
        "headings": headings(languages),
        "key": print_words(languages, "sheet", "key"),
        "made": print_words(languages, "sheet", "made") if not printed.unproved else [],
        "stand_in": print_words(languages[:1], "sheet", "not_shown", codes="{codes}")[0],
        "unproved": printed.unproved,
        "drawing_width": DRAWING_WIDTH_MILLIMETRES.get(len(languages), 52),
    }


def headings(languages: tuple[str, ...]) -> dict[str, Words]:
    """Return the headings of what stands around the steps."""
    return {name: print_words(languages, "sheet", name) for name in ("around", "cautions", "notes", "open")}


def around(printed: Printed) -> list[Words]:
    """Return the restarts, the options, and what the song says."""
    return [texts for kind in ("restart", "option", "song") for texts in printed.told(kind)]


def cautions(printed: Printed) -> list[Words]:
    """Return the cautions, each dance with the one that the hall and the doctor come first."""
    return [*printed.told("caution"), print_words(printed.languages, "sheet", "always")]


def for_print(svg: str) -> str:
    """Return a drawing with its numbers in the face of the page."""
    return svg.replace("system-ui, sans-serif", FONTS[0])


def _fact(fact: PrintedFact) -> dict[str, Words]:
    return {"name": fact.name, "value": fact.value}


def _block(block: Block) -> dict[str, Any]:
    return {
        "kind": block.kind,
        "counts": block.counts,
        "heading": block.heading,
        "facing": block.facing,
        "rows": [{"label": row.label, "texts": row.texts, "facing": row.facing} for row in block.rows],
        "drawings": list(_drawings(block.drawings)),
    }


def _drawings(drawings: Iterable[Drawn]) -> Iterable[dict[str, Any]]:
    for one in drawings:
        yield {
            "svg": for_print(one.svg),
            "width": one.width_centimetres,
            "height": one.height_centimetres,
            "label": one.label,
            "words": " ".join(dict.fromkeys(one.words)),
        }
