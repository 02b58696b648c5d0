"""Levels, edges, centre and cleaning on signals whose truth follows from how they are made."""

from __future__ import annotations

from fractions import Fraction
from types import SimpleNamespace

import numpy as np
import pytest

from timing.sound.accompaniment import _smoothed, repeating
from timing.sound.bands import is_steady, power_of_bands, stretches
from timing.sound.centre import Spectra, centre
from timing.sound.clean import for_following, with_room, without_noise
from timing.sound.decode import Pieces, Sound, _Facts, _joined, _late_start, resample
from timing.sound.instrumental import _summed, shift_between
from timing.sound.levels import Levels, _db, loudness, measure, sound_regions, window_db

HZ = 16_000


def tone(hertz, seconds, level, rate=HZ):
    return level * np.sin(2 * np.pi * hertz * np.arange(int(seconds * rate)) / rate)


def whole(samples):
    return np.round(samples).astype(np.int16)


# Levels.


def test_a_window_of_25_ms_each_10_ms_by_hand():
    """Half of full scale is -6.02 dBFS. From sample 800 on it is there: windows of 400 each 160 hold 0, 80, 240, 400."""
    samples = np.zeros(1600, np.int16)
    samples[800:] = 16384
    levels = window_db(samples, HZ)
    assert len(levels) == 8  # 1 + (1600 - 400) / 160, the rest left out
    assert np.isneginf(levels[:3]).all()
    wanted = -6.0206 + 10 * np.log10([80 / 400, 240 / 400, 1, 1, 1])
    assert levels[3:] == pytest.approx(wanted, abs=1e-3)
    assert window_db(samples[800:900], HZ) == pytest.approx([-6.0206], abs=1e-3)  # shorter than a window
    long = np.full(6006 * 160 + 240, 16384, np.int16)  # one window after another, however they are cut into parts
    long[-400:] = 8192
    levels = window_db(long, HZ)
    assert len(levels) == 6006
    assert levels[[0, 5999, 6000]] == pytest.approx([-6.0206] * 3, abs=1e-3)
    assert levels[-1] == pytest.approx(-12.0412, abs=1e-3)


def test_levels_of_a_sound_by_hand():
    # Nine seconds at -20 dBFS, one at -60: loud windows -20, quiet ones (the 5th percentile) -60, root of mean square
    # -20 less a tenth.
    samples = np.concatenate([np.full(9 * HZ, 3277), np.full(HZ, 33)]).astype(np.int16)
    found = measure(Sound(samples, peak=0.1, clipped_share=0.25, damaged_blocks=3))
    assert found.speech_dbfs == pytest.approx(-20, abs=0.01)
    assert found.floor_dbfs == pytest.approx(-60, abs=0.1)
    assert found.snr_db == pytest.approx(40, abs=0.1)
    assert found.rms_dbfs == pytest.approx(-20 + 10 * np.log10(0.9), abs=0.01)
    assert (found.seconds, found.peak_dbfs, found.clipped_share, found.damaged_blocks) == (
        10,
        pytest.approx(-20),
        0.25,
        3,
    )


def test_silence_has_no_level():
    found = measure(Sound(np.zeros(HZ, np.int16)))
    assert (found.peak_dbfs, found.rms_dbfs, found.speech_dbfs, found.floor_dbfs) == (-120, -120, -120, -120)
    assert found.is_silent
    assert measure(Sound(np.zeros(0, np.int16))).rms_dbfs == -120
    assert _db(1.01e-6) == pytest.approx(-119.9, abs=0.1)
    assert _db(1e-6) == -120


def levels(speech=-20.0, floor=-60.0, clipped=0.0, damaged=0):
    return Levels(Fraction(1), -3.0, -23.0, speech, floor, clipped, damaged)


@pytest.mark.parametrize(
    ("made", "codes"),
    [
        (levels(), []),
        (levels(speech=-45.0, floor=-90), []),
        (levels(speech=-45.1, floor=-90), ["quiet"]),
        (levels(clipped=0.0005), []),
        (levels(clipped=0.00051), ["clipped"]),
        (levels(floor=-38.0), []),
        (levels(floor=-37.9), ["noisy"]),
        (levels(damaged=1), ["damaged"]),
        (levels(speech=-75.0, floor=-110), ["quiet"]),
        (levels(speech=-75.1, floor=-110, clipped=1, damaged=2), ["damaged", "silent"]),
        (levels(speech=-46, floor=-50, clipped=1, damaged=2), ["damaged", "quiet", "clipped", "noisy"]),
    ],
)
def test_what_is_told_of_a_recordings_levels(made, codes):
    assert [f.code.value for f in made.findings()] == codes


