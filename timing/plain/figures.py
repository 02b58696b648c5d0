"""Seconds and other figures as people read them."""

from __future__ import annotations

from fractions import Fraction
from math import ceil, floor

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


def needed(value: Fraction) -> str:
    """Return the seconds that a clip needs with one decimal, halves up, or with two, rounded up, where it matters.

    It does where one decimal would show a length that is asked for, a whole or half second, and the need is over it.

    >>> needed(Fraction("3.0025")), needed(Fraction("3.05")), needed(Fraction("2.9975")), needed(Fraction("4.51"))
    ('3.01', '3.1', '3.0', '4.51')
    """
    tenth = Fraction(floor(value * 10 + Fraction(1, 2)), 10)
    if tenth < value and (2 * tenth).denominator == 1:
        return f"{float(up_to_hundredths(value)):.2f}"
    return f"{float(tenth):.1f}"


def up_to_hundredths(value: Fraction) -> Fraction:
    """Return the hundredth of a second that a value is not over."""
    return Fraction(ceil(value * 100), 100)


def down_to_hundredths(value: Fraction) -> Fraction:
    """Return the hundredth of a second that a value is not under."""
    return Fraction(floor(value * 100), 100)
