"""A telephone's band is 300 to 3400 Hz (ITU-T G.712, from memory): speech through it has nothing above."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from timing.sound.decode import Sound, read_audio
from timing.sound.levels import Levels, measure
from timing.sound.narrow_band import is_narrow

HZ = 16_000
DATA = Path(__file__).parents[1] / "recording" / "data"


def telephone(samples):
    spectrum = np.fft.rfft(samples)
    hertz = np.fft.rfftfreq(len(samples), 1 / HZ)
    wave = np.fft.irfft(np.where((hertz >= 300) & (hertz <= 3400), spectrum, 0), len(samples))
    return np.round(wave).astype(np.int16)


def two_bands(upper_db):
    """Two seconds of noise inside the telephone's band, and as much for each hertz, ``upper_db`` louder, above it."""
    dice = np.random.default_rng(2)
    hertz = np.fft.rfftfreq(2 * HZ, 1 / HZ)
    spectrum = np.fft.rfft(dice.standard_normal(2 * HZ))
    spectrum[(hertz < 300) | ((hertz > 3400) & (hertz < 4000)) | (hertz > 7000)] = 0
    spectrum[hertz >= 4000] *= 10 ** (upper_db / 20)
    wave = np.fft.irfft(spectrum, 2 * HZ)
    return np.round(wave / np.std(wave) * 5000).astype(np.int16)


def test_a_person_on_the_telephone_is_known_by_the_missing_hisses():
    samples = read_audio(DATA / "mary.wav").samples
    assert not is_narrow(samples)
    assert is_narrow(telephone(samples))


@pytest.mark.parametrize(("upper_db", "narrow"), [(0, False), (-36, False), (-46, True)])
def test_forty_decibels_less_is_nothing(upper_db, narrow):
    assert is_narrow(two_bands(upper_db)) is narrow


def test_through_a_telephone_words_are_told_apart_less_well():
    quiet = np.random.default_rng(4).normal(0, 5, HZ)
    samples = np.concatenate([quiet, two_bands(0), quiet])
    assert not measure(Sound(np.round(samples).astype(np.int16), HZ)).blurs_words
    assert measure(Sound(telephone(samples), HZ)).blurs_words
    # In noise too: loud windows 18 dB above the quiet ones is the limit of what is called noisy.
    assert Levels(1, 0.0, -20.0, -15.0, -32.9, 0.0).blurs_words
    assert not Levels(1, 0.0, -20.0, -15.0, -33.1, 0.0).blurs_words


def test_next_to_nothing_is_not_narrow():
    assert not is_narrow(np.zeros(100, np.int16))
