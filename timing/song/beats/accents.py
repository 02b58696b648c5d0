"""Which notes sound stressed because they last: evidence for the beat where no drum marks it.

In: onset strength. Out: moments of clear onsets and the accent of each. A note is heard as accented the longer it is
until the next begins, up to about a second (D.-J. Povel & P. Essens, "Perception of temporal patterns", Music
Perception 2, 1985). The growth is R. Parncutt's ("A perceptual model of pulse salience and metrical accent in
musical rhythms", Music Perception 11, 1994): (1 - exp(-length / 0.5 s)) squared. Loudness of attack counts little
beside it: the short note before a beat follows a long one and so stands out more than the beat itself.
"""

from __future__ import annotations

import numpy as np

from timing.song.beats.onsets import FRAME_RATE, Array, smooth

GROWTH_S, POWER = 0.5, 2
CLEAR = 1.0  # onset strength of a note
LOUDEST = 2.0  # what an onset counts for at most
APART_S = 0.08  # onsets closer than this are one note


def length_accents(strength: Array) -> tuple[Array, Array]:
    """Return (moments in s, accents) of the clear onsets."""
    view = smooth(strength, 2)
    peaks = np.flatnonzero((view[1:-1] >= view[:-2]) & (view[1:-1] > view[2:]) & (view[1:-1] > CLEAR)) + 1
    kept: list[int] = []
    for peak in peaks.tolist():
        if kept and peak - kept[-1] < APART_S * FRAME_RATE:
            if view[peak] > view[kept[-1]]:
                kept[-1] = peak
        else:
            kept.append(peak)
    at = np.asarray(kept, int)
    moments = at / FRAME_RATE
    lengths = np.append(np.diff(moments), GROWTH_S)[: len(at)]
    return moments, np.minimum(view[at], LOUDEST) * (1 - np.exp(-lengths / GROWTH_S)) ** POWER


def fold_accents(strength: Array, period: float, bins: int) -> Array:
    """Return the sum of accents over one period, in ``bins`` parts."""
    moments, accents = length_accents(strength)
    at = (moments / period % 1 * bins).astype(int)
    return smooth(np.bincount(at, accents, bins).astype(float), bins / 30, wrap=True)
