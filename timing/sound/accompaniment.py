"""What a band plays again and again in the middle of a mix, told from the voice: its parts come back, words do not.

In: a stereo sound, (samples, 2). Out: gains for the frames of its middle (``centre``), 1 where something is heard once.
For each frame those frames of the song are found whose sides and lowest octaves sound alike; the median of their
middles is taken for the accompaniment of this one. (Z. Rafii and B. Pardo, "Music/voice separation using the similarity
matrix", ISMIR 2012; here the voice has no say in what is alike.) A song shorter than a few bars has nothing to compare.
Words of eleven real songs within two frames: 84 % with it, 81 % without; of 214 lines 7 were lost, 11 without.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from timing.plain.one_core import one_core
from timing.sound.centre import FRAMES_AT_ONCE, Gains, Spectra

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_NEIGHBOURS, _APART_S, _POWER = 24, 0.8, 0.7
_HIGHEST_HZ = 8000  # above it nothing is followed
_SIDES_HZ = (100, 6000)
_BASS_HZ, _CYMBALS_HZ = 200, (5000, 9000)  # of the middle
_GROUP, _SMOOTH_FRAMES = 4, 9


def repeating(stereo: NDArray[np.int16], rate_hz: int) -> Gains | None:
    """Return gains that turn down what comes back elsewhere; None for a sound too short to compare."""
    import numpy as np

    spectra = Spectra(stereo, rate_hz)
    apart = int(_APART_S * rate_hz / spectra.hop)
    if spectra.count < 2 * apart + 4 * _NEIGHBOURS:
        return None
    used = spectra.hertz < _HIGHEST_HZ
    levels, marks = _described(spectra, used)

    def gains(first: int, last: int) -> NDArray[np.float32]:
        found = np.ones((last - first, len(used)), np.float32)
        with one_core():
            alike = marks[first:last] @ marks.T
        for row, frame in enumerate(range(first, last)):
            alike[row, max(0, frame - apart) : frame + apart] = -2
            near = np.argpartition(-alike[row], _NEIGHBOURS)[:_NEIGHBOURS]
            own, others = levels[frame].astype(np.float32), levels[near].astype(np.float32)
            half = _NEIGHBOURS // 2
            middle = np.partition(others, (half - 1, half), axis=0)[half - 1 : half + 1].mean(axis=0)
            found[row, used] = (np.maximum(own - middle, 0) / (own + 1e-6)) ** _POWER
        return found

    return gains


def _described(spectra: Spectra, used: NDArray[np.bool_]) -> tuple[NDArray[np.float16], NDArray[np.float32]]:
    """Return (levels of the middle, what each frame's accompaniment sounds like as rows of length 1)."""
    import numpy as np

    hertz = spectra.hertz
    sides = (hertz > _SIDES_HZ[0]) & (hertz < _SIDES_HZ[1])
    rest = (hertz < _BASS_HZ) | ((hertz > _CYMBALS_HZ[0]) & (hertz < _CYMBALS_HZ[1]))
    levels, marks = [], []
    for first in range(0, spectra.count, FRAMES_AT_ONCE):
        cells = spectra.frames(first, min(first + FRAMES_AT_ONCE, spectra.count))
        middle, side = (np.abs(cells[..., 0] + sign * cells[..., 1]) / 2 for sign in (1, -1))
        levels.append((middle[:, used] / spectra.size).astype(np.float16))
        heard = np.log1p(np.concatenate([side[:, sides], middle[:, rest]], axis=1))
        whole = heard[:, : heard.shape[1] // _GROUP * _GROUP]
        marks.append(whole.reshape(len(heard), -1, _GROUP).mean(axis=2))
    rows = _smoothed(np.concatenate(marks))
    rows -= rows.mean(axis=0)
    rows /= np.linalg.norm(rows, axis=1, keepdims=True) + 1e-6
    return np.concatenate(levels), rows


def _smoothed(rows: NDArray[np.float32]) -> NDArray[np.float32]:
    import numpy as np

    n = _SMOOTH_FRAMES
    padded = np.concatenate([np.repeat(rows[:1], n // 2 + 1, 0), rows, np.repeat(rows[-1:], n // 2, 0)])
    sums = np.cumsum(padded, axis=0, dtype=np.float64)
    return ((sums[n:] - sums[:-n]) / n).astype(np.float32)
