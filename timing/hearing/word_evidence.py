"""How much speaks against a word having been said as written, from the sound alone.

In: a line's words as they were followed, and for each step of 10 ms how much better any phone at all would have
fitted than the path did (the lack). Out: for each word the log-odds that something else is there, and how much lacks
in the worst stretch around it.

Each fact alone misses what another shows. How badly the word's phones fit, the worst and all of them, each held
against what such a phone lacks where it was said (a stop always fits worse than a vowel); how many of them are
squeezed to the shortest the model allows (a word left out hides between its neighbours); the worst stretch from the
word before to the word after (a word too many hides in a pause or in one long phone); how badly the line's other
phones fit (an unusual voice lacks everywhere); and how long the word is, as a long one cannot hide.

The weights are a logistic regression on 1,320 readings, as written, with a word left out and with one replaced (80
lines, three synthetic voices, some of them faster, slower or in a telephone's band). What they are worth on other
lines, another voice and human speech is what ``tests/bench/bench_listen.py mismatch`` prints.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from timing.hearing.recogniser import HeardPhone, HeardWord, step_at

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_SQUEEZED, _STRETCH, _OTHERS, _WORST, _MEAN, _PHONES, _STEPS, _CONSTANT = (
    3.8463, 3.0691, -1.5785, 0.3283, 0.4565, -0.4741, -0.1299, -4.516,
)  # fmt: skip
_ALLOWED = 4.0  # lack for one step that a good word may have: more than this adds up to a bad stretch
_SHORTEST_PHONE = 3  # steps: three states, one step each
_SHORT_WORD, _SHORT_PHONE = 4, 2  # steps: a score over n steps counts n / (n + 4): three steps say little
_BAD_FIT = 20.0  # squeezed phones count in so far as the word fits this badly: "the" is short by nature
_WORST_MOST = 6.0  # one phone that does not fit at all is as bad as it gets
_OTHERS_FROM, _OTHERS_TO = (-2.0, 3.0), (-1.0, 2.0)  # one word that was not said must not excuse the next
# What each phone lacks where it was said: mean and spread over all phones of readings as written.
_USUAL = {
    "AA": (1.8, 10.1), "AE": (0.4, 6.2), "AH": (1.2, 9.7), "AO": (3.7, 11.5), "AW": (8.1, 13.6), "AY": (1.3, 5.5),
    "B": (3.2, 8.1), "CH": (6.6, 12.3), "D": (4.6, 8.3), "DH": (3.4, 7.6), "EH": (-0.3, 5.8), "ER": (6.6, 10.6),
    "EY": (1.7, 6.7), "F": (1.3, 4.3), "G": (2.1, 8.2), "HH": (6.2, 10.3), "IH": (0.2, 7.3), "IY": (0.2, 6.0),
    "JH": (-2.4, 3.0), "K": (3.0, 8.1), "L": (0.7, 7.1), "M": (2.3, 7.9), "N": (2.3, 6.3), "NG": (1.2, 6.5),
    "OW": (8.8, 16.5), "OY": (2.5, 8.0), "P": (3.2, 7.4), "R": (1.9, 9.2), "S": (0.8, 5.4), "SH": (0.5, 6.6),
    "T": (5.1, 9.5), "TH": (2.1, 6.3), "UH": (8.9, 16.9), "UW": (6.0, 11.8), "V": (2.2, 6.0), "W": (3.0, 9.3),
    "Y": (2.0, 5.3), "Z": (1.7, 6.5), "ZH": (2.5, 8.0),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Evidence:
    """``against`` a word as written (log-odds); ``stretch`` is the most that lacks in one piece around it."""

    against: float
    stretch: float


def evidence(words: Sequence[HeardWord], lack: NDArray[np.float64]) -> list[Evidence]:
    """Return the evidence for each word; ``lack`` is in the recogniser's unit (about 0.1 nat) for each step."""
    spans = [(max(0, step_at(w.start)), max(1, step_at(w.end))) for w in words]
    unusual = [[_unusual(phone, lack) for phone in word.phones] for word in words]
    kept = [[_within(u, *_OTHERS_FROM) for u in row] for row in unusual]
    found = []
    for i, word in enumerate(words):
        start = spans[i - 1][1] if i else spans[i][0]
        end = spans[i + 1][0] if i + 1 < len(words) else spans[i][1]
        stretch = worst_stretch(lack[start:end])
        others = [u for k, row in enumerate(kept) if k != i for u in row]
        fit = _weighed(lack[slice(*spans[i])], _SHORT_WORD)
        squeezed = sum(step_at(p.end) - step_at(p.start) <= _SHORTEST_PHONE for p in word.phones) / len(word.phones)
        against = (
            _SQUEEZED * squeezed * _within(fit / _BAD_FIT, 0, 1)
            + _STRETCH * math.log1p(stretch / 100)
            + _OTHERS * _within(_mean(others), *_OTHERS_TO)
            + _WORST * min(max(unusual[i]), _WORST_MOST)
            + _MEAN * _mean(unusual[i])
            + _PHONES * len(word.phones)
            + _STEPS * (spans[i][1] - spans[i][0])
            + _CONSTANT
        )
        found.append(Evidence(against, stretch))
    return found


def worst_stretch(lack: NDArray[np.float64]) -> float:
    """Return the greatest sum of any run of steps, each less what a good word may lack (never negative).

    >>> worst_stretch([0, 14, 24, 1, 24, 0])  # 10 + 20 - 3 + 20
    47.0
    """
    best = total = 0.0
    for value in lack:
        total = max(0.0, total + float(value) - _ALLOWED)
        best = max(best, total)
    return best


def _unusual(phone: HeardPhone, lack: NDArray[np.float64]) -> float:
    """Return how far a phone's lack is from what is usual for it, in spreads."""
    start = step_at(phone.start)
    mean, spread = _USUAL[phone.name]
    return (_weighed(lack[start : max(step_at(phone.end), start + 1)], _SHORT_PHONE) - mean) / spread


def _weighed(lack: NDArray[np.float64], short: int) -> float:
    return float(lack.sum()) / (len(lack) + short)


def _mean(values: Sequence[float]) -> float:
    return sum(values) / max(1, len(values))


def _within(value: float, low: float, high: float) -> float:
    return min(max(value, low), high)
