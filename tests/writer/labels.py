"""Count labels: how an author writes which counts a line covers."""

from __future__ import annotations

from fractions import Fraction
from math import ceil, floor

from .styles import Style

_MARKS = {Fraction(1, 2): "&", Fraction(1, 4): "e", Fraction(3, 4): "a"}


def count_name(time: Fraction, offset: int) -> str:
    """The name of one moment: "3", "&"."""
    part = time % 1
    return _MARKS[part] if part else str(int(time) + 1 + offset)


def label(times: list[Fraction], style: Style, offset: int) -> str:
    """The label for sorted moments, in the author's way; `offset` is added to the numbers."""
    if all(not time % 1 for time in times):
        return _whole([int(time) + 1 + offset for time in times], style)
    pieces: list[str] = []
    # Two-count groups are joined by a comma or a space, as in "1&2, 3&4" and "1&2 3-4".
    groups: dict[int, list[Fraction]] = {}
    base = ceil(times[0])
    # A bar of waltz stays whole: "4-5&6".
    whole = times[-1] - base < 3
    for time in times:
        groups.setdefault(0 if whole else max(0, floor((time - base) / 2)), []).append(time)
    for group in groups.values():
        pieces.append(_broken(group, style, offset))
    return (", " if style.pair != " " else "  ").join(pieces)


def _broken(times: list[Fraction], style: Style, offset: int) -> str:
    text = ""
    for place, time in enumerate(times):
        name = count_name(time, offset)
        if place:
            half = time % 1 or times[place - 1] % 1
            text += (" " if style.amp == " & " else "") if half else style.pair
        text += name
    return text


def _whole(numbers: list[int], style: Style) -> str:
    if len(numbers) == 1:
        return str(numbers[0])
    if len(numbers) == 2:
        return f"{numbers[0]}{style.pair}{numbers[1]}"
    if style.long == "tight" and numbers[-1] < 10:
        return "".join(map(str, numbers))
    if style.long == "range":
        return f"{numbers[0]}{style.range_join}{numbers[-1]}"
    return style.pair.join(map(str, numbers))
