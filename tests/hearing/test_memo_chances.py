"""What each rule of the memo's way is worth, as one chance against one, worked out on paper.

A sure first reading (line 4 of 20) is followed by one whose evidence is n nats better than unscripted speech: taken it
is worth P x exp(n - 2), left out 1 (2 nats is what any reading must be better). P is what the order of the script says.
"""

from __future__ import annotations

import math

import pytest

from tests.hearing.test_memo_path import at
from timing.hearing.line_candidates import Candidate
from timing.hearing.memo_path import likeliest, pace_of

LINES = 20
YES = (True, True)


def chance(second: Candidate, first: Candidate | None = None, stretches: tuple[tuple[int, int], ...] = ()) -> float:
    found = [first or at(4, 0, 1, 90), second]
    return float(likeliest(found, LINES, stretches)[1][1])


def of(worth: float) -> float:
    return worth / (1 + worth)


@pytest.mark.parametrize(
    ("line", "order"),
    [(5, 0.75), (4, 0.08), (6, 0.03), (7, 0.015), (8, 0.0075), (9, 0.06 / 20), (3, 0.06 / 20), (0, 0.06 / 20)],
)
def test_what_follows_a_line(line: int, order: float) -> None:
    assert chance(at(line, 2, 3, 5)) == pytest.approx(of(order * math.exp(3)), rel=1e-3)


def test_a_broken_reading_must_be_better_by_six_and_is_mostly_begun_again() -> None:
    """Broken off: P is 0.75 for the next line, exp(n - 6); after it the same line has 0.9, any other 0.05 of 20."""
    assert chance(at(5, 2, 3, 8, words=3)) == pytest.approx(of(0.75 * math.exp(2)), rel=1e-3)
    broken = at(4, 0, 1, 90, words=3)
    assert chance(at(4, 2, 3, 5), broken) == pytest.approx(of(0.9 * math.exp(3)), rel=1e-3)
    assert chance(at(5, 2, 3, 8), broken) == pytest.approx(of(0.05 / 20 * math.exp(6)), rel=1e-3)


def test_the_first_line_comes_first() -> None:
    """Alone: 0.7 for the script's first line, 0.3 / 20 for another; against nothing at all, which is 1."""
    assert likeliest([at(0, 0, 1, 4)], LINES)[1][0] == pytest.approx(of(0.7 * math.exp(2)), rel=1e-6)
    assert likeliest([at(3, 0, 1, 4)], LINES)[1][0] == pytest.approx(of(0.3 / 20 * math.exp(2)), rel=1e-6)


@pytest.mark.parametrize(
    ("after_pause", "before_pause", "nats"), [(False, True, 3), (True, False, 3), (False, False, 6)]
)
def test_an_edge_inside_a_sound_costs_three_nats(after_pause: bool, before_pause: bool, nats: int) -> None:
    second = at(5, 2, 3, 9, pauses=(after_pause, before_pause))
    assert chance(second) == pytest.approx(of(0.75 * math.exp(7 - nats)), rel=1e-3)


@pytest.mark.parametrize(("start", "cost"), [(1.35, 0), (1.36, 6)])
def test_two_readings_side_by_side_need_no_pause_between_them(start: float, cost: int) -> None:
    """Up to 0.35 s apart they lie beside one another; farther, both edges are inside something else.

    Left out, the first one's edge lies inside a sound too, for 3 nats.
    """
    first = at(4, 0, 1, 90, pauses=(True, False))
    second = at(5, start, start + 1, 6, pauses=(False, True))
    assert chance(second, first) == pytest.approx(of(0.75 * math.exp(4 - cost + 3)), rel=1e-3)


@pytest.mark.parametrize(("start", "fits"), [(0.96, True), (0.95, False)])
def test_readings_may_share_four_hundredths(start: float, fits: bool) -> None:
    found = chance(at(5, start, 2, 5))
    assert found == (pytest.approx(of(0.75 * math.exp(3)), rel=1e-3) if fits else pytest.approx(0, abs=1e-9))


@pytest.mark.parametrize(("between", "cost"), [(0, 0), (1, 1.5), (2, 3), (3, 4.5), (4, 4.5)])
def test_each_stretch_that_is_no_line_costs_a_nat_and_a_half_three_at_most(between: int, cost: float) -> None:
    """The second reading's own stretch is no line either where it is left out: behind the first lie one more."""
    stretches = ((0, 100), *((150 + 10 * n, 155 + 10 * n) for n in range(between)), (200, 300))
    left_out = 1.5 * min(3, between + 1)
    assert chance(at(5, 2, 3, 5), None, stretches) == pytest.approx(of(0.75 * math.exp(3 - cost + left_out)), rel=1e-3)


@pytest.mark.parametrize(
    ("steps", "against"),
    [(108, 0.0), (178, 0.0), (66, 0.0), (200, (math.log(200 / 108) - 0.5) ** 2 / 0.045), (12, 6.0), (900, 6.0)],
)
def test_a_length_far_from_the_usual_speaks_against_a_reading(steps: int, against: float) -> None:
    """Ten sounds and two at 9 steps are 108; up to exp(0.5) times as much or little (65.5 to 178.06) is usual; beyond,
    the square of the logarithm in spreads of 0.15, halved; six nats at most."""
    second = Candidate(5, 5, True, 200, 200 + steps, 900.0, *YES, sounds=10)
    assert chance(second) == pytest.approx(of(0.75 * math.exp(7 - against)), rel=1e-3)


def test_what_a_reading_lasts_counts_with_the_sound_beside_it() -> None:
    short = Candidate(5, 5, True, 200, 212, 900.0, *YES, sounds=10, lasts=108)
    assert chance(short) == pytest.approx(of(0.75 * math.exp(7)), rel=1e-3)


def test_a_memos_pace_is_the_middle_of_five_readings_or_more() -> None:
    """Steps by sounds and two: 120 / 12 = 10 and so on; readings of fewer than ten sounds tell nothing."""

    def reading(steps: int, sounds: int = 10) -> Candidate:
        return Candidate(0, 5, True, 0, steps, 0.0, *YES, sounds=sounds)

    assert pace_of([reading(120), reading(144), reading(96), reading(132), reading(84)]) == 10
    assert pace_of([reading(120), reading(144), reading(96), reading(132), reading(84, 9)]) == 9  # four: the usual
    assert pace_of([reading(12 * n) for n in (6, 7, 8, 11, 12, 13)]) == 11
