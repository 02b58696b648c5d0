"""Lines in a mix: the middle is kept, and lines are found in it with and without anchors, with and without beats.

Synthesised speech and singing stand in for a singer, with an accompaniment of tones or a small band: what real
singing does is measured in the benchmark.
"""

from __future__ import annotations

from fractions import Fraction
from types import SimpleNamespace

import numpy as np
import pytest

from tests.recording.material import LINES, pronounce_english, utterance_of
from tests.recording.sounds import write_wav
from timing.episode.sung_lines import _heard
from timing.hearing.song_following import SungScriptedLine, align_song
from timing.sound.centre import centre
from timing.store.store import Store

RATE_HZ = 16_000


def test_the_middle_is_kept_and_the_sides_are_not():
    at = np.arange(2 * 44100) / 44100
    middle, left, right = (np.sin(2 * np.pi * f * at) * 6000 for f in (440, 1000, 1700))
    out = centre(np.stack([middle + left, middle + right], 1).astype(np.int16), 44100)
    level = np.abs(np.fft.rfft(out * np.hanning(len(out))))
    hertz = np.fft.rfftfreq(len(out), 1 / 44100)
    kept = {f: level[np.abs(hertz - f) < 5].max() for f in (440, 1000, 1700)}
    assert kept[1000] < kept[440] / 30
    assert kept[1700] < kept[440] / 30


def test_the_middle_of_two_equal_sides_is_the_same_sound():
    at = np.arange(44100) / 44100
    tone = (np.sin(2 * np.pi * 440 * at) * 8000).astype(np.int16)
    out = centre(np.stack([tone, tone], 1), 44100)
    assert np.abs(out[4096:-4096].astype(int) - tone[4096:-4096]).max() < 40


@pytest.fixture
def mix(say, tmp_path):
    """Four lines in the middle of a wide accompaniment; returns (path, texts, true word starts)."""
    texts, parts, truth, at = LINES[2:5], [], [], 0.0
    for text in texts:
        samples, words = say(text, "rms")
        gap = np.zeros(RATE_HZ)
        parts += [gap, samples]
        truth.append([at + 1 + w.start for w in words])
        at += 1 + len(samples) / RATE_HZ
    voice = np.concatenate([*parts, np.zeros(RATE_HZ)])
    when = np.arange(len(voice)) / RATE_HZ
    chords = [sum(np.sin(2 * np.pi * f * when) for f in notes) * 900 for notes in ((262, 330, 392), (294, 370, 440))]
    stereo = np.stack([voice + chords[0], voice + chords[1]], 1)
    return write_wav(tmp_path / "song.wav", np.clip(stereo, -32768, 32767), RATE_HZ), texts, truth


@pytest.mark.parametrize("anchored", [True, False])
def test_lines_are_found_in_the_songs_own_clock(mix, anchored):
    path, texts, truth = mix
    spans = [(t[0] + 0.8, t[-1] + 1.2) if anchored else (None, None) for t in truth]
    lines = [SungScriptedLine(str(n), utterance_of(t), *s) for n, (t, s) in enumerate(zip(texts, spans, strict=True))]
    found = align_song(path, lines, pronounce_english)
    errors = [
        float(word.start) - start
        for n, starts in enumerate(truth)
        for word, start in zip(found[str(n)].words, starts, strict=True)
    ]
    assert np.mean(np.abs(errors) <= 2 / 24) >= 0.9


def test_a_changed_pronunciation_is_listened_for_again(tmp_path, monkeypatch):
    (tmp_path / "song.wav").write_bytes(b"any sound")
    calls = []
    monkeypatch.setattr("timing.hearing.song_following.align_song", lambda *given: calls.append(given) or {})
    line = SimpleNamespace(utterance=utterance_of("sleepy waves"))
    song = SimpleNamespace(beats=(Fraction(1), Fraction(2)), file="song.wav")
    fitted = SimpleNamespace(song=song, lines=(SimpleNamespace(start=Fraction(1), end=Fraction(3)),))

    def hear(pronounce):
        _heard(fitted, "song.wav", [line], tmp_path, pronounce, Store(tmp_path / "out"))
        return len(calls)

    assert hear(pronounce_english) == 1
    assert hear(pronounce_english) == 1
    assert hear(lambda _: [("M", "OW")]) == 2
