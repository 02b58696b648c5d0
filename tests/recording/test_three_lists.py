"""What is not sure is asked about, with what it may be instead."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from timing.language import read_line
from timing.model import Origin
from timing.recording.results import Heard, Instead, Take
from timing.recording.three_lists import three_lists
from timing.timers.pace import PaceTimer

LINES = [("1", "look the sea"), ("2", "again")]
TAKE = Take("1", "recordings/memo.wav", Fraction(3), Fraction(4), True, 0.4, is_chosen=True)


def lists(take, origin=Origin.MEASURED, wished=()):
    line = PaceTimer("en_US").time(read_line("Look, the sea!", "en_US"))
    line = replace(line, origin=origin, confidence=1.0, take=take.file, take_start=take.start)
    return three_lists(Heard({"1": line}, (take,), wished=frozenset(wished)), LINES)


def test_a_sure_reading_is_placed():
    found = lists(replace(TAKE, confidence=0.9))
    assert (found.placed, found.unsure) == (("1",), ())


@pytest.mark.parametrize(
    ("rivals", "why", "or_line", "that"),
    [
        ((), "it may be something that nobody wrote", None, None),
        ((Instead("2", Fraction(3), Fraction(4), 0.55),), "it may be line 2", "2", None),
        ((Instead("1", Fraction(7), Fraction(8), 0.5),), "it may be elsewhere in the recording", None, 7),
        ((Instead("2", Fraction(3), Fraction(4), 0.05),), "it may be something that nobody wrote", None, None),
    ],
)
def test_one_that_is_not_sure_is_asked_about_with_what_it_may_be(rivals, why, or_line, that):
    found = lists(replace(TAKE, rivals=rivals))
    assert found.placed == ()
    (one,) = found.unsure
    assert (one.line_id, one.why, one.or_line) == ("1", why, or_line)
    assert (one.that and one.that.start) == that


def test_what_a_person_chose_is_not_asked_again():
    assert lists(TAKE, wished=["1"]).placed == ("1",)
    assert lists(TAKE, origin=Origin.PINNED).unsure == ()