def test_figures_of_what_is_told():
    (noisy,) = levels(floor=-33.0).findings()
    assert "stands only 13 dB above the noise, so times may be off by a frame or two" in noisy.message
    (noisy,) = levels(floor=-32.96).findings()
    assert "so times are not to be trusted" in noisy.message
    assert noisy.facts == {"snr_db": 13.0}
    (noisy,) = levels(floor=-10).findings()
    assert "stands only 0 dB" in noisy.message
    (clipped,) = levels(clipped=0.0123456).findings()
    assert "(1.23 % of samples at the limit)" in clipped.message
    assert clipped.facts == {"clipped_share": 0.012346}
    (quiet,) = levels(speech=-50.44, floor=-90).findings()
    assert "speech at -50 dB" in quiet.message
    assert quiet.facts == {"speech_dbfs": -50.4}


def test_the_outline_on_paper_is_the_root_of_the_highest_sample():
    # Four values a second at 16 samples a second: 100 is the highest, 25 half as high, 1 a tenth.
    samples = np.array([0, -100, 3, 1, 25, 0, 0, 0, 1, 1, 1, 1, 0, 0, 0, 0, 9], np.int16)
    assert loudness(samples, 16, 4) == (1.0, 0.5, 0.1, 0.0, 0.3)
    assert loudness(samples[:0], 16, 4) == ()
    assert loudness(np.zeros(8, np.int16), 16, 4) == (0.0, 0.0)


def pulses(spans, seconds, quiet=3.0, loud=3277.0):
    dice = np.random.default_rng(4)
    samples = dice.normal(0, quiet, int(seconds * HZ))
    for start, end in spans:
        inside = slice(round(start * HZ), round(end * HZ))
        samples[inside] += tone(300, seconds, loud)[inside]
    return whole(samples)


def test_pauses_shorter_than_a_quarter_of_a_second_part_nothing():
    # 58 dB between speech and quiet: the level alone tells.
    for gap, parts in ((0.22, 1), (0.30, 2)):
        found = sound_regions(Sound(pulses([(1, 2), (2 + gap, 3)], 4)))
        assert len(found) == parts
        assert (float(found[0][0]), float(found[-1][1])) == pytest.approx((1, 3), abs=0.03)
    found = sound_regions(Sound(pulses([(1, 2), (2.22, 3)], 4)), shortest_gap_ms=150)
    assert len(found) == 2
    assert sound_regions(Sound(np.zeros(HZ, np.int16))) == ()


def test_a_sound_forty_decibels_under_the_speech_is_none():
    # At a third and a little of the way from the quiet to the speech, and never more than 40 dB below the speech.
    def parts(db):
        samples = pulses([(1, 2)], 4, quiet=0.4).astype(float)
        samples[int(2.8 * HZ) : int(3.2 * HZ)] += tone(300, 0.4, 3277 * 10 ** (db / 20))
        return len(sound_regions(Sound(whole(samples))))

    assert parts(-35) == 2
    assert parts(-44) == 1


# Bands.


@pytest.mark.parametrize(("step", "steady"), [(0.43, True), (0.445, False)])
def test_steady_is_three_and_a_half_decibels_between_the_2nd_and_the_10th_percentile(step, steady):
    # Of the numbers 0 to 100 times a step they lie eight steps apart.
    values = np.append(np.arange(101) * step - 60, -np.inf)
    assert is_steady(values) is steady


def noise_of_three_tones(seconds=6.0):
    return tone(500, seconds, 100) + tone(1500, seconds, 100) + tone(4000, seconds, 100)


def raised(by_db, hertz=4000, start=2.0, end=2.3, seconds=6.0, loud_at=0.5, loud=3000, loud_hz=500):
    """Three steady tones, one a band, with half a second of speech, and one tone louder for a while."""
    samples = noise_of_three_tones(seconds)
    inside = slice(int(start * HZ), int(end * HZ))
    samples[inside] += tone(hertz, seconds, 100 * (10 ** (by_db / 20) - 1))[inside]
    said = slice(int(loud_at * HZ), int((loud_at + 0.5) * HZ))
    samples[said] += tone(loud_hz, seconds, loud)[said]
    return stretches(whole(samples), Fraction(1, 4))


