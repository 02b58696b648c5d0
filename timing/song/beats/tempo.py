"""Onset strength to tempo: candidates by self-similarity, each refined over the whole song.

In: onset strength (:mod:`timing.song.beats.onsets`). Out: candidates with scores, and a tempo true to about 0.01 bpm.
A candidate is a peak of a comb over the autocorrelation; it is refined by the strength of the pulse at f, 2f and 4f
(the Fourier transform of the whole onset curve: after minutes of music a hundredth of a bpm shows).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timing.song.beats.onsets import FRAME_RATE, Array, Onsets, smooth

SLOWEST, FASTEST = 55.0, 200.0
USUAL_BPM, USUAL_OCTAVES = 112.0, 0.75  # centre and width of what is likely without a hint
HINT_OCTAVES = 0.08  # how far from the true tempo a hint may be: about 6 %
HARMONICS = ((1, 1.0), (2, 1.0), (4, 0.5))
KEPT = 6
HALF_TOLERANCE, DIVIDED, DOUBLE_DISCOUNT, FOLD_BINS, FOLD_PERIODS = 0.03, 0.05, 0.4, 120, 8


@dataclass(frozen=True, slots=True)
class Candidate:
    """A tempo and how well the song's self-similarity bears it out; scores compare within one song only."""

    bpm: float
    score: float


def autocorrelation(strength: Array, longest: int) -> Array:
    """Return the autocorrelation up to ``longest`` frames, 1 at lag 0."""
    size = 1 << (2 * len(strength) - 1).bit_length()
    spectrum = np.fft.rfft(strength - strength.mean(), size)
    found = np.fft.irfft(np.abs(spectrum) ** 2)[:longest]
    return np.asarray(found / (found[0] + 1e-9))


def comb(strength: Array, bpm: Array) -> Array:
    """Return how well each tempo explains the song: high at its own multiples, low between them."""
    longest = min(int(FRAME_RATE * 60 / bpm.min() * 4) + 8, len(strength))
    curve = smooth(autocorrelation(strength, longest), 1.5)
    lag = FRAME_RATE * 60 / bpm

    def at(times: float) -> Array:
        return np.asarray(np.interp(lag * times, np.arange(len(curve)), curve))

    score = at(1) + 0.8 * at(2) + 0.45 * at(3) + 0.8 * at(4) - 0.35 * at(1.5) - 0.25 * at(0.75)
    return np.asarray(np.maximum(score, 0))


def candidates(onsets: Onsets, hint: float | None = None) -> list[Candidate]:
    """Return the likely tempos, best first and refined; with a ``hint`` only its neighbourhood counts."""
    lowest = min(SLOWEST, hint * 0.85) if hint else SLOWEST
    highest = max(FASTEST, hint * 1.18) if hint else FASTEST
    bpm = np.exp(np.linspace(np.log(lowest), np.log(highest), 800))
    score = comb(onsets.both, bpm)
    centre, width = (hint, HINT_OCTAVES) if hint else (USUAL_BPM, USUAL_OCTAVES)
    score = score * np.exp(-0.5 * (np.log2(bpm / centre) / width) ** 2)
    peaks = [i for i in range(1, len(score) - 1) if score[i - 1] <= score[i] > score[i + 1]]
    peaks = sorted(peaks, key=lambda i: -score[i])[:KEPT]
    if not peaks:  # no pulse at all: the likely tempo, with nothing to say for it
        return [Candidate(float(centre), 0.0)]
    spectrum = Spectrum(onsets.both)
    found = []
    for i in peaks:
        refined = spectrum.refine(float(bpm[i]), 0.03)
        value = float(score[i])
        if not hint:
            value *= 0.7 + _clarity(spectrum, Spectrum(onsets.low), refined)
            value *= float(np.exp(-0.5 * (np.log2(refined / 108) / 0.8) ** 2))
        found.append(Candidate(refined, value))
    found = found if hint else _without_doubles(onsets.high, found)
    return sorted(found, key=lambda c: -c.score)


def _without_doubles(strength: Array, found: list[Candidate]) -> list[Candidate]:
    """Return the candidates with doubles discounted between whose beats nothing sounds.

    The felt beat is a middle level of the metre with a faster one below it (F. Lerdahl & R. Jackendoff, "A Generative
    Theory of Tonal Music", 1983): where half the tempo is a candidate too, the faster has to show such a level, or a
    bar of three, which cannot be halved.
    """
    out = []
    for one in found:
        has_half = any(abs(2 * other.bpm / one.bpm - 1) < HALF_TOLERANCE for other in found)
        is_double = has_half and not _is_divided(strength, one.bpm) and not _is_triple(strength, one.bpm)
        out.append(Candidate(one.bpm, one.score * (DOUBLE_DISCOUNT if is_double else 1)))
    return out


