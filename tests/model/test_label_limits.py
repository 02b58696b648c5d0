"""Rows of a label file at their limits: half a millisecond, a hundredth of a second a syllable, two rows of one word.

All moments by hand. The line has three words of one syllable, half a second each, from 0 to 1.5 s. What the limits are
is our own: half a millisecond is what three decimals leave, a hundredth of a second is less than any spoken sound.
"""

from dataclasses import replace
from fractions import Fraction as F

import pytest

from timing.model import Origin, TimedLine, TimedSyllable, TimedWord, Where
from timing.model.findings import FindingCode
from timing.model.labels import (
    Label,
    bars_meant,
    chosen_reading,
    sorted_out,
    syllables_meant,
    unused_label,
    with_pins,
    with_syllables,
    words_meant,
)
from timing.plain.errors import InputError


def word(text, start, end):
    return TimedWord(text, text, (TimedSyllable(text, F(start), F(end), Origin.MEASURED),), confidence=0.9)


THREE = (word("the", 0, F(1, 2)), word("sea", F(1, 2), 1), word("goes", 1, F(3, 2)))
LINE = TimedLine(THREE, Origin.MEASURED, F(3, 2), F(3, 2))


def row(start, end, text):
    return Label(F(start), F(end), text)


def spans(line):
    return [(w.start, w.end) for w in line.words]


def nobody(*_asked):
    pytest.fail("nothing is to be measured anew")


def nowhere(*_asked):
    return None


STAYED = spans(LINE)


@pytest.mark.parametrize(
    ("edges", "told"),
    [
        (row("0.0005", "1.4995", "8"), STAYED),  # half a millisecond is a rounding
        (row("0.0006", "1.5", "8"), [(F("0.0006"), F(1, 2)), *STAYED[1:]]),
        (row("0", "1.5006", "8"), [*STAYED[:2], (F(1), F("1.5006"))]),
    ],
)
def test_a_lines_row_counts_from_half_a_millisecond_on(edges, told):
    assert spans(with_pins(LINE, edges, {}, nobody)) == told


@pytest.mark.parametrize(
    ("pin", "told"),
    [
        (row("0.5005", "0.9995", "sea"), (F(1, 2), F(1))),
        (row("0.5006", "1", "sea"), (F("0.5006"), F(1))),
        (row("0.5", "0.9994", "sea"), (F(1, 2), F("0.9994"))),
        (row("0.5005", "0.5005", "sea"), (F(1, 2), F(1))),  # a beginning that says the same
        (row("0.6", "0.9995", "sea"), (F("0.6"), F(1))),  # one edge moved, the other rounded
        (row("0.5005", "0.8", "sea"), (F(1, 2), F("0.8"))),
    ],
)
def test_a_words_row_counts_from_half_a_millisecond_on(pin, told):
    found = with_pins(LINE, None, {1: pin}, nobody)
    assert spans(found) == [STAYED[0], told, STAYED[2]]
    assert [w.syllables[0].origin for w in found.words] == [Origin.MEASURED, Origin.PINNED, Origin.MEASURED]
    assert (found.origin, found.low, found.high) == (Origin.PINNED, F(3, 2), F(3, 2))


def test_a_words_row_may_reach_half_a_millisecond_out_of_its_lines():
    edges = row("0", "1.2", "8")
    assert spans(with_pins(LINE, edges, {2: row("1", "1.2005", "goes")}, nobody))[-1] == (F(1), F("1.2005"))
    with pytest.raises(InputError, match=r"“goes” \(1.000 to 1.201 s\) lies partly outside its line's row"):
        with_pins(LINE, edges, {2: row("1", "1.2006", "goes")}, nobody)
    assert spans(with_pins(LINE, row("0.1", "1.5", "8"), {0: row("0.0995", "0.4", "the")}, nobody))[0] == (
        F("0.0995"),
        F("0.4"),
    )
    with pytest.raises(InputError, match="outside its line's row"):
        with_pins(LINE, row("0.1", "1.5", "8"), {0: row("0.0994", "0.4", "the")}, nobody)


def test_a_syllable_is_left_a_hundredth_of_a_second_and_no_less():
    told = {0: row("0", "0.5", "the"), 2: row("0.51", "1.5", "goes")}
    found = with_pins(LINE, None, told, nowhere)
    assert spans(found) == [STAYED[0], (F(1, 2), F("0.51")), (F("0.51"), F(3, 2))]
    assert (found.words[1].syllables[0].origin, found.words[1].confidence) == (Origin.ESTIMATED, 0)
    told[2] = row("0.509", "1.5", "goes")
    with pytest.raises(InputError) as error:
        with_pins(LINE, None, told, nowhere)
    assert str(error.value) == "labels: there is no room left for “sea” (0.500 to 0.509 s); move a label"


