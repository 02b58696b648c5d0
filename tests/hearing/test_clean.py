"""What the recogniser hears of a recording: noise taken out of noise only."""

from __future__ import annotations

import numpy as np

from timing.sound.clean import for_following
from timing.sound.decode import Sound
from timing.sound.levels import measure

RATE_HZ = 16_000


_T = np.arange(2 * RATE_HZ) / RATE_HZ
_LEVEL_DB = -25 * (1 - np.abs(np.sin(2 * np.pi * 2 * _T))) ** 2  # syllables that fade and never pause
VOICE = sum(np.sin(2 * np.pi * 200 * k * _T) / k for k in range(1, 9)) * 5000 * 10 ** (_LEVEL_DB / 20)


def followed(samples: np.ndarray) -> np.ndarray:
    sound = Sound(np.round(samples).astype(np.int16))
    levels = measure(sound)
    assert levels.snr_db < 22  # or nothing is taken out anyway
    return for_following(sound, levels).samples.astype(float)


def test_weak_sounds_of_a_line_cut_close_are_not_noise() -> None:
    heard = followed(VOICE)
    weak = _LEVEL_DB < -15
    assert np.corrcoef(heard[weak], VOICE[weak])[0, 1] > 0.98
    assert np.std(heard[weak]) > 0.95 * np.std(VOICE[weak])


def test_steady_noise_is_taken_out() -> None:
    noise = np.random.default_rng(3).standard_normal(3 * RATE_HZ) * 1000
    samples = noise.copy()
    samples[: len(VOICE)] += VOICE
    heard = followed(samples)
    assert np.std(heard[-RATE_HZ // 2 :]) < 0.5 * np.std(noise)
