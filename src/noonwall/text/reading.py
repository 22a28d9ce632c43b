"""What reading a text gives: the dance, the claims of the text, and an account of every line."""

from __future__ import annotations

from dataclasses import dataclass

from noonwall.dance.claims import Claims
from noonwall.dance.model import Dance


@dataclass(frozen=True, slots=True)
class LineAccount:
    """What became of a line: header, heading, counted, note, comment or blank."""

    number: int
    kind: str


@dataclass(frozen=True, slots=True)
class Reading:
    """A read sheet. ``dance`` is None if the text holds no steps at all."""

    dance: Dance | None
    claims: Claims
    language: str
    lines: tuple[str, ...]
    account: tuple[LineAccount, ...]
