"""Turns and facings: exact integers in eighths of a full turn, clockwise (right) positive."""

from __future__ import annotations

from math import gcd

EIGHTHS = 8


def normal(eighths: int) -> int:
    """Return the facing 0..7 that an unwound turn ends in (0 is 12:00, 2 is 3:00)."""
    return eighths % EIGHTHS


def clock(eighths: int) -> str:
    """Return a facing as a clock reading: ``"12:00"``, ``"1:30"``, ``"3:00"`` ...

    Source: UCWDC Step Sheet Key (2013, 2024): 12:00 forward, 3:00 right, diagonals 1:30 to 10:30.
    """
    minutes = normal(eighths) * 90
    hour = (minutes // 60) or 12
    return f"{hour}:{minutes % 60:02d}"


def clock_hour(eighths: int) -> int | float:
    """Return a facing as a clock hour for programs: 12, 1.5, 3, 4.5 ..."""
    facing = normal(eighths)
    if facing == 0:
        return 12
    hour = facing * 1.5
    return int(hour) if hour == int(hour) else hour


def eighths_of_clock(hour: float) -> int | None:
    """Return the facing 0..7 for a clock hour such as 12, 1.5, 3 or 15; None if it is between eighths."""
    eighths = (hour % 12) / 1.5
    return int(eighths) % EIGHTHS if eighths == int(eighths) else None


def walls_of(net_eighths: int) -> int:
    """Return the number of walls of a dance from its net turn: the order of the turn in Z8.

    90 degrees gives 4 walls, 180 gives 2, 0 gives 1, 45 gives 8.
    """
    return EIGHTHS // gcd(EIGHTHS, normal(net_eighths) or EIGHTHS)


def signed_degrees(net_eighths: int) -> int:
    """Return the net turn in degrees between -179 and 180, clockwise positive."""
    degrees = normal(net_eighths) * 45
    return degrees - 360 if degrees > 180 else degrees
