"""One word told by a person: what lies around it stays, unless the person's word takes most of it.

Moments by hand: three words of one syllable, half a second each, from 0 to 1.5 s.
"""

import random
from fractions import Fraction as F

import pytest

from timing.model import Origin, TimedLine, TimedSyllable, TimedWord
from timing.model.labels import Label, is_moved, syllables_meant, with_pins, with_syllables
from timing.plain.errors import InputError


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


# --- sung lines: words and syllables -------------------------------------------------------------------------------


def sung(*words):
    """Words of syllables, half a second each, one after another from 0."""
    at, found = F(0), []
    for text in words:
        syllables = []
        for piece in text.split("-"):
            syllables.append(TimedSyllable(piece, at, at + F(1, 2), Origin.MEASURED))
            at += F(1, 2)
        found.append(TimedWord(text.replace("-", ""), text.replace("-", ""), tuple(syllables)))
    return TimedLine(tuple(found), Origin.MEASURED, at, at)


def pieces(line):
    return [(s.start, s.end) for w in line.words for s in w.syllables]


def told_of(line, edges, rows):
    meant, strange = syllables_meant(line, rows)
    return with_syllables(line, edges, meant), strange


HALVES = [(F(n, 2), F(n + 1, 2)) for n in range(6)]


def test_a_sung_lines_row_moves_its_first_and_last_edge_alone():
    # Six half seconds; the row begins 0.1 s later and ends 0.4 s later.
    found, strange = told_of(sung("the", "wa-ter", "sings", "a-gain"), Label(F(1, 10), F(34, 10), "7"), [])
    assert strange == []
    assert pieces(found) == [(F(1, 10), F(1, 2)), *HALVES[1:5], (F(5, 2), F(34, 10))]


def test_a_sung_words_row_is_shared_by_its_syllables_as_they_were():
    # "water" lies from 0.5 to 1.5; told 0.6 to 1.4, four fifths as long: each syllable 0.4 s. The others stay.
    line = sung("the", "wa-ter", "sings", "a-gain")
    found, strange = told_of(line, None, [Label(F(6, 10), F(14, 10), "water")])
    assert strange == []
    assert pieces(found) == [HALVES[0], (F(6, 10), F(1)), (F(1), F(14, 10)), *HALVES[3:]]
    assert [s.origin for w in found.words for s in w.syllables][:4] == [
        Origin.MEASURED, Origin.PINNED, Origin.PINNED, Origin.MEASURED,
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("edges", "rows", "expected"),
    [
        (None, [Label(F(5005, 10000), F(15005, 10000), "water")], False),  # half a millisecond late: as it was
        (None, [Label(F(5006, 10000), F(3, 2), "water")], True),
        (None, [Label(F(1, 2), F(15006, 10000), "water")], True),
        (None, [Label(F(1, 2), F(1, 2), "water")], False),  # nothing is said about where it ends
        (None, [Label(F(9994, 10000), F(9994, 10000), "ter")], True),
        (Label(F(0), F(2), "7"), [], False),
        (Label(F(0), F(20006, 10000), "7"), [], True),
    ],
)
def test_a_row_moves_something_where_it_says_otherwise_by_more_than_half_a_millisecond(edges, rows, expected):
    # "the" from 0, "water" from 0.5 to 1.5 with "ter" from 1, "sings" to 2.
    line = sung("the", "wa-ter", "sings")
    assert is_moved(line, edges, syllables_meant(line, rows)[0]) is expected


def test_a_syllables_own_row_counts_before_its_words():
    rows = [Label(F(6, 10), F(14, 10), "water"), Label(F(11, 10), F(14, 10), "ter")]
    found, _ = told_of(sung("the", "wa-ter", "sings", "a-gain"), None, rows)
    assert pieces(found)[1:3] == [(F(6, 10), F(1)), (F(11, 10), F(14, 10))]


def test_rows_of_a_word_sung_three_times_go_to_the_nearest_two():
    # "row" begins at 0, 0.5 and 1; rows at 0.55 and 1.1 are the second and third (0.05 + 0.1 away, least of all).
    found, strange = told_of(
        sung("row", "row", "row", "home"),
        None,
        [Label(F(55, 100), F(55, 100), "row"), Label(F(11, 10), F(11, 10), "row")],
    )
    assert strange == []
    assert [start for start, _ in pieces(found)] == [0, F(55, 100), F(11, 10), F(3, 2)]


