"""Seconds as they are printed: tenths, halves up; a sum is the sum of what is printed beside it."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from timing.model.clock import round_half_up


def tenth(value: Fraction) -> Fraction:
    """Return the nearest tenth, halves going up.

    >>> tenth(Fraction(1, 4)), tenth(Fraction(3, 20))
    (Fraction(3, 10), Fraction(1, 5))
    """
    return Fraction(round_half_up(value * 10), 10)


def tenths(value: Fraction) -> str:
    """Return seconds with one decimal, halves up.

    >>> tenths(Fraction(9, 4)), tenths(Fraction(0))
    ('2.3', '0.0')
    """
    whole = round_half_up(value * 10)
    return f"{'-' * (whole < 0)}{abs(whole) // 10}.{abs(whole) % 10}"


def sum_printed(values: Iterable[Fraction]) -> Fraction:
    """Return the sum of values as each is printed, so that whoever adds up the column gets the sum below it.

    >>> sum_printed([Fraction(1, 4), Fraction(1, 4)])
    Fraction(3, 5)
    """
    return sum((tenth(value) for value in values), Fraction(0))
