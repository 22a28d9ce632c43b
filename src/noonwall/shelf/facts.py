"""Facts as plain data and back; refuses what a database could not keep."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import fields
from typing import Any

from noonwall.shelf.faults import ShelfError
from noonwall.shelf.folding import clean
from noonwall.shelf.rows import Facts

MOST_COUNTS = 100_000
_TEXTS = ("title", "language", "level", "meter", "choreographer", "edition")
_NUMBERS = ("counts", "walls", "bpm")
_AMOUNTS = ("wrong", "doubtful", "unread")
_NAMES = tuple(one.name for one in fields(Facts))


def facts_from(plain: Mapping[str, Any] | Facts) -> Facts:
    """Return facts handed over as plain data (see :class:`Facts`); what is missing is unknown.

    Raises:
        ShelfError: something is of the wrong kind.
    """
    if isinstance(plain, Facts):
        return plain
    wrong = sorted(set(plain) - set(_NAMES))
    if wrong:
        raise ShelfError("shelf.bad-facts", reason=f"nothing is called {', '.join(wrong)}")
    told: dict[str, Any] = dict(plain)
    for name in _TEXTS:
        if name in told:
            told[name] = clean(_of(str, name, told[name] or ""))
    for name in _NUMBERS:
        if told.get(name) is not None:
            number = _of((int, float), name, told[name])
            if not -MOST_COUNTS <= number <= MOST_COUNTS:
                raise ShelfError("shelf.bad-facts", reason=f"{name} is {number}")
            told[name] = int(number) if name == "walls" else float(number)
    for name in _AMOUNTS:
        told[name] = min(_of(int, name, told.get(name, 0)), MOST_COUNTS)
    for name in ("figures", "names"):
        told[name] = tuple(dict.fromkeys(clean(_of(str, name, one)) for one in told.get(name, ())))
    told["shape"] = tuple(
        (_of(int, "shape", gram), _of(str, "shape", lead)) for gram, lead in told.get("shape", ())
    )
    return Facts(**told)


def facts_kept(text: str) -> Facts:
    """Return facts that the shelf itself wrote as JSON: they were proved then, and are not again."""
    told = json.loads(text)
    for name in ("figures", "names"):
        told[name] = tuple(told[name])
    told["shape"] = tuple([(gram, lead) for gram, lead in told["shape"]])
    return Facts(**told)


def _of(kind: type | tuple[type, ...], name: str, value: Any) -> Any:
    if not isinstance(value, kind) or isinstance(value, bool):
        raise ShelfError("shelf.bad-facts", reason=f"{name} is {value!r}")
    return value


def facts_plain(facts: Facts) -> dict[str, Any]:
    """Return facts as plain data."""
    told = {name: getattr(facts, name) for name in _NAMES}
    for name in ("figures", "names"):
        told[name] = list(told[name])
    told["shape"] = [[gram, lead] for gram, lead in facts.shape]
    return told


def to_json(value: Any) -> str:
    """Return plain data as JSON of one line: ASCII, so that every text survives every database."""
    if isinstance(value, Facts):
        value = facts_plain(value)
    return json.dumps(value, separators=(",", ":"), sort_keys=True)


def from_json(text: str) -> Any:
    """Return the plain data of :func:`to_json`."""
    return json.loads(text)
