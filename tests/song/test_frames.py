"""Beats and frames against published tables."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from timing.model.clock import FrameRate
from timing.model.metre import Metre
from timing.song.frames import click, whole_frame_tempos, whole_frame_tempos_within

AT_24 = FrameRate.parse(24)

# M. Mayerson (Sheridan College), "Bar Sheets and Metronomes", 31 August 2006: frames a beat at 24 fps = bpm.
MAYERSON = {24: 60, 22: 65, 20: 72, 18: 80, 16: 90, 14: 103, 12: 120, 10: 144, 8: 180, 6: 240}


@pytest.mark.parametrize(("frames", "bpm"), MAYERSON.items())
def test_the_published_table_of_frames_a_beat(frames, bpm):
    exact = Fraction(24 * 60, frames)
    assert round(float(exact)) == bpm
    assert click(exact, AT_24) == f"{frames}-0"


def test_a_click_of_twelve_and_two_eighths_is_117_55_bpm():
    # Film-scoring FAQ no. 7: a click of 12-2 = 117.55 bpm = 0.51 s.
    assert click(Fraction("117.55"), AT_24) == "12-2"


@given(
    st.fractions(min_value=50, max_value=200, max_denominator=100),
    st.sampled_from([Metre(4, 4), Metre(3, 4), Metre(6, 8), Metre(2, 4)]),
)
def test_whole_frame_tempos_lie_on_whole_frames_on_both_sides_of_the_wish(bpm, metre):
    found = whole_frame_tempos(bpm, AT_24, metre)
    assert min(t.bpm for t in found) <= bpm <= max(t.bpm for t in found)
    for tempo in found:
        beats = {"beat": 1, "bar": {(6, 8): 2}.get(metre, metre[0])}[tempo.of]
        assert beats * AT_24.frames_per_beat(tempo.bpm) == tempo.frames


def test_128_bpm_already_has_whole_bars():
    # By hand: 4 x 11.25 = 45 frames a bar.
    assert (Fraction(128), 45, "bar") in [(t.bpm, t.frames, t.of) for t in whole_frame_tempos(Fraction(128), AT_24)]


@pytest.mark.parametrize("rate", ["24", "25", "23.976", "60"])
@pytest.mark.parametrize("metre", [Metre(4, 4), Metre(3, 4), Metre(6, 8), Metre(12, 8)])
@pytest.mark.parametrize("wish", [Fraction(60), Fraction("96.5"), Fraction(140)])
def test_tempos_near_a_wish_are_all_that_a_sweep_of_frames_finds(rate, metre, wish):
    # Every number of frames from 1 to 2,000 for a beat and for a bar, and what tempo it is: 60 x fps / frames a beat.
    frame_rate = FrameRate.parse(rate)
    expected = set()
    for frames in range(1, 2001):
        for of, count, within in (("beat", 1, Fraction(1, 5)), ("bar", metre.beats, Fraction(1, 20))):
            bpm = 60 * frame_rate.fps * count / frames
            if abs(bpm - wish) <= wish * within and not (of == "bar" and frames % count == 0):
                expected.add((bpm, frames, of))
    found = whole_frame_tempos_within(wish, frame_rate, metre, Fraction(1, 5), Fraction(1, 20))
    assert {(t.bpm, t.frames, t.of) for t in found} == expected
    assert len(found) == len(expected)


def test_the_published_tempos_lie_on_whole_frames():
    found = whole_frame_tempos_within(Fraction(130), AT_24, Metre(4, 4), Fraction(9, 10), Fraction(0))
    for frames, bpm in MAYERSON.items():
        assert round(float(next(t.bpm for t in found if t.frames == frames and t.of == "beat"))) == bpm
