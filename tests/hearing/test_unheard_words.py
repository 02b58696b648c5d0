"""Words that were not heard get a place: moments worked out by hand, a syllable has 0.15 s where there is room."""

from __future__ import annotations

from fractions import Fraction as F

from timing.hearing.unheard_words import fill, spread, with_replaced
from timing.language import read_line

LINE = read_line("The water runs away now.")  # 1, 2, 1, 2 and 1 syllables


def heard(*spans: tuple[float, float] | None):
    """Each word from its hundredths of a second, None where it was not heard."""
    return [
        None if span is None else spread(word, F(round(100 * span[0]), 100), F(round(100 * span[1]), 100))
        for word, span in zip(LINE.words, spans, strict=True)
    ]


def spans(words):
    return [(float(w.start), float(w.end)) for w in words]


def test_a_word_left_out_takes_a_little_of_the_pause_there():
    # Between "the" (to 0.5) and "runs" (from 2) there is room for "water": two syllables of 0.15 s.
    found = fill(LINE, heard((0.2, 0.5), None, (2, 2.4), (2.4, 3), (3, 3.3)))
    assert spans(found)[1] == (0.5, 0.8)
    assert [(float(s.start), float(s.end)) for s in found[1].syllables] == [(0.5, 0.65), (0.65, 0.8)]
    assert found[1].confidence == 0


def test_two_words_left_out_share_a_pause_by_their_syllables():
    # "water runs": three syllables of 0.15 s from 0.5: "water" to 0.8, "runs" to 0.95.
    found = fill(LINE, heard((0.2, 0.5), None, None, (2, 3), (3, 3.3)))
    assert spans(found)[1:3] == [(0.5, 0.8), (0.8, 0.95)]


def test_a_short_pause_is_filled_and_no_more():
    # 0.2 s for two syllables, which would take 0.3 s.
    assert spans(fill(LINE, heard((0.2, 0.5), None, (0.7, 1), (1, 2), (2, 2.3))))[1] == (0.5, 0.7)


def test_without_a_pause_it_takes_the_end_of_the_word_before():
    # 0.01 s is no room for two syllables (0.08 s at least): of "the" (0.2 to 0.5) it takes the last 0.08 s, which is
    # less than half of it.
    found = fill(LINE, heard((0.2, 0.5), None, (0.51, 1), (1, 2), (2, 2.3)))
    assert spans(found)[:2] == [(0.2, 0.42), (0.42, 0.5)]


def test_of_a_very_short_word_before_it_takes_half():
    # "the" lasts 0.1 s: half of it, 0.05 s, is less than the 0.08 s wished.
    found = fill(LINE, heard((0.4, 0.5), None, (0.5, 1), (1, 2), (2, 2.3)))
    assert spans(found)[:2] == [(0.4, 0.45), (0.45, 0.5)]


def test_a_first_word_left_out_takes_the_beginning_of_the_next():
    # "the", one syllable: 0.04 s from the first syllable of "water" (1 to 1.3).
    found = fill(LINE, heard(None, (1, 1.6), (1.6, 2), (2, 3), (3, 3.3)))
    assert spans(found)[:2] == [(1, 1.04), (1.04, 1.6)]
    assert float(found[1].syllables[0].end) == 1.3


def test_of_a_very_short_next_word_it_takes_half_a_syllable():
    # "water" lasts 0.1 s, its first syllable 0.05 s: half of that is 0.025 s.
    found = fill(LINE, heard(None, (1, 1.1), (1.6, 2), (2, 3), (3, 3.3)))
    assert spans(found)[:2] == [(1, 1.025), (1.025, 1.1)]


def test_a_replaced_word_lies_where_the_other_was_said_as_far_as_there_is_room():
    words = heard((0.2, 0.5), None, (1, 1.4), (1.4, 2), (2, 2.3))
    # Said from 0.4 to 1.1 in its place: "the" ends at 0.5 and "runs" begins at 1.
    assert spans([with_replaced(LINE, words, {1: (F(4, 10), F(11, 10))})[1]]) == [(0.5, 1)]
    # Two syllables want 0.08 s: 0.08 s will do, 0.07 s will not.
    assert with_replaced(LINE, words, {1: (F(60, 100), F(68, 100))})[1] is not None
    assert with_replaced(LINE, words, {1: (F(60, 100), F(67, 100))})[1] is None
