"""Where else a doubtful reading may begin or end: with the sound beside it that nobody else has."""

from __future__ import annotations

from fractions import Fraction as F

from timing.hearing.line_places import Place
from timing.hearing.wider_room import wider


def place(start, end, line=0):
    return Place(line, ((0, F(start), F(end)),), True)


def test_a_first_word_left_outside_is_looked_for_before():
    assert wider([place(2, 3)], 0, [(F(1), F("1.5")), (F(2), F(3))]) == ((F(1), F(3)),)


def test_a_last_word_left_outside_is_looked_for_behind_in_its_own_stretch_too():
    assert wider([place(2, 3)], 0, [(F(2), F("3.7"))]) == ((F(2), F("3.7")),)
    assert wider([place(2, 3)], 0, [(F(2), F(3)), (F("3.4"), F(4))]) == ((F(2), F(4)),)


def test_what_another_reading_has_is_not_looked_at():
    stretches = [(F(1), F("1.5")), (F(2), F(3)), (F("3.4"), F(4))]
    assert wider([place(1, "1.5", 1), place(2, 3), place("3.4", 4, 2)], 1, stretches) == ()


def test_a_pause_of_more_than_eight_tenths_parts_two_things():
    assert wider([place(2, 3)], 0, [(F(1), F("1.2")), (F(2), F(3))]) == ((F(1), F(3)),)
    assert wider([place(2, 3)], 0, [(F(1), F("1.19")), (F(2), F(3))]) == ()


def test_two_seconds_are_as_far_as_it_goes():
    assert wider([place(2, 3)], 0, [(F(2), F(5))]) == ((F(2), F(5)),)
    assert wider([place(2, 3)], 0, [(F(2), F("5.01"))]) == ()
    assert wider([place(3, 4)], 0, [(F("0.99"), F(4))]) == ()


def test_a_tenth_of_a_second_is_no_word():
    assert wider([place(2, 3)], 0, [(F("1.9"), F("3.1"))]) == ()