def test_a_row_that_ends_behind_what_comes_after_it_is_said_so():
    # "the" is told to last until 1.7 s, and the line ends at 1.5 s.
    with pytest.raises(InputError) as error:
        with_pins(LINE, None, {0: row("0", "1.7", "the")}, nowhere)
    assert "“sea goes”: what stands before it lasts until 1.700 s, and it has to end at 1.500 s, earlier" in str(
        error.value
    )


def test_words_measured_anew_may_lie_half_a_millisecond_out_of_their_room_and_are_cut_to_it():
    # "sea" is told from 0.1 on and takes all of "the" but 0.1 s: that one is measured anew, between 0 and 0.1 s.
    told = {1: row("0.1", "1", "sea")}

    def again(start, end):
        return lambda *asked: [word("the", start, end)]

    assert spans(with_pins(LINE, row("0", "1.5", "8"), told, again("-0.0005", "0.08")))[0] == (0, F("0.08"))
    assert spans(with_pins(LINE, None, told, again("0.02", "0.1005")))[0] == (0, F("0.1"))
    # out of it, or with nothing in it: the room is shared evenly
    for start, end in (("-0.0006", "0.08"), ("0.02", "0.1006"), ("-0.0005", "0"), ("0.1", "0.1005")):
        found = with_pins(LINE, None, told, again(start, end))
        assert spans(found)[0] == (0, F("0.1"))
        assert found.words[0].syllables[0].origin is Origin.ESTIMATED


def test_a_row_without_length_is_a_beginning():
    # "sea" begins at 0.6 s and ends where it ended.
    assert spans(with_pins(LINE, None, {1: row("0.6", "0.6", "sea")}, nobody)) == [
        STAYED[0], (F("0.6"), F(1)), STAYED[2],
    ]  # fmt: skip
    # A hundredth of a second is left of it: still so. Less: where it ends is measured together with what follows.
    assert spans(with_pins(LINE, None, {1: row("0.99", "0.99", "sea")}, nobody))[1] == (F("0.99"), F(1))
    asked = []

    def again(*ask):
        asked.append(ask)
        return [word("sea", "0.995", "1.2"), word("goes", "1.2", "1.5")]

    found = with_pins(LINE, None, {1: row("0.995", "0.995", "sea")}, again)
    assert asked == [(1, 3, F("0.995"), F(3, 2))]
    assert spans(found) == [STAYED[0], (F("0.995"), F("1.2")), (F("1.2"), F(3, 2))]
    assert [w.syllables[0].origin for w in found.words] == [Origin.MEASURED, Origin.PINNED, Origin.MEASURED]


def test_a_last_word_that_begins_where_its_lines_row_ends_has_a_hundredth_of_a_second():
    found = with_pins(LINE, row("0", "1.2", "8"), {2: row("1.2", "1.2", "goes")}, nobody)
    assert spans(found)[-1] == (F("1.2"), F("1.21"))


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        # the end of "the" is moved, the beginning of "sea" is as measured: it gives way
        ((row("0", "0.6", "the"), row("0.5", "0.9", "sea")), [(F(0), F("0.6")), (F("0.6"), F("0.9"))]),
        # ... but not where nothing would be left of it
        ((row("0", "0.9", "the"), row("0.5", "0.9", "sea")), [(F(0), F(1, 2)), (F(1, 2), F("0.9"))]),
        # both moved: the later word's beginning counts
        ((row("0", "0.6", "the"), row("0.4", "0.9", "sea")), [(F(0), F("0.4")), (F("0.4"), F("0.9"))]),
        # one ends where the next begins: nothing to settle
        ((row("0", "0.6", "the"), row("0.6", "0.9", "sea")), [(F(0), F("0.6")), (F("0.6"), F("0.9"))]),
    ],
)
def test_of_two_rows_that_overlap_the_moved_edge_counts(rows, told):
    assert spans(with_pins(LINE, None, dict(enumerate(rows)), nobody))[:2] == told


def test_two_words_cannot_begin_together():
    with pytest.raises(InputError, match="“sea” begins where “the” does; correct the seconds"):
        with_pins(LINE, None, {0: row("0", "0.6", "the"), 1: row("0", "0.4", "sea")}, nobody)
    with pytest.raises(InputError, match="“sea” begins before “the” does, which is said first"):
        with_pins(LINE, None, {0: row("0.1", "0.2", "the"), 1: row("0.0994", "0.4", "sea")}, nobody)
    with pytest.raises(InputError, match="“sea” begins where “the” does"):  # half a millisecond is a rounding
        with_pins(LINE, None, {0: row("0.1", "0.2", "the"), 1: row("0.0995", "0.4", "sea")}, nobody)
    # of "the" only the beginning is told, and "sea" moved into it: it ends there
    found = with_pins(LINE, None, {0: row("0", "0", "the"), 1: row("0.3", "1", "sea")}, nobody)
    assert spans(found)[:2] == [(F(0), F("0.3")), (F("0.3"), F(1))]
    found = with_pins(LINE, None, {0: row("0.1", "0.1", "the"), 1: row("0.5", "0.9", "sea")}, nobody)
    assert spans(found)[:2] == [(F("0.1"), F(1, 2)), (F(1, 2), F("0.9"))]


