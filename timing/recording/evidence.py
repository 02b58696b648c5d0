"""How much speaks against a word having been said as written, from the sound alone.

In: a line's words as they were followed, and for each step of 10 ms how much better any phone at all would have
fitted than the path did (the lack). Out: for each word the log-odds that something else is there, and how much lacks
in the worst stretch around it.

Four facts are weighed, since each alone misses what another shows: how badly the word fits as a whole; how many of
its phones fit badly and are squeezed to the shortest the model allows (a word left out hides between its neighbours);
the worst stretch from the word before to the word after (a word too many hides in a pause or in one long phone); and
how badly the line's other words fit (an unusual voice lacks everywhere). The weights are a logistic regression on 80
readings with a word left out, 80 with one replaced and 80 as written, each in three clear takes, one faster and
higher, one slower and lower and one in a telephone's band: the first half of the benchmark's lines, two voices. On the
other half, another voice among them, it finds 97 % of both at 0.3 % of good words; the word's fit alone, 95 %.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from timing.recording.recogniser import HeardWord, step_at

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_FIT, _SQUEEZED, _STRETCH, _OTHERS, _CONSTANT = 0.116, 4.66, 1.17, -0.143, -5.70
_ALLOWED = 4.0  # lack for one step that a good word may have: more than this adds up to a bad stretch
_SHORTEST_PHONE = 3  # steps: three states, one step each
_SHORT_STEPS = 4  # a score over n steps counts n / (n + 4): three steps say little
_BAD_FIT = 20.0  # squeezed phones count in so far as the word fits this badly: "the" is short by nature
_OTHERS_MOST = 25.0  # one word that was not said must not excuse the next


@dataclass(frozen=True, slots=True)
class Evidence:
    """``against`` a word as written (log-odds); ``stretch`` is the most that lacks in one piece around it."""

    against: float
    stretch: float


def evidence(words: Sequence[HeardWord], lack: NDArray[np.float64]) -> list[Evidence]:
    """Return the evidence for each word; ``lack`` is in the recogniser's unit (about 0.1 nat) for each step."""
    spans = [(max(0, step_at(w.start)), max(1, step_at(w.end))) for w in words]
    fits = [_weighed(lack[a:b]) for a, b in spans]
    found = []
    for i, word in enumerate(words):
        start = spans[i - 1][1] if i else spans[i][0]
        end = spans[i + 1][0] if i + 1 < len(words) else spans[i][1]
        stretch = worst_stretch(lack[start:end])
        others = [min(max(fit, 0.0), _OTHERS_MOST) for k, fit in enumerate(fits) if k != i]
        squeezed = sum(step_at(p.end) - step_at(p.start) <= _SHORTEST_PHONE for p in word.phones) / len(word.phones)
        against = (
            _FIT * fits[i]
            + _SQUEEZED * squeezed * min(max(fits[i] / _BAD_FIT, 0.0), 1.0)
            + _STRETCH * math.log1p(stretch / 100)
            + _OTHERS * (sum(others) / max(1, len(others)))
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


def _weighed(lack: NDArray[np.float64]) -> float:
    return float(lack.sum()) / (len(lack) + _SHORT_STEPS)
