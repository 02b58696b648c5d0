"""Timers from a recording: heard times on the script as it is now; an estimate stretched into the sound."""

from __future__ import annotations

from fractions import Fraction

import pytest

from timing.model import Origin, Syllable, TimedLine, TimedSyllable, TimedWord, Utterance, Word
from timing.timers.measured import MeasuredTimer


def utterance(text: str) -> Utterance:
    words, at = [], 0
    for part in text.split():
        words.append(Word(part, part.strip(",.!").lower(), (Syllable(part),), at, at + len(part)))
        at += len(part) + 1
    return Utterance(text, tuple(words))


def line(text: str, step: Fraction = Fraction(1, 2), **options) -> TimedLine:
    words = tuple(
        TimedWord.of(w, (TimedSyllable(w.text, i * step, (i + 1) * step, Origin.MEASURED),), 0.9)
        for i, w in enumerate(utterance(text).words)
    )
    length = words[-1].end
    return TimedLine(words, Origin.MEASURED, length, length, 0.9, **options)


HEARD = line("the tide goes out", take="recordings/a.wav", take_start=Fraction(3))


def test_the_same_words_keep_their_times():
    assert MeasuredTimer(HEARD).time(utterance("the tide goes out")) == HEARD


def test_commas_and_capitals_do_not_matter():
    timed = MeasuredTimer(HEARD).time(utterance("The tide, goes out!"))
    assert [w.start for w in timed.words] == [w.start for w in HEARD.words]
    assert [w.text for w in timed.words] == ["The", "tide,", "goes", "out!"]


@pytest.mark.parametrize("text", ["the grey tide goes out", "well the tide goes out", "the tide goes out today"])
def test_a_new_word_is_estimated_beside_measured_ones(text):
    timed = MeasuredTimer(HEARD).time(utterance(text))
    new = [w for w in timed.words if w.text in ("grey", "well", "today")]
    assert [s.origin for w in new for s in w.syllables] == [Origin.ESTIMATED]
    assert timed.start == 0
    assert timed.low == timed.high == timed.length


def test_a_line_that_shares_no_word_is_refused():
    with pytest.raises(ValueError, match="no word"):
        MeasuredTimer(HEARD).time(utterance("seven shells"))
