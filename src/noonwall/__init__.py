"""noonwall: a step sheet and a song in, everything a line-dance teacher needs out."""

__version__ = "0.1.0"
