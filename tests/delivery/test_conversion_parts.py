"""The steps by which a converted voice is held against its clip, each on values worked out on paper."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from tests.export.plans import small_plan
from timing.delivery import conversion as c
from timing.delivery.conversion import Conversion, convert_of
from timing.delivery.voices import _findings, is_same_reading
from timing.model import Voice


def test_the_bands_are_triangles_of_equal_width_in_mel() -> None:
    """mel = 2595 log10(1 + f / 700): 80 Hz is 121.9, 7600 Hz 2786.8; 21 steps of 126.9. The first top lies at
    248.8 mel = 172.9 Hz, which is bin 5.5 of 31.25 Hz; the last at 2659.9 mel = 6714 Hz, bin 214.9."""
    filters = c._filters()
    assert filters.shape == (257, 20)
    assert filters.argmax(axis=0)[0] in (5, 6)
    assert filters.argmax(axis=0)[-1] == 215
    assert filters.min() == 0
    assert filters.max() <= 1
    inner = filters[8:200].sum(axis=1)  # neighbours' slopes add up to one
    assert inner == pytest.approx(np.ones(192), abs=1e-9)


def test_too_short_or_silent_is_nothing() -> None:
    """200 steps of 2 ms with the first window of 20 ms: 320 + 199 x 32 samples."""
    tone = (8000 * np.sin(np.arange(20_000) / 5)).astype(np.int16)
    assert c._levels(tone[: 320 + 199 * 32]) is not None
    assert c._levels(tone[: 320 + 199 * 32 - 1]) is None
    assert c._levels(np.zeros(20_000, np.int16)) is None
    assert convert_of(tone, np.zeros(20_000, np.int16)) is None


def test_levels_are_decibels_above_45_below_the_loudest() -> None:
    wave = np.sin(2 * np.pi * 1000 * np.arange(32_000) / 16_000)
    levels = c._levels(np.where(np.arange(32_000) < 16_000, 8000 * wave, 800 * wave).astype(np.int16))
    assert levels is not None
    assert levels.shape == (20, (32_000 - 320) // 32 + 1)
    band = int(levels[:, 200].argmax())
    assert levels[band, 200] == pytest.approx(45, abs=0.5)
    assert levels[band, 200] - levels[band, 800] == pytest.approx(20, abs=0.2)  # a tenth of the amplitude
    assert levels.min() == 0


# A correlation by spectrum goes round: of a sound of a second 0 must not stand for a shift of two.
@pytest.mark.parametrize("shift", [-40, 0, 7, 90])
def test_the_rough_shift_is_that_of_the_outlines(shift: int) -> None:
    lot = np.random.default_rng(3)
    a = np.concatenate([np.zeros(100), lot.uniform(0, 9, 300), np.zeros(100)])
    assert c._coarse(a, np.roll(a, shift)) == shift


def test_placed_levels_are_silent_where_there_are_none() -> None:
    levels = np.arange(1.0, 6.0)[None, :]
    assert c._placed(levels, 2, 5).tolist() == [[3, 4, 5, 0, 0]]
    assert c._placed(levels, -2, 5).tolist() == [[0, 0, 1, 2, 3]]
    assert c._placed(levels, 9, 3).tolist() == [[0, 0, 0]]
    assert c._stretched(levels, 1.0, 0.5, 4).tolist() == [[2, 3.5, 5, 0]]  # places 1, 2.5, 4, 5.5


def test_bands_have_partners_so_many_higher() -> None:
    levels = np.arange(5.0)[:, None]
    assert c._cut(levels, 2)[:, 0].tolist() == [2, 3, 4]
    assert c._cut(levels, -2)[:, 0].tolist() == [0, 1, 2]
    assert c._cut(levels, 0)[:, 0].tolist() == [0, 1, 2, 3, 4]


@pytest.mark.parametrize("bands", [-6, -1, 0, 3, 6])
def test_formants_are_found_up_to_six_bands_away(bands: int) -> None:
    a = np.random.default_rng(5).uniform(0, 45, (20, 80))
    assert c._formants(a, np.roll(a, bands, axis=0)) == bands


def test_likeness_is_a_correlation_band_by_band() -> None:
    a = np.array([[0.0, 2, 4], [9, 7, 5]])
    assert c._alike(a, a * 3 + 7) == pytest.approx(1)
    assert c._alike(a, -a) == pytest.approx(-1)
    assert c._alike(a, np.array([[1.0, -2, 1], [1, -2, 1]])) == pytest.approx(0, abs=1e-9)


def test_a_rise_is_the_difference_four_steps_apart() -> None:
    levels = np.array([[0.0, 1, 3, 6, 10, 15, 21]])
    assert c._risen(levels).tolist() == [[0, 0, 10, 14, 18, 0, 0]]


def ridge(offset: float, slope: float, middles: np.ndarray, reach: int = 40) -> np.ndarray:
    """Return correlations with one round top a piece, on the line, FINE lags a step."""
    lags = np.arange(2 * reach * c.FINE + 1) / c.FINE - reach
    return np.array([np.exp(-(((lags - offset - slope * m) / 6) ** 2)) for m in middles])


@pytest.mark.parametrize(("offset", "slope"), [(0.0, 0.0), (5.25, 0.0), (-3.5, 0.004), (8.0, -0.0125), (0.1, 0.02)])
def test_one_line_is_laid_through_all_pieces(offset: float, slope: float) -> None:
    middles = np.arange(-400.0, 401.0, 50)
    found = c._line(middles, ridge(offset, slope, middles), True)
    assert found == (pytest.approx(offset, abs=0.08), pytest.approx(slope, abs=0.0002))
    agreed, deviation = c._agreement(middles, ridge(offset, slope, middles), *found)
    assert (agreed, deviation) == (pytest.approx(1), pytest.approx(0, abs=0.25))


def test_without_drift_the_line_is_level() -> None:
    middles = np.array([-50.0, 0, 50])
    assert c._line(middles, ridge(3.0, 0.02, middles), False) == (pytest.approx(3, abs=0.1), 0.0)


def test_pieces_agree_within_four_steps_of_the_line() -> None:
    """Three of four pieces lie on the line, one 4 (5) steps beside it; each counts by its height: the odd one double."""
    middles = np.zeros(4)
    for off, share in ((4.0, 1.0), (5.0, 0.6)):
        sums = np.concatenate([ridge(0, 0, middles[:3]), 2 * ridge(off, 0, middles[:1])])
        agreed, deviation = c._agreement(middles, sums, 0.0, 0.0)
        assert agreed == pytest.approx(share)
        assert deviation == 0  # the median of 0, 0, 0 and one more


@pytest.mark.parametrize(
    ("likeness", "agreed", "same"), [(0.75, 0.85, True), (0.749, 0.99, False), (0.99, 0.849, False)]
)
def test_a_conversion_is_alike_and_its_pieces_agree(likeness: float, agreed: float, same: bool) -> None:
    assert is_same_reading(Conversion(0, None, None, likeness, agreed, 0, 1)) is same


def codes(delay_s: float, drift: float | None = None, error: float | None = None, longer: str = "0") -> list[str]:
    found = Conversion(delay_s, drift, error, 0.9, 1.0, 0.5, 4.5)
    voice = Voice("clips/C01 voice.wav", Fraction(0), drift, 0.9, True)
    return [f.message for f in _findings(small_plan(), voice, found, Fraction(longer))]


def test_a_voice_is_late_from_one_frame_on() -> None:
    """At 24 frames a second a frame lasts 41.67 ms."""
    assert codes(0.0416) == []
    assert codes(0.0417) == [
        "C01 voice.wav: is 1.0 frames late against its clip; the timeline written here has it slipped back"
    ]
    assert "1.2 frames early" in codes(-0.05)[0]
    # With a drift of 1 % the first sound, half a second in, is 5 ms later than moment 0: 36.8 + 5 are over a frame.
    assert len(codes(0.0368, 0.01, 0.1)) == 1
    assert codes(0.0368, -0.01, 0.1) == []


def test_a_drift_is_told_from_half_a_frame_on_and_twice_its_error() -> None:
    """Four seconds of speech are 96 frames: 0.521 % of that is half a frame."""
    assert codes(0, 0.0052, 0.001) == []
    assert codes(0, 0.0053, 0.001) == [
        "C01 voice.wav: drifts, it runs 0.53 % slow against its clip, 0.5 frames from first to last sound; "
        "convert it again at the clip's own speed"
    ]
    assert codes(0, 0.0053, 0.00264)
    assert codes(0, 0.0053, 0.00266) == []
    assert "0.80 % fast" in codes(0, -0.008, 0.001)[0]


def test_three_twentieths_of_a_second_are_what_encoders_add() -> None:
    assert codes(0, longer="0.15") == []
    assert codes(0, longer="0.16") == [
        "C01 voice.wav: is 0.16 s longer than the clip it was made from; see what was added"
    ]
    assert codes(0, longer="-0.5") == [
        "C01 voice.wav: is 0.50 s shorter than the clip it was made from; see what is lacking"
    ]
