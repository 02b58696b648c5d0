"""Word starts in other languages, on speech whose times the synthesiser itself gives (Debian's libespeak-ng1)."""

from __future__ import annotations

from ctypes.util import find_library

import numpy as np
import pytest

from tests.bench import espeak
from tests.bench.foreign_lines import CONFIRM
from timing.hearing.aligner import align_line
from timing.language import phones_for, read_line
from timing.sound.decode import Sound

FRAME = 1 / 24
pytestmark = pytest.mark.skipif(find_library("espeak-ng") is None, reason="needs Debian's libespeak-ng1")


def test_words_of_other_languages_lie_within_two_frames_of_the_synthesisers_own() -> None:
    errors: list[float] = []
    doubted: list[bool] = []
    for language, (voice, texts) in CONFIRM.items():
        for text in texts.splitlines()[::8]:
            samples, truth = espeak.say(text, voice)
            line = align_line(Sound(samples), read_line(text, language), lambda w, c=language: phones_for(w, c))
            doubted.append(bool(line.findings))
            errors += [float(w.start) - start for w, (_, start) in zip(line.words, truth, strict=True)]
    assert len(errors) > 100
    assert sum(doubted) <= len(doubted) // 10  # all are read as written
    # The aims for each language are 85 and 97 %, on the 200 words of the benchmark; here a few lines of each.
    assert np.mean(np.abs(errors) <= FRAME) >= 0.85
    assert np.mean(np.abs(errors) <= 2 * FRAME) >= 0.97


def test_most_long_words_left_out_are_told() -> None:
    told = []
    for language, (voice, texts) in CONFIRM.items():
        for text in texts.splitlines()[2::12]:
            written = read_line(text, language)
            k = max(range(1, len(written.words) - 1), key=lambda i, w=written.words: len(w[i].syllables))
            reading = " ".join(w.text for i, w in enumerate(written.words) if i != k)
            samples, _ = espeak.say(reading, voice)
            line = align_line(Sound(samples), written, lambda w, c=language: phones_for(w, c))
            told.append(any(k in f.facts.get("words", ()) for f in line.findings))
    assert len(told) == 10
    assert sum(told) >= 6  # four in five of those in the benchmark
