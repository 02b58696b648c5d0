"""Songs that are not steady: breaks, drift, changes of tempo.

In: onset strength and the steady grid. Out: the same beats where the song is steady, and steady pieces where it is
proved not to be. A tracker follows the beat freely (:mod:`timing.song.beats.follow`). Only where it leaves the grid for
some beats *and* finds clearly more onset strength there than the grid does is it believed; elsewhere the steady grid
stays. Free tracking alone follows every accident of real playing.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from timing.song.beats.ending import find_ending
from timing.song.beats.follow import follow
from timing.song.beats.onsets import FRAME_RATE, Array, Onsets, smooth
from timing.song.beats.steady import (
    BINS,
    LIVE,
    Steady,
    fit_steady,
    fold,
    gain_over,
    live_span,
    on_beat,
    pulse_clarity,
    sharpen,
)
from timing.song.beats.tempo import Spectrum

AWAY_S = 0.03  # a beat this far from the steady grid is away from it
LEAST_BEATS = 6
# Onset strength on the free beats against the steady grid's: how much more is proof depends on how long it lasts.
GAIN_SPREAD, GAIN_LEAST = 2.5, 1.25  # at least 1 + spread / sqrt(beats)
UNCLEAR_SPREAD = 5.0  # where the beat itself is unclear, or the free beats merely change sides with the off-beat
UNCLEAR_RIVAL, CLEAR_PULSE = 0.6, 1.5
STUMBLE_TEMPO, STUMBLE_STEP = 0.03, 0.12
SCRAPS_MOST, SCRAP_SHARE, GIVEN_UP = 12, 0.4, 4
PIECE_TOLERANCE_S, PIECE_LEAST = 0.018, 8
POLISH_LEAST = 16
SAME_TEMPO = 0.003
OTHER_TEMPO = 0.01
PAUSE_BEATS, PAUSE_OFF_S, PAUSE_EDGE_S = 1.5, 0.02, 0.05
ENDING_GAIN = 1.2  # of a slowing end over the beats followed freely


@dataclass(frozen=True, slots=True)
class Piece:
    """A steady stretch: ``beats`` beats from ``start`` (s) at ``bpm``."""

    start: float
    bpm: float
    beats: int

    @property
    def period(self) -> float:
        return 60 / self.bpm

    def moments(self) -> Array:
        return np.asarray(self.start + np.arange(self.beats) * self.period)


@dataclass(frozen=True, slots=True)
class Tracked:
    """Pieces in order; one piece means that the song is steady."""

    pieces: tuple[Piece, ...]
    beats: Array


def track(onsets: Onsets, steady: Steady, downbeat: float | None = None) -> Tracked:
    """Return the beats of a song: the steady grid, or pieces where the song is proved to leave it.

    Around a ``downbeat`` (s) that the user gave, the grid that was fitted to it is not left.
    """
    start, end = live_span(onsets)
    grid = steady.beats(max(start, 0.0), end)
    if len(grid) < 2 * LEAST_BEATS:
        return _one(steady, grid)
    free = follow(onsets, steady.bpm)
    free = free[(free > start) & (free < end)]
    if len(free) < LEAST_BEATS:
        return _one(steady, grid)
    # Where the given downbeat lies off the onsets, any other tempo would seem better; it must beat this grid too.
    strongest = grid if downbeat is None else fit_steady(onsets, steady.bpm).beats(max(start, 0.0), end)
    is_unclear = steady.rival > UNCLEAR_RIVAL or steady.third > 0 or pulse_clarity(onsets, grid) < CLEAR_PULSE
    regions = [
        r
        for r in _regions(straighten(free), grid)
        if _is_believed(onsets.both, r, grid, steady.period, downbeat, is_unclear)
        and (_keeps_tempo(r, steady.period) or _is_believed(onsets.both, r, strongest, steady.period, None, is_unclear))
    ]
    ending = find_ending(onsets, grid, steady.period)
    merged = _merge(regions, grid, steady.period)
    if ending is not None and gain_over(onsets.both, ending, merged) < ENDING_GAIN:
        ending = None
    if ending is not None:
        regions = [r[r < ending[0] - 0.5 * steady.period] for r in regions]
        regions = [r for r in regions if len(r) >= LEAST_BEATS]
        grid = grid[grid < ending[0] - 0.5 * steady.period]
    elif not regions:
        paused = None if is_unclear else _paused(onsets, steady, grid)
        return _join(paused) if paused else _one(steady, grid)
    pieces = [_polish(onsets, p) for p in _pieces(_merge(regions, grid, steady.period))]
    pieces = _mend(onsets, _one_tempo(onsets, pieces))
    last = pieces[-1]
    if ending is None and last.beats >= PIECE_LEAST:
        pieces[-1] = Piece(last.start, last.bpm, max(last.beats, int((end - last.start) / last.period) + 1))
    return _join(pieces + _beat_by_beat(ending))


def _one(steady: Steady, grid: Array) -> Tracked:
    first = float(grid[0]) if len(grid) else steady.first
    return Tracked((Piece(first, steady.bpm, len(grid)),), grid)


def _paused(onsets: Onsets, steady: Steady, grid: Array) -> list[Piece] | None:
    """Return the pieces before and after a pause of nearly whole beats, None where no silence shows one.

    A steady grid goes through such a pause a few hundredths of a second off. Read apart, the two sides keep one tempo
    and miss each other by more than the phase of drums is unsure.
    """
    live = np.flatnonzero(onsets.both > LIVE) / FRAME_RATE
    best, found = PAUSE_OFF_S, None
    for k in np.flatnonzero(np.diff(live) > PAUSE_BEATS * steady.period):
        left, right = grid[grid < live[k] + PAUSE_EDGE_S], grid[grid > live[k + 1] - PAUSE_EDGE_S]
        if min(len(left), len(right)) < POLISH_LEAST:
            continue
        sides = [_polish(onsets, Piece(float(b[0]), steady.bpm, len(b))) for b in (left, right)]
        before, after = sides = _one_tempo(onsets, sides)
        gap = after.start - before.start - (before.beats - 1) * before.period
        off = abs(gap / before.period - round(gap / before.period)) * before.period
        if before.bpm == after.bpm and off > best:
            best, found = off, sides
    return found


def _spans(beats: Array) -> list[tuple[int, int]]:
    """Return index ranges of beats that lie on straight lines, longest first from the left."""
    spans, i = [], 0
    while i < len(beats) - 1:
        best = j = min(len(beats), i + PIECE_LEAST)
        while True:
            index = np.arange(i, j)
            line = np.polyval(np.polyfit(index, beats[i:j], 1), index)
            off = beats[i:j] - line
            if np.median(np.abs(off)) >= 0.6 * PIECE_TOLERANCE_S or np.abs(smooth(off, 2)).max() >= PIECE_TOLERANCE_S:
                break
            best = j
            if j == len(beats):
                break
            j = min(j + 4, len(beats))
        spans.append((i, best))
        i = best
    return spans


def straighten(beats: Array) -> Array:
    """Return beats put on straight lines piece by piece."""
    out = beats.astype(float).copy()
    for i, j in _spans(beats):
        if j - i >= 4:
            index = np.arange(i, j)
            out[i:j] = np.polyval(np.polyfit(index, beats[i:j], 1), index)
    return out


def _regions(free: Array, grid: Array) -> list[Array]:
    """Return the stretches of ``free`` beats that lie away from the grid."""
    near = grid[np.clip(np.searchsorted(grid, free)[:, None] + [-1, 0], 0, len(grid) - 1)]
    is_away = np.abs(free[:, None] - near).min(axis=1) > AWAY_S
    found, i = [], 0
    while i < len(free):
        j = i
        while j < len(free) and (is_away[j] or (j > i and is_away[j : j + 5].sum() >= 2)):
            j += 1
        if j > i:
            found.append(free[i:j])
        i = max(j, i + 1)
    return found


def _is_believed(
    strength: Array, beats: Array, grid: Array, period: float, downbeat: float | None, is_unclear: bool
) -> bool:
    """True where ``beats`` find clearly more onsets than the grid does over the same time."""
    if len(beats) < LEAST_BEATS:
        return False
    off = (beats - grid[0]) / period % 1
    is_half_off = np.mean(np.abs(off - 0.5) < 0.1) > 0.9
    spread = UNCLEAR_SPREAD if is_unclear or is_half_off else GAIN_SPREAD
    if downbeat is not None and beats[0] < downbeat < beats[-1] and np.abs(beats - downbeat).min() > 0.15 * period:
        return False
    return bool(gain_over(strength, beats, grid) > max(1 + spread / np.sqrt(len(beats)), GAIN_LEAST))


def _keeps_tempo(beats: Array, period: float) -> bool:
    """True for beats at the steady tempo, which differ from the grid only in where they lie (after a pause)."""
    return bool(abs(float(np.median(np.diff(beats))) / period - 1) < OTHER_TEMPO) if len(beats) > 1 else True


def _beat_by_beat(beats: Array | None) -> list[Piece]:
    """Return pieces of one beat each."""
    if beats is None:
        return []
    steps = np.diff(beats)
    return [Piece(float(b), 60 / float(s), 1) for b, s in zip(beats, [*steps, steps[-1]], strict=True)]


def _merge(regions: list[Array], grid: Array, period: float) -> Array:
    """Return the grid with the believed stretches put in its place."""
    keep = np.ones(len(grid), bool)
    for beats in regions:
        keep &= (grid < beats[0] - 0.6 * period) | (grid > beats[-1] + 0.6 * period)
    if regions and regions[-1][-1] > grid[-1] - LEAST_BEATS * period:
        keep &= grid < regions[-1][-1]
    return np.sort(np.concatenate([grid[keep], *regions]))


def _mend(onsets: Onsets, pieces: list[Piece]) -> list[Piece]:
    """Return the pieces with short scraps between two long ones given to these.

    At a pause or a sudden change the free tracker stumbles for some beats. The piece before goes on, and the piece
    after begins earlier, as far as onsets bear them out.
    """
    usual = float(np.median([on_beat(onsets.both, p.moments()).mean() for p in pieces]))
    out: list[Piece] = []
    i = 0
    while i < len(pieces):
        j = i + 1
        while j < len(pieces) and pieces[j].beats < POLISH_LEAST:
            j += 1
        between = sum(p.beats for p in pieces[i + 1 : j])
        is_scrap = pieces[i].beats >= POLISH_LEAST and j < len(pieces) and between <= SCRAPS_MOST
        if is_scrap and _stumbles(pieces[i : j + 1]):
            left, pieces[j] = _stretch(onsets.both, pieces[i], pieces[j], SCRAP_SHARE * usual)
            out.append(left)
        else:
            out += pieces[i:j]
        i = j
    return out


def _stumbles(pieces: list[Piece]) -> bool:
    """True where the step into some piece is not one beat, or a scrap's tempo lies outside those around it."""
    low = min(pieces[0].bpm, pieces[-1].bpm) * (1 - STUMBLE_TEMPO)
    high = max(pieces[0].bpm, pieces[-1].bpm) * (1 + STUMBLE_TEMPO)
    joins = [(after.start - before.start) / before.period - before.beats for before, after in pairwise(pieces)]
    return any(abs(j) > STUMBLE_STEP for j in joins) or any(not low < p.bpm < high for p in pieces[1:-1])


