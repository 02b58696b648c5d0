"""What stands above a steady noise: weak bright sounds too, of which the level alone tells nothing."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from timing.sound.bands import is_steady, stretches
from timing.sound.decode import Sound
from timing.sound.levels import measure, sound_regions, window_db

HZ = 16_000


def made(parts, seconds=6.0, noise_db=-12.0):
    """Noise that falls with frequency (as rooms and streets have it), and in it bursts (start, end, lowest Hz, level)."""
    dice = np.random.default_rng(3)
    count = int(seconds * HZ)
    hertz = np.fft.rfftfreq(count, 1 / HZ)
    spectrum = np.fft.rfft(dice.standard_normal(count)) / np.maximum(hertz, 50) ** 0.5
    noise = np.fft.irfft(spectrum, count)
    out = noise / np.std(noise) * 1500 * 10 ** (noise_db / 20)
    for start, end, low, level in parts:
        burst = np.fft.rfft(dice.standard_normal(count))
        burst[(hertz < low) | (hertz > low + 2500)] = 0
        sound = np.fft.irfft(burst, count)
        inside = slice(int(start * HZ), int(end * HZ))
        out[inside] += sound[inside] / np.std(sound) * level
    return np.round(out).astype(np.int16)


def test_a_hiss_far_below_the_noise_belongs_to_its_word():
    # The hiss from 2.0 to 2.2 s is as loud as all of the noise is: the level rises by 3 dB, in its own band by 10 and more.
    samples = made([(1.0, 2.0, 200, 1500), (2.0, 2.2, 4000, 380)])
    ((start, end),) = stretches(samples, Fraction(1, 4))
    assert (float(start), float(end)) == pytest.approx((1.0, 2.2), abs=0.03)


def test_pauses_part_what_they_are_long_enough_to_part():
    samples = made([(1.0, 1.5, 200, 1500), (1.7, 2.2, 200, 1500), (2.8, 3.4, 200, 1500)])
    found = stretches(samples, Fraction(1, 4))
    assert [(float(a), float(b)) for a, b in found] == [
        pytest.approx((1.0, 2.2), abs=0.03), pytest.approx((2.8, 3.4), abs=0.03)
    ]  # fmt: skip


def test_in_a_steady_noise_the_bands_tell_where_there_is_sound():
    samples = made([(1.0, 2.0, 200, 1500), (2.0, 2.2, 4000, 380)])
    assert is_steady(window_db(samples, HZ))
    sound = Sound(samples)
    assert measure(sound).snr_db < 20
    assert sound_regions(sound) == stretches(samples, Fraction(1, 4))


def test_nothing_but_noise_is_no_stretch():
    assert stretches(made([]), Fraction(1, 4)) == ()
