"""Beats and frames against published tables."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from timing.model.clock import FrameRate
from timing.model.metre import Metre
from timing.song.frames import beat_frame, bpm_of_click, click, whole_frame_tempos

AT_24 = FrameRate.parse(24)

# M. Mayerson (Sheridan College), "Bar Sheets and Metronomes", 31 August 2006: frames a beat at 24 fps = bpm.
MAYERSON = {24: 60, 22: 65, 20: 72, 18: 80, 16: 90, 14: 103, 12: 120, 10: 144, 8: 180, 6: 240}


@pytest.mark.parametrize(("frames", "bpm"), MAYERSON.items())
def test_the_published_table_of_frames_a_beat(frames, bpm):
    assert click(bpm_of_click(f"{frames}-0", AT_24), AT_24) == f"{frames}-0"
    assert round(float(bpm_of_click(f"{frames}-0", AT_24))) == bpm


def test_a_click_of_twelve_and_two_eighths_is_117_55_bpm():
    # Film-scoring FAQ no. 7: a click of 12-2 = 117.55 bpm = 0.51 s.
    assert float(bpm_of_click("12-2", AT_24)) == pytest.approx(117.55, abs=0.005)
    assert float(60 / bpm_of_click("12-2", AT_24)) == pytest.approx(0.51, abs=0.005)


@pytest.mark.parametrize("text", ["", "12-8", "x", "0-0", "12-x"])
def test_what_is_not_a_click_is_refused(text):
    with pytest.raises(ValueError, match="frames and eighths"):
        bpm_of_click(text, AT_24)


def test_beats_at_128_bpm_are_not_the_sum_of_rounded_beats():
    # By hand: 24 x 60 / 128 = 11.25 frames a beat; 22.5 goes up.
    assert [beat_frame(n, Fraction(128), AT_24) for n in range(9)] == [0, 11, 23, 34, 45, 56, 68, 79, 90]
    # By hand: 200 beats at 96.7 bpm last 200 x 1440 / 96.7 = 2978.28 frames; 15 frames each would end at 3000.
    assert beat_frame(200, Fraction("96.7"), AT_24) == 2978


@given(
    st.integers(0, 2000),
    st.fractions(min_value=40, max_value=240, max_denominator=1000),
    st.sampled_from(["23.976", "24", "25", "29.97", "60"]),
)
def test_a_beat_is_never_more_than_half_a_frame_off(beat, bpm, rate_name):
    rate = FrameRate.parse(rate_name)
    assert abs(beat_frame(beat, bpm, rate) - beat * rate.frames_per_beat(bpm)) <= Fraction(1, 2)


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
