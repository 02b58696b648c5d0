"""What a sound is like, as the recogniser's model wants to know it: 39 numbers for each 10 ms.

In: 16 kHz samples, int16 or as large. Out: the energies of 25 bands (their logarithms), 13 cepstra of them, and with
those the first and second differences. Step ``n`` is centred ``WINDOW_CENTRE`` after n/100 s. Steady noise is not taken
away, and the mean over the whole sound is, so a sound should hold what is to be followed and little else.

Sources: mel bands after S. S. Stevens and others (1937) in the form 2595 log10(1 + f/700); cepstra of them after S.
Davis and P. Mermelstein (IEEE Trans. ASSP 28, 1980); the settings are those that lie beside the model (feat.params) and
the library's own defaults: emphasis 0.97, Hamming window of 25.6 ms, 512 points, band edges on whole points, each
band's triangle of area 2.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from timing.hearing.recogniser import RATE_HZ, STEPS_PER_S

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_STEP = RATE_HZ // STEPS_PER_S
_SIZE, _FFT = 410, 512
_EMPHASIS = 0.97
_LOWEST_HZ, _HIGHEST_HZ = 130, 6800
_KNEE_HZ = 4800
BANDS, CEPSTRA, _LIFTER = 25, 13, 22
_LEAST_ENERGY = 1e-4
_STEPS_AT_ONCE = 1000


def band_energies(samples: NDArray[np.int16] | NDArray[np.float32], warp: float = 1.0) -> NDArray[np.float32]:
    """Return (steps, BANDS): the natural logarithm of each band's energy, one step for each begun 10 ms.

    ``warp``: by how much the voice's resonances lie higher than those of the model's readers (see ``edges_hz``).
    """
    import numpy as np

    count = -(-len(samples) // _STEP)
    # Half a bit of noise, always the same: exact zeros are nothing that the model has ever heard.
    dice = np.random.default_rng(1)
    sound = np.zeros(0, np.float32)  # the part of it that is looked at, ready, from the first of its steps on
    window, bands = np.hamming(_SIZE).astype(np.float32), _triangles(warp).T
    out = np.empty((count, BANDS), np.float32)
    for first in range(0, count, _STEPS_AT_ONCE):
        starts = np.arange(min(count, first + _STEPS_AT_ONCE) - first) * _STEP
        begin, end = first * _STEP + len(sound), (first + len(starts)) * _STEP + _SIZE
        more = np.zeros(end - begin + 1, np.float32)  # one sample more, before it
        there = samples[max(0, begin - 1) : end]
        more[begin == 0 :][: len(there)] = there
        ready = more[1:] - np.float32(_EMPHASIS) * more[:-1]
        ready += dice.uniform(-0.5, 0.5, len(ready)).astype(np.float32)
        sound = np.concatenate([sound, ready])
        cells = np.fft.rfft(sound[starts[:, None] + np.arange(_SIZE)] * window, _FFT)
        power = (cells.real**2 + cells.imag**2).astype(np.float32)
        out[first : first + len(starts)] = np.log(power @ bands + _LEAST_ENERGY)
        sound = sound[len(starts) * _STEP :]
    return out


def cepstra_of(energies: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return (steps, CEPSTRA) of ``band_energies``, less their mean."""
    import numpy as np

    k, n = np.arange(CEPSTRA)[:, None], np.arange(BANDS)
    cosines = np.cos(np.pi * k * (n + 0.5) / BANDS) * np.sqrt(np.where(k == 0, 1, 2) / BANDS)
    lifter = 1 + _LIFTER / 2 * np.sin(np.pi * k / _LIFTER)
    cepstra: NDArray[np.float32] = energies @ (cosines * lifter).T.astype(np.float32)
    cepstra -= cepstra.mean(axis=0)
    return cepstra


def with_differences(cepstra: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return (steps, 39): the cepstra, how they change over four steps, and how that changes over two."""
    import numpy as np

    padded = np.pad(cepstra, ((3, 3), (0, 0)), "edge")

    def at(shift: int) -> NDArray[np.float32]:
        return padded[3 + shift : len(padded) - 3 + shift]

    return np.concatenate([cepstra, at(2) - at(-2), (at(3) - at(-1)) - (at(1) - at(-3))], axis=1)


def features_of(samples: NDArray[np.int16] | NDArray[np.float32]) -> NDArray[np.float32]:
    """Return (steps, 39): the features of a sound, as ``AcousticModel.costs`` takes them."""
    return with_differences(cepstra_of(band_energies(samples)))


def edges_hz(warp: float = 1.0) -> NDArray[np.float64]:
    """Return the BANDS + 2 edges of the bands, each ``warp`` times as high up to where the rest must be squeezed.

    L. Lee and R. Rose, "A frequency warping approach to speaker normalization", IEEE Trans. SAP 6 (1998).

    >>> edges_hz().round()[[0, 1, -1]].tolist(), (edges_hz(1.2) / edges_hz()).round(2)[[0, 9, -1]].tolist()
    ([130.0, 203.0, 6800.0], [1.2, 1.2, 1.0])
    """
    import numpy as np

    low_mel, high_mel = (2595 * np.log10(1 + f / 700) for f in (_LOWEST_HZ, _HIGHEST_HZ))
    plain = 700 * (10 ** (np.linspace(low_mel, high_mel, BANDS + 2) / 2595) - 1)
    if warp == 1:
        return np.asarray(plain)
    knee = _KNEE_HZ / max(warp, 1.0)
    above = warp * knee + (plain - knee) * (_HIGHEST_HZ - warp * knee) / (_HIGHEST_HZ - knee)
    return np.asarray(np.where(plain <= knee, warp * plain, above))


@cache
def _triangles(warp: float) -> NDArray[np.float32]:
    """Return (BANDS, points): how much of each point of a spectrum belongs to each band."""
    import numpy as np

    spacing = RATE_HZ / _FFT
    edges = np.round(edges_hz(warp) / spacing) * spacing
    hertz = np.arange(_FFT // 2 + 1) * spacing
    low, middle, high = (edges[k : k + BANDS, None] for k in range(3))
    sides = np.minimum((hertz - low) / (middle - low), (high - hertz) / (high - middle))
    areas: NDArray[np.float32] = (np.clip(sides, 0, None) * 2 / (high - low)).astype(np.float32)
    return areas
