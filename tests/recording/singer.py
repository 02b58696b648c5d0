"""Singing with known times and beats, made on the spot from the flite synthesiser's speech (tests and benchmarks only).

Speech is taken apart into smoothed spectra, 5 ms each, and put together again from pulses at the melody's pitch and
noise (the source-filter model of speech: G. Fant, "Acoustic Theory of Speech Production", 1960). Consonants keep
their length; each vowel's middle is held, wandering back and forth, until the next vowel's moment has come. What
this is not: a singer's own vowels, breath and slides.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tests.recording import flite
from tests.song import band
from timing.model import is_vowel

RATE_HZ = 16_000
_HOP, _SIZE, _FFT = 80, 400, 1024
_LIFTER = 44  # quefrency in samples kept in a spectrum: below the shortest pitch period of the voices used
_TUNE = (0, 2, 4, 5, 7, 5, 4, 2, 0, 4, 2, -1)  # semitones, a note for each vowel
_LAG_S, _LOOSE_S = 0.03, 0.02  # vowels come 15 to 50 ms after the beat in measured songs; a singer's looseness
_VIBRATO_HZ, _VIBRATO = 5.5, 0.015


@dataclass(frozen=True)
class SungSong:
    """A voice alone, its lines' true words (``flite.TrueWord``, song's clock) and the song's beats in seconds."""

    samples: NDArray[np.float64]
    lines: tuple[tuple[flite.TrueWord, ...], ...]
    beats: tuple[float, ...]


def sing_song(texts: Sequence[str], voice: str, bpm: float, hertz: float, seed: int = 1) -> SungSong:
    """Return ``texts`` sung on whole and half beats, a note 0.4 to 0.8 s long for each vowel."""
    dice = np.random.default_rng(seed)
    half = 30 / bpm
    lengths = [k for k in range(1, 9) if 0.399 <= k * half <= 0.801]
    parts, lines, at, tick = [np.zeros(0)], [], 0.0, 4  # tick: half beats since the first beat
    first = 0.5
    for text in texts:
        speech, words = flite.say(text, voice, seed)
        vowels = [s for w in words for p, s, _ in w.phones if is_vowel(p)]
        ticks = [tick]
        for _ in vowels:
            ticks.append(ticks[-1] + int(dice.choice(lengths)))
        moments = [first + t * half + _LAG_S + float(dice.normal(0, _LOOSE_S)) for t in ticks]
        sung, moved = sing(speech, words, moments, hertz, seed)
        begin = moments[0] - vowels[0]
        parts.append(np.zeros(max(0, round((begin - at) * RATE_HZ))))
        at = sum(len(p) for p in parts) / RATE_HZ
        parts.append(sung)
        lines.append(tuple(_later(w, at) for w in moved))
        at += len(sung) / RATE_HZ
        tick = 2 * int(np.ceil((at - first + 0.6) / half / 2)) + 2 * int(dice.integers(0, 2))
    samples = np.concatenate([*parts, np.zeros(RATE_HZ)])
    beats = np.arange(first, len(samples) / RATE_HZ, 2 * half)
    return SungSong(samples, tuple(lines), tuple(float(b) for b in beats))


def mixed(song: SungSong, level_db: float | None) -> NDArray[np.int16]:
    """Return the voice alone, (samples,), or in the middle of a wide band, (samples, 2), that much louder than it."""
    voice = song.samples
    if level_db is None:
        return np.clip(np.round(voice), -32768, 32767).astype(np.int16)
    played = band.play(song.beats)
    at = np.arange(len(voice)) * band.RATE / RATE_HZ
    tune = np.interp(at, np.arange(len(played)), played)
    sung = voice[np.abs(voice) > 50]
    tune *= np.sqrt(np.mean(sung**2) / np.mean(tune**2)) * 10 ** (-level_db / 20)

    def later(samples: int) -> NDArray[np.float64]:
        return np.concatenate([np.zeros(samples), tune[:-samples]])

    # Unlike, but not strangers: part of the band stays in the middle.
    stereo = np.stack([voice + tune + 0.4 * later(97), voice + 0.5 * tune + 0.8 * later(211)], 1)
    return np.round(stereo * min(1.0, 32_000 / np.abs(stereo).max())).astype(np.int16)


def _later(word: flite.TrueWord, by: float) -> flite.TrueWord:
    return flite.TrueWord(
        word.text, word.start + by, word.end + by, tuple((p, s + by, e + by) for p, s, e in word.phones)
    )


