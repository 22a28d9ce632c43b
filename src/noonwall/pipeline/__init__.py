"""The whole order: text, dance, floor, checks, words. Commands and studio call this and nothing below it.

Songs are in ``noonwall.pipeline.songs``, which is not imported here: it needs heavy libraries, and proving a
sheet starts in a blink.
"""

from noonwall.pipeline.catalogue import FigureShown, figures_like
from noonwall.pipeline.folder import FileProved, prove_folder
from noonwall.pipeline.page import page
from noonwall.pipeline.prove import Proved, prove, prove_file, rewritten
from noonwall.pipeline.report import report, spoken
from noonwall.text.source import sheets_in
from noonwall.words.messages import say
from noonwall.words.nearest import nearest_names

__all__ = [
    "FigureShown",
    "FileProved",
    "Proved",
    "figures_like",
    "nearest_names",
    "page",
    "prove",
    "prove_file",
    "prove_folder",
    "report",
    "rewritten",
    "say",
    "sheets_in",
    "spoken",
]