def test_of_two_rows_for_one_word_the_nearest_counts():
    # "sings" begins at 1.5: the row at 1.6 is a tenth away, the one at 1.2 three tenths.
    rows = [Label(F(12, 10), F(12, 10), "sings"), Label(F(16, 10), F(16, 10), "sings")]
    found, strange = told_of(sung("the", "wa-ter", "sings", "a-gain"), None, rows)
    assert strange == rows[:1]
    assert pieces(found)[3][0] == F(16, 10)


def test_a_syllable_pushed_out_of_its_place_shares_what_is_left():
    # "sings" is told to begin at 0.8: "wa" (0.5 to 1) keeps 0.3 s of its half, "ter" (1 to 1.5) has nothing left, so
    # the two share what lies between "the" and "sings": 0.3 s, a half each.
    found, _ = told_of(sung("the", "wa-ter", "sings", "a-gain"), None, [Label(F(8, 10), F(2), "sings")])
    assert pieces(found) == [
        HALVES[0], (F(1, 2), F(65, 100)), (F(65, 100), F(8, 10)), (F(8, 10), F(2)), *HALVES[4:],
    ]  # fmt: skip


def test_a_row_of_a_word_that_the_line_has_not_is_given_back():
    found, strange = told_of(sung("the", "sea"), None, [Label(F(1, 10), F(1, 2), "moon")])
    assert [row.text for row in strange] == ["moon"]
    assert pieces(found) == HALVES[:2]


@pytest.mark.parametrize(
    ("edges", "rows", "said"),
    [
        (Label(F(0), F(1), "7"), [Label(F(8, 10), F(12, 10), "sea")],
         "“sea” (0.800 to 1.200 s) lies partly outside its line's row (0.000 to 1.000 s)"),
        (None, [Label(F(7, 10), F(9, 10), "the"), Label(F(3, 10), F(6, 10), "sea")],
         "“sea” begins before “the” does, which is said first"),
    ],
)  # fmt: skip
def test_rows_that_contradict_each_other_are_named(edges, rows, said):
    with pytest.raises(InputError) as error:
        told_of(sung("the", "sea"), edges, rows)
    assert said in str(error.value)


def test_one_edge_of_a_written_file_is_moved_and_its_neighbours_rounded_rows_do_not_clash():
    # Words of thirds of a second, written to the microsecond: 0.333333, 0.666667. "sea" is moved to begin at 0.4 s.
    line = TimedLine(
        (word("the", 0, F(1, 3)), word("sea", F(1, 3), F(2, 3)), word("goes", F(2, 3), 1)), Origin.MEASURED, F(1), F(1)
    )
    row = Label(F(0), F(1), "8")
    pins = {
        0: Label(F(0), F("0.333333"), "the"),
        1: Label(F("0.4"), F("0.666667"), "sea"),
        2: Label(F("0.666667"), F(1), "goes"),
    }
    assert spans(with_pins(line, row, pins, nobody)) == [(0, F(1, 3)), (F("0.4"), F(2, 3)), (F(2, 3), 1)]
    # An end left alone where the next beginning was moved forward: the beginning counts.
    pins[1] = Label(F(1, 3), F("0.666667"), "sea")
    pins[2] = Label(F("0.6"), F(1), "goes")
    assert spans(with_pins(line, row, pins, nobody)) == [(0, F(1, 3)), (F(1, 3), F("0.6")), (F("0.6"), 1)]


def test_whatever_rows_say_is_obeyed_or_refused_in_a_sentence():
    draw = random.Random(5)

    def again(first, last, low, high):
        return None

    for _ in range(400):
        at, words = F(0), []
        for text in ("the", "sea", "goes", "out"):
            long = F(draw.randint(1, 900_000), 1_500_007)
            words.append(word(text, at, at + long))
            at += long + F(draw.choice((0, 0, 1, 200_000)), 3_000_000)
        line = TimedLine(tuple(words), Origin.MEASURED, at, at)
        pins = {}
        for n in draw.sample(range(4), draw.randint(1, 4)):
            a, b = (F(round(m * 1_000_000), 1_000_000) for m in (words[n].start, words[n].end))
            a, b = a + F(draw.choice((0, 0, -60, 1, 90)), 1000), b + F(draw.choice((0, 0, -50, 1, 120)), 1000)
            pins[n] = Label(max(F(0), a), max(F(0), a, b), words[n].text)
        row = draw.choice((None, Label(F(0), at + 1, "8")))
        try:
            told = with_pins(line, row, pins, again)
        except InputError:
            continue
        for n, pin in pins.items():
            others = (abs(other.start - pin.start) for m, other in pins.items() if m != n)
            was_moved = abs(pin.start - words[n].start) > F(1, 500)
            if was_moved and pin.end > pin.start and min(others, default=1) > F(1, 5):
                assert abs(told.words[n].start - pin.start) <= F(1, 1000)
