"""One word told by a person: what lies around it stays, unless the person's word takes most of it.

Moments by hand: three words of one syllable, half a second each, from 0 to 1.5 s.
"""

from fractions import Fraction as F

import pytest

from timing.model import Origin, TimedLine, TimedSyllable, TimedWord
from timing.model.labels import Label, with_pins


def word(text, start, end):
    return TimedWord(text, text, (TimedSyllable(text, F(start), F(end), Origin.MEASURED),))


LINE = TimedLine(
    (word("the", 0, F(1, 2)), word("sea", F(1, 2), 1), word("goes", 1, F(3, 2))), Origin.MEASURED, F(3, 2), F(3, 2)
)


def spans(line):
    return [(w.start, w.end) for w in line.words]


def nobody(*_asked):
    pytest.fail("nothing is to be measured anew")


def test_a_word_moved_a_little_leaves_the_others_where_they_were():
    # 80 ms later: "the" keeps its half second (a rest of 80 ms opens), "goes" loses its first 80 ms.
    told = with_pins(LINE, None, {1: Label(F(58, 100), F(108, 100), "sea")}, nobody)
    assert spans(told) == [(0, F(1, 2)), (F(58, 100), F(108, 100)), (F(108, 100), F(3, 2))]
    assert [w.syllables[0].origin for w in told.words] == [Origin.MEASURED, Origin.PINNED, Origin.MEASURED]


def test_a_word_that_takes_most_of_its_neighbour_has_it_measured_anew():
    asked = []

    def again(first, last, low, high):
        asked.append((first, last, low, high))
        return [word("goes", F(7, 5), F(3, 2))] if first == 2 else [word("the", F(1, 10), F(6, 10))]

    # "sea" from 0.9 to 1.4 s leaves "goes" a tenth of a second of its half.
    told = with_pins(LINE, None, {1: Label(F(9, 10), F(14, 10), "sea")}, again)
    assert asked == [(2, 3, F(14, 10), F(3, 2))]
    assert spans(told) == [(0, F(1, 2)), (F(9, 10), F(14, 10)), (F(14, 10), F(3, 2))]


def test_a_last_words_own_end_counts_more_than_the_end_of_its_lines_row():
    # The line's row ends at 1.6 s, the row of its last word at 1.45 s.
    row = Label(F(0), F(16, 10), "8")
    told = with_pins(LINE, row, {2: Label(F(11, 10), F(145, 100), "goes")}, nobody)
    assert spans(told)[-1] == (F(11, 10), F(145, 100))
    # Where the word's row gives only its beginning, it lasts to the end of the line's.
    told = with_pins(LINE, row, {2: Label(F(11, 10), F(11, 10), "goes")}, nobody)
    assert spans(told)[-1] == (F(11, 10), F(16, 10))
