"""What a clip offers: worked out by hand on words of half a second each."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from tests.dub.editions import plan_with
from timing.dub.verdicts import verdict
from timing.dub.windows import used_range, windows_of
from timing.model import Plan
from timing.model.dub import Verdict


def test_a_window_runs_from_the_first_sound_to_the_last() -> None:
    """Four words of 0.5 s from 1.0 s on end at 3.0 s; the next line begins at 6.0 s, so 3.0 s are free."""
    window = windows_of(plan_with("Where does it go?", "It went out."))["1"]
    assert (window.start, window.end, window.length, window.free) == (1, 3, 2, 3)
    assert window.clips == ("C01",)


def with_gap(seconds: str) -> Plan:
    """Return a line of four words with a silence after the second one."""
    plan = plan_with("Where does it go?")
    one = plan.lines[0]
    moved = tuple(word.moved(Fraction(seconds)) if n > 1 else word for n, word in enumerate(one.words))
    return replace(plan, lines=(replace(one, words=moved, end=moved[-1].end),))


def test_a_silence_of_three_tenths_is_a_pause_and_a_shorter_one_is_none() -> None:
    """Two words of 0.5 s from 1.0 s on: the silence begins at 2.0 s."""
    assert windows_of(with_gap("0.3"))["1"].pauses == ((2, Fraction("2.3")),)
    assert windows_of(with_gap("0.29"))["1"].pauses == ()


def test_a_pause_that_is_talked_through_is_a_fact_and_no_verdict() -> None:
    """Timing within a line is often broken by people who do this work, for the sake of naturalness: Brannon, Virkar and
    Thompson (2023), abstract. A reading as long as the whole window fits, wherever its own pauses lie."""
    window = windows_of(with_gap("0.8"))["1"]
    assert window.pauses
    assert verdict(window.length, window.length, window.length, window) is Verdict.FITS


def test_whoever_is_not_seen_may_go_on_until_somebody_else_is_heard() -> None:
    plan = plan_with("Where does it go?", "It went out.", directions=("V.O.",))
    window = windows_of(plan)["1"]
    assert not window.is_seen
    assert window.room == 5  # 2 s of speech and 3 s before the next line
    assert windows_of(plan_with("Where does it go?", directions=("softly",)))["1"].room == 2


def test_the_last_line_is_free_until_the_episode_ends() -> None:
    """The clip's tail of 0.35 s is all that follows."""
    assert windows_of(plan_with("Where does it go?"))["1"].free == Fraction("0.35")


def test_words_that_a_cut_takes_are_in_no_window() -> None:
    """The clip is seen from 1.5 s on, so a line from 1.0 to 3.0 s has a window of 1.5 s."""
    plan = plan_with("Where does it go?")
    trimmed = replace(plan, clips=(replace(plan.clips[0], start=Fraction("1.5")),))
    assert used_range(trimmed, trimmed.clips[0])[0] == Fraction("1.5")
    window = windows_of(trimmed)["1"]
    assert (window.start, window.length) == (Fraction("1.5"), Fraction("1.5"))
