"""Follows the beat freely: local tempos, then beats.

In: onset strength and a rough tempo. Out: beats in seconds. Local tempos by Viterbi over a tempogram (autocorrelation
in 6 s windows), then beats by dynamic programming after D. Ellis, "Beat Tracking by Dynamic Programming", Journal of
New Music Research 36 (2007).
"""

from __future__ import annotations

import numpy as np

from timing.song.beats.onsets import FRAME_RATE, Array, Onsets, smooth
from timing.song.beats.tempo import autocorrelation

SLOWER, FASTER, TEMPOS = 0.62, 1.6, 120  # the range of local tempos around the song's, short of an octave
TEMPOGRAM_S, TEMPOGRAM_STEP_S = 6.0, 1.0
CHANGE_COST, CHANGE_MOST = 6.0, 0.12
TIGHTNESS = 96.0  # of the dynamic programming: cost of log-squared deviation from the local period


def follow(onsets: Onsets, bpm: float) -> Array:
    """Return beats (s) that follow the music freely around ``bpm``."""
    view = smooth(onsets.both, 2) + 0.5 * smooth(onsets.low, 2)
    return _beats(view, _local_periods(onsets.both, bpm))


def _local_periods(strength: Array, bpm: float) -> Array:
    """Return the beat period in frames, for every frame."""
    half, step = int(FRAME_RATE * TEMPOGRAM_S / 2), int(FRAME_RATE * TEMPOGRAM_STEP_S)
    lag = FRAME_RATE * 60 / (bpm * np.exp(np.linspace(np.log(SLOWER), np.log(FASTER), TEMPOS)))
    centres = list(range(0, max(1, len(strength) - half), step))
    rows = []
    for centre in centres:
        piece = strength[max(0, centre - half) : centre + half]
        curve = smooth(autocorrelation(piece * np.hanning(len(piece)), min(len(piece), int(lag.max() * 4) + 4)), 1.5)
        at = np.arange(len(curve))
        row = np.interp(lag, at, curve) + 0.8 * np.interp(2 * lag, at, curve)
        rows.append(row + 0.5 * np.interp(4 * lag, at, curve) * (4 * lag < len(curve)))
    index = np.arange(TEMPOS)
    cost = CHANGE_COST * np.minimum(np.abs(index[:, None] - index) / TEMPOS, CHANGE_MOST)
    score, back = rows[0], []
    for row in rows[1:]:
        value = score - cost
        chosen = value.argmax(axis=1)
        back.append(chosen)
        score = row + value[index, chosen]
    path = [int(score.argmax())]
    for chosen in reversed(back):
        path.append(int(chosen[path[-1]]))
    periods = smooth(lag[path[::-1]], 0.8)
    return np.asarray(np.interp(np.arange(len(strength)), centres, periods))


def _beats(strength: Array, period: Array) -> Array:
    """Return beat times by dynamic programming over frames."""
    score, back = strength.copy(), np.full(len(strength), -1)
    earliest = np.maximum((np.arange(len(strength)) - 1.6 * period).astype(int), 0)
    latest = (np.arange(len(strength)) - 0.62 * period).astype(int)
    for i in range(len(strength)):
        if latest[i] <= 0:
            continue
        gaps = np.log(np.arange(i - earliest[i], i - latest[i] - 1, -1) / period[i])
        value = score[earliest[i] : latest[i] + 1] - TIGHTNESS * gaps * gaps
        at = int(value.argmax())
        if value[at] > 0:
            score[i] = strength[i] + value[at]
            back[i] = earliest[i] + at
    tail = min(int(period[-1] * 1.5), len(score))
    at = int(score[-tail:].argmax()) + len(score) - tail
    found = []
    while at >= 0:
        found.append(at)
        at = int(back[at])
    return np.array(found[::-1]) / FRAME_RATE
