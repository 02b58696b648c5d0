"""A small band for tests: songs with known beats, synthesised here from noise and sine waves."""

from __future__ import annotations

import wave
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

RATE = 22050
CHORDS = ((220.0, 277.2, 329.6), (174.6, 220.0, 261.6), (196.0, 246.9, 293.7), (261.6, 329.6, 392.0))


def steady(bpm: float, bars: int, a_bar: int = 4, start: float = 0.5) -> NDArray[np.float64]:
    """Return the beats of a steady song."""
    return start + np.arange(bars * a_bar) * 60 / bpm


def play(
    beats: Sequence[float] | NDArray[np.float64], a_bar: int = 4, seed: int = 1, hats: bool = True
) -> NDArray[np.float64]:
    """Return a song on ``beats``: bass drum and bass on the first beat, snare on the others, chords, hats between."""
    hat = 0.05 * hats
    noise = np.random.default_rng(seed)
    sound = np.zeros(int((beats[-1] + 2) * RATE))
    steps = [*np.diff(beats), beats[-1] - beats[-2]]
    for n, (beat, step) in enumerate(zip(beats, steps, strict=True)):
        if n % a_bar == 0:
            _add(sound, beat, _drum(70, 0.12) * 0.9)
            chord = CHORDS[n // a_bar % len(CHORDS)]
            length = step * a_bar * 0.9
            _add(sound, beat, sum(_tone(f, length) for f in chord) * 0.08)
            _add(sound, beat, _tone(chord[0] / 4, length) * 0.2)
        else:
            _add(sound, beat, noise.normal(size=2500) * np.exp(-np.arange(2500) / 500) * 0.15)
        _add(sound, beat + step / 2, noise.normal(size=600) * np.exp(-np.arange(600) / 120) * hat)
    return sound / np.abs(sound).max() * 0.8


def _drum(hertz: float, length: float) -> NDArray[np.float64]:
    t = np.arange(int(length * RATE)) / RATE
    return np.sin(2 * np.pi * hertz * t) * np.exp(-t / 0.04)


def _tone(hertz: float, length: float) -> NDArray[np.float64]:
    t = np.arange(int(length * RATE)) / RATE
    return np.sin(2 * np.pi * hertz * t) * np.minimum(1, t / 0.01) * np.exp(-t / 0.8)


def _add(sound: NDArray[np.float64], moment: float, part: NDArray[np.float64]) -> None:
    at = round(moment * RATE)
    end = min(len(sound), at + len(part))
    if at < end:
        sound[at:end] += part[: end - at]


def save(sound: NDArray[np.float64], path: Path) -> Path:
    """Write 16-bit mono WAV with the standard library."""
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes((np.clip(sound, -1, 1) * 32767).astype("<i2").tobytes())
    return path


def sing(moments: Sequence[float] | NDArray[np.float64], seed: int = 1) -> NDArray[np.float64]:
    """Return a voice alone: one soft tone from each moment to just before the next, a little off time as singers are."""
    loose = np.random.default_rng(seed)
    sound = np.zeros(int((moments[-1] + 2) * RATE))
    for n, (moment, length) in enumerate(zip(moments, [*np.diff(moments), 1.0], strict=True)):
        t = np.arange(int(0.9 * length * RATE)) / RATE
        swell = np.minimum(1, t / 0.03) * np.minimum(1, (t[-1] - t) / 0.03) * np.exp(-t / 0.6)
        pitch = CHORDS[n // 4 % len(CHORDS)][n % 3]
        tone = sum(np.sin(2 * np.pi * pitch * k * t) / k for k in range(1, 6))
        _add(sound, moment + loose.normal(0, 0.015), tone * swell)
    return sound / np.abs(sound).max() * 0.8
