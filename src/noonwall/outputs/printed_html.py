"""The printed sheet as one HTML file that needs nothing beside it and prints well."""

from __future__ import annotations

from importlib import resources

from noonwall.dance.turns import clock
from noonwall.outputs.markup import fill, text
from noonwall.outputs.print_words import joined
from noonwall.outputs.printed import WIDE_FACTS, around, cautions, headings
from noonwall.outputs.printed_data import Block, Drawn, Made, Printed, Row, Words

PIXELS_PER_CENTIMETRE = 0.9
"""Pixels of the page for a centimetre of floor."""


def make(printed: Printed, kind: str = "html", paper: str = "a4") -> Made:
    """Return the sheet as a page: the languages side by side, every row the same counts.

    Args:
        printed: what is printed.
        kind: "html".
        paper: "a4", "a5" or "letter"; the size that the page asks of a printer.
    """
    languages = printed.languages
    assets = resources.files("noonwall.outputs").joinpath("print_assets")
    many = len(languages) > 1
    values = {
        "language": text(languages[0]),
        "style": assets.joinpath("sheet.css").read_text("utf-8"),
        "size": f"{paper} landscape" if many else paper,
        "title": text(printed.title),
        "mark": f'<p class="mark" role="note">{text(joined(printed.unproved, " · "))}</p>'
        if printed.unproved
        else "",
        "writer": f'<p class="writer" dir="auto">{text(printed.writer)}</p>' if printed.writer else "",
        "facts": _facts(printed),
        "before": "".join(f"<p>{_both(texts, printed)}</p>" for texts in printed.told("sequence")),
        "blocks": "".join(_block(block, printed) for block in printed.blocks),
        "after": _after(printed),
    }
    page = fill(assets.joinpath("sheet.html").read_text("utf-8"), values)
    return Made(page.encode())


def _facts(printed: Printed) -> str:
    pieces = []
    for fact in printed.facts:
        kind = ' class="wide"' if fact.id in WIDE_FACTS else ""
        name, value = text(joined(fact.name)), text(joined(fact.value))
        pieces.append(f'<div{kind}><dt>{name}</dt><dd dir="auto">{value}</dd></div>')
    return "".join(pieces)


def _block(block: Block, printed: Printed) -> str:
    counts = f'<span class="counts">{text(block.counts)}</span>' if block.counts else ""
    heading = f"<h2>{counts}{_both(block.heading, printed)}</h2>"
    if block.kind == "part":
        return heading
    rows = "".join(_row(row, printed) for row in block.rows)
    table = f"<table><tbody>{rows}</tbody></table>" if rows else ""
    drawings = "".join(_drawing(one) for one in block.drawings)
    floor = f'<div class="floor">{drawings}</div>' if drawings else ""
    return f'<section class="{text(block.kind)}">{heading}<div class="body">{table}{floor}</div></section>'


def _row(row: Row, printed: Printed) -> str:
    cells = "".join(
        f'<td lang="{text(language)}" dir="auto">{text(words)}</td>'
        for language, words in zip(printed.languages, row.texts, strict=True)
    )
    facing = "" if row.facing is None else f"{_dial(row.facing)}{clock(row.facing)}"
    return f'<tr><th scope="row">{text(row.label)}</th>{cells}<td class="facing">{facing}</td></tr>'


def _dial(facing: int) -> str:
    return (
        '<svg class="dial" viewBox="-12 -12 24 24" aria-hidden="true"><circle r="10.5"/>'
        f'<path class="noon" d="M-4-10H4"/><path transform="rotate({facing % 8 * 45})" '
        'd="M0 6.5V-5M-3.6-2.4L0-6.6 3.6-2.4"/></svg>'
    )


def _drawing(one: Drawn) -> str:
    width, height = (
        one.width_centimetres * PIXELS_PER_CENTIMETRE,
        one.height_centimetres * PIXELS_PER_CENTIMETRE,
    )
    words = text(" ".join(dict.fromkeys(one.words)))
    svg = one.svg.replace('aria-hidden="true"', f'role="img" aria-label="{words}"', 1)
    style = f'style="width:{width:.0f}px;height:{height:.0f}px"'
    return f"<figure><div {style}>{svg}</div><figcaption>{text(one.label)}</figcaption></figure>"


def _both(words: Words, printed: Printed) -> str:
    return " ".join(
        f'<span lang="{text(language)}" dir="auto">{text(each)}</span>'
        for language, each in zip(printed.languages, words, strict=True)
    )


def _after(printed: Printed) -> str:
    names = headings(printed.languages)
    lists = (("around", around(printed)), ("open", printed.told("open")), ("cautions", cautions(printed)))
    pieces = []
    for name, items in lists:
        if items:
            rows = "".join(f"<li>{_both(texts, printed)}</li>" for texts in items)
            pieces.append(
                f'<section class="{name}"><h2>{text(joined(names[name]))}</h2><ul>{rows}</ul></section>'
            )
    pieces.append(f'<section class="notes"><h2>{text(joined(names["notes"]))}</h2></section>')
    return "".join(pieces)
