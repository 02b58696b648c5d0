"""Bars and beats as people count them.

In: a time signature. Out: how many beats a bar has and how each divides.
Conventions: a *beat* is the felt one. In compound metres (6/8, 9/8, 12/8) it is the dotted note, so 6/8 has two
beats of three eighths and "88 bpm" means 88 dotted quarters a minute. Bars count from 1, bar 0 is the pick-up bar;
beats count from 1 within their bar. A *position* is a number of beats from beat 1 of bar 1 (negative = pick-up).
"""

from __future__ import annotations

import re
from fractions import Fraction

Metre = tuple[int, int]

_WRITTEN = re.compile(r"\s*(\d{1,2})\s*/\s*(1|2|4|8|16|32)\s*")


def parse_metre(text: str) -> Metre:
    """Return a time signature as written; raises ValueError with one sentence.

    >>> parse_metre("6/8")
    (6, 8)
    """
    match = _WRITTEN.fullmatch(text)
    if not match or not 1 <= int(match[1]) <= 32:
        raise ValueError(f'"{text}" is not a metre; write for example 4/4, 3/4 or 6/8')
    return int(match[1]), int(match[2])


def is_compound(metre: Metre) -> bool:
    """True where the beat divides in three: 6/8, 9/8, 12/8 and their like."""
    return metre[1] >= 8 and metre[0] > 3 and metre[0] % 3 == 0


def beats_a_bar(metre: Metre) -> int:
    """Return the felt beats of one bar.

    >>> [beats_a_bar(m) for m in ((4, 4), (3, 4), (6, 8), (12, 8), (2, 2))]
    [4, 3, 2, 4, 2]
    """
    return metre[0] // 3 if is_compound(metre) else metre[0]


def parts_a_beat(metre: Metre) -> int:
    """Return into how many equal parts a beat is first divided: 2, or 3 in compound metres."""
    return 3 if is_compound(metre) else 2


def quarters_a_beat(metre: Metre) -> Fraction:
    """Return the length of a felt beat in quarter notes, the unit of MIDI tempo.

    >>> quarters_a_beat((6, 8))
    Fraction(3, 2)
    """
    return Fraction(4 * (3 if is_compound(metre) else 1), metre[1])


def bar_and_beat(position: Fraction, metre: Metre, start_bar: int = 1) -> tuple[int, Fraction]:
    """Return (bar, beat) of a position counted from beat 1 of ``start_bar``.

    >>> bar_and_beat(Fraction(-1), (4, 4))
    (0, Fraction(4, 1))
    """
    bar, within = divmod(position, beats_a_bar(metre))
    return start_bar + int(bar), within + 1


def position_of(bar: int, beat: Fraction, metre: Metre, start_bar: int = 1) -> Fraction:
    """Return the position of (bar, beat), the reverse of :func:`bar_and_beat`."""
    return (bar - start_bar) * beats_a_bar(metre) + beat - 1
