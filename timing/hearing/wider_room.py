"""More room for a reading whose words are in doubt: the sound right beside it that is no other reading's.

In: readings found in a recording, and the stretches that hold sound. Out: where else a reading may begin or end. The
search leaves out a first word that fits badly ("Seven? I counted eight."), and a word that is not in the room in which
a line is followed cannot be found there.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from timing.hearing.line_places import Place
from timing.model.clock import Seconds

# Chosen on the first half of ``tests/bench/bench_memo.py``.
_FURTHEST = Fraction(2)  # a stretch that begins so long before a reading, or ends so long after it, may be its own
_PAUSE = Fraction(4, 5)  # inside a line
_SAME = Fraction(1, 10)


def wider(
    places: Sequence[Place], index: int, regions: Sequence[tuple[Seconds, Seconds]]
) -> tuple[tuple[Seconds, Seconds], ...]:
    """Return (start, end) of ``places[index]`` begun with the stretch before it, and ended with the one after it.

    Nothing where there is none, or where another reading lies in it.

    >>> line = Place(0, ((0, Fraction(2), Fraction(3)),), True)
    >>> wider([line], 0, [(Fraction(1), Fraction(3, 2)), (Fraction(2), Fraction(3))])
    ((Fraction(1, 1), Fraction(3, 1)),)
    """
    start, end = places[index].start, places[index].end
    others = [(p.start, p.end) for k, p in enumerate(places) if k != index]

    def is_free(low: Seconds, high: Seconds) -> bool:
        return all(high <= a + _SAME or low >= b - _SAME for a, b in others)

    before = [a for a, b in regions if start - _FURTHEST <= a < start - _SAME and start - b <= _PAUSE]
    after = [b for a, b in regions if end + _SAME < b <= end + _FURTHEST and a - end <= _PAUSE]
    found = []
    if before and is_free(before[-1], start):
        found.append((before[-1], end))
    if after and is_free(end, after[0]):
        found.append((start, after[0]))
    return tuple(found)
