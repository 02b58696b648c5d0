"""Boundaries between words of other languages. A closure belongs to its stop, and lasts 50 to 130 ms: textbooks of
phonetics (from memory)."""

from __future__ import annotations

from fractions import Fraction

import pytest

from timing.hearing import word_edges as joints
from timing.hearing.recogniser import HeardPhone, HeardWord
from timing.language.heard_as import Hearing


def spoken(index: int, *phones: tuple[str, int, int]) -> HeardWord:
    """One word; times in hundredths of a second."""
    sounds = tuple(HeardPhone(name, Fraction(a, 100), Fraction(b, 100)) for name, a, b in phones)
    return HeardWord(index, sounds[0].start, sounds[-1].end, 0.0, sounds)


def joined(words: list[HeardWord], pauses: tuple[int, ...] = ()) -> list[HeardWord]:
    found = [word for word in joints.joined(words, pauses, Hearing()) if word is not None]
    assert len(found) == len(words)
    return found


UNA = spoken(0, ("UW", 0, 10), ("N", 10, 18), ("AA", 18, 30))


@pytest.mark.parametrize(
    ("first", "gap", "start"),
    [
        ("K", 8, 30),  # its closure
        ("L", 9, 30),  # a clear l, taken for silence
        ("S", 4, 32),  # no pause is so short
        ("S", 9, 39),
        ("K", 20, 50),  # a pause, though none is written
    ],
)
def test_a_short_silence_goes_to_the_word_it_is_part_of(first: str, gap: int, start: int) -> None:
    after = spoken(1, (first, 30 + gap, 33 + gap), ("OW", 33 + gap, 50 + gap))
    left, right = joined([UNA, after])
    assert (right.start, right.phones[0].start) == (Fraction(start, 100),) * 2
    assert left.end <= right.start
    assert right.phones[1] == after.phones[1]


def test_silence_where_a_pause_is_written_is_one() -> None:
    after = spoken(1, ("K", 38, 41), ("OW", 41, 60))
    assert joined([UNA, after], (0,)) == [UNA, after]


def test_a_final_l_taken_for_silence_is_not_given_to_the_next_word() -> None:
    after = spoken(1, ("M", 20, 30), ("AA", 30, 40))
    left, right = joined([spoken(0, ("EH", 0, 10), ("L", 10, 13)), after])
    assert (left.end, right.start) == (Fraction(20, 100),) * 2


def test_like_vowels_that_meet_share_their_time_and_unlike_ones_keep_theirs() -> None:
    left, right = joined([UNA, spoken(1, ("AH", 30, 33), ("G", 33, 40))])
    assert left.end == right.start == Fraction(18 + 33, 200)
    unlike = spoken(1, ("IY", 30, 33), ("G", 33, 40))
    assert joined([UNA, unlike]) == [UNA, unlike]


def test_three_like_vowels_in_a_row_stay_in_order() -> None:
    a, b, c = joined([UNA, spoken(1, ("AA", 30, 33)), spoken(2, ("AE", 33, 36), ("G", 36, 40))])
    assert a.start < a.end == b.start < b.end == c.start < c.end


def test_a_word_that_was_not_said_parts_its_neighbours() -> None:
    after = spoken(2, ("K", 38, 41), ("OW", 41, 60))
    assert joints.joined([UNA, None, after], (), Hearing()) == [UNA, None, after]
