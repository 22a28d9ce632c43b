"""A writer of random step sheets with their truth, to measure a reader that it knows nothing of."""

from .author import Written, write

__all__ = ["Written", "write"]
