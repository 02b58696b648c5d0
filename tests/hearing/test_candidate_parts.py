"""How candidates of a memo are found, in parts small enough for paper."""

from __future__ import annotations

from fractions import Fraction
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from timing.hearing.line_candidates import (
    _AT_EDGE,
    _BROKEN_PLACES,
    _INSIDE,
    _PLACES,
    _SAME,
    Prepared,
    _ends,
    _levelled,
    _Lows,
    _marks,
    _near,
    _places,
    sounding_steps,
)
from timing.hearing.sound_features import cepstra_of


def test_steps_of_the_stretches_that_sound() -> None:
    found = sounding_steps(10, [(Fraction(1, 100), Fraction(3, 100)), (Fraction(6, 100), Fraction(20, 100))])
    assert np.flatnonzero(found).tolist() == [1, 2, 3, 6, 7, 8, 9]
    assert np.flatnonzero(_marks(10, [Fraction(2, 100), Fraction(1)])).tolist() == [2, 9]
    assert np.flatnonzero(_near(_marks(10, [Fraction(5, 100)]), 2)).tolist() == [3, 4, 5, 6, 7]
    assert np.flatnonzero(_near(_marks(10, [Fraction(0)]), 1)).tolist() == [0, 1]


def test_silence_counts_for_a_quarter_of_the_mean_at_most() -> None:
    """Four loud steps and two silent ones: the silent weigh 1/3 x 4 / 2 = 2/3 each; of 3 loud and 1 silent all weigh 1."""
    energies = np.abs(np.random.default_rng(2).normal(5, 1, (6, 25))).astype(np.float32)
    cepstra = cepstra_of(energies)
    sounding = np.array([True] * 4 + [False] * 2)
    mean = (cepstra[:4].sum(axis=0) + 2 / 3 * cepstra[4:].sum(axis=0)) / (4 + 4 / 3)
    assert _levelled(energies, sounding) == pytest.approx(cepstra - mean, abs=1e-3)
    few = np.array([True] * 5 + [False])
    assert _levelled(energies, few) == pytest.approx(cepstra - cepstra.mean(axis=0), abs=1e-3)


def test_beginnings_of_a_line_that_are_looked_for() -> None:
    assert _ends(2) == [2]
    assert _ends(3) == [2, 3]
    assert _ends(5)[-1] == 5
    assert all(n >= 2 for n in _ends(40))
    assert len(_ends(40)) == len(_ends(12))  # so many at most


def lows(columns: list[list[float]], at_once: int, below: float = 0.0) -> list[list[int]]:
    costs = np.array(columns, np.float32).T
    found = _Lows(np.full(len(columns), below, np.float32))
    for first in range(0, len(costs), at_once):
        part = costs[first : first + at_once]
        found.see(part, np.arange(first, first + len(part))[:, None].repeat(len(columns), 1).astype(np.int32))
    steps, cheapest, begun = found.all()
    for number, (own, cost, begin) in enumerate(zip(steps, cheapest, begun, strict=True)):
        assert cost.tolist() == [columns[number][step] for step in own]
        assert begin.tolist() == own.tolist()
    return [own.tolist() for own in steps]


@pytest.mark.parametrize("at_once", [1, 2, 3, 100])
def test_a_low_is_below_the_step_before_and_not_above_the_one_after(at_once: int) -> None:
    """Level ground counts once, at its beginning; the first and the last step may be lows."""
    assert lows([[-3, -1, -2, -2, -1, -5], [1, 2, 1, 0, 0, 0], [-1, -1, -1, -1, -1, -1]], at_once) == [
        [0, 2, 5],
        [],
        [0],
    ]
    assert lows([[-3, -1, -2, -2, -1, -5]], at_once, below=-2.5) == [[0, 5]]


def sound(begins: list[int], ends: list[int], count: int = 100) -> Any:
    flags = [np.isin(np.arange(count), places) for places in (begins, ends)]
    return SimpleNamespace(begins=flags[0], ends=flags[1])


def places(
    rows: list[tuple[int, int, float]],
    whole: bool = True,
    begins: list[int] | None = None,
    ends: list[int] | None = None,
) -> list[tuple[int, int]]:
    every = list(range(100))
    of = sound(every if begins is None else begins, every if ends is None else ends)
    begun, steps, costs = (np.array(column) for column in zip(*rows, strict=True))
    return [(a, b) for a, b, _ in _places(steps, costs.astype(np.float32), begun, of, whole)]


def test_the_cheapest_ways_that_do_not_lie_on_one_another() -> None:
    assert places([(0, 10, -5), (20, 30, -9), (21, 31, -8)]) == [(20, 30), (0, 10)]
    shared = int(10 * _SAME)
    assert places([(0, 10, -9), (10 - shared, 20 - shared, -5)]) == [(0, 10), (10 - shared, 20 - shared)]
    assert places([(0, 10, -9), (9 - shared, 19 - shared, -5)]) == [(0, 10)]
    many = [(10 * n, 10 * n + 5, float(n)) for n in range(10)]
    assert len(places(many)) == min(10, _PLACES)
    assert len(places(many, whole=False)) == min(10, _BROKEN_PLACES)


def test_an_edge_inside_a_sound_is_dearer() -> None:
    """Of two ways on one another the one between two pauses is taken, unless the other is better by more than that."""
    near = [(0, 10, -5.0), (2, 12, -5.0 - _INSIDE + 1)]
    assert places(near, begins=[0], ends=[10, 12]) == [(0, 10)]
    far = [(0, 10, -5.0), (2, 12, -5.0 - _INSIDE - 1)]
    assert places(far, begins=[0], ends=[10, 12]) == [(2, 12)]
    # where a line is broken off there need be no pause
    ends = [(0, 10, -5.0), (2, 12, -5.5)]
    assert places(ends, whole=False, begins=[0, 2], ends=[10]) == [(2, 12)]
    assert places(ends, whole=True, begins=[0, 2], ends=[10]) == [(0, 10)]


def test_a_stretch_goes_out_to_the_pauses_that_are_near() -> None:
    of = Prepared.__new__(Prepared)
    of._starts, of._ends = [100, 500], [300, 700]
    near, far = 100 + _AT_EDGE, 101 + _AT_EDGE
    assert of.to_the_pauses(near, 300 - _AT_EDGE) == 200
    assert of.to_the_pauses(far, 300 - _AT_EDGE) == 300 - far
    assert of.to_the_pauses(near, 299 - _AT_EDGE) == 299 - _AT_EDGE - 100
    assert of.to_the_pauses(50, 800) == 750  # no pause before the first sound, nor after the last
