"""Where lines lie in a take, in parts: readings, windows, edges at pauses, the grammar; worked out by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest

from timing.hearing.line_candidates import Candidate
from timing.hearing.line_places import Words, _grammar, _learnt, _place, _readings, _spans, _window_end
from timing.hearing.recogniser import ANY, HeardWord

OWNER = {10 + k: (1, k, 5) for k in range(5)} | {15 + k: (2, k, 3) for k in range(3)} | {18: (3, 0, 1)}


def said(*indices: int) -> list[HeardWord]:
    """Words one second long, one after another."""
    return [HeardWord(i, Fraction(n), Fraction(n + 1), 0.0) for n, i in enumerate(indices)]


def read(*indices: int) -> list[tuple[int, int, bool, bool]]:
    """Return (line, words, is complete, has its last word) of each reading."""
    return [(p.line, len(p.words), p.is_complete, p.has_last) for p in _readings(said(*indices), OWNER, Fraction(0))]


def test_words_are_parted_into_readings() -> None:
    assert read(10, 11, 12, 13, 14, 15, 16, 17) == [(1, 5, True, True), (2, 3, True, True)]
    assert read(10, 11, -1, 12, 13, 14) == [(1, 5, True, True)]  # chatter between two words parts nothing
    assert read(10, 11, 12, 10, 11, 12, 13, 14) == [(1, 3, False, False), (1, 5, True, True)]  # begun again
    assert read(18, 18) == [(3, 1, True, True)] * 2


def test_a_reading_is_complete_with_six_tenths_of_its_words_and_its_last_or_last_but_one() -> None:
    assert read(10, 12, 13) == [(1, 3, True, False)]  # 3 of 5, up to the last but one
    assert read(10, 13) == [(1, 2, False, False)]
    assert read(10, 11, 12) == [(1, 3, False, False)]
    assert read(15, 16) == [(2, 2, False, False)]  # of three words the last is needed
    assert read(15, 17) == [(2, 2, True, True)]  # 2 of 3


def test_one_word_of_a_line_turns_up_by_chance() -> None:
    assert read(10) == []
    assert read(10, 11) == [(1, 2, False, False)]
    assert read(17) == []


def test_times_are_the_takes() -> None:
    (place,) = _readings(said(18), OWNER, Fraction(7, 2))
    assert (place.start, place.end) == (Fraction(7, 2), Fraction(9, 2))


def test_a_window_ends_in_the_longest_pause_between_20_and_45_seconds() -> None:
    regions = [(Fraction(a), Fraction(b)) for a, b in ((0, 10), (15, 25), (27, 40), (41, 60), (70, 90))]
    assert _window_end(Fraction(0), Fraction(90), regions) == 26  # the pause at 12.5 is longer, but too soon
    assert _window_end(Fraction(46), Fraction(90), regions) == 90  # what is left is one window
    assert _window_end(Fraction(45), Fraction(90), regions) == 90
    assert _window_end(Fraction(44), Fraction(90), regions) == 65  # from 60 to 70
    assert _window_end(Fraction(0), Fraction(90), [(Fraction(0), Fraction(90))]) == 45


def candidate(
    line: int, start: int, end: int, *, whole: bool = True, words: int = 2, evidence: float = 0.0
) -> Candidate:
    return Candidate(line, words, whole, start, end, evidence)


def spans(*readings: Candidate, regions: tuple[tuple[float, float], ...] = ()) -> list[tuple[float, float]]:
    exact = [(Fraction(str(a)), Fraction(str(b))) for a, b in regions]
    return [(round(float(a), 3), round(float(b), 3)) for a, b in _spans(readings, exact)]


def test_a_reading_goes_out_to_a_pause_that_is_near() -> None:
    """Step 100 stands at 1 + 1/128 s."""
    one = candidate(0, 100, 200)
    assert spans(one, regions=((0.41, 2.6),)) == [(0.41, 2.6)]
    assert spans(one, regions=((0.40, 2.61),)) == [(1.008, 2.008)]  # more than 0.6 s
    assert spans(candidate(0, 100, 200, whole=False), regions=((0.9, 2.2),)) == [(0.9, 2.008)]  # broken off


def test_a_reading_does_not_go_over_another_one() -> None:
    two = candidate(0, 100, 200), candidate(1, 230, 300)
    assert spans(*two, regions=((0.9, 3.1),)) == [(0.9, 2.008), (2.308, 3.1)]
    assert spans(*two, regions=((0.9, 2.1), (2.2, 3.1))) == [(0.9, 2.1), (2.2, 3.1)]


class Sounding:
    """A sound whose steps all sound."""

    def sounding_between(self, start: int, end: int) -> int:
        return end - start


def test_the_allowance_is_learnt_from_the_line_in_the_middle() -> None:
    """With 18 allowed, 100 steps that are 1000 better cost 8 a step; 11 above the middle one is asked for."""
    readings = [candidate(0, 0, 100, evidence=e) for e in (1000, 1300, 400)]  # 8, 5 and 14 a step
    assert _learnt(Sounding(), readings, 18.0) == 19.0  # type: ignore[arg-type]
    assert _learnt(Sounding(), readings[:2], 18.0) == 24.0  # type: ignore[arg-type]  # too few: six more
    assert _learnt(Sounding(), readings[:2], 28.0) == 30.0  # type: ignore[arg-type]
    bad = [candidate(0, 0, 100, evidence=-2000) for _ in range(3)]
    assert _learnt(Sounding(), bad, 18.0) == 30.0  # type: ignore[arg-type]
    good = [candidate(0, 0, 100, evidence=2500) for _ in range(3)]
    assert _learnt(Sounding(), good, 18.0) == 10.0  # type: ignore[arg-type]


def test_a_place_shares_its_words_by_their_sounds_and_names_its_rivals() -> None:
    lines = [(7, [[("A", "B", "C")], [("D",)]]), (8, [[("E",)], [("F",)]])]
    found = [
        candidate(0, 0, 100), candidate(1, 40, 100), candidate(1, 60, 130), candidate(0, 300, 400),
        candidate(1, 300, 400), candidate(1, 0, 100, whole=False, words=1),
    ]  # fmt: skip
    place = _place(found, 0, [0.876, 0.1, 0.09, 0.05, 0.7, 0.9], lines, (Fraction(1), Fraction(3)))  # type: ignore[arg-type]
    assert place.words == ((0, 1, Fraction(5, 2)), (1, Fraction(5, 2), 3))  # three sounds of four
    assert (place.line, place.is_complete, place.confidence) == (7, True, 0.88)
    # another line in more than half of its time (60 of 60; 40 of 70 steps), the same line elsewhere; two of them
    assert [(r.line, r.confidence) for r in place.rivals] == [(8, 0.1), (8, 0.09)]


def test_the_grammar_leads_from_word_to_word_to_the_hub_and_to_the_next_line() -> None:
    states, arcs = _grammar([Words(4, 3), Words(7, 1)])
    assert states == 2 + 3 + 1 + 1
    assert sorted((a, b, w) for a, b, _, w in arcs if w is not None and w != ANY) == sorted(
        [(0, 2, 4), (0, 3, 5), (2, 3, 5), (2, 4, 6), (3, 4, 6), (0, 5, 7), (4, 5, 7)]
    )
    weights = {(a, b): p for a, b, p, _ in arcs}
    assert weights[0, 3] == pytest.approx(1e-10)  # into a line and one word passed over
    assert (weights[2, 4], weights[0, 2], weights[4, 5], weights[2, 0]) == (1e-8, 1e-2, 1.0, 1e-8)
    assert (weights[0, 1], weights[1, 1], weights[4, 0], weights[5, 0], weights[0, 6]) == (1e-4, 0.3, 1.0, 1.0, 1.0)


def test_a_reading_is_cut_out_with_room_beside_it_but_never_into_another() -> None:
    """0.3 s at each end, 1.2 s where a first or last word is missing; not over a neighbour."""
    from timing.hearing.aligner import MARGIN, MISSING_WORD, room_of
    from timing.hearing.line_places import Place

    def place(line: int, start: str, end: str, first: int = 0, *, has_last: bool = True) -> Place:
        return Place(line, ((first, Fraction(start), Fraction(end)),), True, has_last)

    far = [place(0, "10", "12"), place(1, "30", "32"), place(2, "50", "52")]
    sound = Fraction(0), Fraction(100)
    assert room_of(far, 1, *sound) == (30 - MARGIN, 32 + MARGIN)
    far[1] = place(1, "30", "32", 1, has_last=False)
    assert room_of(far, 1, *sound) == (30 - MISSING_WORD, 32 + MISSING_WORD)
    near = [place(0, "10", "29.99"), place(1, "30", "32"), place(2, "32.01", "52")]
    assert room_of(near, 1, *sound) == (Fraction("29.99"), Fraction("32.01"))
    assert room_of(near, 0, Fraction(10), Fraction(100)) == (10, min(30, Fraction("29.99") + MARGIN))
    assert room_of(near, 2, Fraction(0), Fraction(52)) == (max(32, Fraction("32.01") - MARGIN), 52)
