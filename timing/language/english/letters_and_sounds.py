"""Letters aligned with sounds: which letters of a written word carry which phones.

In: a word in lower case and its phones (ARPABET, stress digits allowed). Out: for every letter the half-open
range of phones it stands for: none (silent), one, or two ("x" in "box", "u" in "use").
The costs come from CMUdict by expectation and maximisation (``tests/bench/make_english.py``); the method is
the classic one of V. Pagel, K. Lenzo and A. Black, "Letter to sound rules for accented lexicon compression"
(ICSLP 1998), which calls the pairs "allowables".
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

Pairs = Mapping[str, Mapping[tuple[str, ...], float]]  # letter -> phones without stress -> log probability

LONGEST = 2  # phones of one letter
_UNSEEN = -12.0  # log probability of a pair that training never met, and per phone of it
_IMPOSSIBLE = -1e9


def bare(phones: Sequence[str]) -> tuple[str, ...]:
    """Return the phones without their stress digits.

    >>> bare(("S", "IY1"))
    ('S', 'IY')
    """
    return tuple(p.rstrip("012") for p in phones)


def align(word: str, phones: Sequence[str], pairs: Pairs) -> list[tuple[int, int]] | None:
    """Return for each letter the range of phones it stands for, None where there are too many phones."""
    sounds = bare(phones)
    letters, count = len(word), len(sounds)
    if count > LONGEST * letters:
        return None
    best = [_IMPOSSIBLE] * (count + 1)
    best[0] = 0.0
    backs = []
    for index, letter in enumerate(word):
        costs = pairs.get(letter, {})
        following, back = [_IMPOSSIBLE] * (count + 1), [0] * (count + 1)
        for done in range(max(0, count - LONGEST * (letters - index)), count + 1):
            so_far = best[done]
            if so_far <= _IMPOSSIBLE:
                continue
            for taken in range(min(LONGEST, count - done) + 1):
                score = so_far + costs.get(sounds[done : done + taken], _UNSEEN * (1 + taken / 4))
                if score > following[done + taken]:
                    following[done + taken], back[done + taken] = score, taken
        best = following
        backs.append(back)
    ranges, at = [], count
    for back in reversed(backs):
        ranges.append((at - back[at], at))
        at -= back[at]
    return ranges[::-1]
