"""Demo music made by the project's own code, with its exact truth: see `band.py`."""

from noonwall.demo.band import Rendered, render, write_all
from noonwall.demo.pieces import PIECES, Piece

__all__ = ["PIECES", "Piece", "Rendered", "render", "write_all"]
