"""Beats and bars of synthesised songs, scored by mir_eval (C. Raffel et al., "mir_eval", ISMIR 2014)."""

import mir_eval
import numpy as np
import pytest

from tests.song.band import RATE, play, save, sing, steady
from timing.model.metre import COMMON_TIME, Metre
from timing.plain.errors import InputError, RecordingError
from timing.song.beats.grid import find_tempo
from timing.sound.decode import SONG_RATE_HZ, blocks


def f_measure(truth, found, window=0.03):
    return mir_eval.beat.f_measure(np.asarray(truth), np.asarray(found), window)


def codes(grid):
    return {finding.code for finding in grid.findings}


@pytest.fixture(scope="module")
def march(tmp_path_factory):
    beats = steady(104.3, 24, start=0.613)
    return beats, save(play(beats), tmp_path_factory.mktemp("songs") / "march.wav")


def test_a_steady_song_is_found_to_a_hundredth_of_a_bpm_and_a_few_milliseconds(march):
    beats, path = march
    grid = find_tempo(path, bpm=104)
    assert grid.bpm == pytest.approx(104.3, abs=0.02)
    assert f_measure(beats, grid.beats_s) >= 0.99
    assert mir_eval.beat.continuity(beats, np.array(grid.beats_s))[1] >= 0.99  # CMLt
    near = [min(grid.beats_s, key=lambda b: abs(b - t)) - t for t in beats]
    assert abs(np.median(near)) < 0.005
    assert len(grid.pieces) == 1


def test_bars_are_not_claimed_without_a_downbeat(march):
    beats, path = march
    grid = find_tempo(path)
    assert grid.downbeats_s == ()
    assert {"bars-unknown", "metre-guessed"} <= codes(grid)
    (finding,) = (f for f in grid.findings if f.code == "bars-unknown")
    assert min(abs(c - beats[0]) for c in finding.facts["candidates_s"]) < 0.02


@pytest.mark.parametrize("tapped", [0, 40, 92])
def test_one_downbeat_given_finds_all(march, tapped):
    beats, path = march
    grid = find_tempo(path, 104, COMMON_TIME, beats[tapped] + 0.04)  # a tap is late
    assert f_measure(beats[::4], grid.downbeats_s, 0.07) >= 0.98
    assert not codes(grid)


def test_a_waltz_with_its_metre(tmp_path):
    beats = steady(126, 24, 3)
    grid = find_tempo(save(play(beats, 3), tmp_path / "w.wav"), 126, Metre(3, 4), beats[3])
    assert f_measure(beats, grid.beats_s) >= 0.99
    assert f_measure(beats[::3], grid.downbeats_s, 0.07) >= 0.98


def test_the_offset_moves_every_beat_and_half_a_beat_half_a_beat(march):
    _, path = march
    plain, late = find_tempo(path, 104), find_tempo(path, 104, offset_ms=20)
    assert np.allclose(np.array(late.beats_s) - plain.beats_s, 0.02)
    half = find_tempo(path, 104, half_beat_shift=True)
    assert half.beats_s[0] - plain.beats_s[0] == pytest.approx(30 / plain.bpm, abs=1e-6)


def changed(first_bpm, second_bpm, first_beats=64, second_beats=64, pause=0.0):
    one = 0.5 + np.arange(first_beats) * 60 / first_bpm
    two = one[-1] + 60 / first_bpm + pause + np.arange(second_beats) * 60 / second_bpm
    return np.concatenate([one, two])


@pytest.mark.parametrize("tempos", [(126, 84), (100, 120), (92, 138)])  # 3:2, 5:6 and 2:3
def test_a_change_of_tempo_is_found_and_said(tmp_path, tempos):
    beats = changed(*tempos)
    grid = find_tempo(save(play(beats, hats=False), tmp_path / "c.wav"), tempos[0], COMMON_TIME, beats[8])
    assert f_measure(beats, grid.beats_s, 0.07) >= 0.95
    assert "tempo-changes" in codes(grid)
    assert f_measure(beats[::4], grid.downbeats_s, 0.07) >= 0.95


