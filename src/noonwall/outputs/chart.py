"""The chart: the whole run of a dance on one page, walls from top to bottom and counts from left to right."""

from __future__ import annotations

from typing import Any

from noonwall.outputs.markup import text as escaped
from noonwall.outputs.print_words import joined, print_words
from noonwall.outputs.printed import TYPST_PAPERS
from noonwall.outputs.printed_data import Chart, ChartRow, Made
from noonwall.outputs.typeset import cleaned, typeset, typeset_svg

HEADS = ("wall", "starts", "faces", "ends", "change")


def make(chart: Chart, kind: str = "pdf", paper: str = "a4") -> Made:
    """Return the chart on one landscape page.

    Args:
        chart: what is drawn.
        kind: "pdf" (tagged) or "svg" (one picture with a title and a description).
        paper: "a4", "a5" or "letter".
    """
    plain = _plain(chart, paper)
    made = typeset("chart.typ", plain)
    if kind == "pdf":
        return Made(made.document, made.pages, made.not_shown)
    svg = typeset_svg("chart.typ", plain, made.not_shown)
    return Made(_named(svg, chart, plain["described"]).encode(), 1, made.not_shown)


def _plain(chart: Chart, paper: str) -> dict[str, Any]:
    languages = chart.languages
    has_phrases = any(row.phrases for row in chart.rows)
    above = [chart.subtitle]
    if chart.wait_counts is not None and not has_phrases:
        above.append(print_words(languages, "chart", "wait", n=chart.wait_counts))
    described = print_words(languages[:1], "chart", "described", title=chart.title, n=len(chart.rows))[0]
    return {
        "title": chart.title,
        "described": described,
        "languages": languages,
        "paper": TYPST_PAPERS[paper],
        "unproved": chart.unproved,
        "above": above,
        "below": [chart.finish] if chart.finish else [],
        "rows": [_row(row) for row in chart.rows],
        "timed": all(row.start_seconds is not None for row in chart.rows),
        "widest": max([1, *(piece.start + piece.counts for row in chart.rows for piece in row.pieces)]),
        "eight": 6 if chart.beats_per_bar == 3 else 8,
        "heads": {name: print_words(languages, "chart", name) for name in HEADS},
        "key": print_words(languages, "chart", "key" if has_phrases else "key_plain"),
        "stand_in": print_words(languages[:1], "sheet", "not_shown", codes="{codes}")[0],
    }


def _row(row: ChartRow) -> dict[str, Any]:
    return {
        "name": row.name,
        "starts": row.start_seconds,
        "facing_start": row.facing_start,
        "facing_end": row.facing_end,
        "pieces": [
            {
                "kind": piece.kind,
                "label": piece.label,
                "start": piece.start,
                "counts": piece.counts,
                "shade": at,
            }
            for at, piece in enumerate(row.pieces)
        ],
        "phrases": row.phrases,
        "notes": row.notes,
    }


def _named(svg: str, chart: Chart, described: str) -> str:
    """Return a picture that says what it shows: its letters are shapes, which no screen reader reads."""
    head, rest = svg.split(">", 1)
    rows = "; ".join(
        f"{joined(row.name)}: {row.counts}{', ' + joined(row.notes) if any(row.notes) else ''}"
        for row in chart.rows
    )
    title, description = escaped(cleaned(described)), escaped(cleaned(f"{joined(chart.subtitle)} {rows}"))
    return f'{head} role="img"><title>{title}</title><desc>{description}</desc>{rest}'
