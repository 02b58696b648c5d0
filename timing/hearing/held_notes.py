"""A line sung alone, as in a scratch recording: followed as singing where its notes are held.

In: samples that hold one line, its tokens. Out: a Reading, every word said. What is told of speech (words left out,
replaced or added) is not told of held notes: speech's way takes their long vowels for something unscripted, and puts
65 % of the vowels within a frame where this puts 95 % (14 lines of synthesised singing, two voices).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from timing.hearing.differences import Reading, Verdict
from timing.hearing.followed_words import Token
from timing.hearing.recogniser import RATE_HZ
from timing.model import is_vowel

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_SLOW_S = 0.35  # a syllable: the benchmark's spoken lines take 0.17 to 0.38 s, sung ones 0.4 to 0.8 s
_AROUND_S = 0.6  # of quiet before and after the line
_HELD = 6.0  # held vowels fit this much worse than spoken ones at each step: what "unclear" allows for


def held(samples: NDArray[np.int16], tokens: Sequence[Token]) -> Reading | None:
    """Return the line where it is sung; None where it is as quick as speech."""
    from timing.hearing.phone_costs import likeness
    from timing.hearing.song_search import Chain, fits_of

    vowels = sum(is_vowel(phone) for token in tokens for phone in token.pronunciations[0])
    if len(samples) / RATE_HZ - _AROUND_S < _SLOW_S * max(1, vowels):
        return None
    costs = likeness(samples)
    laid = Chain([[token.pronunciations for token in tokens]]).lay(costs, [(0, len(costs))])
    if laid is None:
        return None
    words = tuple(word.heard(index) for index, word in enumerate(laid))
    fits = tuple(min(0.0, fit + _HELD) for fit in fits_of(laid, costs))
    return Reading(words, fits, (Verdict.SAID,) * len(words))
