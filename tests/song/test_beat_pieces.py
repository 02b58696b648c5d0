"""Where a song leaves its steady grid: lines, regions, mends and joins worked out on beats drawn by hand."""

from itertools import pairwise

import numpy as np
import pytest

from tests.song.drawn import FRAMES_A_SECOND, LOUD, curve, drawn, frame
from timing.song.beats.ending import _curve, _is_ending, _step_by_step, find_ending
from timing.song.beats.follow import _beats, _local_periods, follow
from timing.song.beats.pieces import (
    Piece,
    _beat_by_beat,
    _is_believed,
    _join,
    _keeps_tempo,
    _mend,
    _merge,
    _one_tempo,
    _paused,
    _pieces,
    _polish,
    _regions,
    _spans,
    _stretch,
    _stumbles,
    straighten,
    track,
)
from timing.song.beats.steady import Steady, fit_steady

HALF = np.arange(40) * 0.5 + 1  # forty beats of half a second


def lines(*parts):
    """Beats at given periods, each part going on from the one before: (count, period), ..."""
    out = [1.0]
    for count, period in parts:
        out += [out[-1] + period * (n + 1) for n in range(count)]
    return np.array(out)


def shape(pieces):
    return [(round(p.start, 2), round(p.bpm), p.beats) for p in pieces]


def test_beats_on_one_line_are_one_span_and_a_bend_ends_it():
    assert _spans(HALF) == [(0, 40)]
    bent = lines((19, 0.5), (20, 0.4))
    (first, middle), (after, last) = _spans(bent)[0], _spans(bent)[-1]
    assert (first, last) == (0, 40)
    assert abs(middle - 20) <= 4  # four beats at a time
    assert all(a[1] == b[0] for a, b in pairwise(_spans(bent)))
    assert after >= middle


def test_beats_a_little_off_a_line_are_on_it():
    # Every other beat 10 ms either side: under the 11 ms the middle one may be off, and far under 18 ms when smoothed.
    wobble = np.where(np.arange(40) % 2, 0.010, -0.010)
    assert len(_spans(HALF + wobble)) == 1
    assert len(_spans(HALF + 1.4 * wobble)) > 1
    # A wave of twenty beats is no wobble: 17 ms high it is on the line in the middle, at its crests it is not.
    slow = np.sin(np.arange(40) / 40 * 4 * np.pi)
    assert len(_spans(HALF + 0.010 * slow)) == 1
    assert len(_spans(HALF + 0.030 * slow)) > 1


def test_straightened_beats_lie_on_the_lines_through_them():
    wobble = np.where(np.arange(40) % 2, 0.010, -0.010)
    line = np.polyval(np.polyfit(np.arange(40), HALF + wobble, 1), np.arange(40))
    assert straighten(HALF + wobble) == pytest.approx(line)
    few = np.array([1.0, 1.6, 2.0])  # fewer than four are left alone
    assert straighten(few).tolist() == few.tolist()
    four = np.array([1.0, 1.51, 2.0, 2.5])
    assert straighten(four) == pytest.approx(np.polyval(np.polyfit(np.arange(4), four, 1), np.arange(4)))


def test_spans_become_pieces_with_the_tempo_of_their_line():
    assert shape(_pieces(HALF)) == [(1.0, 120, 40)]
    assert shape(_pieces(np.array([1.0, 1.5, 2.0]))) == [(1.0, 120, 3)]
    assert shape(_pieces(np.array([1.0, 2.5]))) == [(1.0, 40, 2)]


def test_regions_are_where_beats_lie_three_hundredths_away_from_the_grid():
    for off, found in ((0.028, 0), (0.032, 1)):
        free = HALF.copy()
        free[10:20] += off
        regions = _regions(free, HALF)
        assert len(regions) == found
        for region in regions:
            assert region.tolist() == free[10:20].tolist()
    early = HALF.copy()
    early[10:20] -= 0.032
    assert [r.tolist() for r in _regions(early, HALF)] == [early[10:20].tolist()]


def test_a_region_goes_on_over_single_beats_that_are_near():
    free = HALF.copy()
    free[[10, 11, 13, 14]] += 0.1
    assert [len(r) for r in _regions(free, HALF)] == [5]
    free = HALF.copy()
    free[[10, 14]] += 0.1  # of the five beats from 11 on, two must be away
    assert [len(r) for r in _regions(free, HALF)] == [1, 1]
    free[15] += 0.1
    assert [len(r) for r in _regions(free, HALF)] == [6]


def strength_of(grid, free, on_grid, on_free):
    return curve(np.concatenate([grid, free]), 25, [on_grid] * len(grid) + [on_free] * len(free))


