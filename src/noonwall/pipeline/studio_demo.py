"""The shelf of Harbour Hall: what a studio opens to the first time. All of it is invented."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType

from noonwall.demo import PIECES, render
from noonwall.demo.band import write_song
from noonwall.demo.sheets import WITH_MISTAKES, example_sheets
from noonwall.pipeline.demo import DANCED_TO

CLASSES: Mapping[str, tuple[tuple[str, int, tuple[str, ...]], ...]] = MappingProxyType(
    {
        "en": (
            ("Monday, first steps", 14, ("lantern-walk",)),
            ("Thursday, improvers", 22, ("lantern-walk", "tide-table", "rope-and-pulley")),
        ),
        "fr": (
            ("Lundi, premiers pas", 14, ("lantern-walk",)),
            ("Jeudi, novices", 22, ("lantern-walk", "tide-table", "rope-and-pulley")),
        ),
    }
)
"""Classes of the hall in each language: name, how many come, the example sheets they were taught."""


def demo_sheets() -> dict[str, str]:
    """Return the sheets by name: the examples, and one with mistakes to be mended, which comes first."""
    return {"with-mistakes": WITH_MISTAKES, **example_sheets()}


def demo_songs() -> tuple[tuple[str, str], ...]:
    """Return (sheet, piece) of every example that is danced to a piece of the band."""
    return DANCED_TO


def play_demo_song(piece: str, folder: Path) -> tuple[Path, str]:
    """Let the band play a piece; returns the sound file in ``folder`` and its title.

    The truth that the band also writes is left out: the shelf has the sound alone, and hears it.
    """
    with tempfile.TemporaryDirectory(prefix="noonwall-") as making:
        sound, _ = write_song(Path(making), piece, render(PIECES[piece]))
        kept = folder / sound.name
        kept.write_bytes(sound.read_bytes())
    return kept, PIECES[piece].title
