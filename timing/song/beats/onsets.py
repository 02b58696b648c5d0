"""Sound to onset strength: where notes begin, in three views.

In: blocks of mono samples. Out: :class:`Onsets`, one value every 128 samples (5.8 ms): attacks above 250 Hz, attacks
below 180 Hz (bass and bass drum), and the pitch classes that sound. Log-band spectral flux after the common practice
of the beat-tracking literature (S. Dixon, "Onset Detection Revisited", 2006; D. Ellis, "Beat Tracking by Dynamic
Programming", 2007). Works through the sound a block at a time and keeps 33 band levels a frame.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from timing.sound.decode import SONG_RATE_HZ

Array = NDArray[np.float64]
Array32 = NDArray[np.float32]

HOP, WINDOW, SHORT = 128, 1024, 256
FRAME_RATE = SONG_RATE_HZ / HOP
LAG = 2  # frames between the spectra compared
GAIN = 7.0  # before the logarithm, on band levels relative to their mean over the song
LOW_HZ, HIGH_HZ = 180.0, 250.0
CHROMA_HZ = (110.0, 2000.0)


@dataclass(frozen=True)
class Onsets:
    """Onset strength, frame i at ``i / FRAME_RATE`` seconds; each view has mean square about 1."""

    high: Array
    low: Array
    sharp: Array  # high attacks in a short window: less sure, better placed in time
    chroma: Array32  # frames x 12
    length_s: float
    loudness: Array32

    @property
    def both(self) -> Array:
        """The main view: attacks with the bass added."""
        return np.asarray(self.high + 0.6 * self.low)


def _edges() -> NDArray[np.int64]:
    low = np.linspace(1, 10, 7)
    high = np.geomspace(11, WINDOW // 2, 26)
    return np.unique(np.concatenate([low, high]).astype(np.int64))


def _frames(blocks: Iterable[Array32]) -> Iterable[Array32]:
    """Yield runs of samples that hold whole frames: each overlaps the one before by a window less a hop."""
    held = np.zeros(WINDOW // 2, np.float32)  # frame 0 is centred on sample 0
    for block in blocks:
        held = np.concatenate([held, block])
        count = (len(held) - WINDOW) // HOP + 1
        if count > 0:
            yield held[: (count - 1) * HOP + WINDOW]
            held = held[count * HOP :]
    held = np.concatenate([held, np.zeros(WINDOW // 2, np.float32)])
    if len(held) >= WINDOW:
        yield held


def measure(blocks: Iterable[Array32]) -> Onsets:
    """Return the onset strengths of a whole song."""
    edges = _edges()
    fft_hz = np.fft.rfftfreq(WINDOW, 1 / SONG_RATE_HZ)
    window = np.hanning(WINDOW + 1)[:-1].astype(np.float32)
    short = np.hanning(SHORT + 1)[:-1].astype(np.float32)
    window /= window.sum()
    short /= short.sum()
    pitched = np.flatnonzero((fft_hz > CHROMA_HZ[0]) & (fft_hz < CHROMA_HZ[1]))
    classes = np.round(69 + 12 * np.log2(fft_hz[pitched] / 440)).astype(int) % 12
    to_class = np.zeros((len(pitched), 12), np.float32)
    to_class[np.arange(len(pitched)), classes] = 1
    short_edges = np.unique(np.geomspace(3, SHORT // 2, 12).astype(np.int64))
    bands, shorts, chroma, count = [], [], [], 0
    middle = slice((WINDOW - SHORT) // 2, (WINDOW + SHORT) // 2)

    def counted() -> Iterable[Array32]:
        nonlocal count
        for block in blocks:
            count += len(block)
            yield block

    for run in _frames(counted()):
        views = np.lib.stride_tricks.sliding_window_view(run, WINDOW)[::HOP]
        spectrum = np.abs(np.fft.rfft(views * window, axis=1)).astype(np.float32)
        bands.append(np.add.reduceat(spectrum, edges[:-1], axis=1))
        chroma.append(spectrum[:, pitched] @ to_class)
        fine = np.abs(np.fft.rfft(views[:, middle] * short, axis=1)).astype(np.float32)
        shorts.append(np.add.reduceat(fine, short_edges[:-1], axis=1))
    band, fine_band = np.concatenate(bands), np.concatenate(shorts)
    flux = _flux(band, LAG)
    centre = fft_hz[edges[:-1]]
    return Onsets(
        _relative(flux[:, centre > HIGH_HZ].mean(axis=1)),
        _relative(flux[:, centre < LOW_HZ].mean(axis=1)),
        _relative(_flux(fine_band, 1).mean(axis=1)),
        np.concatenate(chroma),
        count / SONG_RATE_HZ,
        band.sum(axis=1),
    )


def _flux(bands: Array32, lag: int) -> Array32:
    """Return the rise of the log level of each band over ``lag`` frames, falls counting nothing."""
    log = np.log1p(bands * np.float32(GAIN / (float(bands.mean()) or 1.0)))
    flux: Array32 = np.zeros_like(log)
    np.maximum(log[lag:] - log[:-lag], 0, out=flux[lag:])
    return flux


def _relative(strength: Array32) -> Array:
    """Return strength above its one-second mean, in units of its own spread."""
    values = strength.astype(np.float64)
    width = min(int(FRAME_RATE), len(values))
    padded = np.pad(values, (width // 2, width - 1 - width // 2), mode="edge")
    sums = np.cumsum(np.concatenate([[0.0], padded]))
    above = np.maximum(values - (sums[width:] - sums[:-width]) / width, 0)
    return np.asarray(above / (above.std() + 1e-9))


def smooth(values: Array, sigma: float, wrap: bool = False) -> Array:
    """Return ``values`` under a Gaussian of ``sigma`` samples; ends are held, or joined with ``wrap``."""
    reach = max(1, int(4 * sigma + 0.5))
    kernel = np.exp(-0.5 * (np.arange(-reach, reach + 1) / sigma) ** 2)
    padded = np.pad(values, reach, mode="wrap" if wrap else "edge")
    return np.convolve(padded, kernel / kernel.sum(), mode="valid")