@pytest.mark.parametrize(
    ("count", "ratio", "is_unclear", "believed"),
    [
        # 1 + 2.5 / sqrt(16) = 1.625; where the beat is unclear 1 + 5 / 4 = 2.25
        (16, 1.60, False, False),
        (16, 1.65, False, True),
        (16, 2.20, True, False),
        (16, 2.30, True, True),
        # 1 + 2.5 / sqrt(25) = 1.5
        (25, 1.47, False, False),
        (25, 1.53, False, True),
        # Six beats are the fewest: 1 + 2.5 / sqrt(6) = 2.02
        (6, 2.1, False, True),
        (5, 9.0, False, False),
    ],
)
def test_free_beats_are_believed_where_they_find_clearly_more(count, ratio, is_unclear, believed):
    free = HALF[:count] + 0.13
    strength = strength_of(HALF, free, 4.0, 4.0 * ratio)
    assert _is_believed(strength, free, HALF, 0.5, None, is_unclear) is believed


def test_however_long_it_lasts_a_quarter_more_is_needed():
    # 1 + 2.5 / sqrt(120) = 1.23 is less than 1.25.
    grid = np.arange(130) * 0.15 + 1
    free = grid[:120] + 0.05
    for ratio, believed in ((1.24, False), (1.26, True)):
        strength = strength_of(grid, free, 4.0, 4.0 * ratio)
        assert _is_believed(strength, free, grid, 0.15, None, False) is believed


@pytest.mark.parametrize(
    ("away", "ratio", "believed"), [(0.25, 2.2, False), (0.29, 2.2, False), (0.31, 2.2, True), (0.25, 2.4, True)]
)
def test_beats_half_a_beat_off_need_twice_as_much(away, ratio, believed):
    # Within a tenth of half a beat of 0.5 s: 0.2 to 0.3 s.
    free = HALF[:16] + away
    strength = strength_of(HALF, free, 4.0, 4.0 * ratio)
    assert _is_believed(strength, free, HALF, 0.5, None, False) is believed


def test_a_downbeat_that_somebody_gave_is_not_left():
    free = HALF[:16] + 0.13
    strength = strength_of(HALF, free, 4.0, 16.0)
    for downbeat, believed in ((3.0, False), (3.13 + 0.07, True), (3.13 + 0.08, False), (1.0, True), (12.0, True)):
        assert _is_believed(strength, free, HALF, 0.5, downbeat, False) is believed, downbeat


def test_beats_that_keep_the_tempo_differ_by_less_than_a_hundredth():
    assert _keeps_tempo(np.arange(8) * 0.5049, 0.5)
    assert not _keeps_tempo(np.arange(8) * 0.5051, 0.5)
    assert not _keeps_tempo(np.arange(8) * 0.4949, 0.5)
    assert _keeps_tempo(np.array([1.0]), 0.5)
    assert not _keeps_tempo(np.array([1.0, 1.6]), 0.5)


def test_beats_one_by_one_are_pieces_that_last_to_the_next():
    assert shape(_beat_by_beat(np.array([1.0, 1.5, 2.25]))) == [(1.0, 120, 1), (1.5, 80, 1), (2.25, 80, 1)]
    assert _beat_by_beat(None) == []


def test_believed_stretches_take_the_place_of_the_grid():
    region = HALF[10:20] + 0.2
    merged = _merge([region], HALF, 0.5)
    # Six tenths of a beat, 0.3 s, around the region from 6.2 to 10.7: the grid keeps 5.5 (not 6.0 or 11.0).
    assert merged.tolist() == sorted([*HALF[:10], *region, *HALF[21:]])
    assert _merge([], HALF, 0.5).tolist() == HALF.tolist()
    # A stretch that ends within six beats, 3 s, of the end at 20.5 s has the end: 18.7 s does, 17.2 s does not.
    last = HALF[25:36] + 0.2
    assert _merge([last], HALF, 0.5).tolist() == [*HALF[:25], *last]
    earlier = HALF[23:33] + 0.2
    assert _merge([earlier], HALF, 0.5)[-1] == HALF[-1]


@pytest.mark.parametrize(
    ("middle", "stumbles"),
    [
        ((11.0, 120, 4), False),  # goes on as if nothing were
        ((11.05, 120, 4), False),  # a tenth of a beat late: less than 0.12
        ((11.065, 120, 4), True),
        ((11.0, 123, 4), False),  # within 3 % of those around it
        ((11.0, 124, 4), True),
        ((11.0, 116, 4), True),
    ],
)
def test_a_scrap_stumbles_that_is_off_the_beat_or_the_tempo(middle, stumbles):
    scrap = Piece(*middle)
    after = Piece(scrap.start + scrap.beats * scrap.period, 120, 20)
    assert _stumbles([Piece(1.0, 120, 20), scrap, after]) is stumbles


