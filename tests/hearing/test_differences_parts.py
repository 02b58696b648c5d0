"""The second look at a line, in parts: its grammar, its loops, what counts as speech; worked out by hand."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from timing.hearing.differences import (
    LOOP_ENTER,
    LOOP_STAY,
    SKIP,
    _as_suspected,
    _grammar,
    _Loop,
    _loops,
    _ratio,
    _recovers,
    _sounding,
    lack_of,
)
from timing.hearing.recogniser import ANY, HeardPhone, HeardWord
from timing.hearing.spread import rough_line
from timing.language import read_line


def word(index: int, start: str, end: str, score: float = 0.0, phones: int = 0) -> HeardWord:
    a, b = Fraction(start), Fraction(end)
    return HeardWord(index, a, b, score, tuple(HeardPhone("AH", a, b) for _ in range(phones)))


def test_runs_of_free_phones_lie_between_the_words_beside_them() -> None:
    """Words 10, 11 and 13 of a line that begins with word 10 and has four."""
    path = [
        word(-1, "0", "0.1"), word(-1, "0.1", "0.3"), word(10, "0.3", "0.5"), word(11, "0.5", "0.7"),
        word(-1, "0.7", "1"), word(13, "1", "1.2"), word(-1, "1.2", "1.5"),
    ]  # fmt: skip
    assert _loops(path, 10, 4) == [
        _Loop(Fraction(0), Fraction("0.3"), -1, 0),
        _Loop(Fraction("0.7"), Fraction(1), 1, 3),
        _Loop(Fraction("1.2"), Fraction("1.5"), 3, 4),
    ]
    assert _loops([word(10, "0", "1")], 10, 1) == []


def test_the_grammar_of_a_line_with_one_suspect() -> None:
    """Two words, 7 and 8; the second is suspected and looked beside. States: 0 before the first word, 2 before the
    second, 3 the loop there; the end is the last state, 5, and the loop before it 4."""
    states, arcs = _grammar(7, 2, {1}, {1})
    assert states == 6
    assert set(arcs) == {
        (0, 2, 1.0, 7), (2, 5, 1.0, 8), (2, 5, SKIP, None),
        (2, 3, LOOP_ENTER, ANY), (3, 3, LOOP_STAY, ANY), (3, 2, 1.0, None), (3, 5, 1.0, None),
        (5, 4, LOOP_ENTER, ANY), (4, 4, LOOP_STAY, ANY), (4, 5, 1.0, None),
    }  # fmt: skip
    assert len(arcs) == 10


def test_without_doubts_the_grammar_is_the_line() -> None:
    assert _grammar(3, 2, set(), set()) == (6, [(0, 2, 1.0, 3), (2, 5, 1.0, 4)])


def test_beside_a_doubtful_word_there_is_a_loop_on_each_side_but_no_way_round_it() -> None:
    _, arcs = _grammar(0, 3, {1}, set())
    assert {(a, b) for a, b, _, sign in arcs if sign == ANY} == {(2, 3), (3, 3), (4, 5), (5, 5)}
    assert not [arc for arc in arcs if arc[2] == SKIP and arc[3] is None]


@pytest.mark.parametrize(
    ("parts", "hundredths"),
    [
        (((0.5, 8000),), 50),
        (((0.1, 8000), (0.04, 0), (0.2, 8000)), 20),  # four silent steps part two runs
        (((0.1, 8000), (0.03, 0), (0.2, 8000)), 33),  # three are a stop inside a word
        (((0.1, 8000), (0.5, 200)), 10),  # 22 dB below the mean of what is speech: no word
        (((0.1, 8000), (0.5, 500)), 60),  # 16 dB below it
    ],
)
def test_only_what_is_as_loud_as_speech_sounds(parts: tuple[tuple[float, int], ...], hundredths: int) -> None:
    samples = np.concatenate([np.full(round(s * 16_000), v) for s, v in parts]).astype(np.int16)
    at = Fraction(1, 128)  # where the first analysis step stands
    found = _sounding(samples, at, at + Fraction(len(samples), 16_000))
    assert found == Fraction(hundredths, 100)


def test_silence_does_not_sound() -> None:
    assert _sounding(np.zeros(1600, np.int16), Fraction(0), Fraction(1, 10)) == 0
    assert _sounding(np.zeros(10, np.int16), Fraction(0), Fraction(1, 10)) == 0


def loop(seconds: str) -> _Loop:
    return _Loop(Fraction(0), Fraction(seconds), 0, 1)


def test_a_suspected_word_recovers_beside_a_long_run_where_little_speaks_against_it() -> None:
    three, two = word(0, "0", "1", phones=3), word(0, "0", "1", phones=2)
    assert _recovers(three, -0.4, [])
    assert not _recovers(three, -0.39, [])
    assert _recovers(three, -4.0, [loop("0.2")])
    assert not _recovers(three, -3.9, [loop("0.2")])
    assert not _recovers(three, -4.0, [loop("0.19")])  # the run is a part of it
    assert not _recovers(three, -9.0, [loop("0.2"), loop("0.2")])  # it lies inside something else
    assert not _recovers(two, -9.0, [loop("0.2")])  # two phones fit anywhere


def test_what_lacks_is_the_difference_less_the_allowance() -> None:
    free, path = np.array([-1.0, -2, -3]), np.array([-5.0, -2])
    assert lack_of(free, path).tolist() == [4, 0]
    assert lack_of(free, path, 3).tolist() == [1, -3]


def test_a_ratio_is_for_a_step_of_ten_milliseconds() -> None:
    """From step 2 to step 6: -100 against -10 - 20 - 30 - 40."""
    start = Fraction(1, 128)
    free = np.array([0.0, 0, -10, -20, -30, -40, 0])
    one = HeardWord(0, Fraction(2, 100) + start, Fraction(6, 100) + start, -120.0)
    assert _ratio(one, free) == -5
    assert _ratio(one, None) == -30


def test_suspects_alone_are_said_differently() -> None:
    assert [v.value for v in _as_suspected(3, {1})] == ["said", "said-differently", "said"]


def test_a_line_that_cannot_be_followed_is_spread_over_what_sounds() -> None:
    """ "Stop, water." is STOP (1.3 x 1.4 before its mark) and wa (1.3) ter (1.4): 4.52 shares over 0.452 + 1.13 s of
    sound, 0.35 s a share: STOP takes 0.637 s, of which 0.452 lie in the first stretch and 0.185 in the second."""
    line = rough_line(read_line("Stop, water."), [(Fraction(1), Fraction("1.452")), (Fraction(2), Fraction("3.13"))])
    edges = [float(edge) for w in line.words for s in w.syllables for edge in (s.start, s.end)]
    assert edges == pytest.approx([0, 1.185, 1.185, 1.64, 1.64, 2.13], abs=1e-6)
    assert (line.take_start, line.confidence) == (1, 0)
    assert line.length == pytest.approx(Fraction("2.13"))
