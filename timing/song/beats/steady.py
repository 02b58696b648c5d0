"""One steady grid over a whole song: where the beats lie once the tempo is known.

In: onset strength and a tempo. Out: :class:`Steady`: tempo, the moment of one beat, how strong its rivals half a beat
and a third away are. The phase is the peak of the onset curve folded over one beat; between places a third of a beat
apart, as singing in 6/8 has them, the lengths of notes decide (:mod:`timing.song.beats.accents`). The exact place is
then read from a shorter analysis window, which puts drums within 2 ms and plucked strings and piano within 10 ms of
their notes on our synthetic songs.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timing.song.beats.accents import fold_accents
from timing.song.beats.onsets import FRAME_RATE, Array, Onsets, smooth

BINS = 240
BASS_WEIGHT = 0.5  # of the bass in finding the beat; more of it put real songs half a beat out
NEAR_TIE = 0.85  # a rival this strong leaves the choice to the bass alone
THIRD_HEARD = 0.5  # onsets this strong a third of a beat away make that place a rival
AROUND_DOWNBEAT = 0.15  # of a beat: how far a tapped downbeat may be off
LATE = 0.0015  # s: the short window's peak after a click's first sample, and before a drum's; between the two
FINE_REACH_S = 0.03
LIVE = 0.6  # onset strength that counts as sound: the grid runs from the first such moment to the last
MARGIN_S = 0.12


@dataclass(frozen=True, slots=True)
class Steady:
    """A steady grid: beats at ``first + n * period``, seconds.

    ``rival``: strength half a beat away, 1 = a tie; ``third``: that of the notes' lengths a third of a beat away.
    """

    bpm: float
    first: float
    rival: float
    third: float = 0.0

    @property
    def period(self) -> float:
        return 60 / self.bpm

    def beats(self, start: float, end: float) -> Array:
        """Return the beats between two moments."""
        low = int(np.ceil((start - self.first) / self.period))
        high = int(np.floor((end - self.first) / self.period))
        return np.asarray(self.first + np.arange(low, high + 1) * self.period)


def fit_steady(onsets: Onsets, bpm: float, downbeat: float | None = None) -> Steady:
    """Return the steady grid at ``bpm``; a known downbeat decides which of two phases is the beat."""
    period = 60 / bpm
    view = onsets.high + (0.6 + BASS_WEIGHT) * onsets.low
    folded = fold(view, period)
    best = int(folded.argmax())
    rival_at, rival = _rival(folded, best)
    if downbeat is not None:
        best = _nearest_peak(folded, downbeat / period)
        rival_at, rival = _rival(folded, best)
    elif rival > NEAR_TIE:
        beats = [np.arange(k / BINS * period, onsets.length_s, period) for k in (best, rival_at)]
        if on_beat(onsets.low, beats[1]).mean() > on_beat(onsets.low, beats[0]).mean():
            best, rival = rival_at, 1 / rival
    third = 0.0
    if downbeat is None:
        best, third = _among_thirds(onsets, folded, best, period)
    first = (best + 0.5) / BINS * period
    return Steady(bpm, sharpen(onsets, first + np.arange(0, onsets.length_s - first, period)), min(rival, 1.0), third)


def _among_thirds(onsets: Onsets, folded: Array, best: int, period: float) -> tuple[int, float]:
    """Return ``best`` or a rival a third of a beat away where notes last longer, and the next one's share of that."""
    places = [best]
    for away in (BINS // 3, -BINS // 3):
        at, strength = _strongest(folded, best + away, best)
        if strength > THIRD_HEARD:
            places.append(at)
    if len(places) == 1:
        return best, 0.0
    accents = fold_accents(onsets.both, period, BINS)
    reach = BINS // 20
    sums = [accents[(at + np.arange(-reach, reach + 1)) % BINS].max() for at in places]
    order = np.argsort(sums)[::-1]
    return places[int(order[0])], float(sums[int(order[1])] / (sums[int(order[0])] + 1e-9))


def fold(strength: Array, period: float, start: float = 0.0) -> Array:
    """Return the mean strength over one period, in :data:`BINS` parts from ``start``."""
    at = (((np.arange(len(strength)) / FRAME_RATE - start) / period) % 1 * BINS).astype(int)
    sums, counts = np.bincount(at, strength, BINS), np.bincount(at, minlength=BINS)
    return smooth(sums / np.maximum(1, counts), 3, wrap=True)


def _rival(folded: Array, best: int) -> tuple[int, float]:
    """Return the strongest place about half a beat from ``best``, and its strength relative to it."""
    return _strongest(folded, best + BINS // 2, best)


def _strongest(folded: Array, near: int, best: int) -> tuple[int, float]:
    """Return the strongest place about ``near``, and its strength relative to that at ``best``."""
    around = (near + np.arange(-BINS // 10, BINS // 10 + 1)) % BINS
    at = int(around[int(folded[around].argmax())])
    return at, float(folded[at] / (folded[best] + 1e-9))


def _nearest_peak(folded: Array, beats: float) -> int:
    """Return the best place within reach of a tapped beat; the tap itself where nothing sounds there."""
    tapped = int(beats % 1 * BINS) % BINS
    reach = int(AROUND_DOWNBEAT * BINS)
    around = (tapped + np.arange(-reach, reach + 1)) % BINS
    weight = folded[around] * np.hanning(2 * reach + 3)[1:-1] ** 0.5
    peak = int(weight.argmax())
    return int(around[peak]) if weight[peak] > 0.1 * folded.max() else tapped


def on_beat(strength: Array, beats: Array, reach: int = 3) -> Array:
    """Return the greatest strength within ``reach`` frames (17 ms) of each beat."""
    at = np.clip((np.asarray(beats) * FRAME_RATE).round().astype(int), reach, max(reach, len(strength) - reach - 1))
    around = np.clip(at[:, None] + np.arange(-reach, reach + 1), 0, len(strength) - 1)
    return np.asarray(strength[around].max(axis=1))


def gain_over(strength: Array, beats: Array, grid: Array) -> float:
    """Return the mean strength on ``beats`` relative to that on the part of ``grid`` that they span."""
    other = grid[(grid > beats[0] - 0.1) & (grid < beats[-1] + 0.1)]
    if not len(other):
        return float("inf")
    return float(on_beat(strength, beats).mean() / (on_beat(strength, other).mean() + 1e-9))


def pulse_clarity(onsets: Onsets, beats: Array) -> float:
    """Return the onset strength on the beats relative to that anywhere: 1 = no pulse."""
    at = np.asarray(beats, float)
    if len(at) < 2:
        return 0.0
    step = float(np.median(np.diff(at)))
    anywhere = np.mean([on_beat(onsets.both, at + k * step / 12).mean() for k in range(12)])
    return float(on_beat(onsets.both, at).mean() / (anywhere + 1e-9))


def sharpen(onsets: Onsets, beats: Array) -> float:
    """Return the first of ``beats`` moved, with all of them, to where the attacks begin."""
    if not len(beats):
        return 0.0
    lags = np.arange(-FINE_REACH_S - 0.02, FINE_REACH_S + 0.0201, 0.0005)
    frames = np.arange(len(onsets.sharp))
    mean = np.array([np.interp((beats + lag) * FRAME_RATE, frames, onsets.sharp).mean() for lag in lags])
    mean = smooth(mean, 2)
    peak = int(np.where(np.abs(lags) < FINE_REACH_S, mean, -1.0).argmax())
    floor = float(np.median(mean))
    if mean[peak] < 1.5 * floor or mean[peak] <= 0:
        return float(beats[0])
    half = (mean[peak] + floor) / 2
    low = high = peak
    while low > 0 and mean[low - 1] > half:
        low -= 1
    while high < len(mean) - 1 and mean[high + 1] > half:
        high += 1
    weight = mean[low : high + 1] - half
    return float(beats[0] + (weight * lags[low : high + 1]).sum() / weight.sum() - LATE)


def live_span(onsets: Onsets) -> tuple[float, float]:
    """Return the moments of the first and last clear onset, with a little room."""
    live = np.flatnonzero(onsets.both > LIVE)
    if not len(live):
        return 0.0, onsets.length_s
    return live[0] / FRAME_RATE - MARGIN_S, live[-1] / FRAME_RATE + MARGIN_S
