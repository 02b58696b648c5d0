"""The likeliest way through a memo: what the order of the script says where the sound alone does not tell."""

from __future__ import annotations

from dataclasses import replace

import pytest

from timing.hearing.line_candidates import Candidate
from timing.hearing.memo_path import _WEIGHT, PACE, likeliest, pace_of


def at(line: int, start_s: float, end_s: float, nats: float = 30.0, words: int = 0, pauses=(True, True)) -> Candidate:
    """A candidate that fits so much better than unscripted speech; ``pauses``: one lies before it, after it."""
    return Candidate(line, words or 5, not words, round(start_s * 100), round(end_s * 100), nats / _WEIGHT, *pauses)


def chosen(found, lines, stretches=()):
    found = sorted(found, key=lambda c: c.end)
    path, _ = likeliest(found, lines, [(round(100 * a), round(100 * b)) for a, b in stretches])
    return [(found[i].line, found[i].start / 100) for i in path]


def test_lines_read_in_order_are_all_on_the_way():
    assert chosen([at(n, 2 * n, 2 * n + 1) for n in range(4)], 4) == [(0, 0), (1, 2), (2, 4), (3, 6)]


def test_two_lines_that_sound_alike_go_where_the_script_has_them():
    # Lines 1 and 3 have the same words: each fits as well in both places.
    same = [at(line, start, start + 0.5, 9) for line in (1, 3) for start in (2, 6)]
    assert chosen([at(0, 0, 1), at(2, 4, 5), at(4, 8, 9), *same], 5) == [(0, 0), (1, 2), (2, 4), (3, 6), (4, 8)]


def test_a_line_that_fits_clearly_better_is_taken_out_of_order():
    assert chosen([at(2, 0, 1), at(0, 2, 3), at(1, 2, 3, 3), at(1, 4, 5)], 3) == [(2, 0), (0, 2), (1, 4)]


def test_little_evidence_is_no_line():
    # Even the next line in turn has to be better than unscripted speech by more than the cost of a reading (2 nats):
    # 1.8 - 2 + log 0.75 is less than nothing.
    assert chosen([at(0, 0, 1), at(1, 2, 3, 1.8)], 2) == [(0, 0)]


def test_a_line_broken_off_is_one_reading_and_the_whole_one_after_it_another():
    assert chosen([at(0, 0, 1), at(1, 2, 2.6, 18, words=3), at(1, 3, 4)], 2) == [(0, 0), (1, 2), (1, 3)]


def test_readings_do_not_lie_on_one_another():
    assert chosen([at(0, 0, 2, 27), at(1, 1, 3, 30)], 2) == [(1, 1)]


def test_what_the_order_cannot_tell_is_as_likely_one_way_as_the_other():
    # Two lines that nothing tells apart, in one place, after neither's neighbour: one chance in two.
    found = [at(4, 0, 1, 30), at(1, 2, 3, 24), at(2, 2, 3, 24)]
    _, chance = likeliest(found, 9)
    assert chance[0] == pytest.approx(1, abs=1e-3)
    assert chance[1] == pytest.approx(chance[2])
    assert chance[1] == pytest.approx(0.5, abs=1e-3)


def test_without_candidates_there_is_no_way():
    path, chance = likeliest([], 3)
    assert path == []
    assert len(chance) == 0


def test_a_word_inside_a_sentence_that_nobody_wrote_is_not_the_line_of_that_word():
    # "Again?" is line 1. Later somebody says "Let us do that again": as good a fit, but no pause before it.
    read = [at(0, 0, 1), at(1, 2, 2.4, 6), at(2, 4, 5), at(3, 9, 10)]
    inside = at(1, 7, 7.4, 6, pauses=(False, True))
    stretches = [(0, 1), (2, 2.4), (4, 5), (6, 7.4), (9, 10)]
    assert chosen([*read, inside], 4, stretches) == [(0, 0), (1, 2), (2, 4), (3, 9)]


def test_lines_read_on_without_a_pause_are_lines_all_the_same():
    run_on = [at(0, 0, 1, 6, pauses=(True, False)), at(1, 1.1, 2, 6, pauses=(False, True))]
    assert chosen(run_on, 2, [(0, 2)]) == [(0, 0), (1, 1.1)]


def test_a_short_line_that_fits_poorly_is_taken_where_there_is_nothing_else_to_take_it_for():
    # Worse than unscripted speech by a nat, but next in turn, alone between pauses, and its neighbours are sure:
    # -1 - 2 + 2 log 0.75 against log 0.03 - 1.5, line 1 left out and the sound between them nobody's.
    found = [at(0, 0, 1), at(1, 2, 2.3, -1), at(2, 4, 5)]
    assert chosen(found, 3, [(0, 1), (2, 2.3), (4, 5)]) == [(0, 0), (1, 2), (2, 4)]
    # Where no sound is left to nobody, leaving line 1 out is the likelier: -3.58 against -3.51.
    assert chosen(found, 3, [(0, 1), (4, 5)]) == [(0, 0), (2, 4)]


def test_a_reading_far_too_short_for_its_words_is_none():
    # Ten sounds and two more at 9 steps each are 1.08 s: 0.8 s is a quick reading, 0.3 s is log(0.28) = -1.28 off, and
    # (1.28 - 0.5) / 0.15 = 5.2 spreads too short cost the 6 nats that are the most: 4 - 6 - 2 + 2 log 0.75 is less than
    # log 0.03, for which line 1 is left out.
    def line_1(seconds):
        return replace(at(1, 2, 2 + seconds, 4), sounds=10)

    for seconds, is_read in ((0.8, True), (0.3, False)):
        found = chosen([at(0, 0, 1), line_1(seconds), at(2, 4, 5)], 3, [(0, 1), (4, 5)])
        assert ((1, 2) in found) is is_read


def test_a_memo_tells_its_own_pace():
    # Lines of ten sounds in 1.2 s: 120 steps over twelve. Of fewer than five nothing is learnt.
    read = [replace(at(n, 2 * n, 2 * n + 1.2), sounds=10) for n in range(5)]
    assert pace_of(read) == 10
    assert pace_of(read[:4]) == PACE
