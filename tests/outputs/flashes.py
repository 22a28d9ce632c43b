"""Counts flashes in a row of pictures by the definition of WCAG 2.2 (success criterion 2.3.1).

A general flash is a pair of opposing changes in relative luminance of 10% or more of the maximum, where the
darker picture is below 0.80. A second with more than three flashes fails if the flashing area is more than a
quarter of any 341 x 256 pixels of a screen of 1024 x 768.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np
from numpy.typing import NDArray
from PIL import Image

CHANGE, BRIGHT, MOST_IN_A_SECOND = 0.10, 0.80, 3
QUARTER_OF_A_FIELD = 0.25 * (341 / 1024) * (256 / 768)
"""The area as a share of the picture."""


def luminance(picture: Image.Image) -> NDArray[np.float32]:
    """Return the relative luminance of every pixel, as WCAG 2.2 defines it."""
    levels = np.arange(256) / 255
    linear = np.where(levels <= 0.04045, levels / 12.92, ((levels + 0.055) / 1.055) ** 2.4)
    rgb = linear[np.asarray(picture.convert("RGB"))]
    whole: NDArray[np.float32] = (rgb @ np.array([0.2126, 0.7152, 0.0722])).astype(np.float32)
    return whole


def worst_area(pictures: Iterable[Image.Image], fps: int) -> float:
    """Return the largest share of the picture whose pixels flash more than three times in one second."""
    return max((float(flashing.mean()) for flashing in flashing_pixels(pictures, fps)), default=0.0)


def flashing_pixels(pictures: Iterable[Image.Image], fps: int) -> Iterator[NDArray[np.bool_]]:
    """Give, for every second that begins with a picture, which pixels flash more than three times in it."""
    changes: list[NDArray[np.bool_]] = []
    extreme: NDArray[np.float32] | None = None
    direction: NDArray[np.int8] | None = None
    for picture in pictures:
        now = luminance(picture)
        if extreme is None or direction is None:
            extreme, direction = now.copy(), np.zeros(now.shape, np.int8)
            continue
        step = now - extreme
        is_dark = np.minimum(now, extreme) < BRIGHT
        turns = (np.abs(step) >= CHANGE) & is_dark & (np.sign(step) != direction)
        follows = np.sign(step) == direction
        direction = np.where(turns, np.sign(step), direction).astype(np.int8)
        extreme = np.where(turns | (follows & (direction != 0)), now, extreme)
        changes.append(turns)
    for start in range(max(1, len(changes) - fps + 1)):
        opposing = np.sum(changes[start : start + fps], axis=0)
        # a flash is a pair of changes
        yield opposing // 2 > MOST_IN_A_SECOND
