"""`noonwall shelf class`: who comes, what they know today, what is due, what to teach next, an evening."""

from __future__ import annotations

import argparse
from collections.abc import Mapping, Sequence
from datetime import date

from noonwall.cli.status import CLEAN
from noonwall.pipeline.seasons import (
    DanceDue,
    Evening,
    Suggestion,
    candidates_of,
    evening,
    history_of,
    knowing,
    knowledge,
    reviews_due,
    what_next,
)
from noonwall.pipeline.shelf_words import figure_name, shelf_word
from noonwall.shelf import ClassKept, DanceRow, Shelf, ShelfError

MOST_ROWS = 10
PER_PAGE = 1000


def run_class(shelf: Shelf, given: argparse.Namespace) -> int:
    """List the classes, or change one and show what is asked of it.

    Raises:
        NoonwallError: a dance, figure or date is not what it should be, or the shelf cannot be written.
    """
    day = given.on or date.today()
    if not given.name:
        _list(shelf, given.language)
        return CLEAN
    kept = _changed(shelf, given, day)
    history = history_of(kept.name, kept.knows, kept.taught)
    if given.due:
        _show_due(reviews_due(history, day), given.language)
    if given.next:
        found = what_next(knowledge(history, day), candidates_of(_every_dance(shelf)), MOST_ROWS)
        _show_next(found, given.language)
    if given.evening:
        candidates = candidates_of(_every_dance(shelf))
        _show_evening(evening(history, candidates, day, given.evening), given.language)
    if not (given.due or given.next or given.evening):
        _show(kept, knowledge(history, day).figures, given.language)
    return CLEAN


def _changed(shelf: Shelf, given: argparse.Namespace, day: date) -> ClassKept:
    """Return the class after what was told of it; a new name is a new class."""
    try:
        kept = shelf.class_named(given.name)
    except ShelfError as error:
        if error.code != "shelf.missing":
            raise
        kept = shelf.class_(shelf.add_class(given.name, given.members))
        print(shelf_word(given.language, "done", "class", name=kept.name, id=kept.id))
    knows = dict(kept.knows)
    for figure, share in given.knows:
        knows = knowing(knows, figure, share, day)
    if given.knows or given.members is not None:
        shelf.change_class(kept.id, members=given.members, knows=knows)
    if given.taught is not None:
        shelf.teach(kept.id, given.taught, day)
        title = shelf.dance(given.taught).row.title
        print(shelf_word(given.language, "done", "taught", title=title, name=kept.name, day=day.isoformat()))
    return shelf.class_(kept.id)


def _every_dance(shelf: Shelf) -> list[DanceRow]:
    first = shelf.find(order="title", per_page=PER_PAGE)
    rows = list(first.rows)
    for page in range(2, first.pages + 1):
        rows += shelf.find(order="title", page=page, per_page=PER_PAGE).rows
    return rows


def _list(shelf: Shelf, language: str) -> None:
    for one in shelf.classes():
        print(shelf_word(language, "class", "row", id=one.id, name=one.name, n=len(one.taught)))
    if not shelf.classes():
        print(shelf_word(language, "class", "none"))


def _show(kept: ClassKept, known: Mapping[str, float], language: str) -> None:
    print(shelf_word(language, "class", "row", id=kept.id, name=kept.name, n=len(kept.taught)))
    if kept.members is not None:
        print(shelf_word(language, "class", "members", n=kept.members))
    print(shelf_word(language, "class", "knows" if known else "nothing"))
    for figure in sorted(known, key=lambda one: (-known[one], one)):
        print(f"  {100 * known[figure]:3.0f}%  {figure_name(figure, language)}")


def _show_due(rows: Sequence[DanceDue], language: str) -> None:
    print(shelf_word(language, "class", "due" if rows else "nothing_due"))
    for one in rows:
        kept = round(100 * one.kept)
        told = shelf_word(
            language, "class", "due_row", id=one.dance_id, title=one.title, n=one.days, percent=kept
        )
        print(f"  {told}")


def _show_next(rows: Sequence[Suggestion], language: str) -> None:
    print(shelf_word(language, "class", "next" if rows else "no_next"))
    for one in rows:
        new = ", ".join(figure_name(figure, language) for figure in one.new)
        new = new or shelf_word(language, "class", "nothing_new")
        known = len(one.known)
        told = shelf_word(language, "class", "next_row", id=one.dance_id, title=one.title, n=known, new=new)
        print(f"  {told}")


def _show_evening(plan: Evening, language: str) -> None:
    print(shelf_word(language, "class", "evening", minutes=plan.minutes))
    for item in plan.items:
        title = item.title
        if not item.dance_id:
            name = {"dance": "request", "new": "none_at_hand"}.get(item.kind)
            title = shelf_word(language, "item", name) if name else ""
        names = ", ".join(figure_name(one, language) for one in item.figures)
        told = f"{title} ({names})" if names else title
        print(
            f"  {item.minutes:>3} min  {shelf_word(language, 'item', item.kind)}"
            + (f": {told}" if told else "")
        )
