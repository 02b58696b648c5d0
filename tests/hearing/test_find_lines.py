"""A whole script read in one memo: every line where it was read, in noise and beside lines that sound alike."""

from __future__ import annotations

import numpy as np
import pytest

from tests.recording.material import LINES, pronounce_english, utterance_of
from timing.hearing.aligner import MARGIN
from timing.hearing.followed_words import tokens_of
from timing.hearing.line_places import find_lines
from timing.sound.clean import for_following
from timing.sound.decode import Sound
from timing.sound.levels import measure, sound_regions

SCRIPT = [LINES[0], "Again?", LINES[2], "Wait for me!", LINES[5], LINES[16], "Again?", LINES[27]]
WORDS = [
    (n, [token.pronunciations for token in tokens_of(utterance_of(text), pronounce_english)])
    for n, text in enumerate(SCRIPT)
]


def pink(count: int) -> np.ndarray:
    spectrum = np.fft.rfft(np.random.default_rng(5).standard_normal(count))
    spectrum[1:] /= np.sqrt(np.arange(1, len(spectrum)))
    noise = np.fft.irfft(spectrum, count)
    return noise / noise.std()


def read(say, order, noise_db=None):
    """Return (sound, where each line of ``order`` is said)."""
    dice = np.random.default_rng(2)
    parts, truth, at = [np.zeros(8000)], [], 0.5
    for n in order:
        samples, words = say(SCRIPT[n], "slt")
        truth.append((n, at + words[0].start, at + words[-1].end))
        parts += [samples.astype(float), np.zeros(int(dice.uniform(0.3, 1.5) * 16000))]
        at += (len(parts[-1]) + len(parts[-2])) / 16000
    samples = np.concatenate(parts)
    loud = np.sqrt(np.mean(samples[np.abs(samples) > 200] ** 2))
    samples += dice.standard_normal(len(samples)) * loud / 250
    if noise_db is not None:
        samples += pink(len(samples)) * loud / 10 ** (noise_db / 20)
    return Sound(np.clip(np.round(samples), -32768, 32767).astype(np.int16)), truth


def places(sound):
    levels = measure(sound)
    found = find_lines(for_following(sound, levels), WORDS, sound_regions(sound, levels))
    return [(p.line, float(p.start), float(p.end)) for p in found if p.is_complete], found


# Three frames at 24 a second; in noise, what is cut around a reading before it is followed closely.
@pytest.mark.parametrize(("noise_db", "within_s"), [(None, 0.125), (15, float(MARGIN))])
def test_lines_in_order_lie_where_they_were_read(say, noise_db, within_s):
    sound, truth = read(say, range(len(SCRIPT)), noise_db)
    found, _ = places(sound)
    assert [line for line, _, _ in found] == list(range(len(SCRIPT)))
    for (_, start, end), (_, true_start, true_end) in zip(found, truth, strict=True):
        assert start == pytest.approx(true_start, abs=within_s)
        assert end == pytest.approx(true_end, abs=within_s)


def test_lines_left_out_are_not_found_and_those_said_out_of_turn_are(say):
    sound, truth = read(say, [0, 4, 2, 5])
    found, _ = places(sound)
    assert [line for line, _, _ in found] == [line for line, _, _ in truth]


def test_a_line_that_comes_twice_is_sure_only_where_its_neighbours_are_heard(say):
    sound, _ = read(say, [0, 1, 2, 3])
    _, found = places(sound)
    (own,) = [p for p in found if p.line == 1]
    assert own.confidence > 0.9
    sound, _ = read(say, [4, 1, 3])  # said after neither line that it follows in the script
    _, found = places(sound)
    (again,) = [p for p in found if p.line in (1, 6)]
    assert again.confidence < 0.9
    assert again.rivals[0].line in (1, 6)
    assert again.rivals[0].line != again.line


def test_silence_holds_no_lines():
    assert find_lines(Sound(np.zeros(16000, np.int16)), WORDS, ()) == ()


@pytest.mark.parametrize("length", [480, 1600, 4800, 8000])
def test_a_sound_that_is_shorter_than_a_pause_holds_no_line(length):
    """A thirtieth to half a second: shorter than what is kept of the silence beside a sound."""
    samples = (3000 * np.sin(np.arange(length) * 0.2)).astype(np.int16)
    found, _ = places(Sound(samples))
    assert found == []
