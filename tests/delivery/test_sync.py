"""Shift and drift between two sounds, on made-up speech: bursts of coloured noise with known changes."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from timing.delivery.sync import RATE_HZ, compare, outline


def bursts(seed: int, seconds: float = 5.0) -> NDArray[np.int16]:
    """Syllable-like bursts of 60 to 300 ms at changing levels, with short gaps and silence round them."""
    rng = np.random.default_rng(seed)
    out = np.zeros(int(seconds * RATE_HZ))
    at = int(0.4 * RATE_HZ)
    while at < len(out) - int(0.6 * RATE_HZ):
        length = int(rng.uniform(0.06, 0.3) * RATE_HZ)
        rise = np.sin(np.linspace(0, np.pi, length)) ** rng.uniform(0.3, 1.5)
        noise = np.convolve(rng.normal(0, 1, length), np.ones(6) / 6, "same")
        out[at : at + length] += noise * rise * rng.uniform(2000, 14000)
        at += length + int(rng.uniform(0.0, 0.2) * RATE_HZ)
    return np.clip(out, -32767, 32767).astype(np.int16)


def changed(sound: NDArray[np.int16], late_s: float, slow: float) -> NDArray[np.int16]:
    """The sound later by ``late_s`` and slower by the factor 1 + ``slow``."""
    places = (np.arange(len(sound)) - late_s * RATE_HZ) / (1 + slow)
    return np.interp(places, np.arange(len(sound)), sound, 0, 0).astype(np.int16)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("late_s", [-0.2, 0.0, 0.013, 5 / 24])
def test_a_shift_is_found_to_two_milliseconds(seed: int, late_s: float) -> None:
    sound = bursts(seed)
    sync = compare(sound, changed(sound, late_s, 0))
    assert sync is not None
    assert sync.shift_s == pytest.approx(late_s, abs=0.002)
    assert abs(sync.drift or 0) < 0.001


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("slow", [0.01, -0.01, 0.001 * 1001 / 1000, -0.03])
def test_a_drift_is_found_to_a_fifth_of_a_percent(seed: int, slow: float) -> None:
    sound = bursts(seed)
    sync = compare(sound, changed(sound, 0.1, slow))
    assert sync is not None
    assert sync.drift == pytest.approx(slow, abs=0.002)


def test_another_voice_level_and_noise_change_nothing() -> None:
    sound = bursts(7)
    bright = np.diff(sound.astype(float), prepend=0.0) * 0.4 + np.random.default_rng(0).normal(0, 8, len(sound))
    sync = compare(sound, bright.astype(np.int16))
    assert sync is not None
    assert abs(sync.shift_s) < 0.003
    assert abs(sync.drift or 0) < 0.002


@pytest.mark.parametrize("seconds", [1.5, 1.8, 2.0])
def test_too_little_speech_tells_a_shift_but_no_drift(seconds: float) -> None:
    sound = bursts(3, seconds)  # of which a second is silence
    sync = compare(sound, changed(sound, 0.1, 0))
    assert sync is not None
    assert sync.shift_s == pytest.approx(0.1, abs=0.002)
    assert (sync.drift, sync.drift_error) == (None, None)


@pytest.mark.parametrize("seed", range(12))
def test_a_drift_lies_within_three_of_its_errors(seed: int) -> None:
    sound = bursts(seed, 4)
    noisy = sound + np.random.default_rng(seed).normal(0, 60, len(sound))
    sync = compare(sound, changed(np.clip(noisy, -32767, 32767).astype(np.int16), 0, 0.01))
    assert sync is not None
    assert sync.drift is not None
    assert sync.drift_error is not None
    assert abs(sync.drift - 0.01) < 3 * sync.drift_error


def test_other_speech_and_silence_are_not_compared() -> None:
    assert compare(bursts(1), bursts(2)) is None
    assert compare(bursts(1), np.zeros(RATE_HZ, np.int16)) is None
    assert outline(np.zeros(10, np.int16)) is None