def test_scraps_between_two_long_pieces_are_given_to_them():
    """Beats to 10.5 s, a pause, beats from 14.2 s; between them five scraps of a tracker that stumbled."""
    before, after = np.arange(20) * 0.5 + 1, np.arange(20) * 0.5 + 14.2
    onsets = drawn(np.concatenate([before, after]), length_s=26)
    pieces = [Piece(1.0, 120, 20), Piece(11.1, 100, 5), Piece(14.2, 120, 20)]
    assert shape(_mend(onsets, pieces)) == [(1.0, 120, 20), (14.2, 120, 20)]
    # More than twelve beats between are no stumble, nor is what goes on evenly.
    many = [pieces[0], Piece(11.1, 250, 13), pieces[2]]
    assert shape(_mend(onsets, many)) == shape(many)
    dozen = [pieces[0], Piece(11.1, 250, 12), pieces[2]]
    assert len(_mend(onsets, dozen)) == 2
    short = [Piece(1.0, 120, 15), Piece(11.1, 100, 5), Piece(14.2, 120, 20)]
    assert len(_mend(onsets, short)) == 3
    assert shape(_mend(onsets, [pieces[0], Piece(11.0, 120, 5), Piece(13.5, 120, 20)])) == [
        (1.0, 120, 20), (11.0, 120, 5), (13.5, 120, 20)
    ]  # fmt: skip


def test_pieces_are_stretched_to_where_their_onsets_end_and_begin():
    # Onsets of the left piece to 8.0 s (15 beats), of the right one from 12.3 s; each gives up four beats first.
    left, right = np.arange(15) * 0.5 + 1, np.arange(25) * 0.5 + 12.3
    strength = curve(np.concatenate([left, right]), 26)
    a, b = _stretch(strength, Piece(1.0, 120, 18), Piece(13.3, 120, 20), 4.0)
    assert (a.start, a.beats, b.beats) == (1.0, 15, 22)
    assert b.start == pytest.approx(12.3)
    # Where onsets go on everywhere no two beats come closer than three quarters of the shorter beat.
    everywhere = np.full(frame(26), LOUD)
    a, b = _stretch(everywhere, Piece(1.0, 120, 18), Piece(12.2, 120, 20), 4.0)
    gap = b.start - (a.start + (a.beats - 1) * 0.5)
    assert 0.375 < gap < 0.876


def test_nothing_is_stretched_where_no_onset_bears_it_out():
    a, b = _stretch(np.zeros(frame(26)), Piece(1.0, 120, 18), Piece(13.3, 120, 20), 4.0)
    assert (a.beats, b.beats) == (14, 16)
    assert b.start == pytest.approx(15.3)


def test_a_long_piece_is_read_again_from_the_sound():
    truth = np.arange(30) * 0.5 + 1.0
    found = _polish(drawn(truth), Piece(1.02, 120.3, 30))
    assert found.bpm == pytest.approx(120, abs=0.1)
    assert found.moments() == pytest.approx(truth, abs=0.008)
    few = Piece(1.02, 120.3, 15)
    assert _polish(drawn(truth), few) == few
    assert _polish(drawn(truth), Piece(1.02, 120.3, 16)) != Piece(1.02, 120.3, 16)
    assert _polish(drawn(truth), Piece(1.0, 120.3, 30), 119.9).bpm == 119.9
    late = _polish(drawn(truth[10:]), Piece(6.01, 120, 20))  # a piece that begins later in the sound
    assert late.moments() == pytest.approx(truth[10:], abs=0.008)


def test_pieces_of_nearly_one_tempo_get_the_mean_by_their_beats():
    onsets = drawn(HALF, length_s=60)
    # 120 and 120.3 bpm, 0.25 % apart: (20 x 120 + 40 x 120.3) / 60 = 120.2
    found = _one_tempo(onsets, [Piece(1, 120, 20), Piece(30, 120.3, 40)])
    assert [p.bpm for p in found] == pytest.approx([120.2, 120.2])
    apart = [Piece(1, 120, 20), Piece(30, 120.4, 40)]  # 0.33 %
    assert _one_tempo(onsets, apart) == apart
    alone = [Piece(1, 120, 20), Piece(30, 120.3, 15)]
    assert _one_tempo(onsets, alone) == alone


