"""Bars and beats as people count them.

Conventions: a *beat* is the felt one. In compound metres (6/8, 9/8, 12/8) it is the dotted note, so 6/8 has two
beats of three eighths and "88 bpm" means 88 dotted quarters a minute. Bars count from 1, bar 0 is the pick-up bar;
beats count from 1 within their bar. A *position* is a number of beats from beat 1 of bar 1 (negative = pick-up).
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import NamedTuple

_WRITTEN = re.compile(r"\s*(\d{1,2})\s*/\s*(1|2|4|8|16|32)\s*")


class Metre(NamedTuple):
    """A time signature. It equals the pair of its numbers, which are what is written, not what is counted.

    How many beats a bar has, and how each divides, is asked of its properties, never read off the numbers.
    """

    numerator: int
    denominator: int

    def __str__(self) -> str:
        return f"{self.numerator}/{self.denominator}"

    @property
    def is_compound(self) -> bool:
        """True where the beat divides in three: 6/8, 9/8, 12/8 and their like."""
        return self.denominator >= 8 and self.numerator > 3 and self.numerator % 3 == 0

    @property
    def beats(self) -> int:
        """The felt beats of one bar.

        >>> [Metre(*m).beats for m in ((4, 4), (3, 4), (6, 8), (9, 8), (12, 8), (2, 2))]
        [4, 3, 2, 3, 4, 2]
        """
        return self.numerator // 3 if self.is_compound else self.numerator

    @property
    def parts(self) -> int:
        """Into how many equal parts a beat is first divided: 2, or 3 in compound metres."""
        return 3 if self.is_compound else 2

    @property
    def quarters(self) -> Fraction:
        """The length of a felt beat in quarter notes, the unit of MIDI tempo.

        >>> Metre(6, 8).quarters, Metre(2, 2).quarters
        (Fraction(3, 2), Fraction(2, 1))
        """
        return Fraction(4 * (3 if self.is_compound else 1), self.denominator)

    def bars_s(self, bars: Fraction | int, bpm: Fraction) -> Fraction:
        """Return how many seconds ``bars`` bars last at ``bpm`` felt beats a minute.

        >>> Metre(6, 8).bars_s(2, Fraction(60))
        Fraction(4, 1)
        """
        return bars * self.beats * Fraction(60) / bpm

    def bar_and_beat(self, position: Fraction, start_bar: int = 1) -> tuple[int, Fraction]:
        """Return (bar, beat) of a position counted from beat 1 of ``start_bar``.

        >>> Metre(4, 4).bar_and_beat(Fraction(-1))
        (0, Fraction(4, 1))
        """
        bar, within = divmod(position, self.beats)
        return start_bar + int(bar), within + 1

    def position_of(self, bar: int, beat: Fraction, start_bar: int = 1) -> Fraction:
        """Return the position of (bar, beat), the reverse of :meth:`bar_and_beat`."""
        return (bar - start_bar) * self.beats + beat - 1


COMMON_TIME = Metre(4, 4)


def parse_metre(text: str) -> Metre:
    """Return a time signature as written; raises ValueError with one sentence.

    >>> str(parse_metre(" 6/8"))
    '6/8'
    """
    match = _WRITTEN.fullmatch(text)
    if not match or not 1 <= int(match[1]) <= 32:
        raise ValueError(f'"{text}" is not a metre; write for example 4/4, 3/4 or 6/8')
    return Metre(int(match[1]), int(match[2]))