def test_after_a_pause_the_beat_starts_again_at_its_tempo(tmp_path):
    beats = changed(112, 112, pause=1.37)
    grid = find_tempo(save(play(beats), tmp_path / "p.wav"), 112, COMMON_TIME, beats[0])
    assert f_measure(beats, grid.beats_s) >= 0.98
    assert {"beat-breaks", "bars-restart"} <= codes(grid)
    assert f_measure(beats[::4], grid.downbeats_s, 0.07) >= 0.98


@pytest.mark.parametrize("off", [-0.035, 0.035])
def test_a_pause_of_almost_two_beats_is_no_two_beats(tmp_path, off):
    beats = changed(112, 112, pause=2 * 60 / 112 + off)
    grid = find_tempo(save(play(beats, hats=False), tmp_path / "p.wav"), 112, COMMON_TIME, beats[0])
    assert f_measure(beats, grid.beats_s, 0.02) == 1
    assert {"beat-breaks", "bars-restart"} <= codes(grid)
    assert f_measure(beats[::4], grid.downbeats_s, 0.07) == 1


def test_rests_of_whole_beats_do_not_break_the_beat(tmp_path):
    whole = steady(112, 34)
    beats = np.delete(whole, slice(64, 68))
    grid = find_tempo(save(play(beats, hats=False), tmp_path / "r.wav"), 112, COMMON_TIME, beats[0])
    assert f_measure(whole, grid.beats_s, 0.02) >= 0.99
    assert "beat-breaks" not in codes(grid)


def test_a_slow_drift_keeps_every_beat(tmp_path):
    # Two per cent either way, as players without a click drift.
    index = np.arange(200)
    beats = 0.5 + np.concatenate([[0], np.cumsum(60 / 96 / (1 + 0.02 * np.sin(2 * np.pi * index / 130)))])
    for downbeat in (None, beats[100]):
        grid = find_tempo(save(play(beats), tmp_path / "d.wav"), 96, COMMON_TIME, downbeat)
        assert f_measure(beats, grid.beats_s, 0.07) >= 0.99
        assert np.diff(grid.beats_s).max() < 1.5 * 60 / 96


@pytest.mark.parametrize(("curve", "last"), [(2, 0.4), (3, 0.5)])
def test_the_ritardando_of_players_is_followed(tmp_path, curve, last):
    # v(x) = (1 + (w^q - 1) x)^(1/q): A. Friberg & J. Sundberg, JASA 105 (1999); q 2 to 3 measured on music.
    x = np.arange(12) / 12
    steps = np.concatenate([np.full(84, 60 / 93), 60 / 93 / (1 + (last**curve - 1) * x) ** (1 / curve)])
    beats = 0.5 + np.concatenate([[0], np.cumsum(steps)])
    grid = find_tempo(save(play(beats), tmp_path / "r.wav"), 93)
    assert f_measure(beats, grid.beats_s, 0.07) >= 0.97


def test_a_ritardando_is_followed(tmp_path):
    steps = np.concatenate([np.full(80, 60 / 104), 60 / 104 * (1 + 0.8 * np.arange(16) / 16)])
    beats = 0.5 + np.concatenate([[0], np.cumsum(steps)])
    grid = find_tempo(save(play(beats), tmp_path / "r.wav"), 104)
    assert f_measure(beats, grid.beats_s, 0.07) >= 0.95


def test_half_and_double_are_offered_where_sound_cannot_tell(tmp_path):
    beats = steady(70, 16)
    grid = find_tempo(save(play(beats), tmp_path / "h.wav"))
    assert abs(grid.bpm - 70) < 0.1 or "tempo-octave" in codes(grid)
    assert "tempo-octave" not in codes(find_tempo(tmp_path / "h.wav", 70))


def test_a_slow_song_with_nothing_between_its_half_beats_is_not_doubled(tmp_path):
    # The felt beat has a faster level below it (F. Lerdahl & R. Jackendoff, 1983): at 152 bpm nothing would divide it.
    grid = find_tempo(save(play(steady(76, 16)), tmp_path / "s.wav"))
    assert grid.bpm == pytest.approx(76, abs=0.05)


@pytest.mark.parametrize(("bpm", "a_bar", "hats"), [(152, 4, True), (150, 3, False)])
def test_a_fast_song_is_not_halved(tmp_path, bpm, a_bar, hats):
    # Hats divide the beat of the march; a bar of three cannot be halved.
    grid = find_tempo(save(play(steady(bpm, 24, a_bar), a_bar, hats=hats), tmp_path / "f.wav"))
    assert grid.bpm == pytest.approx(bpm, abs=0.05)


