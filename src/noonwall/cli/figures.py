"""`noonwall figures`: list the figures of the vocabulary, or explain one with a small drawing."""

from __future__ import annotations

import argparse

from rich.console import Console
from rich.table import Table
from rich.text import Text

from noonwall.cli.language import usual_language
from noonwall.cli.status import CLEAN
from noonwall.errors import NoonwallError
from noonwall.pipeline import FigureShown, figures_like, say


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument(
        "words", nargs="*", metavar="ID|WORDS", help="a figure to explain; none lists them all"
    )
    parser.add_argument("--as", dest="language", choices=("en", "fr"), help="speak English or French")


def run(given: argparse.Namespace) -> int:
    """Run the command.

    Raises:
        NoonwallError: no figure is called anything like that.
    """
    language = given.language or usual_language()
    asked = " ".join(given.words)
    found = figures_like(asked, language)
    if not found:
        raise NoonwallError(say(language, "cli", "no_figure", name=asked))
    out = Console(highlight=False)
    if len(found) == 1:
        _explain(out, found[0], language)
    else:
        _list(out, found, language)
    return CLEAN


def _list(out: Console, figures: list[FigureShown], language: str) -> None:
    table = Table(box=None, pad_edge=False, header_style="dim")
    for name in ("figure", "id", "count_column", "difficulty"):
        table.add_column(say(language, "cli", name))
    for figure in figures:
        table.add_row(figure.names[0], Text(figure.id, style="dim"), figure.counts, str(figure.difficulty))
    out.print(table)


def _explain(out: Console, figure: FigureShown, language: str) -> None:
    out.print(Text(figure.names[0], style="bold"))
    if len(figure.names) > 1:
        out.print(Text(f"{say(language, 'cli', 'also')} {', '.join(figure.names[1:])}", style="dim"))
    if figure.explained:
        out.print(figure.explained)
    table = Table(box=None, pad_edge=False, header_style="dim")
    for name in ("count", "step"):
        table.add_column(say(language, "cli", name))
    for count, words in figure.steps:
        table.add_row(count, words)
    out.print(table)
    out.print(Text(f"\n{figure.drawing}\n"))
    for caution in figure.cautions:
        out.print(Text(f"! {caution}", style="yellow"))
    hard, source = say(language, "cli", "difficulty"), say(language, "cli", "source")
    facts = f"{hard} {figure.difficulty}/10 · {source} {figure.source}"
    out.print(Text(facts, style="dim"))