def _stretch(strength: Array, left: Piece, right: Piece, least: float) -> tuple[Piece, Piece]:
    """Return both pieces lengthened into the time between them, to the greatest sum of strength above ``least``.

    Each first gives up some beats, which may have been heard into a pause.
    """
    left = Piece(left.start, left.bpm, left.beats - GIVEN_UP)
    right = Piece(right.start + GIVEN_UP * right.period, right.bpm, right.beats - GIVEN_UP)
    low = left.start + left.beats * left.period
    high = right.start - right.period
    ahead: Array = low + np.arange(max(0, int((right.start - low) / left.period + 0.5)), dtype=float) * left.period
    behind: Array = high - np.arange(max(0, int((high - low) / right.period + 1.5)), dtype=float) * right.period
    gain_ahead = np.concatenate([[0.0], np.cumsum(on_beat(strength, ahead) - least)]) if len(ahead) else np.zeros(1)
    gain_behind = np.concatenate([[0.0], np.cumsum(on_beat(strength, behind) - least)]) if len(behind) else np.zeros(1)
    best, chosen = -np.inf, (0, 0)
    for a, gain in enumerate(gain_ahead):
        for b, other in enumerate(gain_behind):
            gap = (right.start - b * right.period) - (low + (a - 1) * left.period)
            if gap > 0.75 * min(left.period, right.period) and gain + other > best:
                best, chosen = float(gain + other), (a, b)
    a, b = chosen
    return (
        Piece(left.start, left.bpm, left.beats + a),
        Piece(right.start - b * right.period, right.bpm, right.beats + b),
    )