def _is_divided(strength: Array, bpm: float) -> bool:
    """True where notes begin between the beats; False too where they divide two beats in three."""
    beat = _folded(strength, 60 / bpm)
    if beat[len(beat) // 8 : -len(beat) // 8].max() < DIVIDED:
        return False
    two = _folded(strength, 120 / bpm)
    third, reach = len(two) // 3, len(two) // 30

    def at(place: int) -> float:
        return float(two[place - reach : place + reach + 1].max())

    return not (at(len(two) // 2) < DIVIDED < min(at(third), at(2 * third)))


def _folded(strength: Array, period: float) -> Array:
    """Return the mean strength over one period from its strongest place, 1 there.

    Some beats at a time, so that a pause or a drift does not blur it.
    """
    size = int(FOLD_PERIODS * period * FRAME_RATE)
    total: Array = np.zeros(FOLD_BINS)
    for start in range(0, max(1, len(strength) - size // 2), size):
        part = strength[start : start + size]
        at = (np.arange(len(part)) / FRAME_RATE / period % 1 * FOLD_BINS).astype(int)
        sums = np.bincount(at, part, FOLD_BINS) / np.maximum(1, np.bincount(at, minlength=FOLD_BINS))
        mean = smooth(sums, 1.0, wrap=True)
        total += np.roll(mean, -int(mean.argmax()))
    return np.asarray(total / (total[0] + 1e-9))


def _is_triple(strength: Array, bpm: float) -> bool:
    """True where the music repeats after three beats rather than after two or four."""
    lag = FRAME_RATE * 60 / bpm
    curve = smooth(autocorrelation(strength, min(int(4 * lag) + 8, len(strength))), 1.5)
    two, three, four = np.interp(np.array([2, 3, 4]) * lag, np.arange(len(curve)), curve)
    return bool(three > max(two, four))


class Spectrum:
    """The Fourier transform of an onset curve, at any tempo."""

    def __init__(self, strength: Array):
        self.strength = strength
        self.size = 1 << (8 * len(strength) - 1).bit_length()  # eightfold: smooth enough to read between points
        self.magnitude = np.abs(np.fft.rfft(strength, self.size))
        self.total = float(strength.sum()) + 1e-9

    def pulse(self, hertz: Array) -> Array:
        """Return the strength of a pulse, for each frequency."""
        at = hertz * self.size / FRAME_RATE
        return np.asarray(np.interp(at, np.arange(len(self.magnitude)), self.magnitude))

    def score(self, bpm: Array) -> Array:
        return np.asarray(sum(weight * self.pulse(bpm / 60 * times) for times, weight in HARMONICS))

    def refine(self, bpm: float, share: float) -> float:
        """Return the best tempo within ``share`` of ``bpm``."""
        points = max(41, int(share * bpm / 60 * len(self.strength) / FRAME_RATE * 32))
        grid = bpm * np.linspace(1 - share, 1 + share, points)
        score = self.score(grid)
        return float(grid[int(score.argmax())])

    def polish(self, bpm: float) -> float:
        """Return the best tempo very near ``bpm``, from the transform itself."""
        seconds = len(self.strength) / FRAME_RATE
        live = np.flatnonzero(self.strength > 0)
        times, values = live / FRAME_RATE, self.strength[live]
        for reach in (6.0 / seconds, 0.6 / seconds):  # bpm: a tenth of a beat over the song, then a hundredth
            grid = bpm + np.linspace(-reach, reach, 21)
            score = np.zeros(len(grid))
            for times_a_beat, weight in HARMONICS:
                turn = np.exp(-2j * np.pi * times_a_beat / 60 * np.outer(grid, times))
                score += weight * np.abs(turn @ values)
            bpm = float(grid[int(score.argmax())])
        return bpm


def _clarity(spectrum: Spectrum, low: Spectrum, bpm: float) -> float:
    beat = bpm / 60

    def share(view: Spectrum, times: float) -> float:
        return float(view.pulse(np.array([beat * times]))[0]) / view.total

    return (
        share(spectrum, 1)
        + 0.5 * share(low, 1)
        + 0.35 * max(share(spectrum, 2), share(spectrum, 3))
        + 0.5 * share(spectrum, 0.5)
    )
