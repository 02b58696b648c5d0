"""A song's own clock: bars and beats worked out by hand, within what was measured and beyond it."""

from __future__ import annotations

from fractions import Fraction

import pytest

from timing.model.labels import Label
from timing.model.metre import Metre
from timing.plain.errors import InputError
from timing.song.clock import SongClock, exact

STEADY = SongClock.steady(Fraction(120), Metre(3, 4), 4, pick_up=True)  # a beat lasts half a second
# Bar 1 begins on the second beat, bar 2 a beat late: the bars have 3, 4 and 3 beats.
MEASURED = SongClock(
    Fraction(120), Metre(3, 4), tuple(map(Fraction, "0 .5 1 1.5 2 2.5 3 3.5 5 5.5 6".split())), (1, 4, 8)
)


def test_a_steady_song_has_a_bar_more_for_its_pick_up() -> None:
    assert STEADY.starts == (3, 6, 9, 12)
    assert len(STEADY.beats) == 15
    assert STEADY.downbeats == tuple(map(Fraction, ("1.5", "3", "4.5", "6")))
    assert STEADY.end == Fraction("7.5")
    without = SongClock.steady(Fraction(120), Metre(3, 4), 4, pick_up=False)
    assert (without.starts, without.end) == ((0, 3, 6, 9), 6)


@pytest.mark.parametrize(
    ("index", "moment"),
    [("0", "0"), ("0.5", "0.25"), ("7.5", "4.25"), ("8", "5"), ("10", "6"), ("11", "6.5"), ("12.5", "7.25"),
     ("-1", "-0.5"), ("-0.5", "-0.25"), ("9.5", "5.75"), ("10.5", "6.25")],
)  # fmt: skip
def test_beats_between_and_beyond_the_measured_ones(index: str, moment: str) -> None:
    assert MEASURED.beat_moment(Fraction(index)) == Fraction(moment)


@pytest.mark.parametrize(("bar", "index"), [(1, 1), (2, 4), (3, 8), (4, 11), (5, 14), (0, -2), (-1, -5)])
def test_bars_beyond_the_measured_ones_are_counted_on(bar: int, index: int) -> None:
    assert MEASURED.index_of_bar(bar) == index


@pytest.mark.parametrize(
    ("bar", "position", "moment"),
    [(1, "0", "0.5"), (1, "2", "1.5"), (1, "3", "2"), (2, "3", "5"), (2, "2.5", "3.25"), (3, "4", "7"), (2, "-1", "1.5"),
     (1, "-1", "0")],
)  # fmt: skip
def test_positions_are_read_bar_by_bar(bar: int, position: str, moment: str) -> None:
    """Bar 2 is measured with four beats: its third beat and a half is 3.25, three beats on is bar 3, which begins at 5;
    a beat before bar 2 is the third beat of bar 1."""
    assert MEASURED.moment(bar, Fraction(position)) == Fraction(moment)


def told(**bars: str) -> dict[int, Label]:
    return {int(name[1:]): Label(Fraction(at), Fraction(at), name) for name, at in bars.items()}


def test_what_lies_between_two_labelled_bars_moves_in_proportion() -> None:
    """Bars of STEADY begin at 1.5, 3, 4.5, 6. Bar 1 moves to 2, bar 3 to 6: three seconds become four."""
    moved = STEADY.with_bars(told(b1="2", b3="6"))
    assert moved.downbeats == tuple(map(Fraction, ("2", "4", "6", "7.5")))
    assert moved.beats[0] == Fraction("0.5")  # before the first label the distances stay
    assert moved.beats[4] - moved.beats[3] == Fraction(2, 3)
    assert moved.beats[14] - moved.beats[13] == Fraction(1, 2)


def test_labels_where_the_bars_are_change_nothing_and_one_moves_all_alike() -> None:
    assert STEADY.with_bars(told(b1="1.5", b2="3")).beats == STEADY.beats
    assert STEADY.with_bars({}) is STEADY
    assert STEADY.with_bars(told(b2="3.25")).downbeats == tuple(map(Fraction, ("1.75", "3.25", "4.75", "6.25")))
    assert STEADY.with_bars(told(b9="3")) is STEADY  # no such bar


def test_labels_out_of_order_are_an_error() -> None:
    with pytest.raises(InputError, match="begins before the bar that comes first"):
        STEADY.with_bars(told(b1="2", b2="2"))


def test_measured_times_are_whole_microseconds() -> None:
    assert exact(0.0000005) == 0  # halves to even
    assert exact(0.0000015) == Fraction(2, 1_000_000)
    assert exact(1 / 3) == Fraction(333_333, 1_000_000)
