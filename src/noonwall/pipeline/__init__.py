"""The whole order: text, dance, floor, checks, words. Commands and studio call this and nothing below it.

Names are loaded when they are first asked for, so that a command loads only the stages it needs. Songs are
in ``noonwall.pipeline.songs``, which also needs heavy libraries.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from noonwall.pipeline.catalogue import FigureShown, figures_like
    from noonwall.pipeline.folders import FileProved, prove_folder
    from noonwall.pipeline.paging import page
    from noonwall.pipeline.proving import Proved, prove, prove_file
    from noonwall.pipeline.reporting import net_turn_words, report, spoken
    from noonwall.pipeline.rewriting import rewritten
    from noonwall.pipeline.shelving import read_for_shelf, sheets_for_shelf, shelf_facts
    from noonwall.text.source import sheets_in
    from noonwall.words.messages import fault_words, say
    from noonwall.words.nearest import nearest_names

_HOMES = {
    "FigureShown": "noonwall.pipeline.catalogue",
    "FileProved": "noonwall.pipeline.folders",
    "Proved": "noonwall.pipeline.proving",
    "fault_words": "noonwall.words.messages",
    "figures_like": "noonwall.pipeline.catalogue",
    "nearest_names": "noonwall.words.nearest",
    "net_turn_words": "noonwall.pipeline.reporting",
    "page": "noonwall.pipeline.paging",
    "prove": "noonwall.pipeline.proving",
    "prove_file": "noonwall.pipeline.proving",
    "prove_folder": "noonwall.pipeline.folders",
    "read_for_shelf": "noonwall.pipeline.shelving",
    "report": "noonwall.pipeline.reporting",
    "rewritten": "noonwall.pipeline.rewriting",
    "say": "noonwall.words.messages",
    "sheets_for_shelf": "noonwall.pipeline.shelving",
    "sheets_in": "noonwall.text.source",
    "shelf_facts": "noonwall.pipeline.shelving",
    "spoken": "noonwall.pipeline.reporting",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value = getattr(import_module(_HOMES[name]), name)
    globals()[name] = value
    return value


__all__ = [
    "FigureShown",
    "FileProved",
    "Proved",
    "fault_words",
    "figures_like",
    "nearest_names",
    "net_turn_words",
    "page",
    "prove",
    "prove_file",
    "prove_folder",
    "read_for_shelf",
    "report",
    "rewritten",
    "say",
    "sheets_for_shelf",
    "sheets_in",
    "shelf_facts",
    "spoken",
]
