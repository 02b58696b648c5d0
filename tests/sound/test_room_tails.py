"""A voice in a room ends where the room only dies away: 60 dB in the reverberation time (Sabine), on a straight line."""

from __future__ import annotations

import numpy as np
import pytest

from timing.sound.decode import Sound
from timing.sound.levels import measure, sound_regions, window_db
from timing.sound.room_tails import decay_db, without_tails

HZ = 16_000


def bursts(edges, seconds):
    """Noise of 300 to 3000 Hz that begins and ends at once at each of ``edges``, beside next to nothing."""
    dice = np.random.default_rng(5)
    count = int(seconds * HZ)
    hertz = np.fft.rfftfreq(count, 1 / HZ)
    spectrum = np.fft.rfft(dice.standard_normal(count))
    spectrum[(hertz < 300) | (hertz > 3000)] = 0
    out = np.fft.irfft(spectrum, count)
    gate = np.zeros(count)
    for start, end in edges:
        gate[int(start * HZ) : int(end * HZ)] = 1
    return out / np.std(out) * 3000 * gate


def in_a_room(dry, reverberation_s, noise=12.0):
    """The sound and what a room adds to it: noise that loses 60 dB in ``reverberation_s``, as strong as the sound."""
    dice = np.random.default_rng(6)
    count = int(reverberation_s * HZ)
    tail = dice.standard_normal(count) * 10 ** (-3 * np.arange(count) / count)
    tail /= np.sqrt(np.sum(tail**2))
    tail[0] += 1
    size = 1 << (len(dry) + count).bit_length()
    wet = np.fft.irfft(np.fft.rfft(dry, size) * np.fft.rfft(tail, size), size)[: len(dry)]
    return np.round(wet + noise * dice.standard_normal(len(dry))).astype(np.int16)


EDGES = tuple((1 + 1.5 * k, 1.4 + 1.55 * k) for k in range(12))


@pytest.mark.parametrize("reverberation_s", [0.35, 0.45, 0.6])
def test_a_rooms_rate_is_sixty_decibels_in_its_reverberation_time(reverberation_s):
    samples = in_a_room(bursts(EDGES, 20), reverberation_s)
    rate = decay_db(window_db(samples, HZ))
    assert rate == pytest.approx(0.6 / reverberation_s, rel=0.2)  # 60 dB in so many steps of 10 ms


@pytest.mark.parametrize("reverberation_s", [0.4, 0.6])
def test_what_sounds_ends_with_the_voice_and_not_with_its_room(reverberation_s):
    sound = Sound(in_a_room(bursts(EDGES, 20), reverberation_s), HZ)
    found = sound_regions(sound)
    assert [float(a) for a, _ in found] == pytest.approx([a for a, _ in EDGES], abs=0.03)
    assert [float(b) for _, b in found] == pytest.approx([b for _, b in EDGES], abs=0.08)


def test_without_a_room_nothing_is_cut():
    samples = np.round(bursts(EDGES, 20) + np.random.default_rng(7).normal(0, 12, 20 * HZ)).astype(np.int16)
    levels = window_db(samples, HZ)
    assert decay_db(levels) is None
    edges = tuple(EDGES)
    assert without_tails(samples, edges, levels) == edges


def test_a_few_seconds_tell_no_room():
    samples = in_a_room(bursts(EDGES[:1], 3), 0.5)
    assert decay_db(window_db(samples, HZ)) is None
    assert decay_db(np.full(10, -20.0)) is None


def test_silence_has_no_room():
    assert measure(Sound(np.zeros(HZ, np.int16), HZ)).is_silent
    assert decay_db(np.full(100, -np.inf)) is None
