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


def at(timed: TimedLine) -> list[tuple[str, Fraction, Fraction]]:
    return [(w.text, w.start, w.end) for w in timed.words]


F = Fraction
GAP = TimedLine(
    tuple(
        TimedWord.of(w, (TimedSyllable(w.text, F(start), F(start) + F(1, 2), Origin.MEASURED),), 0.9)
        for w, start in zip(utterance("the tide goes").words, (0, 1, F(3, 2)), strict=True)
    ),
    Origin.MEASURED, F(2), F(2), 0.9, "recordings/a.wav", F(3),
)  # fmt: skip


@pytest.mark.parametrize(
    ("text", "times", "take_start"),
    [
        # half a second of room between the two
        ("the grey tide goes", [("the", 0, ".5"), ("grey", ".5", 1), ("tide", 1, "1.5"), ("goes", "1.5", 2)], 3),
        ("the big grey tide goes", [("the", 0, ".5"), ("big", ".5", ".75"), ("grey", ".75", 1), ("tide", 1, "1.5"), ("goes", "1.5", 2)], 3),
        # none: half of the word before gives way
        ("the tide now goes", [("the", 0, ".5"), ("tide", 1, "1.25"), ("now", "1.25", "1.5"), ("goes", "1.5", 2)], 3),
        # before the first and behind the last: as fast as the others, 2 s for three syllables
        ("well the tide goes", [("well", 0, "2/3"), ("the", "2/3", "7/6"), ("tide", "5/3", "13/6"), ("goes", "13/6", "8/3")], F(7, 3)),
        ("the tide goes out", [("the", 0, ".5"), ("tide", 1, "1.5"), ("goes", "1.5", 2), ("out", 2, "8/3")], 3),
        ("tide goes", [("tide", 0, ".5"), ("goes", ".5", 1)], 4),  # the first word went: it begins a second later
    ],
)  # fmt: skip
def test_words_that_were_not_heard_lie_where_there_is_room(text, times, take_start):
    timed = MeasuredTimer(GAP).time(utterance(text))
    assert at(timed) == [(word, F(a), F(b)) for word, a, b in times]
    assert (timed.take_start, timed.low, timed.high) == (take_start, timed.length, timed.length)
    new = {"grey", "big", "now", "well", "out"}
    assert [w.confidence for w in timed.words] == [0.0 if w.text in new else 0.9 for w in timed.words]
    assert all((s.origin is Origin.ESTIMATED) == (w.text in new) for w in timed.words for s in w.syllables)


def test_a_word_in_other_syllables_shares_its_time_among_them():
    word = Word("water", "water", (Syllable("wa"), Syllable("ter")), 0, 5)
    heard = TimedLine(
        (TimedWord.of(utterance("water").words[0], (TimedSyllable("water", F(1), F(2), Origin.MEASURED),), 0.9),),
        Origin.MEASURED,
        F(1),
        F(1),
    )
    timed = MeasuredTimer(heard).time(Utterance("water", (word,)))
    assert [(s.text, s.start, s.end, s.origin) for s in timed.syllables] == [
        ("wa", 0, F(1, 2), Origin.MEASURED), ("ter", F(1, 2), 1, Origin.MEASURED),
    ]  # fmt: skip


def test_sounds_that_were_measured_stay_those_of_the_measurement():
    def word(*phones):
        return Word("sea", "sea", (Syllable("sea", phones=phones),), 0, 3)

    def heard(*starts):
        syllable = TimedSyllable("sea", F(0), F(1), Origin.MEASURED, phones=("S", "IY"), phone_starts=starts)
        return TimedLine((TimedWord.of(word("S", "IY"), (syllable,)),), Origin.MEASURED, F(1), F(1))

    def phones(line):
        return MeasuredTimer(line).time(Utterance("sea", (word("Z", "IY"),))).syllables[0].phones

    assert phones(heard(F(0), F(1, 4))) == ("S", "IY")  # where each of them lies is known
    assert phones(heard()) == ("Z", "IY")