def _pieces(beats: Array) -> list[Piece]:
    found = []
    for i, j in _spans(beats):
        if j - i >= 4:
            slope, start = np.polyfit(np.arange(j - i), beats[i:j], 1)
            found.append(Piece(float(start), 60 / float(slope), j - i))
        else:
            found.append(Piece(float(beats[i]), 60 * (j - i - 1) / float(beats[j - 1] - beats[i]), j - i))
    return found


def _polish(onsets: Onsets, piece: Piece, bpm: float | None = None) -> Piece:
    """Return a long piece with tempo (or the one given) and phase read again from the sound."""
    if piece.beats < POLISH_LEAST:
        return piece
    low = max(0, int((piece.start - 0.1) * FRAME_RATE))
    high = int((piece.start + (piece.beats - 1) * piece.period + 0.1) * FRAME_RATE)
    view = onsets.both[low:high]
    refined = bpm or Spectrum(view).refine(piece.bpm, 0.006)
    period = 60 / refined
    middle = piece.start + (piece.beats - 1) / 2 * piece.period
    start = middle - (piece.beats - 1) / 2 * period
    folded = fold(view, period, start - low / FRAME_RATE)
    shift = np.arange(-BINS // 10, BINS // 10 + 1)
    near = np.where(np.abs(shift) / BINS * period < 0.035, folded[shift % BINS], -1.0)
    start += shift[int(near.argmax())] / BINS * period
    return Piece(sharpen(onsets, start + np.arange(piece.beats) * period), refined, piece.beats)


def _one_tempo(onsets: Onsets, pieces: list[Piece]) -> list[Piece]:
    """Return pieces of nearly one tempo with exactly one, the mean by beats: a song that pauses keeps its tempo."""
    long = [p for p in pieces if p.beats >= POLISH_LEAST]
    if len(long) < 2 or max(p.bpm for p in long) / min(p.bpm for p in long) - 1 > SAME_TEMPO:
        return pieces
    bpm = sum(p.bpm * p.beats for p in long) / sum(p.beats for p in long)
    return [_polish(onsets, p, bpm) for p in pieces]


def _join(pieces: list[Piece]) -> Tracked:
    """Return the pieces in order, neighbours on one line made one, none running into the next."""
    joined: list[Piece] = []
    for piece in pieces:
        if joined:
            last = joined[-1]
            gap = piece.start - (last.start + (last.beats - 1) * last.period)
            if gap < 0.5 * last.period and last.beats > 1:
                last = Piece(last.start, last.bpm, last.beats - 1)
                joined[-1] = last
                gap += last.period
            is_short = 1 < piece.beats < POLISH_LEAST
            if abs(piece.bpm / last.bpm - 1) < (SAME_TEMPO if is_short else 1e-6) and abs(gap - last.period) < 0.02:
                joined[-1] = Piece(last.start, last.bpm, last.beats + piece.beats)
                continue
        joined.append(piece)
    return Tracked(tuple(joined), np.concatenate([p.moments() for p in joined]))
