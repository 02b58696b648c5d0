"""Beats to bars.

In: beats, the metre, one downbeat that the user gave. Out: all downbeats, counted from that one. Machines do not hear
bars reliably in real music (on recordings with human marks our best guess was right about half the time), so without
a given downbeat there are only candidates, in order of how well bass and harmony bear them out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from timing.model.metre import COMMON_TIME, Metre
from timing.song.beats.onsets import FRAME_RATE, Array, Onsets
from timing.song.beats.pieces import Piece
from timing.song.beats.steady import on_beat

METRES: tuple[Metre, ...] = (COMMON_TIME, Metre(3, 4), Metre(2, 4))
TWO_FOUR_DISCOUNT = 0.9  # every 4/4 song also fits 2/4
ONE_BEAT = (0.75, 1.35)  # a step between beats, in beats, that is still one beat and not a break


@dataclass(frozen=True, slots=True)
class BarCandidate:
    """A possible first downbeat: its moment (s), the metre, and a score that compares within one song."""

    first_s: float
    metre: Metre
    phase: int
    score: float


def downbeats_from(pieces: Sequence[Piece], metre: Metre, downbeat: float) -> tuple[list[float], list[float]]:
    """Return (downbeats, breaks): bars counted both ways from the beat nearest to ``downbeat``.

    Where the step from one piece to the next is not one beat (a pause, a cut), the bar before it is taken to end
    there and the next one to begin after it; the moments of such breaks are returned too.
    """
    at = np.concatenate([p.moments() for p in pieces])
    if not len(at):
        return [], []
    period = np.concatenate([np.full(p.beats, p.period) for p in pieces])
    steps = np.diff(at)
    is_break = ~(_is_one(steps / period[:-1]) | _is_one(steps / period[1:]))
    a_bar = metre.beats
    anchor = int(np.abs(at - downbeat).argmin())
    starts, count = [], 0
    for i in range(anchor, len(at)):
        count = 0 if i > anchor and is_break[i - 1] else count
        if count % a_bar == 0:
            starts.append(i)
        count += 1
    count = 0
    for i in range(anchor - 1, -1, -1):
        count = 1 if is_break[i] else count + 1
        if count % a_bar == 0:
            starts.append(i)
    return [float(at[i]) for i in sorted(starts)], [float(m) for m in at[1:][is_break]]


def _is_one(steps: Array) -> NDArray[np.bool_]:
    return np.asarray((steps > ONE_BEAT[0]) & (steps < ONE_BEAT[1]))


def bar_candidates(onsets: Onsets, beats: Sequence[float] | Array, metre: Metre | None = None) -> list[BarCandidate]:
    """Return the possible first downbeats, best first: one for each beat of the (likeliest) bar."""
    at = np.asarray(beats, float)
    if len(at) < 8:
        return []
    novelty = _standard(_harmony_change(onsets, at))
    bass = on_beat(onsets.low, at, 5)
    novelty = novelty + 0.6 * _standard(np.minimum(bass, np.percentile(bass, 95)))
    found = []
    for one in [metre] if metre else METRES:
        a_bar = one.beats
        for phase in range(a_bar):
            score = _difference(novelty, np.arange(len(at)) % a_bar == phase)
            if metre is None and a_bar == 2:
                score *= TWO_FOUR_DISCOUNT
            found.append(BarCandidate(float(at[phase]), one, phase, score))
    found.sort(key=lambda c: -c.score)
    return [c for c in found if c.metre == found[0].metre]


def _difference(values: Array, chosen: NDArray[np.bool_]) -> float:
    """Return how far the chosen values lie above the others, in standard errors (a t score)."""
    if chosen.all() or not chosen.any():
        return 0.0
    count = len(values)
    gap = values[chosen].mean() - values[~chosen].mean()
    return float(gap * np.sqrt(chosen.sum() * (~chosen).sum() / count))


def _standard(values: Array) -> Array:
    return np.asarray((values - values.mean()) / (values.std() + 1e-9))


def _harmony_change(onsets: Onsets, beats: Array) -> Array:
    """Return, for each beat, how much the pitch classes after it differ from those before it: 0 same .. 1."""
    sums = np.vstack([np.zeros(12), np.cumsum(onsets.chroma.astype(float), axis=0)])
    frame = np.clip((beats * FRAME_RATE).astype(int), 0, len(sums) - 1)
    width = int(float(np.median(np.diff(beats))) * FRAME_RATE * 0.9)

    def between(low: NDArray[np.int64], high: NDArray[np.int64]) -> Array:
        return np.asarray(sums[np.clip(high, 0, len(sums) - 1)] - sums[np.clip(low, 0, len(sums) - 1)])

    before, after = between(frame - width, frame - 2), between(frame + 4, frame + 4 + width)
    size = np.linalg.norm(before, axis=1) * np.linalg.norm(after, axis=1)
    return np.asarray(np.where(size > 0, 1 - (before * after).sum(axis=1) / (size + 1e-12), 0.0))
