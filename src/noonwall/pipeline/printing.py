"""A proved dance as things to print: the sheet, the cue card and the chart, in one language or in both.

Not imported by the rest of the pipeline: typesetting needs a heavy library.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from importlib import import_module
from importlib.util import find_spec
from types import MappingProxyType

from noonwall.errors import CannotDance, NoonwallError
from noonwall.outputs import chart, cue_card, printed, printed_html
from noonwall.outputs.faults import fault
from noonwall.outputs.print_words import print_word
from noonwall.outputs.printed_data import Made, Printed
from noonwall.outputs.whole_file import write_whole
from noonwall.pipeline.charting import chart_of
from noonwall.pipeline.printed_sheet import OnSong, printed_of, unproved_words
from noonwall.pipeline.proving import Proved, prove_file

KINDS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {"sheet": ("pdf", "html", "docx"), "card": ("pdf",), "chart": ("pdf", "svg")}
)
"""What is printed, and the formats that each can have, the usual one first."""

PAPERS = ("a4", "a5", "letter")


@dataclass(frozen=True, slots=True)
class Order:
    """What is to be printed: a kind and a format of :data:`KINDS`, the languages, and the paper."""

    kind: str
    format: str
    languages: tuple[str, ...]
    paper: str = "a4"


def make_print(order: Order, proved: Proved, on_song: OnSong | None = None) -> Made:
    """Return what is ordered.

    Args:
        order: what.
        proved: the sheet.
        on_song: the dance on a song, None for the dance alone.

    Raises:
        CannotDance: the sheet holds no steps.
        NoonwallError: the kind is not made in that format, or the format needs a package that is missing.
    """
    if proved.dance is None:
        raise fault(CannotDance, "dance.nothing-to-print")
    if order.format not in KINDS[order.kind]:
        raise NoonwallError(_not_made(order))
    if order.kind == "chart":
        return chart.make(chart_of(proved, on_song, order.languages), order.format, order.paper)
    data = printed_of(proved, on_song, order.languages)
    if order.kind == "card":
        return cue_card.make(data, order.format, order.paper)
    if order.format == "html":
        return printed_html.make(data, order.format, order.paper)
    if order.format == "docx":
        return _docx_maker(order.languages[0])(data, order.format, order.paper)
    return printed.make(data, order.format, order.paper)


def is_unproved(proved: Proved) -> bool:
    """True if what is printed of the sheet is marked: something is wrong, or was not understood."""
    return bool(unproved_words(proved, ("en",)))


def _not_made(order: Order) -> str:
    language = order.languages[0]
    kind, formats = print_word(language, "file", order.kind), ", ".join(KINDS[order.kind])
    return print_word(language, "file", "not_made", kind=kind, format=order.format, formats=formats)


def _docx_maker(language: str) -> Callable[[Printed, str, str], Made]:
    """Return the maker of docx, loaded only now: its library is an extra.

    Raises:
        NoonwallError: the library is not installed.
    """
    if find_spec("docx") is None:
        raise NoonwallError(print_word(language, "file", "no_docx"))
    maker: Callable[[Printed, str, str], Made] = import_module("noonwall.outputs.printed_docx").make
    return maker


__all__ = [
    "KINDS",
    "PAPERS",
    "Made",
    "OnSong",
    "Order",
    "is_unproved",
    "make_print",
    "print_word",
    "prove_file",
    "write_whole",
]
