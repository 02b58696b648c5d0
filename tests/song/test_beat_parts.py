"""The parts of the beat tracker on curves drawn by hand, against scipy and sums worked out on paper."""

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter1d

from tests.song.drawn import FRAMES_A_SECOND, LOUD, curve, drawn, frame
from timing.model.metre import COMMON_TIME, Metre
from timing.song.beats.accents import fold_accents, length_accents
from timing.song.beats.bars import _difference, _harmony_change, bar_candidates, downbeats_from
from timing.song.beats.onsets import Onsets, _flux, _relative, measure, smooth
from timing.song.beats.pieces import Piece
from timing.song.beats.steady import (
    Steady,
    _among_thirds,
    _nearest_peak,
    _strongest,
    fit_steady,
    fold,
    gain_over,
    live_span,
    on_beat,
    pulse_clarity,
    sharpen,
)
from timing.song.beats.tempo import (
    Candidate,
    Spectrum,
    _clarity,
    _folded,
    _is_divided,
    _is_triple,
    _without_doubles,
    autocorrelation,
    candidates,
    comb,
)


def dice():
    return np.random.default_rng(11)


RATE = 22050


# Sound to onset strength.


def heard(sound):
    return measure([np.asarray(sound, np.float32)])


def test_a_click_is_an_onset_from_the_first_window_that_holds_it():
    # Frame i looks at 512 samples on either side of sample 128 i, in the short view at 128; the flux compares frames
    # two apart, in the short view neighbours. A click at sample 22,050 lies in frames 169 to 176 and 172 to 173.
    sound = np.zeros(2 * RATE)
    sound[RATE] = 0.9
    found = heard(sound)
    assert found.length_s == 2
    assert len(found.high) == len(found.sharp) == len(found.chroma) == 2 * RATE // 128 + 1
    assert np.flatnonzero(found.loudness)[[0, -1]].tolist() == [169, 176]
    assert set(np.flatnonzero(found.high)) <= set(range(169, 179))
    assert found.high.argmax() in (170, 171, 172, 173)
    assert set(np.flatnonzero(found.sharp)) <= {172, 173, 174}
    assert found.sharp.argmax() == 172


