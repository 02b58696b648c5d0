"""Recordings of people put into other voices, with the same timing or with a known delay and drift.

Three ways, each with other faults: a phase vocoder (all of it here: pitch and formants move together), and, where they
are installed, WORLD (package ``pyworld``: pitch and spectral envelope apart) and the overlap-add of pitch periods of
Praat (package ``praat-parselmouth``: "Change gender").
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

RATE_HZ = 16_000
Samples = NDArray[np.float64]  # -1..1


def resampled(sound: Samples, at: Samples) -> Samples:
    """Return the sound's values at fractional sample places ``at`` (windowed sinc, 32 samples wide)."""
    reach = 16
    padded = np.concatenate([np.zeros(reach), sound, np.zeros(reach + 1)])
    whole = np.floor(at).astype(int)
    inside = (whole >= -reach + 1) & (whole < len(sound) + reach - 1)
    whole, part = np.clip(whole, -reach + 1, len(sound) - 1), at - np.floor(at)
    out = np.zeros(len(at))
    for k in range(-reach + 1, reach + 1):
        x = part - k
        weight = np.sinc(x) * (0.5 + 0.5 * np.cos(np.pi * np.clip(x / reach, -1, 1)))
        places = np.clip(whole + k + reach, 0, len(padded) - 1)
        out += weight * padded[places]
    return out * inside


def moved(sound: Samples, delay_s: float, drift: float) -> Samples:
    """Return the sound ``delay_s`` later and, from its beginning on, slower by ``drift`` (0.001: by 0.1 %)."""
    count = int(len(sound) * (1 + drift) + max(0.0, delay_s) * RATE_HZ) + 1
    return resampled(sound, (np.arange(count) - delay_s * RATE_HZ) / (1 + drift))


def vocoder(sound: Samples, pitch: float, formants: float) -> Samples:
    """Return the sound at another pitch by a phase vocoder: stretched, then played faster; formants go with it.

    Phases are locked to those of the peaks (J. Laroche, M. Dolson, "Improved phase vocoder time-scale modification of
    audio", 1999), else a voice sounds as in a tiled room.
    """
    size, hop = 512, 64
    padded = np.concatenate([np.zeros(size), sound, np.zeros(2 * size)])
    window = np.hanning(size + 1)[:size]
    starts = np.round(np.arange(0, len(padded) - size - hop, hop / pitch)).astype(int)
    out = np.zeros(int(len(padded) * pitch) + 2 * size)
    norm = np.zeros_like(out)
    turn = 2 * np.pi * np.arange(size // 2 + 1) * hop / size
    phase = np.zeros(size // 2 + 1)
    for n, at in enumerate(starts):
        a, b = (np.fft.rfft(window * padded[s : s + size]) for s in (at - hop if at >= hop else at, at))
        if n == 0:
            phase = np.angle(b)
        else:
            step = np.angle(b) - np.angle(a) - turn
            ahead = phase + turn + step - 2 * np.pi * np.round(step / (2 * np.pi))
            phase = _locked(np.abs(b), np.angle(b), ahead)
        out[n * hop : n * hop + size] += window * np.fft.irfft(np.abs(b) * np.exp(1j * phase), size)
        norm[n * hop : n * hop + size] += window**2
    # A frame that began at ``start`` lies at n * hop: the middle of each stays where it was, times ``pitch``.
    middle = size / 2
    places = (np.arange(len(sound)) + size - middle) * pitch + middle
    return resampled(out / np.maximum(norm, 0.1), places)


def _locked(level: Samples, own: Samples, ahead: Samples) -> Samples:
    """Return each bin's phase as it stood to that of its nearest peak in the frame."""
    inner = level[2:-2]
    beside = np.max([level[:-4], level[1:-3], level[3:-1], level[4:]], axis=0)
    peaks = np.flatnonzero(inner > beside) + 2
    if not len(peaks):
        return ahead
    bounds = (peaks[1:] + peaks[:-1] + 1) // 2
    nearest = peaks[np.searchsorted(bounds, np.arange(len(level)), side="right")]
    return own - own[nearest] + ahead[nearest]


def world(sound: Samples, pitch: float, formants: float) -> Samples:
    """Return the sound with another pitch and an envelope stretched along the frequencies, by WORLD."""
    import pyworld

    f0, times = pyworld.harvest(sound, RATE_HZ, f0_floor=60, f0_ceil=500)
    envelope = pyworld.cheaptrick(sound, f0, times, RATE_HZ)
    breath = pyworld.d4c(sound, f0, times, RATE_HZ)
    bins = np.arange(envelope.shape[1])
    envelope, breath = (
        np.array([np.interp(bins / formants, bins, row) for row in table]) for table in (envelope, breath)
    )
    made = pyworld.synthesize(f0 * pitch, np.ascontiguousarray(envelope), np.ascontiguousarray(breath), RATE_HZ)
    return np.asarray(made[: len(sound)])


def periods(sound: Samples, pitch: float, formants: float) -> Samples:
    """Return the sound with its pitch periods set anew and its formants moved, by Praat."""
    import parselmouth
    from parselmouth.praat import call

    one = parselmouth.Sound(sound, RATE_HZ)
    tone = call(call(one, "To Pitch", 0.0, 60, 500), "Get quantile", 0, 0, 0.5, "Hertz")
    median = tone * pitch if tone == tone else 0.0
    made = call(one, "Change gender", 60, 500, formants, median, 1.0, 1.0)
    return np.asarray(made.values[0][: len(sound)])


def ways() -> dict[str, Callable[[Samples, float, float], Samples]]:
    """Return the ways that are installed here, by name."""
    found: dict[str, Callable[[Samples, float, float], Samples]] = {"vocoder": vocoder}
    for name, package, way in (("world", "pyworld", world), ("periods", "parselmouth", periods)):
        try:
            __import__(package)
        except ImportError:
            continue
        found[name] = way
    return found
