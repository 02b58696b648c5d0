"""Verdicts at their limits, syllables and losses: every expected value worked out by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction

import pytest

from timing.dub.verdicts import closures, losses, risk, syllables_to_change, verdict
from timing.language import read_line
from timing.model import Break, Origin, TimedSyllable, TimedWord
from timing.model.dub import Verdict, Window

TWO = Window(Fraction(0), Fraction(2), free=Fraction(1))
UNSEEN = Window(Fraction(0), Fraction(2), free=Fraction(1), is_seen=False)


@pytest.mark.parametrize(
    ("low", "likely", "high", "window", "expected"),
    [
        # Two seconds and a tenth are 2.2 s, four fifths of them 1.6 s.
        ("2.21", "2.6", "3.1", TWO, Verdict.TOO_LONG),
        ("2.20", "2.6", "3.1", TWO, Verdict.RECORD),
        ("1.1", "1.3", "1.59", TWO, Verdict.SHORT),
        ("1.1", "1.3", "1.60", TWO, Verdict.RECORD),
        # One in twenty lies over likely x (high / likely) ** (1.645 / 1.2816): 1.65 x (2.0645 / 1.65) ** 1.2836 = 2.2.
        ("1.32", "1.65", "2.06", TWO, Verdict.FITS),
        ("1.32", "1.65", "2.07", TWO, Verdict.RECORD),
        ("1.3", "1.60", "2.0", TWO, Verdict.FITS),
        ("1.3", "1.59", "2.0", TWO, Verdict.RECORD),
        # Unseen there are 3 s and a tenth, 3.3 s, and nothing is short.
        ("2.3", "2.6", "3.0", UNSEEN, Verdict.FITS),
        ("3.31", "3.8", "4.5", UNSEEN, Verdict.TOO_LONG),
        ("0.5", "0.6", "0.7", UNSEEN, Verdict.FITS),
        # A measured length has no range and is always decided.
        ("2.2", "2.2", "2.2", TWO, Verdict.FITS),
        ("2.201", "2.201", "2.201", TWO, Verdict.TOO_LONG),
        ("1.6", "1.6", "1.6", TWO, Verdict.FITS),
        ("1.599", "1.599", "1.599", TWO, Verdict.SHORT),
    ],
)
def test_the_limits_are_a_tenth_over_and_four_fifths(
    low: str, likely: str, high: str, window: Window, expected: Verdict
) -> None:
    assert verdict(Fraction(low), Fraction(likely), Fraction(high), window) is expected


def test_risk_is_one_in_ten_where_the_high_end_of_the_range_meets_the_limit() -> None:
    """80 % lie within the range, so 10 % lie over its high end; the low limit is too far away to matter (under 1 %)."""
    high = Fraction("2.2")
    low = high / Fraction(math.exp(2 * 1.2816 * 0.05)).limit_denominator(10**6)
    assert risk(low, Fraction(2), high, TWO) == pytest.approx(0.10, abs=0.001)


def test_risk_of_a_measured_length_is_none_or_all() -> None:
    assert risk(Fraction(2), Fraction(2), Fraction(2), TWO) == 0
    assert risk(Fraction(3), Fraction(3), Fraction(3), TWO) == 1


def test_syllables_to_lose_are_counted_at_the_lines_own_rate() -> None:
    """2.5 s with 10 syllables are 0.25 s each; 0.5 s over two seconds are 2 syllables, 0.51 s are 3."""
    assert syllables_to_change(Fraction("2.5"), 10, TWO) == (2, 0)
    assert syllables_to_change(Fraction("2.55"), 10, TWO) == (3, 0)
    assert syllables_to_change(Fraction("1.5"), 6, TWO) == (0, 2)
    assert syllables_to_change(Fraction("2.5"), 10, UNSEEN) == (0, 0)


def words(text: str) -> list[TimedWord]:
    """Return words of half a second each; a comma ends a phrase."""
    found = []
    for n, token in enumerate(text.split()):
        start = Fraction(n, 2)
        syllable = TimedSyllable(token, start, start + Fraction(1, 2), Origin.ESTIMATED)
        mark = Break.CLAUSE if token.endswith(",") else Break.WORD
        found.append(TimedWord(token, token, (syllable,), mark))
    return found


def test_the_shortest_runs_of_words_that_free_enough_are_named_whole_phrases_first() -> None:
    """One second must go: two words. "all the," is a phrase by itself; others cut into one."""
    found = losses(words("one two, all the, rest of it"), Fraction(1))
    assert [(loss.text, loss.seconds, loss.syllables) for loss in found][:2] == [("one two,", 1, 2), ("all the,", 1, 2)]


def test_function_words_alone_are_no_candidates() -> None:
    """Half a second must go: "the" is as short as any, and cannot go by itself."""
    line = [replace(word, is_function=word.text == "the") for word in words("the sea hides the moon")]
    assert [loss.text for loss in losses(line, Fraction(1, 2))] == ["moon", "sea", "hides"]


def test_nothing_is_named_where_only_the_whole_line_would_be_enough() -> None:
    assert losses(words("one two"), Fraction("1.0")) == ()
    assert losses(words("one two"), Fraction(0)) == ()


def test_lip_closures_are_those_of_p_b_and_m_held_ones_once() -> None:
    """Bram, bump: B-M, B-M-P; the last M and P touch, so the lips close four times."""
    from timing.timers.pace import PaceTimer

    line = PaceTimer().time(read_line("Bram, bump"))
    assert len(closures(line.words)) == 4
