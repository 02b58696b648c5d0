"""How far one sound lies from another that should have the same timing: a shift, and a drift.

In: a reference (the scratch) and a sound (the clip), both 16 kHz mono. Out: Sync, or None where they have too little
in common. Voice conversion changes the voice and keeps the timing, so outlines of loudness are compared, not waves:
log energy of 10 ms windows every 2.5 ms, matched by correlation, first the whole, then piece by piece; a line
through the shifts (Theil-Sen, which one bad piece does not move) gives the drift. The same speech lies on that line
to a millisecond or two, in another timbre too; the same words said again do not (4 ms and more), and their shifts mean
nothing. Windows and limits are our own choice, measured on synthesised speech (tests/bench/bench_check.py).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

RATE_HZ = 16_000
HOP = 40  # 2.5 ms
WINDOW = 160  # 10 ms
RANGE_DB = 40.0  # below the loud windows: silence
FARTHEST_S = 2.5
PIECE_S, PIECE_STEP_S, PIECE_REACH_S = 0.7, 0.2, 0.12
LEAST_PIECES = 5  # for a drift: with four, another timbre alone makes one of half a per cent
FINEST_STEPS = 0.4  # a millisecond: what one piece's place is known to at best, in another timbre
SAME_LIKENESS = 0.8  # correlation of the whole from which it is the same speech (said again by another: 0.75 at most)
SAME_STEPS, SAME_SHARE, MOST_DRIFT = 1.4, 0.6, 0.05  # or: pieces on one line, most of them found, no wild drift
STEPS_PER_S = RATE_HZ / HOP


@dataclass(frozen=True, slots=True)
class Sync:
    """``shift_s`` > 0: the sound is late at the middle of its speech; ``drift`` 0.01: it runs 1 % slow."""

    shift_s: float
    start_s: float  # the shift at the first sound
    end_s: float  # and at the last
    drift: float | None  # None: too little speech to tell
    drift_error: float | None  # one standard error
    likeness: float


def compare(reference: NDArray[np.int16], sound: NDArray[np.int16]) -> Sync | None:
    """Return how ``sound`` lies against ``reference``; None where they are not the same speech.

    The drift is None where the speech is too short to tell (under about 1.5 s, of which 1 % is a third of a frame).
    """
    import numpy as np

    a, b = outline(reference), outline(sound)
    if a is None or b is None:
        return None
    active = np.flatnonzero(a > 0)
    first, last = int(active[0]), int(active[-1])
    shift = _best(a, b, int(FARTHEST_S * STEPS_PER_S))
    likeness = _likeness(a[first : last + 1], b, first + round(shift))
    points = _pieces(a, b, shift, first, last)
    possible = len(range(first, last - int(PIECE_S * STEPS_PER_S) + 1, int(PIECE_STEP_S * STEPS_PER_S)))
    line = _line(points, (first + last) / 2) if len(points) >= LEAST_PIECES else None
    # A drift or a missing end spoils the likeness of the whole, but each piece that is there lies on the line.
    is_on_line = (
        line is not None
        and len(points) >= SAME_SHARE * possible
        and line.deviation <= SAME_STEPS
        and abs(line.slope) <= MOST_DRIFT
    )
    if likeness < SAME_LIKENESS and not is_on_line:
        return None
    drift, error, middle = (line.slope, line.error, line.middle) if line else (None, None, shift)
    half = (drift or 0.0) * (last - first) / 2
    scale = 1 / STEPS_PER_S
    return Sync(middle * scale, (middle - half) * scale, (middle + half) * scale, drift, error, likeness)


def outline(samples: NDArray[np.int16]) -> NDArray[np.float64] | None:
    """Return the loudness above silence, 0..1, one value each 2.5 ms; None for a silent sound."""
    import numpy as np

    count = (len(samples) - WINDOW) // HOP + 1
    if count < 40:
        return None
    squares = np.concatenate([[0], np.cumsum(samples.astype(np.float64) ** 2)])
    starts = np.arange(count) * HOP
    energy = (squares[starts + WINDOW] - squares[starts]) / WINDOW
    level = 10 * np.log10(energy + 1)
    top = float(np.percentile(level, 98))
    if top < 20:  # under -70 dBFS
        return None
    return np.asarray(np.clip((level - top + RANGE_DB) / RANGE_DB, 0, 1), dtype=np.float64)


def _likeness(speech: NDArray[np.float64], b: NDArray[np.float64], at: int) -> float:
    """Return the correlation of the speech's outline with ``b`` from step ``at``; what lies outside b is silence."""
    import numpy as np

    other = np.zeros_like(speech)
    first, last = max(0, at), min(len(b), at + len(speech))
    if first < last:
        other[first - at : last - at] = b[first:last]
    x, y = speech - speech.mean(), other - other.mean()
    return float(x @ y / (np.linalg.norm(x) * np.linalg.norm(y) + 1e-9))


