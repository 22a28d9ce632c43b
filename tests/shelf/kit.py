"""Invented dances for the tests of the shelf."""

from __future__ import annotations

from typing import Any

from noonwall.shelf import Shelf


def facts(title: str, **told: Any) -> dict[str, Any]:
    """Return facts as a reader would hand them over."""
    return {"title": title, "language": "en", "counts": 32, "walls": 4, "edition": "1", **told}


def add(shelf: Shelf, title: str, text: str = "", **told: Any) -> int:
    return shelf.add_dance(text or f"{title}\n1-4 step right forward", facts(title, **told))


def titles(shelf: Shelf, query: str = "", *rest: Any, **told: Any) -> list[str]:
    return [row.title for row in shelf.find(query, *rest, **told).rows]
