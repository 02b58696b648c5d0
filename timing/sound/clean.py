"""Steady noise taken out of a noisy recording before its words are followed (spectral subtraction).

S. F. Boll, "Suppression of acoustic noise in speech using spectral subtraction", IEEE Trans. ASSP 27 (1979), on power
spectra, with a floor against the chirping that full subtraction leaves. Only for recordings whose loud speech
stands less than 22 dB above their quiet windows, and only where those are steady: in a line cut close, without a pause,
the quietest windows are weak sounds of speech, and taking them for noise costs every tenth word its place.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from timing.sound.decode import Sound
    from timing.sound.levels import Levels

HELPS_BELOW_DB = 22.0
_SIZE, _HOP = 512, 128
_QUIET_SHARE = 0.1  # of all windows: taken as noise alone
_OVER, _FLOOR = 1.5, 0.2  # of a few tried at 10 dB: words within a frame 55 % as recorded, 68 with 0.05, 81 with 0.2
_AT_ONCE = 4000
# Faint noise, this far below the speech, goes into every pause: an editor's or a synthesiser's exact silence is nothing
# the recogniser has ever heard, and words then fall on the wrong side of it.
_ROOM_DB = 45.0
_SAMPLES_AT_ONCE = 1 << 20


def without_noise(samples: NDArray[np.int16]) -> NDArray[np.int16]:
    """Return ``samples`` with the spectrum of their quietest windows taken out of every window; same length."""
    import numpy as np

    window = np.hanning(_SIZE + 1)[:-1].astype(np.float32)
    count = len(samples) // _HOP + _SIZE // _HOP
    padded = np.zeros(count * _HOP + _SIZE, np.int16)
    padded[_SIZE // 2 : _SIZE // 2 + len(samples)] = samples
    starts = np.arange(count) * _HOP
    totals = np.concatenate([(_windows(padded, s) ** 2).mean(1) for s in _parts(starts)])
    inside = np.flatnonzero((starts >= _SIZE) & (starts < len(samples) - _SIZE) & (totals > 0))
    if len(inside) < 10:
        return samples
    quiet = inside[np.argsort(totals[inside], kind="stable")[: max(5, int(len(inside) * _QUIET_SHARE))]]
    powers = ((np.abs(np.fft.rfft(_windows(padded, s) * window)) ** 2).sum(0) for s in _parts(starts[quiet]))
    noise = sum(powers) / len(quiet)
    out = np.zeros(len(padded), np.int16)
    open_ = np.zeros(_SIZE, np.float32)  # what later windows still add to
    for part in _parts(starts):
        cells = np.fft.rfft(_windows(padded, part) * window)
        power = np.abs(cells) ** 2
        gain = np.sqrt(np.maximum(1 - _OVER * noise / np.maximum(power, 1e-9), _FLOOR**2))
        begin = int(part[0])
        added = np.concatenate([open_, np.zeros(len(part) * _HOP, np.float32)])
        for row, start in zip(np.fft.irfft(cells * gain) * window, part - begin, strict=True):
            added[start : start + _SIZE] += row
        done, open_ = added[: len(part) * _HOP], added[len(part) * _HOP :]
        # Squared Hann windows at a quarter step add up to 1.5.
        out[begin : begin + len(done)] = np.clip(np.round(done / np.float32(1.5)), -32768, 32767)
    return out[_SIZE // 2 : _SIZE // 2 + len(samples)]


def for_following(sound: Sound, levels: Levels) -> Sound:
    """Return what the recogniser should hear: the sound itself, or without its noise where there is much."""
    if levels.is_silent:
        return sound
    from timing.sound.bands import is_steady
    from timing.sound.levels import window_db

    if levels.snr_db < HELPS_BELOW_DB and is_steady(window_db(sound.samples, sound.rate_hz)):
        return replace(sound, samples=without_noise(sound.samples))
    return replace(sound, samples=with_room(sound.samples, levels.speech_dbfs - _ROOM_DB))


def with_room(samples: NDArray[np.int16], level_dbfs: float) -> NDArray[np.int16]:
    """Return ``samples`` with white noise at ``level_dbfs``, always the same, from the first sound to the last.

    Silence at the ends stays: a last word that is cut off must not go on in the noise.
    """
    import numpy as np

    size = 32768 * 10 ** (level_dbfs / 20)
    begins, ends = _sounding(samples, 4 * size)
    out = samples.copy()
    dice = np.random.default_rng(1)
    for first in range(begins, ends, _SAMPLES_AT_ONCE):
        part = samples[first : min(first + _SAMPLES_AT_ONCE, ends)]
        noise = dice.standard_normal(len(part), np.float32) * np.float32(size)
        out[first : first + len(part)] = np.clip(np.round(part + noise), -32768, 32767)
    return out


def _sounding(samples: NDArray[np.int16], above: float) -> tuple[int, int]:
    """Return the first and the last sample that is louder than ``above``; (0, 0) where none is."""
    import numpy as np

    found: list[int] = []
    for first in range(0, len(samples), _SAMPLES_AT_ONCE):
        part = samples[first : first + _SAMPLES_AT_ONCE].astype(np.int32)
        loud = np.flatnonzero(np.abs(part) > above)
        found += [first + int(loud[0]), first + int(loud[-1])] if len(loud) else []
    return (found[0], found[-1]) if found else (0, 0)


def _parts(starts: NDArray[np.int64]) -> list[NDArray[np.int64]]:
    return [starts[i : i + _AT_ONCE] for i in range(0, len(starts), _AT_ONCE)]


def _windows(padded: NDArray[np.int16], starts: NDArray[np.int64]) -> NDArray[np.float32]:
    import numpy as np

    found: NDArray[np.float32] = padded[starts[:, None] + np.arange(_SIZE)].astype(np.float32)
    return found
