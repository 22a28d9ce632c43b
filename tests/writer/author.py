"""Write one random sheet and its truth."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random
from typing import Any

from .compose import compose
from .damage import damage_text
from .errors import KINDS, plant, record
from .sheet import Sheet, lay_out
from .styles import draw_style
from .truth import truth_of


@dataclass(frozen=True, slots=True)
class Written:
    """A step sheet as text and what a right reading finds in it."""

    text: str
    truth: dict[str, Any]


def make_sheet(seed: int, language: str | None = None, style: int | None = None, attempt: int = 0) -> Sheet:
    """Compose and lay out the sheet of a seed, without errors or damage."""
    rng = Random(f"sheet {seed}" + (f" {attempt}" if attempt else ""))
    chosen = language or ("fr" if rng.random() < 0.25 else "en")
    dance = compose(rng, french=chosen == "fr")
    return lay_out(dance, draw_style(rng, chosen, style), f"{seed}.{attempt}/")


def write(
    seed: int,
    language: str | None = None,
    error: str | None = None,
    damage: bool = False,
    style: int | None = None,
) -> Written:
    """Write a sheet.

    Args:
        seed: The same seed and options always give the same sheet.
        language: "en" or "fr"; by default a quarter of the seeds are French.
        error: A kind from `errors.KINDS`, "any", or None for a clean sheet. Where the first dance of the
            seed gives no occasion for the error, the next one that does is taken.
        damage: Whether to damage characters and spelling as found in real sheets.
        style: Number of a style preset; random by default.
    """
    rng = Random(f"write {seed}")
    sheet = make_sheet(seed, language, style)
    planted, kind = None, ""
    attempt = 0
    while error is not None and planted is None:
        kind = rng.choice(KINDS) if error == "any" else error
        planted = plant(make_sheet(seed, language, style, attempt), kind, rng)
        attempt += 1
    if planted is not None:
        sheet = planted.sheet
    truth = truth_of(sheet)
    text = sheet.text()
    if planted is not None:
        truth["planted_errors"] = [record(planted, kind)]
    if damage:
        text, truth["damage"] = damage_text(text, rng)
    return Written(text, truth)