@pytest.mark.parametrize("hertz", [500, 1500, 4000])
def test_six_decibels_above_its_own_quiet_in_any_band_is_sound(hertz):
    assert len(raised(5.3, hertz)) == 1
    found = raised(6.8, hertz)
    assert [(float(a), float(b)) for a, b in found] == [
        pytest.approx((0.5, 1.0), abs=0.026), pytest.approx((2.0, 2.3), abs=0.026)
    ]  # fmt: skip


def test_thirty_six_decibels_below_the_speech_nothing_counts():
    # Speech of 20,000: 36 dB below it is 317; the tone raised to 100 x 10^(9/20) = 282 is not heard, 355 is.
    loud = {"loud": 20_000, "loud_at": 3.0, "loud_hz": 4000}
    assert len(raised(9, 4000, **loud)) == 1
    assert len(raised(16, 4000, **loud)) == 2


def test_less_than_five_hundredths_of_a_second_is_no_stretch():
    assert len(raised(20, end=2.02)) == 2  # a window of 25 ms and three averaged make it longer
    assert stretches(np.zeros(400 + 160 * 4, np.int16), Fraction(1, 4)) == ()


def test_each_tone_lies_in_its_own_band():
    for hertz, band in ((200, 0), (800, 0), (900, 1), (2200, 1), (2400, 2), (6500, 2)):
        power = power_of_bands(whole(tone(hertz, 0.5, 5000))).mean(axis=0)
        assert power.argmax() == band, hertz
        assert power[band] > 20 * np.delete(power, band).max()
    assert power_of_bands(whole(tone(60, 0.5, 5000))).sum() < 0.02 * power_of_bands(whole(tone(500, 0.5, 5000))).sum()
    assert power_of_bands(np.zeros(399, np.int16)).shape == (0, 3)
    assert power_of_bands(np.zeros(400, np.int16)).shape == (1, 3)
    assert power_of_bands(np.zeros(720, np.int16)).shape == (3, 3)


# Noise taken out.


def test_a_steady_tone_is_turned_down_to_a_fifth_and_what_is_louder_is_kept():
    """Spectral subtraction: of power p with noise n the root of 1 - 1.5 n / p is kept, a fifth at least.

    A tone alone is all noise: a fifth. Four times its power: the root of 1 - 1.5 / 4 = 0.79.
    """
    level = np.full(6 * HZ, 1000.0)
    level[3 * HZ : 5 * HZ] = 2000
    samples = whole(tone(1000, 6, 1) * level)
    out = without_noise(samples)
    assert len(out) == len(samples)

    def gain(a, b):
        part = slice(int(a * HZ), int(b * HZ))
        return np.std(out[part].astype(float)) / np.std(samples[part].astype(float))

    assert gain(0.5, 2.5) == pytest.approx(0.2, abs=0.003)
    assert gain(3.5, 4.5) == pytest.approx(np.sqrt(1 - 1.5 / 4), abs=0.003)
    inner = slice(int(3.5 * HZ), int(4.5 * HZ))
    assert np.corrcoef(out[inner], samples[inner])[0, 1] > 0.9999  # in its place to the sample
    short = whole(tone(1000, 0.1, 1000))
    assert without_noise(short) is short


def test_noise_of_the_quietest_tenth_is_taken_out_whatever_sounds_elsewhere():
    # A tenth of the time only the hum; a voice at another pitch is left as it is.
    samples = tone(300, 10, 400)
    samples[HZ:] += tone(2000, 9, 4000)
    out = without_noise(whole(samples)).astype(float)
    spectrum = np.abs(np.fft.rfft(out[2 * HZ : 9 * HZ] * np.hanning(7 * HZ)))
    hertz = np.fft.rfftfreq(7 * HZ, 1 / HZ)
    hum, said = (spectrum[np.abs(hertz - f) < 4].max() for f in (300, 2000))
    assert hum / said == pytest.approx(0.2 * 400 / 4000, rel=0.1)