def sing(
    speech: NDArray[np.int16],
    words: Sequence[flite.TrueWord],
    moments: Sequence[float],
    hertz: float,
    seed: int = 1,
) -> tuple[NDArray[np.float64], tuple[flite.TrueWord, ...]]:
    """Return (samples, words) with the vowels' onsets as far apart as ``moments`` (one more: the last note's end)."""
    dice = np.random.default_rng(seed)
    cepstra, voicing = _taken_apart(speech.astype(np.float64))
    count = len(cepstra)
    phones = [phone for word in words for phone in word.phones]
    vowels = [i for i, phone in enumerate(phones) if is_vowel(phone[0])]
    source: list[int] = list(range(round(phones[vowels[0]][1] * 200)))
    place = {0: 0}  # frame of the speech: frame of the singing
    notes = [0] * len(source)
    for n, i in enumerate(vowels):
        start, end = (min(count, round(t * 200)) for t in phones[i][1:])
        following = round(phones[vowels[n + 1]][1] * 200) if n + 1 < len(vowels) else end
        length = max(end - start, round((moments[n + 1] - moments[n]) * 200) - (following - end))
        low = start + round(0.35 * (end - start))
        high = max(low + 2, start + round(0.65 * (end - start)))
        place[start] = len(source)
        source += range(start, low)
        source += _wandering(low, high, length - (low - start) - (end - high), dice)
        source += range(high, end)
        place[end] = len(source)
        source += range(end, following)
        notes += [n] * (len(source) - len(notes))
    place[count] = len(source) + count - source[-1] - 1
    source += range(source[-1] + 1, count)
    notes += [len(vowels) - 1] * (len(source) - len(notes))
    at = np.arange(len(source)) / 200
    tune = np.array([_TUNE[n % len(_TUNE)] for n in notes])
    pitch = hertz * 2 ** (tune / 12) * (1 + _VIBRATO * np.sin(2 * np.pi * _VIBRATO_HZ * at))
    known = sorted(place)

    def moved(t: float) -> float:
        return float(np.interp(t * 200, known, [place[k] for k in known])) / 200

    sung = tuple(
        flite.TrueWord(w.text, moved(w.start), moved(w.end), tuple((p, moved(s), moved(e)) for p, s, e in w.phones))
        for w in words
    )
    return _put_together(cepstra[source], voicing[source], pitch, dice), sung


def _wandering(low: int, high: int, count: int, dice: np.random.Generator) -> list[int]:
    """Return ``count`` frames from ``low`` to ``high`` and back again, about one new frame every 30 ms."""
    found, at, step = [], low, 1
    for _ in range(count):
        found.append(at)
        if dice.random() < 1 / 6:
            step = -step if not low <= at + step < high else step
            at = min(max(at + step, low), high - 1)
    return found


def _taken_apart(samples: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return each frame's smoothed log spectrum (as a cepstrum) and how voiced it is (0 to 1)."""
    padded = np.concatenate([np.zeros(_SIZE // 2), samples, np.zeros(_SIZE)])
    starts = np.arange(len(samples) // _HOP) * _HOP
    window = np.hanning(_SIZE)
    frames = padded[starts[:, None] + np.arange(_SIZE)]
    power = np.abs(np.fft.rfft(frames * window, _FFT)) ** 2 / (window**2).sum()
    cepstra = np.fft.irfft(np.log(power + 1e-3))[:, :_LIFTER]
    alike = np.fft.irfft(np.abs(np.fft.rfft(frames * window, _FFT)) ** 2)
    shape = np.fft.irfft(np.abs(np.fft.rfft(window, _FFT)) ** 2)
    lags = slice(RATE_HZ // 300, RATE_HZ // 75)
    peak = (alike[:, lags] / shape[lags]).max(axis=1) / (alike[:, 0] / shape[0] + 1e-3)
    return cepstra, np.clip((peak - 0.3) / 0.4, 0, 1)


def _put_together(
    cepstra: NDArray[np.float64], voicing: NDArray[np.float64], pitch: NDArray[np.float64], dice: np.random.Generator
) -> NDArray[np.float64]:
    """Return pulses and noise through the minimum-phase filter of each frame."""
    folded = cepstra.copy()
    folded[:, 1:] *= 2
    # Half the log power is the log amplitude.
    filters = np.fft.irfft(np.exp(np.fft.rfft(folded / 2, _FFT)))[:, : _FFT // 2]
    out = np.zeros(len(cepstra) * _HOP + 2 * _FFT)
    at = 0.0
    while int(at / _HOP) < len(cepstra):
        n = int(at / _HOP)
        period = RATE_HZ / pitch[n]
        out[int(at) : int(at) + _FFT // 2] += filters[n] * np.sqrt(period * voicing[n])
        at += period
    for n, response in enumerate(filters):
        loud = np.sqrt(1 - voicing[n] * 0.98)
        noise = np.convolve(dice.normal(0, loud, _HOP), response)
        out[n * _HOP : n * _HOP + len(noise)] += noise
    return out[: len(cepstra) * _HOP]
