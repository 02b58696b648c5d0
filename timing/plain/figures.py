"""Seconds and other figures as people read them."""

from __future__ import annotations

from fractions import Fraction

Number = int | float | Fraction


def figure(value: Number | None, unknown: str = "?") -> str:
    """Return a figure as short as it goes, six digits at most; ``unknown`` for None.

    >>> figure(Fraction(8)), figure(Fraction(1, 4)), figure(Fraction(1, 3)), figure(None)
    ('8', '0.25', '0.333333', '?')
    """
    return unknown if value is None else f"{float(value):g}"


def at_most(value: Number, places: int) -> str:
    """Return a figure rounded to some places, without zeros at its end.

    >>> at_most(Fraction(35, 100), 2), at_most(Fraction(4), 2), at_most(Fraction(24000, 1001), 3)
    ('0.35', '4', '23.976')
    """
    return f"{float(value):.{places}f}".rstrip("0").rstrip(".")


def counted(count: int, what: str) -> str:
    """Return a number with what it counts, in the plural but for one.

    >>> counted(1, "frame"), counted(0, "frame"), counted(12, "frame")
    ('1 frame', '0 frames', '12 frames')
    """
    return f"{count} {what}{'s' * (count != 1)}"


def in_seconds(value: Number, places: int) -> str:
    """Return a length or moment as people read it, with its unit and so many decimals.

    >>> in_seconds(Fraction(9, 4), 1), in_seconds(Fraction(3), 2)
    ('2.2 s', '3.00 s')
    """
    return f"{float(value):.{places}f} s"
