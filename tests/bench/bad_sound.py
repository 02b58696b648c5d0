"""Speech made worse, for the benchmark of listening: 16 kHz samples in, float samples of the same length out."""

from __future__ import annotations

import numpy as np

RATE_HZ = 16_000
_ORDER, _WINDOW, _HOP = 18, 400, 100


def pink(count: int, dice: np.random.Generator) -> np.ndarray:
    """Noise whose power falls by 3 dB an octave, standard deviation 1."""
    spectrum = np.fft.rfft(dice.standard_normal(count))
    spectrum[1:] /= np.sqrt(np.arange(1, len(spectrum)))
    noise = np.fft.irfft(spectrum, count)
    return noise / noise.std()


def noisy(samples: np.ndarray, ratio_db: float, dice: np.random.Generator) -> np.ndarray:
    """Pink noise ``ratio_db`` below the speech (mean power of what is louder than -44 dBFS)."""
    loud = np.sqrt(np.mean(samples[np.abs(samples) > 200].astype(float) ** 2))
    return samples + pink(len(samples), dice) * loud / 10 ** (ratio_db / 20)


def telephone(samples: np.ndarray) -> np.ndarray:
    """Only 300 to 3400 Hz, the band of a telephone line (ITU-T G.712, from memory)."""
    spectrum = np.fft.rfft(samples)
    hertz = np.fft.rfftfreq(len(samples), 1 / RATE_HZ)
    return np.fft.irfft(np.where((hertz >= 300) & (hertz <= 3400), spectrum, 0), len(samples))


def whispered(samples: np.ndarray, dice: np.random.Generator) -> np.ndarray:
    """The same spectral envelopes and loudness on noise instead of a voice (linear prediction, order 18)."""
    window = np.hanning(_WINDOW + 1)[:-1]
    padded = np.concatenate([np.zeros(_WINDOW), samples.astype(float), np.zeros(2 * _WINDOW)])
    out = np.zeros(len(padded))
    for start in range(0, len(padded) - _WINDOW, _HOP):
        part = padded[start : start + _WINDOW] * window
        power = np.fft.irfft(np.abs(np.fft.rfft(part, 2 * _WINDOW)) ** 2)[: _ORDER + 1]
        if power[0] < 1:
            continue
        power[0] *= 1.0001  # a little white noise keeps the equations well posed
        toeplitz = power[np.abs(np.subtract.outer(np.arange(_ORDER), np.arange(_ORDER)))]
        predictor = np.concatenate([[1.0], -np.linalg.solve(toeplitz, power[1:])])
        envelope = np.abs(np.fft.rfft(predictor, 2 * _WINDOW))
        breath = np.fft.irfft(np.fft.rfft(dice.standard_normal(_WINDOW) * window, 2 * _WINDOW) / envelope)[:_WINDOW]
        out[start : start + _WINDOW] += breath * np.sqrt(power[0] / max(np.sum(breath**2), 1e-9))
    return out[_WINDOW : _WINDOW + len(samples)] / np.sqrt(_WINDOW / _HOP / 2)
