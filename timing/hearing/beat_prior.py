"""What a song's beats say about where its vowels begin: a little, learnt from the song itself.

Singers begin vowels 15 to 50 ms after the beat or a part of it, give or take 25 ms (six pop songs, 1,100 onsets). How
much after, on which parts of the beat, and how often at all differs from song to song; so all three are fitted to
the onsets that were heard without the beats. Where those do not gather around any parts of the beats (a wrong grid,
free singing) nothing is gained from them. Nothing is ever moved onto a beat: a beat counts among the other costs.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_PARTS = (1, 2, 3, 4)  # of a beat
_SHORTEST_S = 0.12  # parts closer than this lie near everything
_SPREAD_S = 0.03
_LAGS_S = [k / 1000 for k in range(-20, 91, 5)]
_LEAST_NATS = 3.0  # by which the beats must explain the onsets better than chance does
# The recogniser's steps are scored as if each were independent of the last, which makes it several times too sure;
# the beats speak as loudly. In its unit of 0.1 nat.
_WEIGHT = 80.0


@dataclass(frozen=True, slots=True)
class Habit:
    """Where vowels begin: ``share`` of them around ``moments`` (seconds, in order)."""

    moments: tuple[float, ...]
    share: float
    step: float  # mean distance of the moments

    def bonus(self, at: NDArray[np.float64]) -> NDArray[np.float32]:
        """Return how much likelier than elsewhere a vowel is to begin at each of the moments ``at``."""
        import numpy as np

        return (_WEIGHT * np.log1p(_odds(_distance(self.moments, at), self.share, self.step))).astype(np.float32)


def habit(onsets: Sequence[float], beats: Sequence[float]) -> Habit | None:
    """Return what ``beats`` say about where vowels begin, given those heard; None where they say nothing."""
    import numpy as np

    best, found = _LEAST_NATS, None
    if len(beats) < 2 or not onsets:
        return None
    heard = np.asarray(onsets)
    for parts in _PARTS:
        grid = np.interp(np.arange((len(beats) - 1) * parts + 1) / parts, np.arange(len(beats)), beats)
        step = float(np.median(np.diff(grid)))
        if step < _SHORTEST_S:
            continue
        for lag in _LAGS_S:
            away = _distance(grid + lag, heard)
            share = 0.5
            for _ in range(20):  # expectation and maximisation: how many belong to the grid
                odds = _odds(away, share, step)
                share = min(float(np.mean(odds / (1 + odds))), 0.95)
            nats = float(np.sum(np.log((1 - share) * (1 + _odds(away, share, step)))))
            if nats > best:
                best, found = nats, Habit(tuple((grid + lag).tolist()), share, step)
    return found


def _odds(away: NDArray[np.float64], share: float, step: float) -> NDArray[np.float64]:
    """Return the odds that an onset ``away`` from its nearest moment belongs to it, not to anywhere in the step."""
    import numpy as np

    density = np.exp(-((away / _SPREAD_S) ** 2) / 2) / (_SPREAD_S * math.sqrt(2 * math.pi))
    return np.asarray(share * density * step / (1 - share))


def _distance(moments: Sequence[float] | NDArray[np.float64], at: NDArray[np.float64]) -> NDArray[np.float64]:
    import numpy as np

    marks = np.asarray(moments)
    after = np.clip(np.searchsorted(marks, at), 1, len(marks) - 1)
    return np.asarray(np.minimum(np.abs(at - marks[after - 1]), np.abs(marks[after] - at)))
