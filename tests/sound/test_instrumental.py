"""An instrumental is found in its mix, shifted and at another level, and taken away; what is left is the voice.

The sounds are made up here, so the voice is known to the sample.
"""

import numpy as np
import pytest

from tests.song import band
from timing.sound.instrumental import shift_between, without_instrumental

RATE = band.RATE


def played(seed=1, bpm=112):
    """A wide band: its right side comes a little later than its left."""
    tune = band.play(band.steady(bpm, 6), seed=seed)
    return np.stack([tune, np.roll(tune, 130)], 1) * 16000


def voice(length):
    """A gliding tone with overtones, in syllables of a third of a second."""
    at = np.arange(length) / RATE
    phase = 2 * np.pi * np.cumsum(220 + 40 * np.sin(2 * np.pi * 0.7 * at)) / RATE
    tone = sum(np.sin(k * phase) / k for k in range(1, 12))
    return tone * 2500 * (np.sin(2 * np.pi * 1.5 * at) > 0)


def level(x):
    return float(np.sqrt(np.mean(np.square(x, dtype=np.float64))))


@pytest.mark.parametrize(("shift", "gain"), [(0, 1.0), (3021, 0.8), (-1500, 1.3)])
def test_what_is_left_is_the_voice(shift, gain):
    tune = played()
    sung = voice(len(tune))[:, None]
    mix = np.clip(sung + gain * np.roll(tune, shift, axis=0), -32768, 32767)
    mix[: max(0, shift)] = sung[: max(0, shift)]
    if shift < 0:
        mix[shift:] = sung[shift:]
    given = np.round(tune).astype(np.int16)
    mix = np.round(mix).astype(np.int16)
    assert abs(shift_between(mix, given) - shift) <= 4
    left = without_instrumental(mix, given, RATE)
    assert left.shape == mix.shape
    inner = slice(RATE, -RATE)
    assert level(left[inner] - sung[inner]) < 0.15 * level(sung[inner])
    assert level(mix[inner] - sung[inner]) > 0.5 * level(sung[inner])


def test_an_equaliser_over_the_mix_goes_too():
    tune = played()
    sung = voice(len(tune))[:, None]
    dull = (tune + np.roll(tune, 1, axis=0) + np.roll(tune, 2, axis=0)) / 3
    left = without_instrumental(np.round(sung + dull).astype(np.int16), np.round(tune).astype(np.int16), RATE)
    inner = slice(RATE, -RATE)
    assert level(left[inner] - sung[inner]) < 0.15 * level(sung[inner])


def test_another_songs_instrumental_is_noticed():
    mix = np.round(played() + voice(len(played()))[:, None]).astype(np.int16)
    other = np.round(played(seed=4, bpm=97)).astype(np.int16)
    assert shift_between(mix, other) is None
    assert without_instrumental(mix, other, RATE) is None
