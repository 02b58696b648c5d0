"""Time code, footage and beats against published values.

Sources beside each value: D. Heidelberger, "Drop-Frame Timecode" (2010); dropframetimecode.org; A. Duncan,
"Timecodes"; R. Hummel (ed.), American Cinematographer Manual; M. Mayerson, "Bar Sheets and Metronomes" (2006).
"""

from fractions import Fraction as F

import pytest
from hypothesis import given
from hypothesis import strategies as st

from timing.model.clock import FrameRate, round_half_up

DF = FrameRate.parse("29.97", drop_frame=True)
DF60 = FrameRate.parse("59.94", drop_frame=True)


@pytest.mark.parametrize(
    ("frame", "label"),
    [  # two independent computations and the OpenTimelineIO library agree on these
        (1799, "00:00:59;29"),
        (1800, "00:01:00;02"),
        (3597, "00:01:59;29"),
        (3598, "00:02:00;02"),
        (17981, "00:09:59;29"),
        (17982, "00:10:00;00"),  # ten minutes are 17,982 frames: Heidelberger
        (19781, "00:10:59;29"),
        (19782, "00:11:00;02"),
        (107892, "01:00:00;00"),
    ],
)
def test_drop_frame_labels_of_29_97(frame, label):
    assert DF.timecode(frame) == label
    assert DF.frame_of(label) == frame


def test_published_sequences():
    assert DF.timecode(DF.frame_of("12:38:59;29") + 1) == "12:39:00;02"  # Heidelberger
    assert DF.timecode(DF.frame_of("01:04:59;29") + 1) == "01:05:00;02"  # dropframetimecode.org


def test_drop_frame_wraps_after_a_day():
    assert DF.timecode(2_589_408) == "00:00:00;00"  # the rule's own count: 24 x 107,892


def test_drop_frame_of_59_94():
    assert DF60.timecode(3600) == "00:01:00;04"
    assert DF60.timecode(35964) == "00:10:00;00"
    assert DF60.timecode(215784) == "01:00:00;00"


@pytest.mark.parametrize("label", ["00:01:00;00", "00:01:00;01", "00:59:00;01"])
def test_labels_that_drop_frame_skips_are_refused(label):
    with pytest.raises(ValueError, match="skips it"):
        DF.frame_of(label)


@pytest.mark.parametrize("rate", ["23.976", "24", "25", "30"])
def test_drop_frame_exists_for_two_rates_only(rate):
    with pytest.raises(ValueError, match="drop-frame"):
        FrameRate.parse(rate, drop_frame=True)


@given(st.integers(0, 3_000_000), st.sampled_from([DF, DF60]))
def test_label_and_frame_agree_both_ways(frame, rate):
    day = 24 * 60 * 60 * rate.nominal - 24 * 54 * 2 * (rate.nominal // 30)
    assert rate.frame_of(rate.timecode(frame)) == frame % day


@given(st.integers(0, 400_000), st.sampled_from([DF, DF60]))
def test_labels_agree_with_opentimelineio(frame, rate):
    opentime = pytest.importorskip("opentimelineio").opentime
    theirs = opentime.to_timecode(opentime.RationalTime(frame, float(rate.fps)), float(rate.fps), drop_frame=True)
    assert rate.timecode(frame) == theirs


@pytest.mark.parametrize(
    ("rate", "frames"),
    [  # whole frames in 4, 6 and 8 s: arithmetic on the exact rates
        ("16", (64, 96, 128)),
        ("23.976", (95, 143, 191)),
        ("24", (96, 144, 192)),
        ("25", (100, 150, 200)),
        ("29.97", (119, 179, 239)),
        ("30", (120, 180, 240)),
        ("60", (240, 360, 480)),
    ],
)
def test_whole_frames_in_four_six_and_eight_seconds(rate, frames):
    fps = FrameRate.parse(rate).fps
    assert tuple(int(s * fps) for s in (4, 6, 8)) == frames


@pytest.mark.parametrize(
    ("frames", "bpm"),
    [(24, 60), (22, 65), (20, 72), (18, 80), (16, 90), (14, 103), (12, 120), (10, 144), (8, 180), (6, 240)],
)
def test_mayersons_table_of_frames_a_beat(frames, bpm):
    # 65 and 103 are printed rounded (65.45, 102.86), so the way back is to the nearest frame
    assert round_half_up(FrameRate.parse(24).frames_per_beat(F(bpm))) == frames


def test_24_to_60_puts_even_frames_on_frames():
    source, target = FrameRate.parse(24), FrameRate.parse(60)
    assert [source.convert(n, target) for n in (0, 2, 4, 96)] == [0, 5, 10, 240]


@given(st.integers(0, 90 * 60 * 24))
def test_24_to_60_is_never_off_by_more_than_half_a_frame(frame):
    assert abs(FrameRate.parse(24).convert(frame, FrameRate.parse(60)) - F(5, 2) * frame) <= F(1, 2)


@given(st.integers(0, 10_000_000), st.sampled_from(["12", "23.976", "24", "25", "29.97", "30", "48", "59.94", "120"]))
def test_frame_to_moment_to_frame_changes_nothing(frame, rate):
    exact = FrameRate.parse(rate)
    assert exact.frame_at(exact.moment_of(frame)) == frame


def test_halves_go_up_so_that_eighths_at_96_alternate():
    rate = FrameRate.parse(24)  # an eighth at 96 bpm lasts 7.5 frames
    edges = [rate.frame_at(F(n * 30, 96)) for n in range(5)]
    assert edges == [0, 8, 15, 23, 30]


def test_two_hundred_eighths_at_110_do_not_drift():
    rate = FrameRate.parse(24)
    assert rate.frame_at(200 * F(30, 110)) == 1309  # adding rounded lengths would end at 1400


@pytest.mark.parametrize("text", ["0", "fast", "1000", "-24", "1/0", ""])
def test_rates_that_are_none_are_refused_in_words(text):
    with pytest.raises(ValueError, match="frame rate"):
        FrameRate.parse(text)