def test_the_row_that_leaves_no_room_is_named_and_a_line_may_begin_anywhere():
    later = TimedLine(tuple(word(w.text, w.start + 10, w.end + 10) for w in THREE), Origin.MEASURED, F(3, 2), F(3, 2))
    edges = row("10.0005", "11.5", "8")
    assert spans(with_pins(later, edges, {}, nobody)) == [(a + 10, b + 10) for a, b in STAYED]
    at = {n: Where("a.txt", n + 1) for n in range(3)}
    rows = {n: Label(F(start), F(end), text, at[n]) for n, (start, end, text) in enumerate(
        (("10", "10.5", "the"), ("10.5", "11", "sea"), ("10.509", "11.5", "goes")))}  # fmt: skip
    for pins, named, text in (
        ({0: rows[0], 2: rows[2]}, 3, "sea"),  # before the row of "goes"
        ({0: replace(rows[0], end=F("11.485"))}, 1, "sea goes"),  # behind the row of "the"
    ):
        with pytest.raises(InputError, match=f"a.txt:{named}: there is no room left for “{text}”"):
            with_pins(later, None, pins, nowhere)


@pytest.mark.parametrize(("end", "is_measured_anew"), [("0.75", False), ("0.751", True)])
def test_half_of_a_word_is_the_most_that_a_neighbour_takes(end, is_measured_anew):
    # "the" is told to last longer, "sea" (half a second) loses 0.25 s, or a little more.
    asked = []

    def again(*ask):
        asked.append(ask)
        return [word("sea", end, 1), THREE[2]]

    found = with_pins(LINE, None, {0: row("0", end, "the")}, again)
    assert spans(found) == [(F(0), F(end)), (F(end), F(1)), STAYED[2]]
    assert bool(asked) is is_measured_anew


# --- sung lines ------------------------------------------------------------------------------------------------


def sung(*words):
    at, found = F(0), []
    for text in words:
        pieces = text.split("-")
        made = tuple(
            TimedSyllable(piece, at + F(n, 2), at + F(n + 1, 2), Origin.MEASURED) for n, piece in enumerate(pieces)
        )
        found.append(TimedWord(text.replace("-", ""), text.replace("-", ""), made))
        at += F(len(pieces), 2)
    return TimedLine(tuple(found), Origin.MEASURED, at, at)


@pytest.mark.parametrize(
    ("label", "told"),
    [
        # "sings" begins 0.3 s early: "wa" stays, "ter" keeps the 0.2 s between them
        (row("1.2", "2", "sings"), [("0", "0.5"), ("0.5", "1"), ("1", "1.2"), ("1.2", "2")]),
        # "the" lasts to 0.8 s: "wa" keeps the 0.2 s before "ter"
        (row("0", "0.8", "the"), [("0", "0.8"), ("0.8", "1"), ("1", "1.5"), ("1.5", "2")]),
        # ... to 0.99 s: a hundredth of a second is left of "wa", and is enough
        (row("0", "0.99", "the"), [("0", "0.99"), ("0.99", "1"), ("1", "1.5"), ("1.5", "2")]),
        # ... to 0.995 s: it shares what lies before "sings" with "ter": 0.505 s
        (row("0", "0.995", "the"), [("0", "0.995"), ("0.995", "1.2475"), ("1.2475", "1.5"), ("1.5", "2")]),
        # "sings" begins at 1.01 s: a hundredth for "ter"; at 1.005 s it shares the room from 0.5 s on with "wa"
        (row("1.01", "2", "sings"), [("0", "0.5"), ("0.5", "1"), ("1", "1.01"), ("1.01", "2")]),
        (row("1.005", "2", "sings"), [("0", "0.5"), ("0.5", "0.7525"), ("0.7525", "1.005"), ("1.005", "2")]),
    ],
)
def test_syllables_pushed_out_of_their_place_share_what_is_left(label, told):
    line = sung("the", "wa-ter", "sings", "a-gain")
    meant, strange = syllables_meant(line, [label])
    found = with_syllables(line, None, meant)
    assert not strange
    made = [(s.start, s.end) for w in found.words for s in w.syllables]
    assert made == [*((F(a), F(b)) for a, b in told), (F(2), F("2.5")), (F("2.5"), F(3))]


def test_a_sung_words_row_without_length_is_the_beginning_of_its_first_syllable():
    line = sung("the", "wa-ter", "sings")
    found = with_syllables(line, None, syllables_meant(line, [row("0.6", "0.6", "water")])[0])
    assert [(s.start, s.end) for w in found.words for s in w.syllables][1:3] == [(F("0.6"), F(1)), (F(1), F(3, 2))]