def test_neighbours_on_one_line_are_one_piece():
    assert shape(_join([Piece(1, 120, 20), Piece(11, 120, 20)]).pieces) == [(1, 120, 40)]
    assert shape(_join([Piece(1, 120, 20), Piece(11.019, 120, 20)]).pieces) == [(1, 120, 40)]
    assert len(_join([Piece(1, 120, 20), Piece(11.021, 120, 20)]).pieces) == 2
    assert len(_join([Piece(1, 120, 20), Piece(11, 120.1, 20)]).pieces) == 2  # another tempo
    # A short one is joined within 0.3 %, a long one or a single beat not.
    assert shape(_join([Piece(1, 120, 20), Piece(11, 120.3, 15)]).pieces) == [(1, 120, 35)]
    assert len(_join([Piece(1, 120, 20), Piece(11, 120.3, 16)]).pieces) == 2
    assert len(_join([Piece(1, 120, 20), Piece(11, 120.3, 1)]).pieces) == 2
    assert len(_join([Piece(1, 120, 20), Piece(11, 120.4, 15)]).pieces) == 2
    assert shape(_join([Piece(1, 120, 20), Piece(11, 119.7, 2)]).pieces) == [(1, 120, 22)]


def test_a_piece_that_runs_into_the_next_loses_its_last_beat():
    # The last beat at 10.5 s lies 0.2 s, less than half a beat, before the next piece: what follows is 0.7 s after the
    # one before it.
    found = _join([Piece(1, 120, 20), Piece(10.7, 100, 20)])
    assert shape(found.pieces) == [(1, 120, 19), (10.7, 100, 20)]
    assert len(found.beats) == 39
    assert shape(_join([Piece(1, 120, 20), Piece(10.76, 100, 20)]).pieces)[0] == (1, 120, 20)
    assert shape(_join([Piece(1, 120, 1), Piece(1.1, 100, 20)]).pieces)[0] == (1, 120, 1)
    # Taken back by one beat it may go on evenly: one piece then.
    assert shape(_join([Piece(1, 120, 20), Piece(10.5, 120, 20)]).pieces) == [(1, 120, 39)]


def steady_of(onsets, bpm=120.0):
    return fit_steady(onsets, bpm)


def test_a_pause_of_nearly_whole_beats_parts_the_song():
    for off, parts in ((0.04, 2), (0.0, None), (0.012, None)):
        beats = np.concatenate([np.arange(30) * 0.5 + 1, np.arange(30) * 0.5 + 18 + off])
        onsets = drawn(beats, length_s=36)
        grid = steady_of(onsets)
        found = _paused(onsets, grid, grid.beats(0.9, 33))
        assert (found and len(found)) == parts, off
        if found:
            assert found[0].moments() == pytest.approx(beats[:30], abs=0.01)
            assert found[1].moments() == pytest.approx(beats[30:], abs=0.01)


def test_a_pause_is_longer_than_a_beat_and_a_half_and_has_sixteen_beats_on_both_sides():
    for before, pause, parts in ((30, 0.80, 2), (30, 0.70, None), (15, 1.06, None), (17, 1.06, 2)):
        beats = np.concatenate([np.arange(before) * 0.5 + 1, np.arange(30) * 0.5 + 0.5 + before * 0.5 + pause])
        onsets = drawn(beats, length_s=36)
        grid = steady_of(onsets)
        found = _paused(onsets, grid, grid.beats(0.9, beats[-1] + 0.1))
        assert (found and len(found)) == parts, (before, pause)


# Following freely.


def best_way(strength, period):
    """Return the beats by trying every way: strength less 96 times the squared logarithm of each step over the period."""
    n, best, way = len(strength), [], []
    for i in range(n):
        best.append(strength[i])
        way.append([i])
        for j in range(max(0, int(i - 1.6 * period)), int(i - 0.62 * period) + 1):
            if i - 0.62 * period < 1:
                continue
            value = best[j] - 96 * np.log((i - j) / period) ** 2
            if value > 0 and value + strength[i] > best[i]:
                best[i], way[i] = value + strength[i], [*way[j], i]
    last = max(range(n - int(1.5 * period), n), key=best.__getitem__)
    return way[last]


@pytest.mark.parametrize("seed", range(4))
def test_free_beats_are_the_best_way_through_all_frames(seed):
    strength = np.random.default_rng(seed).exponential(3, 120)
    found = _beats(strength, np.full(120, 11.0)) * FRAMES_A_SECOND
    assert np.round(found).astype(int).tolist() == best_way(strength, 11.0)


