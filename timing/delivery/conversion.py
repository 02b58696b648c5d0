"""Whether one sound is another in a different voice, and how it lies against it: a delay, and a drift.

In: the sound of a clip and what is said to be its conversion, both 16 kHz mono. Out: :class:`Conversion`. A converted
voice keeps the timing of what it was made from: every stop, hiss and vowel begins when it did, at another pitch and
with other formants. So the levels in bands of the ear's scale are compared, 2 ms apart, with the bands of the one moved
to those of the other (formants shift alike on that scale), by how they rise and fall. Pieces of 0.3 s are correlated
over all lags, and one straight line is laid through all of them at once: the delay and the drift at which their sum is
highest. What is said again has no such line: its pieces agree at lags of their own. Windows and limits are our own
choice, made on one half of converted recordings of people and measured on the other (tests/bench/bench_voices.py).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Values = NDArray[np.float64]

RATE_HZ = 16_000
HOP, WINDOW, SPECTRUM = 32, 320, 512  # 2 ms, 20 ms
STEPS_PER_S = RATE_HZ / HOP
BANDS, LOWEST_HZ, HIGHEST_HZ = 20, 80.0, 7_600.0
MOST_SHIFT = 6  # bands that the formants may have moved by
RANGE_DB = 45.0  # below the loud windows: silence
RISE = 2  # steps before and after, between which a level rises
PIECE, STEP = 150, 50  # 0.3 s each 0.1 s
REACH_S, FARTHEST_S = 0.03, 2.5  # about the line; for the whole
MOST_DRIFT = 0.02
FINE = 8  # between two steps: a quarter of a millisecond
NEAR_STEPS = 4  # 8 ms: a piece that agrees with the line
FINEST_STEPS = 0.5  # 1 ms: what one piece's place is known to at best
LEAST_PIECES = 6  # for a drift: 0.8 s of speech
QUIET = 0.15  # of the loudest: no speech


@dataclass(frozen=True, slots=True)
class Conversion:
    """``delay_s`` > 0: the voice begins late, at moment 0 of the clip's own sound; ``drift`` 0.001: it runs 0.1 % slow.

    ``drift`` (with one standard error) is None where there is too little speech to tell. ``likeness`` is the
    correlation of the levels, ``agreed`` the share of its pieces, both 0..1, that lie on the one line.
    """

    delay_s: float
    drift: float | None
    drift_error: float | None
    likeness: float
    agreed: float
    first_s: float  # the first and the last sound of the clip's own
    last_s: float


def convert_of(own: NDArray[np.int16], voice: NDArray[np.int16]) -> Conversion | None:
    """Return how ``voice`` lies against a clip's ``own`` sound; None where either is too short or silent."""
    import numpy as np

    a, b = _levels(own), _levels(voice)
    if a is None or b is None:
        return None
    outline = a.sum(axis=0)
    loud = np.flatnonzero(outline > outline.max() * QUIET)
    first, last = int(loud[0]), int(loud[-1])
    shift = _coarse(outline, b.sum(axis=0))
    bands = _formants(a, _placed(b, shift, a.shape[1]))
    rises_a, rises_b = _risen(_cut(a, -bands)), _risen(_cut(b, bands))
    middles, sums = _pieces(rises_a, rises_b, shift, first, last)
    if not len(middles):
        return None
    middle = (first + last) / 2
    offset, slope = _line(middles - middle, sums, len(middles) >= LEAST_PIECES)
    agreed, deviation = _agreement(middles - middle, sums, offset, slope)
    spread = float(np.sqrt(np.sum((middles - middles.mean()) ** 2) * STEP / PIECE))
    is_told = len(middles) >= LEAST_PIECES
    at_zero = shift + offset - slope * middle
    moved = _stretched(b, at_zero, slope, a.shape[1])
    return Conversion(
        at_zero / STEPS_PER_S,
        slope if is_told else None,
        max(deviation, FINEST_STEPS) / spread if is_told else None,
        _alike(_cut(a, -bands)[:, first : last + 1], _cut(moved, bands)[:, first : last + 1]),
        agreed,
        first / STEPS_PER_S,
        last / STEPS_PER_S,
    )


