"""What callers may give for a number or a metre, turned into exact values or refused in one sentence."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Any

from timing.model.clock import seconds
from timing.model.metre import Metre, parse_metre
from timing.plain.errors import InputError

Number = int | float | str | Fraction


def number(value: Any, name: str, low: float, high: float = math.inf) -> Fraction:
    """Return ``value`` exactly; raises InputError for what is no number from ``low`` to ``high``.

    >>> number("88.5", "a tempo", 20, 400)
    Fraction(177, 2)
    """
    try:
        exact = seconds(value)
    except (TypeError, ValueError, ArithmeticError, OverflowError):
        raise InputError(f"{name} is a number, not {value!r}") from None
    if not low <= exact <= high:
        limits = f"{low:g} or more" if high == math.inf else f"between {low:g} and {high:g}"
        raise InputError(f"{name} is {limits}, not {value}")
    return exact


def whole(value: Any, name: str, low: int) -> int:
    """Return a whole number of ``low`` or more; raises InputError."""
    exact = number(value, name, low)
    if exact.denominator != 1:
        raise InputError(f"{name} is a whole number, not {value}")
    return int(exact)


def metre(value: Any) -> Metre:
    """Return a metre given as (6, 8) or as "6/8"; raises InputError.

    >>> str(metre("6/8")), str(metre((3, 4)))
    ('6/8', '3/4')
    """
    try:
        return parse_metre(value if isinstance(value, str) else "/".join(str(int(part)) for part in value))
    except (TypeError, ValueError):
        raise InputError(f"{value!r} is not a metre; write for example 4/4, 3/4 or 6/8") from None