def test_faint_noise_lies_from_the_first_sound_to_the_last():
    samples = np.zeros(3 * HZ, np.int16)
    samples[HZ] = samples[2 * HZ] = 5000
    out = with_room(samples, -60.0)  # 32.8: what is louder than four times that is sound
    assert (out[:HZ] == 0).all()
    assert (out[2 * HZ :] == samples[2 * HZ :]).all()
    assert np.std(out[HZ + 1 : 2 * HZ].astype(float)) == pytest.approx(32.77, rel=0.02)
    assert abs(int(out[HZ]) - 5000) < 200
    for height, is_heard in ((130, False), (133, True)):
        samples[HZ // 2] = height
        assert (with_room(samples, -60.0)[HZ // 2 + 1 : HZ].any()) == is_heard
    assert (with_room(np.zeros(50, np.int16), -60.0) == 0).all()


@pytest.mark.parametrize(("snr_db", "is_cleaned"), [(21.9, True), (22.0, False)])
def test_noise_is_taken_out_below_22_decibels(snr_db, is_cleaned):
    samples = whole(np.random.default_rng(2).normal(0, 500, 2 * HZ))
    sound = Sound(samples)
    heard = for_following(sound, levels(speech=-30, floor=-30 - snr_db)).samples
    cleaned = np.std(heard[HZ // 2 : HZ].astype(float)) < 0.8 * np.std(samples.astype(float))
    assert bool(cleaned) is is_cleaned


def test_faint_noise_is_45_decibels_below_the_speech():
    samples = np.zeros(2 * HZ, np.int16)
    samples[:10] = samples[-10:] = 20_000
    heard = for_following(Sound(samples), levels(speech=-15, floor=-90)).samples
    assert np.std(heard[100:-100].astype(float)) == pytest.approx(32.77, rel=0.03)
    silent = Sound(samples)
    assert for_following(silent, levels(speech=-80, floor=-90)) is silent


# The middle of a mix.


@pytest.mark.parametrize("right", [0.0, 0.41, 0.5, 0.7, 1.0])
def test_a_tone_is_kept_as_far_as_both_sides_agree(right):
    """Likeness 2 r / (1 + r^2), from 0.7 to 0.98 rising to all of it, squared; the middle is half of both sides."""
    left = tone(1000, 2, 8000, 44100)
    out = centre(whole(np.stack([left, right * left], 1)), 44100)
    alike = 2 * right / (1 + right**2)
    wanted = min(1, max(0, (alike - 0.7) / 0.28)) ** 2 * (1 + right) / 2
    assert np.std(out[8192:-8192].astype(float)) == pytest.approx(wanted * 8000 / np.sqrt(2), abs=25)


@pytest.mark.parametrize(("hertz", "share"), [(80, 0), (180, 1)])
def test_below_120_hz_nothing_is_kept(hertz, share):
    left = tone(hertz, 2, 8000, 44100)
    out = centre(whole(np.stack([left, left], 1)), 44100)
    assert np.std(out[8192:-8192].astype(float)) == pytest.approx(share * 8000 / np.sqrt(2), abs=60)


def test_gains_are_applied_to_their_own_frames():
    left = tone(1000, 4, 8000, 44100)
    seen = []

    def gains(first, last):
        seen.extend(range(first, last))
        return np.where(np.arange(first, last)[:, None] < 60, 1.0, 0.5) * np.ones(2049)

    out = centre(whole(np.stack([left, left], 1)), 44100, gains).astype(float)
    assert seen == list(range(4 * 44100 // 1024 + 4))
    level = 8000 / np.sqrt(2)
    assert np.std(out[8192 : 60 * 1024 - 4096]) == pytest.approx(level, rel=0.01)
    assert np.std(out[60 * 1024 + 4096 : -8192]) == pytest.approx(level / 2, rel=0.01)


@pytest.mark.parametrize(("rate", "size"), [(44100, 4096), (22050, 2048), (16000, 2048), (48000, 4096)])
def test_a_window_is_the_power_of_two_nearest_to_93_ms(rate, size):  # by octaves: 1,488 samples are 2,048
    spectra = Spectra(np.zeros((9 * size + 5, 2), np.int16), rate)
    assert (spectra.size, spectra.hop, spectra.count) == (size, size // 4, 40)


def test_a_frame_stands_around_its_moment():
    sound = np.zeros((40_000, 2), np.int16)
    sound[10 * 512, 0] = 1000
    spectra = Spectra(sound, 22050)
    height = np.abs(spectra.frames(0, spectra.count)[:, 5, 0])
    assert height.argmax() == 10
    assert height[10] == pytest.approx(1000)  # the middle of a Hann window is 1
    assert height[[8, 12]] == pytest.approx([0, 0], abs=1e-3)
    assert np.abs(spectra.frames(7, 12)[:, 5, 0]) == pytest.approx(height[7:12])


PERIOD = 20  # frames


def looped(turns=34, hop=512):
    """A band that plays the same thirty times over, wide and in the middle, to the sample; in the middle of turn 15,
    for five frames, something else comes in as loud."""
    dice = np.random.default_rng(8)
    once = dice.normal(0, 600, (PERIOD * hop, 2))
    once[:, 1] = 0.3 * once[:, 0] + once[:, 1]
    tune = np.tile(once, (turns, 1))
    at = slice((15 * PERIOD + 6) * hop, (15 * PERIOD + 11) * hop)
    tune[at] += dice.normal(0, 3000, (5 * hop, 1))
    return whole(tune)


def test_what_comes_back_is_turned_down_and_what_is_heard_once_is_kept():
    gains = repeating(looped(), 22050)(0, 34 * PERIOD)
    used = np.fft.rfftfreq(2048, 1 / 22050) < 8000
    assert (gains[:, ~used] == 1).all()
    mean = gains[:, used].mean(axis=1)
    assert mean[60 : 15 * PERIOD].max() < 0.1
    assert mean[15 * PERIOD + 8] > 0.75
    assert repeating(looped(), 22050)(300, 320) == pytest.approx(gains[300:320])


def test_twice_as_loud_as_elsewhere_is_half_of_it_to_the_power_of_seven_tenths():
    tune = looped().astype(float)
    tune[(15 * PERIOD + 6) * 512 : (15 * PERIOD + 11) * 512] = tune[6 * 512 : 11 * 512]
    part = slice(16 * PERIOD * 512, 17 * PERIOD * 512)
    tune[part] *= 2  # (2 - 1) / 2
    gains = repeating(whole(tune), 22050)(16 * PERIOD + 8, 16 * PERIOD + 12)
    used = np.fft.rfftfreq(2048, 1 / 22050) < 8000
    assert np.median(gains[:, used]) == pytest.approx(0.5**0.7, abs=0.02)


def test_a_sound_must_be_long_enough_to_compare():
    # At 22,050 Hz 0.8 s are 34 frames of 512: twice that, and four times 24 neighbours, are 164 frames.
    for frames, is_enough in ((163, False), (164, True)):
        sound = np.random.default_rng(1).normal(0, 500, ((frames - 4) * 512, 2))
        assert (repeating(whole(sound), 22050) is not None) is is_enough


def test_rows_are_means_of_nine_with_held_ends():
    rows = np.random.default_rng(2).normal(size=(30, 3)).astype(np.float32)
    padded = np.pad(rows, ((4, 4), (0, 0)), "edge")
    wanted = np.stack([padded[k : k + 9].mean(axis=0) for k in range(30)])
    assert _smoothed(rows) == pytest.approx(wanted, abs=1e-5)


def test_sums_around_a_row_by_hand():
    values = np.arange(1, 11, dtype=np.complex64)[:, None]
    found = _summed(values, 2, 0, 10)[:, 0].real
    assert found.tolist() == [6, 10, 15, 20, 25, 30, 35, 40, 34, 27]  # 1 + 2 + 3, 1 + .. + 4, 1 + .. + 5, ...
    assert _summed(values, 2, 3, 5)[:, 0].real.tolist() == [20, 25]


def test_a_shift_is_found_to_four_samples():
    noise = np.random.default_rng(5).normal(0, 2000, (30_000, 2))
    for shift in (-2000, -8, 0, 400):
        mix = np.zeros((30_000, 2))
        low, high = max(0, shift), min(30_000, 30_000 + shift)
        mix[low:high] = noise[low - shift : high - shift]
        assert shift_between(whole(mix), whole(noise)) == shift
    other = np.random.default_rng(6).normal(0, 2000, (30_000, 2))
    assert shift_between(whole(other), whole(noise)) is None


# Decoded samples.


def test_stretches_that_touch_are_one():
    assert _joined([(5, 9), (0, 2), (2, 4), (6, 7)]) == [(0, 4), (5, 9)]
    assert _joined([(0, 5), (1, 2), (6, 8)]) == [(0, 5), (6, 8)]


def test_parts_are_cut_like_the_whole_and_only_the_last_may_end():
    sound = Pieces([(100, np.arange(100, 110, dtype=np.int16)), (0, np.arange(20, dtype=np.int16))])
    assert sound[3:6].tolist() == [3, 4, 5]
    assert sound[0:20].tolist() == list(range(20))
    assert sound[105:300].tolist() == [105, 106, 107, 108, 109]  # the sound itself ends there
    assert sound[5:5].tolist() == []
    assert sound[8:6].tolist() == []
    for start, stop in ((0, 21), (19, 30), (50, 60)):
        with pytest.raises(IndexError, match=f"samples {start} to {stop}"):
            sound[start:stop]
    assert Pieces([])[4:9].tolist() == []


def test_a_resampled_tone_keeps_its_moments():
    found = resample(whole(tone(500, 1.3, 9000, 22050)), 22050, 16_000)
    assert len(found) == pytest.approx(1.3 * 16_000, abs=20)
    wanted = tone(500, 1.3, 9000)
    inner = slice(500, 20_000)
    assert np.abs(found[inner] - wanted[inner]).max() < 60
    assert len(resample(np.zeros(0, np.int16), 22050, 16_000)) == 0


def frame(values, name, is_packed=False, channels=2, rate=8000):
    return SimpleNamespace(
        layout=SimpleNamespace(channels=["x"] * channels), sample_rate=rate, samples=values.size // channels,
        to_ndarray=lambda: values, format=SimpleNamespace(name=name, is_packed=is_packed),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("name", "quiet", "full"),
    [
        ("s16", 1 << 14, 32767),
        ("s32", 1 << 30, (1 << 31) - 1),
        ("flt", 0.5, 1.0),
        ("dbl", 0.5, 0.9995),
        ("u8", 192, 255),
    ],
)
def test_samples_of_every_format_are_held_against_full_scale(name, quiet, full):
    kind = {"s16": np.int16, "s32": np.int32, "flt": np.float32, "dbl": np.float64, "u8": np.uint8}[name]
    facts = _Facts()
    zero = 128 if name == "u8" else 0
    facts.see(frame(np.array([[zero, quiet, zero, zero], [zero] * 4], kind), f"{name}p"))
    assert (facts.channels, facts.rate_hz, facts.samples, facts.clipped) == (2, 8000, 4, 0)
    assert facts.peak == pytest.approx(0.5)
    if name != "u8":  # 255 is 127 of 128
        facts.see(frame(np.array([[full, full, full, zero], [zero, full, zero, full]], kind), f"{name}p"))
        assert facts.clipped == 2  # the second and the third in a row; one alone is none
        assert facts.samples == 8
        # left and right one after the other: 1 1 1 0 on the left, 0 1 0 1 on the right
        facts.see(frame(np.array([[full, zero, full, full, full, zero, zero, full]], kind), name, is_packed=True))
        assert facts.clipped == 4
        assert facts.peak > 0.99


def test_clipped_is_a_thousandth_below_full_scale():
    for value, clipped in ((0.9991, 1), (0.9989, 0)):
        facts = _Facts()
        facts.see(frame(np.array([[value, value]]), "dblp", channels=1))
        assert facts.clipped == clipped


@pytest.mark.parametrize(
    ("time", "start", "late"),
    [
        (1.5, 500_000, 1.0),
        (0.0005, 0, 0),
        (0.002, 0, 0.002),
        (599, 0, 599),
        (601, 0, 0),
        (None, 0, 0),
        (1.0, None, 0),
        (1, 2_000_000, 0),
    ],
)
def test_a_first_sound_is_late_by_a_thousandth_to_ten_minutes(time, start, late):
    assert _late_start(SimpleNamespace(start_time=start), SimpleNamespace(time=time)) == pytest.approx(late)


def test_what_is_louder_than_full_scale_ends_there():
    # A full-scale sound with noise on it, and a middle in which nothing is lost: no sample may turn its sign round.
    full = np.full(HZ, 32767, np.int16)
    full[::2] = -32768
    out = with_room(full, -20.0)
    assert (np.sign(out[1:-1].astype(int)) == np.sign(full[1:-1].astype(int))).all()
    assert out.max() == 32767
    assert out.min() == -32768
    square = whole(np.sign(tone(441, 1, 1, 44100)) * 32767)  # its steps overshoot when parts of it are kept
    middle = centre(np.stack([square, square], 1), 44100)
    away = middle[5000:-5000].astype(int) - square[5000:-5000]
    assert np.abs(away).max() < 20_000