def _levels(samples: NDArray[np.int16]) -> Values | None:
    """Return the levels above silence in dB, (bands, steps); None for a silent sound or one under 0.4 s."""
    import numpy as np

    count = (len(samples) - WINDOW) // HOP + 1
    if count < PIECE + 50:
        return None
    windows = np.lib.stride_tricks.sliding_window_view(samples.astype(np.float64), WINDOW)[::HOP]
    filters, weight = _filters(), np.hanning(WINDOW)
    blocks = [np.abs(np.fft.rfft(windows[n : n + 500] * weight, SPECTRUM)) ** 2 @ filters for n in range(0, count, 500)]
    level = 10 * np.log10(np.concatenate(blocks).T + 1.0)
    top = float(np.percentile(level, 98))
    return None if top < 30 else np.asarray(np.clip(level - top + RANGE_DB, 0, None), dtype=np.float64)


def _filters() -> Values:
    """Return triangles of equal width on the mel scale (S. S. Stevens and others, 1937; the usual 2595 log10 form)."""
    import numpy as np

    bins = np.arange(SPECTRUM // 2 + 1)
    hertz = bins * RATE_HZ / SPECTRUM
    mel = 2595 * np.log10(1 + np.array([LOWEST_HZ, HIGHEST_HZ]) / 700)
    edges = np.interp(np.linspace(mel[0], mel[1], BANDS + 2), 2595 * np.log10(1 + hertz / 700), bins)
    low, mid, high = edges[:-2], edges[1:-1], edges[2:]
    rising, falling = (bins[:, None] - low) / (mid - low), (high - bins[:, None]) / (high - mid)
    return np.asarray(np.clip(np.minimum(rising, falling), 0, None))


def _coarse(a: Values, b: Values) -> int:
    """Return the shift of ``b`` in steps at which the outlines of the whole are most alike."""
    import numpy as np

    farthest = int(FARTHEST_S * STEPS_PER_S)
    size = 1 << max(len(a) + len(b), 2 * farthest + 1).bit_length()  # so long that no shift stands for another
    cross = np.fft.irfft(np.fft.rfft(b - b.mean(), size) * np.conj(np.fft.rfft(a - a.mean(), size)), size)
    shifts = np.arange(-farthest, farthest + 1)
    return int(shifts[np.argmax(cross[shifts % size])])


def _placed(levels: Values, shift: int, count: int) -> Values:
    """Return ``count`` steps of the levels from step ``shift``, silence where they have none."""
    import numpy as np

    out = np.zeros((levels.shape[0], count))
    first, last = max(0, shift), min(levels.shape[1], shift + count)
    if first < last:
        out[:, first - shift : last - shift] = levels[:, first:last]
    return out


def _stretched(levels: Values, at_zero: float, slope: float, count: int) -> Values:
    import numpy as np

    places = at_zero + (1 + slope) * np.arange(count)
    steps = np.arange(levels.shape[1])
    return np.array([np.interp(places, steps, band, left=0, right=0) for band in levels])


def _cut(levels: Values, bands: int) -> Values:
    """Return the bands that have a partner where the other sound's lie ``bands`` higher (less than 0: lower)."""
    return levels[max(0, bands) : levels.shape[0] + min(0, bands)]


def _alike(a: Values, b: Values) -> float:
    import numpy as np

    x, y = a - a.mean(axis=1, keepdims=True), b - b.mean(axis=1, keepdims=True)
    return float((x * y).sum() / (np.linalg.norm(x) * np.linalg.norm(y) + 1e-9))


def _formants(a: Values, b: Values) -> int:
    """Return by how many bands the formants of ``b`` lie higher."""
    return max(range(-MOST_SHIFT, MOST_SHIFT + 1), key=lambda n: (_alike(_cut(a, -n), _cut(b, n)), -abs(n)))


def _risen(levels: Values) -> Values:
    import numpy as np

    return np.pad(levels[:, 2 * RISE :] - levels[:, : -2 * RISE], ((0, 0), (RISE, RISE)))


def _pieces(a: Values, b: Values, shift: int, first: int, last: int) -> tuple[Values, Values]:
    """Return the middle of each piece and its correlation by lag, from -reach to reach about ``shift``.

    There are FINE lags a step, by the spectrum (what a piece correlates to is smooth): at whole steps alone the line
    would snap to them.
    """
    import numpy as np

    reach = int(REACH_S * STEPS_PER_S + MOST_DRIFT * (last - first))
    pad = reach + abs(shift) + 2 * PIECE
    wide = np.pad(b, ((0, 0), (pad, pad)))
    size = 1 << (2 * reach + 2 * PIECE).bit_length()
    weight = np.hanning(PIECE + 2)[1:-1]
    middles, sums = [], []
    for start in range(max(0, first - PIECE // 2), last - PIECE // 2, STEP):
        piece = a[:, start : start + PIECE]
        at = start + shift - reach + pad
        room = wide[:, at : at + 2 * reach + PIECE] if at >= 0 else wide[:, :0]
        if piece.shape[1] < PIECE or room.shape[1] < 2 * reach + PIECE:
            continue
        piece = (piece - piece.mean(axis=1, keepdims=True)) * weight
        product = (np.fft.rfft(room, size) * np.conj(np.fft.rfft(piece, size))).sum(axis=0)
        middles.append(start + PIECE / 2)
        sums.append(np.fft.irfft(product, size * FINE)[: 2 * reach * FINE + 1])
    return np.array(middles), np.array(sums)


def _line(middles: Values, sums: Values, may_drift: bool) -> tuple[float, float]:
    """Return (offset at the middle, slope), in steps, of the line on which the pieces' correlations are highest."""
    import numpy as np

    most, rows = sums.shape[1] - 1, np.arange(len(middles))
    reach = most // (2 * FINE)

    def height(offset: float, slope: float) -> float:
        lag = np.clip((offset + slope * middles + reach) * FINE, 0, most - 1e-6)
        low = lag.astype(int)
        part = lag - low
        return float(((1 - part) * sums[rows, low] + part * sums[rows, low + 1]).sum())

    slopes = np.arange(-MOST_DRIFT, MOST_DRIFT + 1e-9, 1 / 2000) if may_drift else np.zeros(1)
    tried = [(height(o, s), float(o), float(s)) for s in slopes for o in range(-reach, reach + 1, 2)]
    _, offset, slope = max(tried)
    by, turn = 1.0, (1 / 4000 if may_drift else 0.0)
    while by > 0.02:
        around = [(offset + i * by, slope + j * turn) for i in (-1, 0, 1) for j in (-1, 0, 1)]
        best = max(around, key=lambda place: (height(*place), place == (offset, slope)))
        if best == (offset, slope):
            by, turn = by / 2, turn / 2
        offset, slope = best
    return offset, float(slope)


def _agreement(middles: Values, sums: Values, offset: float, slope: float) -> tuple[float, float]:
    """Return the share of the pieces, by how much they hold, that are highest on the line, and how far they are off."""
    import numpy as np

    reach = (sums.shape[1] - 1) // (2 * FINE)
    near = int(REACH_S * STEPS_PER_S) * FINE
    off, weights = [], []
    for middle, row in zip(middles, sums, strict=True):
        line = (offset + slope * middle + reach) * FINE
        low = max(0, int(line) - near)
        part = row[low : int(line) + near + 2]
        if len(part):
            off.append((low + int(np.argmax(part)) - line) / FINE)
            weights.append(max(0.0, float(np.max(part))))
    distance = np.abs(np.array(off))
    total = float(np.sum(weights)) or 1.0
    return float(np.sum(np.array(weights)[distance <= NEAR_STEPS]) / total), 1.4826 * float(np.median(distance))
