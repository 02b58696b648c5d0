"""The gate for numbers that are read: digits and an exponent of a bounded size before any arithmetic.

``Fraction("1e99999999")`` and ``int("9" * 5000)`` take minutes or fail; "²" is a digit to ``str.isdigit`` and none
to ``int``.
"""

from __future__ import annotations

import re
from fractions import Fraction

MOST_CHARACTERS = 60
MOST_EXPONENT = 30
_DECIMAL = re.compile(r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE]([+-]?\d{1,9}))?")
_RATIO = re.compile(r"[+-]?\d+/\d+")


def exact(text: str) -> Fraction:
    """Return a decimal or a ratio as written; raises ValueError for anything else, and for more than a person writes.

    >>> exact(" 96.5"), exact("1e3"), exact("30000/1001")
    (Fraction(193, 2), Fraction(1000, 1), Fraction(30000, 1001))
    """
    text = text.strip()
    if len(text) > MOST_CHARACTERS:
        raise ValueError("has too many digits for a number")
    if _RATIO.fullmatch(text):
        top, bottom = text.split("/")
        if not int(bottom):
            raise ValueError(f"{text} divides by nothing")
        return Fraction(int(top), int(bottom))
    match = _DECIMAL.fullmatch(text)
    if not match:
        raise ValueError(f'"{text}" is not a number')
    if abs(int(match[1] or 0)) > MOST_EXPONENT:
        raise ValueError(f"{text} is far too large or too small")
    return Fraction(text)


def whole(text: str, low: int, high: int) -> int:
    """Return a whole number written in ordinary digits that lies from ``low`` to ``high``; raises ValueError.

    >>> whole("12", 1, 99)
    12
    """
    text = text.strip()
    if not re.fullmatch(r"[+-]?\d{1,18}", text) or not low <= int(text) <= high:
        shown = text if len(text) <= MOST_CHARACTERS else text[: MOST_CHARACTERS - 3] + "..."
        raise ValueError(f'"{shown}" is not a whole number from {low} to {high}')
    return int(text)
