"""A last stretch that slows down or gathers speed.

In: onset strength and the steady grid. Out: the beats from where the grid's onsets end. Two readings: beat by beat,
each an onset about one period on; and, where other notes lead that astray, the curve that players' last bars follow,
v(x) = (1 + (w^q - 1) x)^(1/q) with v the tempo relative to the song's, x the share of the stretch played, w the tempo
at its end (A. Friberg & J. Sundberg, "Does music performance allude to locomotion?", JASA 105, 1999); q = -1 is a
beat that grows by the same amount each time.
"""

from __future__ import annotations

import numpy as np

from timing.song.beats.onsets import FRAME_RATE, Array, Onsets, smooth
from timing.song.beats.steady import gain_over, live_span, on_beat

LEAST_BEATS = 6
SCRAP_SHARE = 0.4  # of the usual strength on a beat: below it the grid no longer fits
STEP_RANGE, STEP_COST = (0.8, 1.35), 40.0  # of one beat to the next
STRONGEST, MISSED, BEAM, LEAD_IN = 4.0, -0.2, 60, 4
ENDING_MOST, ENDING_GAIN, GRADUAL = 64, 2.2, 0.15
CHANGED = 0.08  # at the end the beat is this much longer or shorter than the song's
CURVES, LAST_TEMPOS = (-1.0, 1.0, 2.0, 3.0), np.arange(0.3, 0.92, 0.02)
CURVE_LATE = 6  # beats after the lead-in at which the curve may begin


def find_ending(onsets: Onsets, grid: Array, period: float) -> Array | None:
    """Return the beats of a last stretch of changing tempo, None where the grid runs to the end.

    The grid ends where its onsets end; the stretch is read from shortly before.
    """
    heard = on_beat(onsets.both, grid)
    sums = np.cumsum(heard - SCRAP_SHARE * heard.mean())
    first = int(sums.argmax()) - LEAD_IN
    if not LEAST_BEATS <= len(grid) - first - LEAD_IN <= ENDING_MOST or first < 0:
        return None
    for found in (_step_by_step(onsets, float(grid[first]), period), _curve(onsets, grid[first:], period)):
        beats: Array = found[found > grid[first + LEAD_IN] + 0.5 * period]
        if _is_ending(onsets.both, beats, grid, period):
            return beats
    return None


def _is_ending(strength: Array, beats: Array, grid: Array, period: float) -> bool:
    if len(beats) < LEAST_BEATS:
        return False
    steps = np.diff(beats)
    is_gradual = bool(np.all(np.abs(np.diff(np.log(steps))) < GRADUAL))
    is_changed = abs(float(np.median(steps[-4:])) / period - 1) > CHANGED
    return is_gradual and is_changed and gain_over(strength, beats, grid) > ENDING_GAIN


def _curve(onsets: Onsets, grid: Array, period: float) -> Array:
    """Return the slowing beats, from one of the first of ``grid``, that hit most onsets and miss fewest."""
    last = live_span(onsets)[1]
    strength = np.minimum(onsets.both, STRONGEST)
    best, chosen = -np.inf, grid[:1]
    for start in range(min(LEAD_IN + CURVE_LATE, len(grid) - 1)):
        lead = float(on_beat(strength, grid[: start + 1]).sum()) - STRONGEST / 2 * (start + 1)
        for count in range(LEAST_BEATS, int((last - grid[start]) / period) + 1):
            x = np.arange(count) / count
            for q in CURVES:
                tempo = (1 + (LAST_TEMPOS[:, None] ** q - 1) * x) ** (1 / q)
                beats = grid[start] + np.cumsum(period / tempo, axis=1)
                fits = (beats[:, -1] < last) & (beats[:, -1] > last - 2.5 * period / LAST_TEMPOS)
                for row in beats[fits]:
                    score = lead + float(on_beat(strength, row).sum()) - STRONGEST / 2 * count
                    if score > best:
                        best, chosen = score, np.concatenate([grid[: start + 1], row])
    while len(chosen) > 2:  # on to the last sound
        step = (chosen[-1] - chosen[-2]) ** 2 / (chosen[-2] - chosen[-3])
        if chosen[-1] + step >= last:
            break
        chosen = np.append(chosen, chosen[-1] + step)
    return np.asarray(chosen)


def _step_by_step(onsets: Onsets, first: float, period: float) -> Array:
    """Return beats from ``first`` to the last onset, each an onset about as far on as the one before."""
    view = smooth(onsets.both, 1.5)
    peaks = np.flatnonzero((view[1:-1] >= view[:-2]) & (view[1:-1] > view[2:]) & (view[1:-1] > 0.5)) + 1
    times, strengths = peaks / FRAME_RATE, np.minimum(view[peaks], STRONGEST)
    last = times[-1] + 0.05
    beam: list[tuple[float, float, tuple[float, ...]]] = [(0.0, period, (first,))]
    finished: list[tuple[float, tuple[float, ...]]] = []
    while beam:
        grown: list[tuple[float, float, tuple[float, ...]]] = []
        for score, step, path in beam:
            low, high = np.searchsorted(times, [path[-1] + STEP_RANGE[0] * step, path[-1] + STEP_RANGE[1] * step])
            nexts = [(float(times[i]), float(strengths[i])) for i in range(low, high)]
            nexts.append((path[-1] + step, MISSED))
            nexts = [(at, gain) for at, gain in nexts if at <= last]
            if not nexts:
                finished.append((score, path))
            for at, gain in nexts:
                own = at - path[-1]
                grown.append((score + gain - STEP_COST * float(np.log(own / step)) ** 2, own, (*path, at)))
        grown.sort(key=lambda g: -g[0])
        beam, seen = [], set()
        for one in grown:
            key = (round(one[2][-1] * 50), round(float(np.log(one[1])) * 20))
            if key not in seen:
                seen.add(key)
                beam.append(one)
            if len(beam) == BEAM:
                break
    return np.array(max(finished)[1])
