"""Where one word ends and the next begins, in languages whose sounds the recogniser does not know well.

In: the words of a spoken line as they were followed. Out: the same words, some boundaries moved.

Two places go wrong. A closed stop and a clear l (that of Portuguese, Spanish, French, Italian) are taken for silence:
the pause that appears before such a word belongs to it, or to the l before it. And of two like vowels that run into
one ("a água") the second gets only the shortest time a sound can have, wherever it is: their time is shared instead.
Limits chosen on synthesised lines of our own in five languages (the benchmark's first set).
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from timing.hearing.recogniser import HeardWord
from timing.language.heard_as import Hearing
from timing.model.clock import Seconds

_LONGEST_CLOSURE = Fraction(13, 100)
_NO_PAUSE = Fraction(6, 100)  # too short to be one: both words share it
_LIKE_VOWELS = ("AA AE AH", "EH EY IH IY", "AO OW UH UW")
_KIND = {name: kind for kind, names in enumerate(_LIKE_VOWELS) for name in names.split()}


def joined(words: Sequence[HeardWord | None], pauses: Collection[int], hearing: Hearing) -> list[HeardWord | None]:
    """Return the words (None: not said) with their boundaries moved where the sound itself does not show them.

    ``pauses`` are the indices of words after which a pause is written: silence there is left alone.

    >>> from timing.hearing.recogniser import HeardPhone
    >>> the, sea = (
    ...     HeardWord(i, Fraction(a, 100), Fraction(b, 100), 0, (HeardPhone(p, Fraction(a, 100), Fraction(b, 100)),))
    ...     for i, p, a, b in ((0, "AA", 10, 30), (1, "L", 38, 41))
    ... )
    >>> [float(joined([the, sea], pauses, Hearing())[1].start) for pauses in ((), {0})]
    [0.3, 0.38]
    """
    found = list(words)
    for i, (left, right) in enumerate(pairwise(words)):
        if left is not None and right is not None and left.phones and right.phones:
            edge = _edge(left, right, i in pauses, hearing)
            found[i], found[i + 1] = _ending(found[i] or left, edge[0]), _beginning(right, edge[1])
    return found


def _edge(left: HeardWord, right: HeardWord, is_pause: bool, hearing: Hearing) -> tuple[Seconds, Seconds]:
    """Return where the left word ends and the right one begins."""
    last, first = left.phones[-1], right.phones[0]
    gap = right.start - left.end
    if gap <= 0 and _KIND.get(last.name, -1) == _KIND.get(first.name, -2):
        middle = (last.start + first.end) / 2
        return middle, middle
    if gap <= 0 or is_pause or gap > _LONGEST_CLOSURE:
        return left.end, right.start
    if first.name in hearing.closed:
        return left.end, left.end
    if last.name in hearing.clear:
        return right.start, right.start
    middle = (left.end + right.start) / 2
    return (middle, middle) if gap <= _NO_PAUSE else (left.end, right.start)


def _ending(word: HeardWord, moment: Seconds) -> HeardWord:
    return replace(word, end=moment, phones=(*word.phones[:-1], replace(word.phones[-1], end=moment)))


def _beginning(word: HeardWord, moment: Seconds) -> HeardWord:
    return replace(word, start=moment, phones=(replace(word.phones[0], start=moment), *word.phones[1:]))