def test_noise_is_reported_as_weak(tmp_path):
    noise = np.random.default_rng(3).normal(size=RATE * 20) * 0.1
    assert "weak-pulse" in codes(find_tempo(save(noise, tmp_path / "n.wav")))


@pytest.mark.parametrize(
    ("bpm", "downbeat", "message"),
    [(0, None, "tempo lies between"), (104, 1e4, "outside the song")],
)
def test_impossible_hints_are_refused(march, bpm, downbeat, message):
    with pytest.raises(InputError, match=message):
        find_tempo(march[1], bpm, None, downbeat)


def test_files_without_usable_sound_are_refused(tmp_path):
    with pytest.raises(RecordingError, match="no such file"):
        find_tempo(tmp_path / "none.wav")
    (tmp_path / "text.wav").write_text("not a sound")
    with pytest.raises(RecordingError, match="cannot be read as sound"):
        find_tempo(tmp_path / "text.wav")
    with pytest.raises(RecordingError, match="no sound that begins"):
        find_tempo(save(np.sin(np.arange(100) / 5), tmp_path / "short.wav"))
    with pytest.raises(RecordingError, match="silence"):
        find_tempo(save(np.zeros(RATE * 5), tmp_path / "silent.wav"))


@pytest.mark.parametrize("length", [3000, RATE // 2])
def test_a_very_short_sound_does_not_fail(tmp_path, length):
    sound = np.sin(np.arange(length) / 5)
    grid = find_tempo(save(sound, tmp_path / "s.wav"), 100)
    assert len(grid.beats_s) <= 2


def test_decoding_keeps_length_and_place(tmp_path):
    # soundfile (libsndfile) writes and reads independently of the decoder used here.
    import soundfile

    sound = play(steady(120, 4))
    for name in ("a.wav", "a.flac", "a.ogg"):
        soundfile.write(tmp_path / name, sound, RATE)
        ours = np.concatenate(list(blocks(tmp_path / name)))
        theirs, rate = soundfile.read(tmp_path / name)
        assert rate == SONG_RATE_HZ
        assert abs(len(ours) - len(theirs)) <= 1
        count = min(len(ours), len(theirs))
        assert np.corrcoef(ours[:count], theirs[:count])[0, 1] > 0.999
    soundfile.write(tmp_path / "s.wav", np.repeat(np.stack([sound, sound], 1), 2, axis=0), 2 * RATE)
    ours = np.concatenate(list(blocks(tmp_path / "s.wav")))
    assert np.corrcoef(ours[: len(sound)], sound[: len(ours)])[0, 1] > 0.99


def test_a_tempo_that_few_onsets_bear_out_is_doubted(tmp_path):
    loose = np.cumsum(np.random.default_rng(5).uniform(0.25, 0.95, 60)) + 0.5
    grid = find_tempo(save(play(loose, hats=False), tmp_path / "l.wav"))
    assert {"tempo-unsure", "weak-pulse", "tempo-changes", "tempo-octave"} & codes(grid)


def test_a_downbeat_off_the_beat_keeps_the_tempo(march):
    beats, path = march
    grid = find_tempo(path, 104, COMMON_TIME, float(beats[20]) + 0.2)
    assert grid.bpm == pytest.approx(104.3, abs=0.05)
    assert max(bpm for _, bpm, _ in grid.pieces) - min(bpm for _, bpm, _ in grid.pieces) < 0.5


def test_a_voice_alone_in_six_eight_has_its_beats_where_notes_last(tmp_path):
    # Long, short, long, short ("Hump-ty Dump-ty"): the longer note is the accented one (D.-J. Povel & P. Essens, 1985).
    beats = steady(66, 20, 2)
    third = 60 / 66 / 3
    notes = np.sort(np.concatenate([beats, beats + 2 * third]))
    for seed in range(1, 4):
        grid = find_tempo(save(sing(notes, seed), tmp_path / f"v{seed}.wav"), 66, Metre(6, 8))
        assert f_measure(beats, grid.beats_s, 0.07) >= 0.98
