"""Of several readings of a line in one memo the last that is as sure as the others counts."""

from __future__ import annotations

from fractions import Fraction

import pytest

from timing.recording.listen import _choose
from timing.recording.listener import Candidate
from timing.recording.results import Take


def reading(start: int, confidence: float, *, is_named: bool = False) -> Candidate:
    class Line:
        findings = ()

    take = Take("1", "recordings/memo.wav", Fraction(start), Fraction(start + 1), True, confidence)
    return Candidate(take, Line(), is_named)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("confidences", "second"),
    [((1.0, 1.0), 10), ((1.0, 0.95), 10), ((1.0, 0.78), 0), ((0.6, 0.9), 10)],
)  # fmt: skip
def test_a_later_reading_counts_unless_it_is_much_less_sure(confidences, second):
    chosen = _choose([reading(0, confidences[0]), reading(10, confidences[1])], None)
    assert chosen is not None
    assert chosen.take.start == second


def test_a_reading_in_a_file_named_after_the_line_counts_however_sure_others_are():
    chosen = _choose([reading(0, 0.5, is_named=True), reading(10, 1.0)], None)
    assert chosen is not None
    assert chosen.is_named