def test_the_local_tempo_follows_a_change():
    beats = np.concatenate([np.arange(1, 31, 0.5), np.arange(31, 60, 0.6)])
    periods = _local_periods(curve(beats, 60), 110)
    assert len(periods) == frame(60)
    assert periods[frame(10)] / FRAMES_A_SECOND == pytest.approx(0.5, rel=0.02)
    assert periods[frame(50)] / FRAMES_A_SECOND == pytest.approx(0.6, rel=0.02)
    # A beat at 0.62 to 1.6 of the song's tempo can be heard, its half or double cannot be taken for it.
    assert periods.min() / FRAMES_A_SECOND >= 60 / 110 / 1.6 - 1e-3
    assert periods.max() / FRAMES_A_SECOND <= 60 / 110 / 0.62 + 1e-3


def test_beats_are_followed_through_a_drift():
    steps = 0.5 * (1 + 0.05 * np.sin(np.arange(60) / 10))
    beats = 1 + np.cumsum(steps)
    found = follow(drawn(beats, length_s=33), 120)
    for beat in beats[1:-1]:
        assert np.abs(found - beat).min() < 0.012


# Endings.


def slowing(count, growth):
    steps = 0.5 * growth ** np.arange(1, count + 1)
    return np.concatenate([HALF, HALF[-1] + np.cumsum(steps)])


@pytest.mark.parametrize("growth", [1.05, 1.1])
def test_a_last_stretch_that_slows_down_is_found_beat_by_beat(growth):
    beats = slowing(12, growth)
    onsets = drawn(beats, length_s=beats[-1] + 2)
    grid = np.arange(1, beats[-1], 0.5)
    found = find_ending(onsets, grid, 0.5)
    assert found is not None
    for beat in beats[42:]:
        assert np.abs(found - beat).min() < 0.02
    assert find_ending(drawn(HALF, length_s=24), HALF, 0.5) is None


def test_beats_step_by_step_are_onsets_about_as_far_on_as_the_one_before():
    beats = slowing(8, 1.08)
    found = _step_by_step(drawn(beats, length_s=beats[-1] + 2), HALF[-1], 0.5)
    assert found == pytest.approx(beats[39:], abs=0.006)
    # One is missing: it lies where the step before it puts it.
    found = _step_by_step(drawn(np.delete(HALF, 35), length_s=24), HALF[30], 0.5)
    assert found == pytest.approx(HALF[30:], abs=0.006)


def test_an_ending_is_gradual_changed_and_clearly_heard():
    grid = np.arange(1, 40, 0.5)

    def ends(steps, on=LOUD, others=1.0):
        beats = 10 + np.cumsum([0.0, *steps])
        strength = curve(grid, 42, others)
        strength += curve(beats, 42, on)
        return _is_ending(strength, beats, grid, 0.5)

    slower = [0.5 * 1.03**n for n in range(1, 9)]
    assert ends(slower)
    assert not ends(slower[:4])  # five beats
    assert ends([0.5 * 1.05**n for n in range(1, 6)])  # six
    assert not ends(slower, on=1.0)
    assert not ends([0.53] * 8)  # 6 % is no change, 9 % is
    assert ends([0.545] * 8)
    assert ends([0.455] * 8)  # one that gathers speed
    assert not ends([*slower[:4], slower[4] * 1.2, *slower[5:]])  # a jump of a fifth


def test_the_curve_of_players_last_bars_is_found_whatever_else_sounds():
    # v(x) = (1 + (w^q - 1) x)^(1/q), q = 2, w = 0.5: A. Friberg & J. Sundberg, JASA 105 (1999).
    x = np.arange(10) / 10
    steps = 0.5 / np.sqrt(1 + (0.25 - 1) * x)
    beats = np.concatenate([HALF[:12], HALF[11] + np.cumsum(steps)])
    onsets = drawn(beats, length_s=beats[-1] + 0.3)
    found = _curve(onsets, HALF[8:14], 0.5)
    for beat in beats[12:]:
        assert np.abs(found - beat).min() < 0.06


def test_a_steady_song_is_one_piece_and_a_changed_one_two():
    found = track(drawn(HALF, length_s=24), Steady(120, 1.0, 0.0))
    assert shape(found.pieces) == [(1.0, 120, 40)]
    beats = np.concatenate([HALF, HALF[-1] + 0.4 * np.arange(1, 41)])
    onsets = drawn(beats, length_s=beats[-1] + 2)
    found = track(onsets, steady_of(onsets))
    long = [p for p in found.pieces if p.beats >= 16]
    assert [round(p.bpm) for p in long] == [120, 150]
    for beat in beats:
        assert np.abs(found.beats - beat).min() < 0.03


def test_a_few_beats_are_the_grid():
    few = track(drawn(HALF[:11], length_s=8), Steady(120, 1.0, 0.0))
    assert shape(few.pieces) == [(1.0, 120, 11)]
