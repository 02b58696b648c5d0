"""Where a voice ends in a room that goes on sounding.

In: samples of a recording with next to no noise, and stretches that hold sound. Out: the stretches, ended where the
voice does. Sound in a room dies away by so many decibels a second (60 dB in its reverberation time: W. C. Sabine,
"Collected Papers on Acoustics", 1922). Nothing in that room falls faster, so the steepest falls in a recording tell
its rate. A voice has ended where from then on the level only falls at that rate: the level plus what the room has
taken since rises while somebody speaks, and then stays. Three bands are looked at, so that a last "s" counts.

Measured on synthesised memos in a room of 0.45 s (the first half of ``tests/bench/bench_memo.py``, four voices): a
line's end lies within an eighth of a second in 99 of 100 lines.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from timing.model.clock import Seconds
from timing.sound.bands import STEPS_PER_S, power_of_bands

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Stretches = tuple[tuple[Seconds, Seconds], ...]

# Chosen there. Falls are those of at least 0.4 dB in 10 ms, from a loud window to one that stands above the noise.
_LOUD_DB, _ABOVE_NOISE_DB, _FALLS_DB = 25.0, 6.0, 0.4
_FEWEST = 200  # some ten seconds of speech
# Over 100 ms the fiftieth of all falls that are steepest lose 17 to 21 dB in the room, 28 to 41 without one. The rate
# itself is read over 150 ms, where the unevenness of a tail counts less: nine of ten falls are slower. That is within
# 12 % of the truth at 0.35 and 0.45 s, within 28 % at 0.25 and 0.6, too fast by a third at 0.9 s.
_SHORT, _STEEPEST, _IN_A_ROOM_DB = 10, 98, 26.0
_LONG, _STEEP = 15, 90
_UNEVEN_DB = 3.0
_FURTHEST = 80  # steps from an end back
_BAND_ABOVE_NOISE_DB, _BELOW_SPEECH_DB = 8.0, 40.0
_HALF_WINDOW = Fraction(7, 400)  # from a step's beginning to a little behind the middle of its window


def decay_db(levels_db: NDArray[np.float64]) -> float | None:
    """Return by how much sound dies away in 10 ms where a room goes on sounding, else None; levels every 10 ms."""
    import numpy as np

    heard = levels_db[np.isfinite(levels_db)]
    if len(heard) <= _LONG:
        return None
    floor, speech = np.percentile(heard, [5, 95])
    levels_db = np.maximum(levels_db, heard.min())  # of digital silence the level is no number

    def falls(steps: int) -> NDArray[np.float64]:
        before, after = levels_db[:-steps], levels_db[steps:]
        counts = (after > floor + _ABOVE_NOISE_DB) & (before > speech - _LOUD_DB)
        counts &= before - after > _FALLS_DB * steps
        found: NDArray[np.float64] = (before - after)[counts]
        return found

    short, long = falls(_SHORT), falls(_LONG)
    if min(len(short), len(long)) < _FEWEST or np.percentile(short, _STEEPEST) >= _IN_A_ROOM_DB:
        return None
    return float(np.percentile(long, _STEEP)) / _LONG


def without_tails(samples: NDArray[np.int16], stretches: Stretches, levels_db: NDArray[np.float64]) -> Stretches:
    """Return ``stretches``, each ended where the voice ends; as they are where no room is heard."""
    import numpy as np

    rate = decay_db(levels_db)
    if rate is None or rate <= 0:
        return stretches
    bands = 10 * np.log10(power_of_bands(samples) + 1)
    least = np.percentile(bands, 5, axis=0) + _BAND_ABOVE_NOISE_DB
    least = np.maximum(least, np.percentile(bands.max(axis=1), 95) - _BELOW_SPEECH_DB)
    found = []
    for start, end in stretches:
        last = min(len(bands), int(end * STEPS_PER_S))
        first = max(int(start * STEPS_PER_S), last - _FURTHEST)
        steps = [_end_of_voice(band[first:last], rate, low) for band, low in zip(bands.T, least, strict=True)]
        voice = Fraction(first + max(steps), STEPS_PER_S) + _HALF_WINDOW
        found.append((start, min(end, voice) if max(steps) > 0 else end))
    return tuple(found)


def _end_of_voice(levels_db: NDArray[np.float64], rate: float, least: float) -> int:
    """Return the step from which on a band only dies away, 0 where nothing in it is as loud as ``least``.

    >>> import numpy as np
    >>> _end_of_voice(np.array([60, 60, 60, 56, 52, 48.0]), 4, 50)
    2
    """
    import numpy as np

    loud = np.flatnonzero(levels_db > least)
    if not len(loud):
        return 0
    given_back = levels_db[: loud[-1] + 1] + rate * np.arange(loud[-1] + 1)
    return int(np.flatnonzero(given_back >= given_back.max() - _UNEVEN_DB)[0])
