"""Steady noise taken out of a noisy recording before its words are followed (spectral subtraction).

S. F. Boll, "Suppression of acoustic noise in speech using spectral subtraction", IEEE Trans. ASSP 27 (1979), on power
spectra, with a floor against the chirping that full subtraction leaves. Only for recordings whose loud speech
stands less than 22 dB above the noise; clean ones are left as they are.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from timing.recording.decode import Sound
    from timing.recording.levels import Levels

HELPS_BELOW_DB = 22.0
_SIZE, _HOP = 512, 128
_QUIET_SHARE = 0.1  # of all windows: taken as noise alone
_OVER, _FLOOR = 1.5, 0.2  # of a few tried at 10 dB: words within a frame 55 % as recorded, 68 with 0.05, 81 with 0.2
_AT_ONCE = 4000


def without_noise(samples: NDArray[np.int16]) -> NDArray[np.int16]:
    """Return ``samples`` with the spectrum of their quietest windows taken out of every window; same length."""
    import numpy as np

    window = np.hanning(_SIZE + 1)[:-1].astype(np.float32)
    count = len(samples) // _HOP + _SIZE // _HOP
    padded = np.zeros(count * _HOP + _SIZE, np.float32)
    padded[_SIZE // 2 : _SIZE // 2 + len(samples)] = samples
    starts = np.arange(count) * _HOP
    totals = np.concatenate([(_windows(padded, s) ** 2).mean(1) for s in _parts(starts)])
    inside = np.flatnonzero((starts >= _SIZE) & (starts < len(samples) - _SIZE) & (totals > 0))
    if len(inside) < 10:
        return samples
    quiet = inside[np.argsort(totals[inside], kind="stable")[: max(5, int(len(inside) * _QUIET_SHARE))]]
    noise = (np.abs(np.fft.rfft(_windows(padded, starts[quiet]) * window)) ** 2).mean(0)
    out = np.zeros(len(padded), np.float32)
    for part in _parts(starts):
        cells = np.fft.rfft(_windows(padded, part) * window)
        power = np.abs(cells) ** 2
        gain = np.sqrt(np.maximum(1 - _OVER * noise / np.maximum(power, 1e-9), _FLOOR**2))
        for row, start in zip(np.fft.irfft(cells * gain) * window, part, strict=True):
            out[start : start + _SIZE] += row
    cleaned = out[_SIZE // 2 : _SIZE // 2 + len(samples)] / 1.5  # squared Hann windows at a quarter step
    return np.clip(np.round(cleaned), -32768, 32767).astype(np.int16)


def for_following(sound: Sound, levels: Levels) -> Sound:
    """Return what the recogniser should hear: the sound itself, or without its noise where there is much."""
    if levels.snr_db >= HELPS_BELOW_DB or levels.is_silent:
        return sound
    return replace(sound, samples=without_noise(sound.samples))


def _parts(starts: NDArray[np.int64]) -> list[NDArray[np.int64]]:
    return [starts[i : i + _AT_ONCE] for i in range(0, len(starts), _AT_ONCE)]


def _windows(padded: NDArray[np.float32], starts: NDArray[np.int64]) -> NDArray[np.float32]:
    import numpy as np

    found: NDArray[np.float32] = padded[starts[:, None] + np.arange(_SIZE)]
    return found
