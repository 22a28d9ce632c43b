"""Write one random sheet and its truth."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random
from typing import Any

from .compose import compose
from .sheet import Sheet, lay_out
from .styles import draw_style
from .truth import truth_of


@dataclass(frozen=True, slots=True)
class Written:
    """A step sheet as text and what a right reading finds in it."""

    text: str
    truth: dict[str, Any]


def make_sheet(seed: int, language: str | None = None, style: int | None = None) -> Sheet:
    """Compose and lay out the sheet of a seed, without errors or damage."""
    rng = Random(f"sheet {seed}")
    chosen = language or ("fr" if rng.random() < 0.25 else "en")
    dance = compose(rng, french=chosen == "fr")
    return lay_out(dance, draw_style(rng, chosen, style), f"{seed}/")


def write(
    seed: int, language: str | None = None, error: str | None = None, damage: bool = False, style: int | None = None
) -> Written:
    """Write a sheet.

    Args:
        seed: The same seed and options always give the same sheet.
        language: "en" or "fr"; by default a quarter of the seeds are French.
        error: A kind from `errors.KINDS`, "any", or None for a clean sheet.
        damage: Whether to damage characters and spelling as found in real sheets.
        style: Number of a style preset; random by default.
    """
    sheet = make_sheet(seed, language, style)
    truth = truth_of(sheet)
    text = sheet.text()
    return Written(text, truth)
