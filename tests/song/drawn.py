"""Onset curves drawn by hand: what the parts of the beat tracker see of a song whose truth is known."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from timing.song.beats.onsets import Onsets

FRAMES_A_SECOND = 22050 / 128
LOUD = 10.0

Moments = Sequence[float] | NDArray[np.float64]


def frame(moment: float) -> int:
    return round(moment * FRAMES_A_SECOND)


def curve(moments: Moments, length_s: float, level: float | Sequence[float] = LOUD) -> NDArray[np.float64]:
    """Return a strength of 0 but for one frame at each moment."""
    out = np.zeros(frame(length_s))
    out[np.round(np.asarray(moments, float) * FRAMES_A_SECOND).astype(int)] = level
    return out


def drawn(high: Moments, low: Moments = (), length_s: float = 20.0, level: float | Sequence[float] = LOUD) -> Onsets:
    """Return onsets at given moments, nothing between."""
    count = frame(length_s)
    chroma, loudness = np.zeros((count, 12), np.float32), np.ones(count, np.float32)
    sharp = curve(high, length_s, level)
    return Onsets(sharp, curve(low, length_s), sharp, chroma, length_s, loudness)