def _best(a: NDArray[np.float64], b: NDArray[np.float64], farthest: int) -> float:
    """Return the shift of b against a in steps, by the correlation of the whole outlines."""
    import numpy as np

    size = 1 << max(len(a) + len(b), 2 * farthest + 1).bit_length()  # so long that no shift stands for another
    x, y = a - a.mean(), b - b.mean()
    cross = np.fft.irfft(np.fft.rfft(y, size) * np.conj(np.fft.rfft(x, size)), size)
    shifts = np.arange(-farthest, farthest + 1)
    values = cross[shifts % size] / (np.linalg.norm(x) * np.linalg.norm(y) + 1e-9)
    k = int(np.argmax(values))
    return float(shifts[k]) + _peak(values, k)


def _peak(values: NDArray[np.float64], k: int) -> float:
    """Return where a parabola through three values has its top, from the middle one."""
    if not 0 < k < len(values) - 1:
        return 0.0
    left, top, right = (float(v) for v in values[k - 1 : k + 2])
    bend = left - 2 * top + right
    return 0.0 if bend >= 0 else max(-0.5, min(0.5, (left - right) / (2 * bend)))


def _pieces(
    a: NDArray[np.float64], b: NDArray[np.float64], shift: float, first: int, last: int
) -> list[tuple[float, float]]:
    """Return (middle, shift) of each piece of the speech that is found again clearly."""
    import numpy as np

    length, step, reach = (int(s * STEPS_PER_S) for s in (PIECE_S, PIECE_STEP_S, PIECE_REACH_S))
    found = []
    for start in range(first, last - length + 1, step):
        piece = a[start : start + length]
        piece = piece - piece.mean()
        norm = np.linalg.norm(piece)
        if norm < 1:
            continue
        at = start + round(shift)
        values = []
        for lag in range(-reach, reach + 1):
            other = b[max(0, at + lag) : max(0, at + lag + length)]
            if at + lag < 0 or len(other) < length:
                values.append(-1.0)
                continue
            other = other - other.mean()
            values.append(float(piece @ other) / float(norm * np.linalg.norm(other) + 1e-9))
        k = int(np.argmax(values))
        if values[k] > 0.75 and 0 < k < len(values) - 1:
            found.append((start + length / 2, round(shift) + k - reach + _peak(np.array(values), k)))
    return found


@dataclass(frozen=True, slots=True)
class _Line:
    """A line through shifts: in steps a step, with its standard error; its middle and the points' distance in steps."""

    slope: float
    error: float
    middle: float
    deviation: float


def _line(points: list[tuple[float, float]], at: float) -> _Line | None:
    """Return the line through the points by medians (Theil-Sen), its middle at ``at``; None where they lie too close.

    The error is that of least squares with the residuals' median deviation; pieces overlap, so that of three or
    four one is new.
    """
    import numpy as np

    x, y = np.array([p[0] for p in points]), np.array([p[1] for p in points])
    i, j = np.triu_indices(len(x), 1)
    far = x[j] - x[i] >= PIECE_S * STEPS_PER_S / 2
    if not far.any():
        return None
    slope = float(np.median((y[j] - y[i])[far] / (x[j] - x[i])[far]))
    rest = y - slope * x
    deviation = 1.4826 * float(np.median(np.abs(rest - np.median(rest))))
    spread = float(np.sqrt(np.sum((x - x.mean()) ** 2) * PIECE_STEP_S / PIECE_S))
    error = max(deviation, FINEST_STEPS) / spread
    return _Line(slope, error, float(np.median(rest + slope * at)), deviation)