def test_a_row_of_one_syllable_is_told_from_a_row_of_a_word():
    """In "again", "a" is its first syllable and not the word "a", which the line has not; "gain" its second."""
    line = sung("sings", "a-gain")
    meant, strange = syllables_meant(line, [row("0.6", "1", "a"), row("1.1", "1.5", "gain")])
    found = with_syllables(line, None, meant)
    assert not strange
    assert [(s.start, s.end) for s in found.words[1].syllables] == [(F("0.6"), F(1)), (F("1.1"), F(3, 2))]


# --- which row is about what ------------------------------------------------------------------------------------


def test_rows_of_one_word_go_to_its_places_in_order_and_the_rest_is_given_back():
    words = [word("row", 0, 1), word("the", 1, 2), word("row", 2, 3)]
    rows = [row(0, 1, "row"), row("2.5", 3, "Row!"), row("2.8", 3, "row")]
    found, strange = words_meant(rows, words)
    assert (found, strange) == ({0: rows[0], 2: rows[1]}, [rows[2]])
    # One row for two places: the nearer one, 1.1 s from the first and 0.9 s from the second.
    assert words_meant([row("1.1", 2, "row")], words)[0].keys() == {2}
    assert words_meant([row("0.9", 2, "row")], words)[0].keys() == {0}
    assert words_meant([row(1, 2, "row")], words)[0].keys() == {0}  # as near: the earlier one


def test_a_number_within_a_line_that_says_it_is_its_word_and_not_another_line():
    words = {"5": ["12", "shells"], "12": ["the", "sea"]}
    rows = [row(0, 1, "12"), row(0, 4, "5"), row(6, 8, "12"), row(9, 10, "sea")]
    lines, loose = sorted_out(rows, words)
    assert [(one.id, one.line, one.parts) for one in lines] == [("5", rows[1], (rows[0],)), ("12", rows[2], ())]
    assert loose == [rows[3]]


@pytest.mark.parametrize(
    ("start", "end", "of"), [("2", "4", "5"), ("-1", "1", "5"), ("3.6", "4", "6"), ("4", "5", "6"), ("4.1", "5", None)]
)
def test_a_row_belongs_to_the_shortest_line_that_its_middle_lies_in(start, end, of):
    lines, loose = sorted_out([row(0, 4, "5"), row("3.5", "4.5", "6"), row(start, end, "sea")], {"5": [], "6": []})
    assert [one.id for one in lines if one.parts] == ([of] if of else [])
    assert len(loose) == (of is None)


def test_rows_that_cannot_be_are_refused():
    with pytest.raises(InputError, match="line 5 has a row already"):
        sorted_out([row(0, 1, "5"), row(2, 3, "5: again")], {"5": []})
    with pytest.raises(InputError, match="the row of line 5 has no length"):
        sorted_out([row(1, 1, "5")], {"5": []})
    with pytest.raises(InputError, match="bar 5 has a row already"):
        bars_meant([row(1, 1, "bar 5"), row(2, 2, "BAR 05")])
    bars, rest = bars_meant([row(1, 1, "bar 5"), row(2, 2, "bar 6"), row(3, 4, "bar")])
    assert ({n: r.start for n, r in bars.items()}, [r.text for r in rest]) == ({5: 1, 6: 2}, ["bar"])


def test_a_row_that_fits_nothing_is_told_with_its_second():
    found = unused_label(row(F(1, 3), 1, "moon"), "is no word of line 5")
    assert found.code is FindingCode.LABEL_UNUSED
    assert found.message == "the label “moon” at 0.33 s is no word of line 5"
    assert found.facts == {"text": "moon", "start_s": 0.333333}


@pytest.mark.parametrize(
    ("text", "file", "at", "until"),
    [
        ("memo.m4a@31.27-36,56", "memo.m4a", F("31.27"), F("36.56")), ("memo.m4a@5", "memo.m4a", F(5), None),
        ("memo.m4a @ 5 – 5.1 ", "memo.m4a ", F(5), F("5.1")), ("memo.m4a", "memo.m4a", None, None),
        ("@5", "@5", None, None),
    ],
)  # fmt: skip
def test_a_chosen_reading_is_a_file_a_second_or_a_stretch(text, file, at, until):
    found = chosen_reading(text)
    assert (found.file, found.at, found.until) == (file, at, until)


@pytest.mark.parametrize(
    ("text", "said"), [("a.wav@5-5", "ends before it begins"), ("a.wav@x", "is no second and no stretch")]
)
def test_a_slip_in_a_chosen_reading_is_a_sentence(text, said):
    with pytest.raises(ValueError, match=said):
        chosen_reading(text)
