"""Cut-off ends and shifts, on made-up sounds whose truth is known: each limit from both sides."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from numpy.typing import NDArray

from timing.delivery.edges import _is_short, edge_findings, last_drop_db
from timing.delivery.sync import RATE_HZ, Sync, _line, _peak, compare, outline
from timing.model import Finding, Origin, TimedLine, TimedSyllable, TimedWord
from timing.model.findings import FindingCode
from timing.sound.decode import Sound


def tone(*parts: tuple[float, float]) -> Sound:
    """Return a sound of 500 Hz: (seconds, amplitude) one behind the other."""
    pieces = [np.full(round(seconds * RATE_HZ), amplitude) for seconds, amplitude in parts]
    level = np.concatenate(pieces)
    wave = level * np.sin(2 * np.pi * 500 * np.arange(len(level)) / RATE_HZ)
    return Sound(wave.astype(np.int16))


def words(*edges: str, confidence: float | None = 0.9) -> tuple[TimedWord, ...]:
    """``words("0-0.5", "0.5-1")``: one syllable each."""
    found = []
    for n, edge in enumerate(edges):
        start, end = (Fraction(part) for part in edge.split("-"))
        syllable = TimedSyllable(f"w{n}", start, end, Origin.MEASURED, 0, ("AH",), "", (), None, None)
        found.append(TimedWord(f"w{n}", f"w{n}", (syllable,), confidence=confidence))
    return tuple(found)


def heard(*edges: str, confidence: float | None = 0.9, findings: tuple[Finding, ...] = ()) -> TimedLine:
    found = words(*edges, confidence=confidence)
    length = found[-1].end - found[0].start
    return TimedLine(found, Origin.MEASURED, length, length, findings=findings)


FADED = tone((0.3, 0), (1, 8000), (0.1, 2000), (0.1, 500), (0.1, 125), (0.4, 0))
USUAL = ("0.3-0.8", "0.8-1.3")


def codes(sound: Sound, line: TimedLine, same: bool = False, at_once: bool = False) -> set[str]:
    found = edge_findings(sound, line, words(*USUAL), same, at_once)
    return {finding.code.value for finding in found}


def test_a_sound_that_dies_away_between_two_silences_is_whole() -> None:
    assert codes(FADED, heard(*USUAL)) == set()


def test_speech_within_three_hundredths_of_an_edge_is_cut_off() -> None:
    assert codes(tone((1, 8000), (0.1, 1000), (0.5, 60)), heard(*USUAL)) == {"cut-off-start"}
    assert codes(tone((0.015, 0), (1, 8000), (0.1, 1000), (0.5, 60)), heard(*USUAL)) == {"cut-off-start"}
    assert codes(tone((0.04, 0), (1, 8000), (0.1, 1000), (0.5, 60)), heard(*USUAL)) == set()
    assert codes(tone((1, 8000), (0.1, 1000), (0.5, 60)), heard(*USUAL), at_once=True) == set()
    assert codes(tone((0.3, 0), (1, 8000)), heard(*USUAL)) == {"cut-off-end"}


def test_twenty_decibels_below_the_voice_is_no_speech_any_more() -> None:
    """A tenth of the amplitude is 20 dB less: 8 % of it is silence at the edge, 13 % is speech."""
    assert codes(tone((0.3, 0), (2, 8000), (0.3, 640)), heard(*USUAL)) == set()
    assert codes(tone((0.3, 0), (2, 8000), (0.3, 1040)), heard(*USUAL)) == {"cut-off-end"}


def test_a_last_word_that_was_not_said_is_cut_off() -> None:
    unsaid = Finding(FindingCode.NOT_SAID, "not said", {"words": [1]})
    assert codes(FADED, heard(*USUAL, findings=(unsaid,))) == {"cut-off-end"}
    first = Finding(FindingCode.NOT_SAID, "not said", {"words": [0]})
    assert codes(FADED, heard(*USUAL, findings=(first,))) == set()
    other = Finding(FindingCode.SAID_DIFFERENTLY, "differs", {"words": [1]})
    assert codes(FADED, heard(*USUAL, findings=(other,))) == set()


@pytest.mark.parametrize(
    ("end", "same", "confidence", "is_cut"),
    [("1.12", True, 0.9, True), ("1.14", True, 0.9, False), ("1.12", False, 0.9, False), ("1.12", False, 0.74, True),
     ("1.12", False, 0.75, False), ("1.12", False, None, True), ("1.14", False, 0.1, False)],
)  # fmt: skip
def test_a_last_word_of_less_than_two_thirds_is_cut_off_where_it_fits_badly_or_is_the_same_reading(
    end: str, same: bool, confidence: float | None, is_cut: bool
) -> None:
    """The word should last 0.5 s: two thirds are 0.333 s, to 1.133 s."""
    line = heard("0.3-0.8", f"0.8-{end}", confidence=confidence)
    assert codes(FADED, line, same) == ({"cut-off-end"} if is_cut else set())


def test_a_word_is_held_against_the_pace_of_its_line_but_never_more_than_half_as_long_again() -> None:
    planned = words("0-1", "1-1.6")
    assert _is_short(heard("0-2", "2-2.59"), planned)  # twice as slow counts as 1.5: 0.9 s, two thirds are 0.6
    assert not _is_short(heard("0-2", "2-2.6"), planned)
    assert not _is_short(heard("0-0.5", "0.5-0.7"), planned)  # twice as fast: 0.3 s, two thirds are 0.2
    assert _is_short(heard("0-0.5", "0.5-0.699"), planned)
    assert not _is_short(heard("0-0.1"), words("0-1"))  # a single word has no line to be held against
    assert not _is_short(heard("0-1", "1-1.1"), words("0-1"))


def test_how_fast_the_last_sound_falls() -> None:
    """From 8000 to an eightieth is 38 dB, to a fortieth 32 dB; what is more than 45 dB below the voice counts as 45."""
    assert last_drop_db(tone((1, 8000), (0.5, 100))) == pytest.approx(38.1, abs=0.3)
    assert last_drop_db(tone((1, 8000), (0.5, 200))) == pytest.approx(32, abs=0.3)
    assert last_drop_db(tone((1, 8000), (0.5, 0))) == pytest.approx(45, abs=0.3)
    assert last_drop_db(Sound(np.zeros(16_000, np.int16))) == 0
    assert last_drop_db(tone((0.05, 8000), (0.02, 0))) == 0  # too short to tell
    assert codes(tone((0.3, 0), (2, 8000), (0.5, 100)), heard(*USUAL)) == {"cut-off-end"}  # 38 dB: no voice can
    assert codes(tone((0.3, 0), (2, 8000), (0.5, 130)), heard(*USUAL)) == set()  # 35.8 dB


# --- how one sound lies against another


def speech(seed: int = 1, seconds: float = 3.0) -> NDArray[np.int16]:
    """Return noise whose loudness goes up and down like syllables, silent at both ends."""
    lot = np.random.default_rng(seed)
    steps = np.repeat(lot.uniform(0, 1, int(seconds * 10)) ** 2, RATE_HZ // 10)
    steps[: RATE_HZ // 5] = steps[-RATE_HZ // 5 :] = 0
    smooth = np.convolve(steps, np.hanning(1600) / np.hanning(1600).sum(), "same")
    return (9000 * smooth * lot.standard_normal(len(smooth))).clip(-32767, 32767).astype(np.int16)


def shifted(samples: NDArray[np.int16], seconds: float) -> NDArray[np.int16]:
    count = round(seconds * RATE_HZ)
    return np.concatenate([np.zeros(count, np.int16), samples]) if count > 0 else samples[-count:]


@pytest.mark.parametrize("seconds", [0.0, 0.1, 0.35, 2.0, -0.15])
def test_a_sound_that_was_moved_is_found_to_a_millisecond(seconds: float) -> None:
    of = speech()
    found = compare(of, shifted(of, seconds))
    assert found is not None
    assert (found.shift_s, found.start_s, found.end_s) == pytest.approx((seconds,) * 3, abs=0.0015)
    assert found.drift == pytest.approx(0, abs=0.001)
    assert found.likeness > 0.99


@pytest.mark.parametrize("slower", [0.01, -0.015])
def test_a_sound_that_runs_slow_drifts_by_so_much(slower: float) -> None:
    """Stretched by 1 %, a moment t lies at 1.01 t: late by a hundredth of where it is."""
    of = speech(seconds=6)
    at = np.arange(round(len(of) * (1 + slower))) / (1 + slower)
    found = compare(of, np.interp(at, np.arange(len(of)), of).astype(np.int16))
    assert found is not None
    assert found.drift == pytest.approx(slower, abs=0.001)
    assert found.shift_s == pytest.approx(3 * slower, abs=0.004)
    assert found.end_s - found.start_s == pytest.approx(slower * 5.6, abs=0.006)


def test_other_speech_silence_and_what_is_too_short_are_not_compared() -> None:
    assert compare(speech(1), speech(2)) is None
    assert compare(speech(1), np.zeros(48_000, np.int16)) is None
    assert compare(np.zeros(48_000, np.int16), speech(1)) is None
    assert outline(np.full(160 + 38 * 40, 9000, np.int16)) is None  # 39 windows
    assert outline(np.full(160 + 39 * 40, 9000, np.int16)) is not None
    assert outline(np.full(16_000, 9, np.int16)) is None  # 10 log (82): 19 dB
    assert outline(np.full(16_000, 10, np.int16)) is not None  # 20.04 dB


def test_the_outline_is_one_at_the_loudest_and_nothing_forty_decibels_below() -> None:
    found = outline(np.concatenate([np.full(8000, 8000), np.full(8000, 800), np.full(8000, 70)]).astype(np.int16))
    assert found is not None
    assert found[0] == pytest.approx(1)
    assert found[300] == pytest.approx(0.5, abs=0.001)  # a tenth is 20 of the 40 dB
    assert found[-1] == 0  # 41 dB below
    assert len(found) == (24_000 - 160) // 40 + 1


def test_short_speech_has_no_drift() -> None:
    of = speech(seconds=1.4)  # 1 s of it sounds: two or three pieces of 0.7 s
    found = compare(of, shifted(of, 0.2))
    assert isinstance(found, Sync)
    assert (found.drift, found.drift_error) == (None, None)
    assert found.shift_s == found.start_s == found.end_s == pytest.approx(0.2, abs=0.002)


@pytest.mark.parametrize("seconds", [0.7, 0.9, 1.2])
def test_a_blink_of_speech_lies_where_it_lies(seconds: float) -> None:
    """A correlation by spectrum goes round: of short sounds a shift of 0 must not stand for one of two seconds."""
    of = speech(seconds=seconds)
    for late in (0.0, 0.25):
        found = compare(of, shifted(of, late))
        assert found is not None
        assert found.shift_s == pytest.approx(late, abs=0.002)


def test_a_parabola_through_three_values_has_its_top_where_algebra_says() -> None:
    """1 - (x - 0.25)^2 at -1, 0, 1: -0.5625, 0.9375, 0.4375."""
    assert _peak(np.array([-0.5625, 0.9375, 0.4375]), 1) == pytest.approx(0.25)
    assert _peak(np.array([1.0, 0.0, 1.0]), 1) == 0  # a valley has no top
    assert _peak(np.array([1.0, 0.5]), 0) == 0
    assert _peak(np.array([0.0, 1.0, 0.9999]), 1) == pytest.approx(0.5, abs=0.001)


def test_one_bad_piece_does_not_move_the_line() -> None:
    """Shifts of 2 + x / 100 at 0, 100, ... 600 steps; one of them is 50 off."""
    points = [(100.0 * n, 2 + n) for n in range(7)]
    good = _line(points, 300.0)
    assert good is not None
    assert (good.slope, good.middle, good.deviation) == pytest.approx((0.01, 5, 0), abs=1e-9)
    points[3] = (300.0, 55)
    bad = _line(points, 300.0)
    assert bad is not None
    assert bad.slope == pytest.approx(0.01, abs=0.002)
    assert bad.middle == pytest.approx(5, abs=0.3)
    # 1.4826 x the median distance, which is 0; the spread of 0..600 is 529.15, of seven pieces two are new
    assert good.error == pytest.approx(0.4 / (529.15 * (0.2 / 0.7) ** 0.5), rel=1e-4)
    assert _line([(0.0, 1.0), (139.0, 2.0)], 0) is None  # closer than half a piece: 140 steps
    assert _line([(0.0, 1.0), (140.0, 2.0)], 0) is not None
