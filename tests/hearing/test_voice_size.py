"""A voice of another size: its resonances lie higher or lower by one factor (Lee and Rose, 1998), and so do the bands."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from timing.hearing.missing_bands import filled
from timing.hearing.sound_features import BANDS, band_energies, edges_hz
from timing.hearing.voice_size import SIZES, voice_size
from timing.sound.decode import read_audio

DATA = Path(__file__).parents[1] / "recording" / "data"


def people():
    """Four short recordings of people, one after another."""
    names = ("mary", "bobby", "two_plus_two", "three_plus_five")
    return np.concatenate([read_audio(DATA / f"{name}.wav").samples for name in names])


def played(samples, faster):
    """The samples played ``faster`` times as fast: pitch and resonances are that much higher."""
    count = int(len(samples) / faster)
    wave = np.interp(np.arange(count) * faster, np.arange(len(samples)), samples.astype(float))
    return np.round(wave).astype(np.int16)


def size_of(samples):
    return voice_size(samples, [(Fraction(0), Fraction(len(samples), 16_000))])


@pytest.mark.parametrize(("faster", "least", "most"), [(1.35, 1.16, 1.24), (1.0, 1.0, 1.0), (0.75, 0.8, 0.86)])
def test_a_voice_played_faster_is_a_smaller_one(faster, least, most):
    said = np.tile(read_audio(DATA / "mary.wav").samples, 2) if faster > 1 else people()
    assert least <= size_of(played(said, faster)) <= most


def test_a_second_or_two_tell_no_size():
    samples = played(people(), 1.3)
    assert size_of(samples[: 2 * 16_000 - 1]) == 1
    assert voice_size(samples, []) == 1


def test_a_tone_as_much_higher_falls_into_the_same_band():
    at = np.arange(16_000) / 16_000
    for size in SIZES:
        bands = [
            int(band_energies(np.round(9000 * np.sin(2 * np.pi * hertz * at)).astype(np.int16), warp)[50].argmax())
            for hertz, warp in ((1000, 1.0), (1000 * size, size))
        ]
        assert bands[0] == bands[1]


def test_bands_keep_their_order_and_their_upper_end():
    for size in SIZES:
        edges = edges_hz(size)
        assert (np.diff(edges) > 30).all()
        assert edges[-1] == pytest.approx(6800)


def test_what_a_telephone_leaves_out_follows_what_it_lets_through():
    centres = edges_hz()[1:-1]
    energies = np.full((100, BANDS), 10, np.float32)
    energies[50:, (centres >= 2200) & (centres < 3300)] += 2  # a hiss: the upper third rises by 2
    energies[:, (centres < 300) | (centres >= 3300)] = -9
    rise = (lambda made: made[80] - made[20])(filled(energies, centres))
    # 0.75 and 0.55 of 2 above, -0.2 of 2 below; what is inside stays.
    assert rise[(centres >= 3300) & (centres < 5000)] == pytest.approx(1.5, abs=1e-4)
    assert rise[centres >= 5000] == pytest.approx(1.1, abs=1e-4)
    assert rise[centres < 300] == pytest.approx(-0.4, abs=1e-4)
    inside = (centres >= 300) & (centres < 3300)
    assert (filled(energies, centres)[:, inside] == energies[:, inside]).all()