def test_a_click_at_the_very_beginning_and_end_is_heard():
    for at in (0, 3 * RATE // 2 - 1):
        sound = np.zeros(3 * RATE // 2)
        sound[at] = 0.9
        assert abs(int(heard(sound).loudness.argmax()) - at / 128) <= 1


def test_blocks_of_any_size_give_what_the_whole_gives():
    sound = dice().normal(0, 0.1, 9001).astype(np.float32)
    whole = heard(sound)
    for size in (100, 1000, 4096):
        found = measure([sound[k : k + size] for k in range(0, len(sound), size)])
        for name in ("high", "low", "sharp", "chroma", "loudness"):
            assert np.allclose(getattr(found, name), getattr(whole, name), atol=1e-5), name
        assert found.length_s == whole.length_s


@pytest.mark.parametrize(("hertz", "name"), [(440, 9), (523.25, 0), (880, 9), (987.77, 11)])
def test_a_tone_has_its_pitch_class(hertz, name):
    # A = 440 Hz is MIDI note 69, C is class 0 (MIDI 1.0).
    chroma = heard(np.sin(2 * np.pi * hertz * np.arange(RATE) / RATE)).chroma[40:130].sum(axis=0)
    assert chroma.argmax() == name


def test_what_lies_outside_the_octaves_of_melody_is_no_pitch():
    # From 110 to 2,000 Hz; the window smears a tone over four bins of 21.5 Hz.
    for hertz in (30, 2200):
        chroma = heard(np.sin(2 * np.pi * hertz * np.arange(RATE) / RATE)).chroma[40:130]
        assert chroma.sum() < 0.02 * heard(np.sin(2 * np.pi * 440 * np.arange(RATE) / RATE)).chroma[40:130].sum()


def burst(hertz, at=0.5, length=1.5):
    t = np.arange(int(length * RATE)) / RATE
    rise = np.clip((t - at) / 0.05, 0, 1)
    return np.sin(2 * np.pi * hertz * t) * rise


def test_bass_and_attacks_are_told_apart_at_180_and_250_hz():
    both = 1e-3 * dice().normal(size=int(1.5 * RATE))
    for hertz, is_low in ((60, True), (120, True), (700, False), (3000, False)):
        found = heard(burst(hertz) + both)
        at = slice(frame(0.45), frame(0.65))
        low, high = found.low[at].max(), found.high[at].max()
        assert bool(low > high) is is_low, hertz


def test_the_main_view_is_attacks_and_three_fifths_of_the_bass():
    found = drawn([1.0], [1.0], 2)
    assert found.both[frame(1)] == pytest.approx(16)


def test_the_flux_is_the_rise_of_the_logarithm():
    # Mean band level 1.5: log(1 + 7 / 1.5 x level). Frame 2 against frame 0, a fall counts nothing.
    bands = np.array([[0, 3], [1, 1], [3, 1]], np.float32)
    found = _flux(bands, 2)
    assert found[:2].tolist() == [[0, 0], [0, 0]]
    assert found[2] == pytest.approx([np.log1p(7 / 1.5 * 3), 0], abs=1e-5)
    assert _flux(bands, 1)[1] == pytest.approx([np.log1p(7 / 1.5), 0], abs=1e-5)


@pytest.mark.parametrize("count", [60, 500])
def test_strength_is_what_stands_above_the_mean_of_a_second(count):
    # A second is 172 frames, less where the sound is shorter; the ends are held.
    values = dice().uniform(0, 4, count)
    width = min(172, count)
    padded = np.pad(values, (width // 2, width), mode="edge")
    above = np.maximum([v - padded[i : i + width].mean() for i, v in enumerate(values)], 0)
    assert _relative(values.astype(np.float32)) == pytest.approx(above / above.std(), rel=1e-4, abs=1e-5)
    assert (_relative(np.ones(50, np.float32)) == 0).all()


@pytest.mark.parametrize("sigma", [0.8, 1.5, 2, 3, 8])
@pytest.mark.parametrize("wrap", [False, True])
def test_smoothing_is_scipys(sigma, wrap):
    values = dice().normal(size=80)
    assert smooth(values, sigma, wrap) == pytest.approx(
        gaussian_filter1d(values, sigma, mode="wrap" if wrap else "nearest")
    )


# Notes that last are stressed.


def test_a_note_is_stressed_as_it_lasts():
    # One frame of strength 10 is 2 at most under the Gaussian of two frames (10 x 0.1995), and no more than 2 counts.
    moments, accents = length_accents(curve([1, 1.25, 2.25], 4, [10.02, 60, 7.0]))
    peak = 1 / (2 * np.sqrt(2 * np.pi))
    assert moments == pytest.approx([1, 1.25, 2.25], abs=0.004)
    lengths = np.array([*np.diff(moments), 0.5])
    assert accents == pytest.approx(np.array([10.02 * peak, 2, 7 * peak]) * (1 - np.exp(-lengths / 0.5)) ** 2, rel=2e-3)


def test_only_clear_onsets_are_notes():
    # 5.2 x 0.1995 = 1.04, 4.8 x 0.1995 = 0.96
    assert len(length_accents(curve([1], 4, 5.2))[0]) == 1
    assert len(length_accents(curve([1], 4, 4.8))[0]) == 0


def test_onsets_closer_than_eight_hundredths_are_one_note_where_the_stronger_is():
    # 0.08 s are 13.8 frames.
    def notes(apart, first, second):
        strength = np.zeros(400)
        strength[[200, 200 + apart]] = first, second
        return np.round(length_accents(strength)[0] * FRAMES_A_SECOND).tolist()

    assert notes(14, 9, 12) == [200, 214]
    assert notes(13, 9, 12) == [213]
    assert notes(13, 12, 9) == [200]


def test_accents_are_added_up_over_a_period():
    strength = curve([0.25, 1.25, 2.25, 2.5], 4)
    moments, accents = length_accents(strength)
    bins = np.zeros(60)
    for moment, accent in zip(moments, accents, strict=True):
        bins[int(moment % 1 * 60)] += accent
    assert fold_accents(strength, 1.0, 60) == pytest.approx(gaussian_filter1d(bins, 2, mode="wrap"))


# Tempo.


def test_autocorrelation_is_numpys():
    values = dice().normal(size=300) + 3
    own = values - values.mean()
    whole = np.correlate(own, own, "full")[299:]
    assert autocorrelation(values, 200) == pytest.approx(whole[:200] / whole[0], abs=1e-6)


def cosine(hertz, length_s=64, **more):
    t = np.arange(int(length_s * FRAMES_A_SECOND)) / FRAMES_A_SECOND
    return sum(weight * np.cos(2 * np.pi * f * t) for f, weight in ((hertz, 1.0), *more.get("others", ())))


def test_the_comb_of_a_cosine_by_hand():
    """A cosine of 1 Hz repeats after 1, 2, 3, 4 s and is turned round after 1.5.

    At its own tempo 1 + .8 + .45 + .8 + .35 = 3.4; at half (period 2 s) 1.5 periods are whole ones and 0.75 turned round:
    1 + .8 + .45 + .8 - .35 + .25 = 2.95; at double (0.5 s) -1 + .8 - .45 + .8 less cos(1.5 pi) = 0 and plus
    .25 x cos(.25 pi) = .177: .327; at 4/3 (.75 s): 0 - .8 + 0 + .8 - .35 x cos(2.25 pi) + .25 x .924 = -.016: nothing.
    """
    found = comb(cosine(1.0, 640), np.array([60.0, 30.0, 120.0, 80.0]))
    assert found == pytest.approx([3.4, 2.95, 0.327, 0], abs=0.04)


def test_a_short_song_has_no_more_lags_than_frames():
    assert np.isfinite(comb(cosine(2.0, 2), np.array([30.0, 120.0]))).all()


def test_the_pulse_is_read_at_the_tempo_its_double_and_its_fourfold():
    # 64 s are a whole number of all three periods: of a cosine of height a over n frames the transform is a n / 2.
    strength = cosine(2.0, others=((4.0, 0.5), (8.0, 0.25), (6.0, 5.0)))
    n = len(strength) / 2
    spectrum = Spectrum(strength)
    assert spectrum.pulse(np.array([2.0, 4.0, 8.0, 3.0])) == pytest.approx(
        n * np.array([1, 0.5, 0.25, 0]), abs=n * 0.02
    )
    assert spectrum.score(np.array([120.0]))[0] == pytest.approx(n * (1 + 0.5 + 0.25 / 2), rel=0.02)


def test_the_tempo_is_refined_within_its_share_and_polished_to_hundredths():
    spectrum = Spectrum(np.maximum(cosine(1.9), 0))
    assert spectrum.refine(113, 0.03) == pytest.approx(114, abs=0.05)
    assert spectrum.refine(110, 0.03) <= 110 * 1.03 + 1e-9  # 114 lies outside
    assert spectrum.polish(114.05) == pytest.approx(114, abs=0.005)


def test_how_clear_a_pulse_is_by_hand():
    # At 2 Hz: 1 + .5 x bass 2 + .35 x the greater of 4 and 6 Hz + .5 x 1 Hz, each of the whole: the total is that of a
    # constant of 4, and a cosine of height a over n frames gives a n / 2.
    others = ((4.0, 0.4), (6.0, 0.8), (1.0, 0.2), (0.0, 4.0))
    main, low = Spectrum(cosine(2.0, others=others)), Spectrum(cosine(2.0, others=((0.0, 4.0), (2.0, 1.0))))
    n, total, bass = len(main.strength) / 2, main.total, low.total
    wanted = n / total + 0.5 * 2 * n / bass + 0.35 * 0.8 * n / total + 0.5 * 0.2 * n / total
    assert _clarity(main, low, 120.0) == pytest.approx(wanted, rel=0.03)
    more = Spectrum(cosine(2.0, others=((4.0, 0.9), (6.0, 0.8), (1.0, 0.2), (0.0, 4.0))))
    assert _clarity(more, low, 120.0) - _clarity(main, low, 120.0) == pytest.approx(0.35 * 0.1 * n / total, rel=0.3)


def test_with_a_hint_only_its_neighbourhood_counts():
    beats = np.arange(0.5, 39, 0.5)
    found = candidates(drawn(beats, length_s=40), 118)
    assert found[0].bpm == pytest.approx(120, abs=0.05)
    assert all(abs(c.bpm / 118 - 1) < 0.22 for c in found[:1])
    assert candidates(drawn(beats, length_s=40), 60)[0].bpm == pytest.approx(60, abs=0.05)
    assert candidates(drawn(beats, length_s=40), 240)[0].bpm == pytest.approx(240, abs=0.05)
    assert candidates(drawn(np.arange(0.5, 39, 2.0), length_s=40), 30)[0].bpm == pytest.approx(30, abs=0.05)


def test_candidates_are_the_best_first_and_at_most_six():
    found = candidates(drawn(np.arange(0.5, 39, 0.5), length_s=40))
    assert 1 < len(found) <= 6
    assert [c.score for c in found] == sorted((c.score for c in found), reverse=True)
    assert found[0].bpm == pytest.approx(120, abs=0.05)


def test_without_any_pulse_the_likely_tempo_stands_there_with_nothing_to_say_for_it():
    still = drawn([], length_s=20)
    assert candidates(still) == [Candidate(112.0, 0.0)]
    assert candidates(still, 90.0) == [Candidate(90.0, 0.0)]


def fast(between=(), every=1, length_s=30.0):
    """Notes on the beats of 160 bpm, and at shares of each ``every``-th beat more."""
    beat = 60 / 160
    beats = np.arange(1, int(length_s / beat) - 2) * beat
    return curve(np.concatenate([beats, *(beats[::every] + share * beat for share in between)]), length_s)


def test_a_double_between_whose_beats_nothing_sounds_counts_two_fifths():
    found = [Candidate(160, 2.0), Candidate(80, 1.0)]
    assert _without_doubles(fast(), found) == [Candidate(160, 0.8), Candidate(80, 1.0)]
    assert _without_doubles(fast([0.5]), found) == found  # a faster level is there
    assert _without_doubles(fast(), [Candidate(160, 2.0), Candidate(80 * 1.029, 1.0)])[0].score == pytest.approx(0.8)
    alone = [Candidate(160, 2.0), Candidate(80 * 1.031, 1.0)]
    assert _without_doubles(fast(), alone) == alone  # 3 % off is no half


def test_notes_that_divide_two_beats_in_three_do_not_divide_the_beat():
    beat = 60 / 160
    pairs = np.arange(1, 36) * 2 * beat
    thirds = curve(np.concatenate([pairs, pairs + 2 * beat / 3, pairs + 4 * beat / 3]), 30)
    assert not _is_divided(thirds, 160)
    assert not _is_divided(fast(), 160)
    assert _is_divided(fast([0.5]), 160)
    assert _is_divided(fast([1 / 3, 2 / 3]), 160)


def test_a_bar_of_three_repeats_after_three_beats():
    beat = 0.375
    beats = np.arange(1, 76) * beat
    for a_bar, is_triple in ((3, True), (4, False), (2, False)):
        levels = [30.0 if n % a_bar == 0 else 5.0 for n in range(len(beats))]
        assert _is_triple(curve(beats, 30, levels), 160) is is_triple


def test_folding_some_beats_at_a_time_starts_from_the_strongest_place():
    # Eight periods at a time, so that a tempo a little off does not blur it: within eight beats of 0.5 s a beat of
    # 0.502 s drifts by 16 ms of the 4 ms of each of the 120 parts.
    beats = 1 + np.arange(60) * 0.5
    strength = curve(np.concatenate([beats, beats + 0.25]), 40, [LOUD] * 60 + [LOUD / 2] * 60)
    found = _folded(strength, 0.5)
    assert len(found) == 120
    assert found[0] == pytest.approx(1, abs=1e-6)
    assert found[58:63].max() == pytest.approx(0.5, abs=0.12)
    assert found[10:50].max() < 0.06
    late = np.concatenate([beats[:30], beats[30:] + 0.17])  # a pause: the strongest place moves with it
    assert _folded(curve(late, 40), 0.5)[5:115].max() < 0.1


# One steady grid.


def test_the_beats_between_two_moments():
    grid = Steady(120, 0.25, 0)
    assert grid.beats(0, 2).tolist() == [0.25, 0.75, 1.25, 1.75]
    assert grid.beats(0.25, 1.25).tolist() == [0.25, 0.75, 1.25]
    assert grid.beats(-0.3, 0.2).tolist() == [-0.25]


@pytest.mark.parametrize("start", [0.0, 0.13])
def test_a_curve_folded_over_one_beat_is_its_mean_in_240_parts(start):
    strength = dice().uniform(0, 3, 1000)
    sums, counts = np.zeros(240), np.zeros(240)
    for i, value in enumerate(strength):
        at = int((i / FRAMES_A_SECOND - start) / 0.37 % 1 * 240)
        sums[at], counts[at] = sums[at] + value, counts[at] + 1
    mean = gaussian_filter1d(sums / np.maximum(counts, 1), 3, mode="wrap")
    assert fold(strength, 0.37, start) == pytest.approx(mean)


def test_the_strongest_place_is_looked_for_within_a_tenth_of_a_beat():
    # 24 of 240 parts either side.
    folded = np.zeros(240)
    folded[10] = 2.0
    for at in (130 - 24, 130, 130 + 24):
        folded[at] = 1.5
        assert _strongest(folded, 130, 10) == (at, pytest.approx(0.75))
        folded[at] = 0
    for at in (130 - 25, 130 + 25):
        folded[at] = 1.5
        assert _strongest(folded, 130, 10)[1] == 0
        folded[at] = 0


def test_a_tap_finds_the_peak_within_fifteen_hundredths_of_a_beat():
    # 36 of 240 parts, under the root of a Hann window that ends 37 away: sin(3/74 pi) = 0.127 at 34, 0.085 at 35, and a
    # tenth is the least that counts.
    folded = np.zeros(240)
    for away, found in ((34, 94), (-34, 26), (35, 60), (-35, 60)):
        folded[60 + away] = 1.0
        assert _nearest_peak(folded, 7.25) == found  # the tap lies at part 60
        folded[60 + away] = 0
    folded[200] = 1.0
    folded[[40, 70]] = 0.5
    assert _nearest_peak(folded, 7.25) == 70
    folded[:] = 0
    folded[200], folded[61] = 1, 0.11
    assert _nearest_peak(folded, 7.25) == 61
    folded[61] = 0.09
    assert _nearest_peak(folded, 7.25) == 60


def test_a_beat_hears_three_frames_either_side():
    strength = np.zeros(100)
    strength[[3, 50, 96]] = 1, 2, 3
    for off, expected in ((-4, 0), (-3, 2), (0, 2), (3, 2), (4, 0)):
        assert on_beat(strength, [(50 + off) / FRAMES_A_SECOND]) == expected
    assert on_beat(strength, [0.0, 99 / FRAMES_A_SECOND, 5.0]).tolist() == [1, 3, 3]
    assert on_beat(strength, [44 / FRAMES_A_SECOND], 5) == 0
    assert on_beat(strength, [45 / FRAMES_A_SECOND], 5) == 2
    strength[[6, 7]] = 0, 5  # seven frames at the very beginning
    assert on_beat(strength, [0.0]) == 1


def test_gain_is_the_strength_of_beats_over_that_of_the_grid_they_span():
    # Beats at 1, 2, 3 s with 6; the grid has 2 at 0.95, 1.5, 3.05 and 50 just outside a tenth of a second.
    strength = curve([1, 2, 3, 0.95, 1.5, 3.05, 0.85, 3.15], 5, [6, 6, 6, 2, 2, 2, 50, 50])
    assert gain_over(strength, np.array([1.0, 2, 3]), np.array([0.85, 0.95, 1.5, 3.05, 3.15])) == pytest.approx(3)
    assert gain_over(strength, np.array([1.0, 2]), np.array([4.0])) == float("inf")


def test_clarity_is_the_strength_on_beats_over_that_at_twelfths_of_a_beat():
    # Strength 1 everywhere and 3 on the beats: 3 / ((3 + 11 x 1) / 12).
    beats = np.arange(1, 9, 1.0)
    onsets = drawn(beats, length_s=12, level=3.0)
    onsets.high[onsets.high == 0] = 1
    assert pulse_clarity(onsets, beats) == pytest.approx(3 * 12 / 14)
    assert pulse_clarity(onsets, beats[:1]) == 0
    assert pulse_clarity(onsets, beats[:2]) > 2


def test_beats_are_moved_to_where_attacks_begin():
    # Peaks 10 ms after the beats; the short window's peak is 1.5 ms late.
    beats = np.array([frame(t) / FRAMES_A_SECOND for t in (1, 2, 3)])

    def moved(away, level=LOUD, floor=0.0):
        onsets = drawn([], length_s=5)
        onsets.sharp[:] = floor
        for beat in beats:
            at = (beat + away) * FRAMES_A_SECOND
            whole = int(at)
            onsets.sharp[whole : whole + 2] += np.array([1 - at + whole, at - whole]) * level
        return sharpen(onsets, beats) - beats[0]

    assert moved(0.010) == pytest.approx(0.0085, abs=0.001)
    assert moved(-0.020) == pytest.approx(-0.0215, abs=0.001)
    assert moved(0.028) == pytest.approx(0.0265, abs=0.001)
    assert moved(0.042) == 0  # farther than 30 ms nothing is looked for
    assert moved(0.0, level=1.0, floor=1.0) == pytest.approx(-0.0015, abs=0.0005)
    assert moved(0.0, level=0.4, floor=1.0) == 0  # less than half as much again as everywhere
    assert sharpen(drawn([]), np.array([])) == 0


def test_sound_lives_from_the_first_clear_onset_to_the_last():
    found = live_span(drawn([2, 5, 8], level=[0.61, 9, 0.61]))
    assert found == pytest.approx((2 - 0.12, 8 + 0.12), abs=0.003)
    assert live_span(drawn([2, 5, 8], level=[0.59, 9, 0.59])) == pytest.approx((5 - 0.12, 5 + 0.12), abs=0.003)
    assert live_span(drawn([2], level=0.59)) == (0.0, 20.0)


HALF = np.arange(1, 38) * 0.5


def phase(grid, period=0.5):
    return (grid.first + 0.0015) % period


def test_the_grid_lies_on_the_onsets():
    grid = fit_steady(drawn(HALF + 0.13), 120)
    assert phase(grid) == pytest.approx(0.13, abs=0.004)
    assert grid.rival < 0.05
    assert grid.third == 0


def test_of_two_sides_nearly_as_strong_the_bass_has_the_beat():
    # Attacks of 10 and 9.5, bass on the weaker: in the sum it is 0.6 + 0.5 of the bass that counts.
    both = np.concatenate([HALF, HALF[:-1] + 0.25])
    levels = [LOUD] * len(HALF) + [9.5] * (len(HALF) - 1)
    grid = fit_steady(drawn(both, level=levels), 120)
    assert phase(grid) % 0.5 == pytest.approx(0, abs=0.004) or phase(grid) == pytest.approx(0.5, abs=0.004)
    assert grid.rival == pytest.approx(0.95, abs=0.04)
    onsets = drawn(both, level=levels)
    onsets.low[:] = curve(HALF[:-1] + 0.25, 20, 0.2)
    grid = fit_steady(onsets, 120)
    assert phase(grid) == pytest.approx(0.25, abs=0.004)
    assert grid.rival == 1  # as strong as the one chosen, or stronger


def test_a_downbeat_chooses_its_side():
    both = np.concatenate([HALF, HALF[:-1] + 0.25])
    onsets = drawn(both, level=[LOUD] * len(HALF) + [6.0] * (len(HALF) - 1))
    assert phase(fit_steady(onsets, 120)) % 0.5 == pytest.approx(0, abs=0.004)
    told = fit_steady(onsets, 120, 5.29)
    assert phase(told) == pytest.approx(0.25, abs=0.004)
    assert told.rival == 1  # the other side is stronger
    assert told.third == 0


def test_between_thirds_the_longer_note_has_the_beat():
    # Notes at 0 and 2/3 of a beat of 0.9 s, as in 6/8: the first lasts 0.6 s, the second 0.3 s.
    beats = np.arange(1, 21) * 0.9
    onsets = drawn(np.concatenate([beats, beats + 0.6]), length_s=20)
    folded = fold(onsets.high, 0.9)
    for best in (int(folded[:60].argmax()), 120 + int(folded[120:].argmax())):
        place, share = _among_thirds(onsets, folded, best, 0.9)
        assert abs((place / 240 * 0.9 + 0.45) % 0.9 - 0.45) < 0.01
        # (1 - exp(-0.3 / 0.5))^2 of (1 - exp(-0.6 / 0.5))^2
        assert share == pytest.approx(((1 - np.exp(-0.6)) / (1 - np.exp(-1.2))) ** 2, abs=0.03)


@pytest.mark.parametrize(("level", "is_rival"), [(5.6, True), (4.4, False)])
def test_a_third_of_a_beat_away_half_the_strength_makes_a_rival(level, is_rival):
    beats = np.arange(1, 21) * 0.9
    levels = [LOUD] * 20 + [level] * 20
    onsets = drawn(np.concatenate([beats, beats + 0.3]), level=levels)
    folded = fold(onsets.high, 0.9)
    _, share = _among_thirds(onsets, folded, int(folded.argmax()), 0.9)
    assert (share > 0) is is_rival


# Beats to bars.


def pieces(*given):
    return [Piece(*one) for one in given]


def test_bars_are_counted_both_ways_from_the_beat_nearest_the_tap():
    steady = pieces((1.0, 120, 12))
    assert downbeats_from(steady, COMMON_TIME, 3.6) == ([1.5, 3.5, 5.5], [])
    assert downbeats_from(steady, Metre(3, 4), 3.4) == ([2.0, 3.5, 5.0, 6.5], [])
    assert downbeats_from(steady, Metre(6, 8), 1.1)[0] == [1.0, 2.0, 3.0, 4.0, 5.0, 6.0]
    assert downbeats_from(pieces((1.0, 120, 0)), COMMON_TIME, 1.0) == ([], [])


def test_a_break_ends_the_bar_before_it_and_begins_one_after_it():
    # Six beats from 1 s, six from 5 s: the tap lies in the second piece, the bar before the break is counted back.
    found = downbeats_from(pieces((1.0, 120, 6), (5.0, 120, 6)), COMMON_TIME, 6.0)
    assert found == ([2.0, 6.0], [5.0])  # 5.0 and 5.5 are the end of a bar that began nowhere
    found = downbeats_from(pieces((1.0, 120, 6), (5.0, 120, 6)), COMMON_TIME, 1.0)
    assert found == ([1.0, 3.0, 5.0, 7.0], [5.0])


@pytest.mark.parametrize(("step", "breaks"), [(0.74, 1), (0.76, 0), (1.34, 0), (1.36, 1)])
def test_a_step_of_three_quarters_to_a_third_more_is_one_beat(step, breaks):
    # From the last beat of the first piece, at 4 s, beats of a second on both sides.
    found = downbeats_from(pieces((1.0, 60, 4), (4.0 + step, 60, 4)), COMMON_TIME, 1.0)
    assert len(found[1]) == breaks


def test_a_step_that_is_one_beat_of_either_piece_is_no_break():
    # 0.5 s after beats of a second: a beat of the piece that begins, or of the one that ends.
    assert downbeats_from(pieces((1.0, 60, 4), (4.5, 120, 4)), COMMON_TIME, 1.0)[1] == []
    assert downbeats_from(pieces((1.0, 120, 4), (3.5, 60, 4)), COMMON_TIME, 1.0)[1] == []


def test_a_change_of_harmony_lies_at_its_beat():
    onsets = drawn([], length_s=20)
    onsets.chroma[: frame(10), 0] = 2
    onsets.chroma[frame(10) :, 7] = 3
    beats = np.arange(2, 18, 1.0)
    found = _harmony_change(onsets, beats)
    assert found[8] == pytest.approx(1, abs=0.02)
    assert np.delete(found, 8) == pytest.approx(np.zeros(15), abs=0.02)
    # Nine tenths of a beat either side: half a second later a part of the old chord is still before it, none after it.
    half = _harmony_change(onsets, beats + 0.5)
    assert 0.1 < half[7] < 0.9 or 0.1 < half[8] < 0.9
    assert (_harmony_change(drawn([]), beats) == 0).all()  # silence


def test_how_far_chosen_values_stand_out_is_a_t_score():
    # Means 3 and 1, two of eight: 2 x sqrt(2 x 6 / 8).
    values, chosen = np.array([3.0, 1, 1, 1] * 2), np.arange(8) % 4 == 0
    assert _difference(values, chosen) == pytest.approx(2 * np.sqrt(1.5))
    assert _difference(values, np.zeros(8, bool)) == _difference(values, np.ones(8, bool)) == 0


def test_the_first_beats_of_bars_are_where_harmony_and_bass_change():
    beats = np.arange(1, 33) * 0.5
    onsets = drawn(beats, low=beats[2::4], length_s=18)
    for n, start in enumerate(beats[2::4]):
        onsets.chroma[frame(start) : frame(start + 2), n * 5 % 12] = 1
    found = bar_candidates(onsets, beats)
    assert found[0].metre == COMMON_TIME
    assert (found[0].phase, found[0].first_s) == (2, 1.5)
    assert [c.metre for c in found] == [COMMON_TIME] * 4
    assert sorted(c.phase for c in found) == [0, 1, 2, 3]
    assert [c.score for c in found] == sorted((c.score for c in found), reverse=True)
    given = bar_candidates(onsets, beats, Metre(2, 4))
    assert [(c.metre, c.phase) for c in given] == [((2, 4), 0), ((2, 4), 1)]
    assert bar_candidates(onsets, beats[:7]) == []
    assert len(bar_candidates(onsets, beats[:8], COMMON_TIME)) == 4


def test_a_bar_of_two_that_fits_as_well_counts_a_tenth_less():
    beats = np.arange(1, 33) * 0.5
    onsets = drawn(beats, low=beats[::2], length_s=18)
    found = {m: bar_candidates(onsets, beats, m)[0].score for m in (Metre(2, 4), Metre(4, 4))}
    assert found[Metre(2, 4)] > found[Metre(4, 4)]
    assert bar_candidates(onsets, beats)[0].score == pytest.approx(0.9 * found[Metre(2, 4)])
    assert isinstance(onsets, Onsets)
