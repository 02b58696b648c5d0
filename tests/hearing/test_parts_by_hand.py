"""Parts of hearing against their published formulas, against every way written out, and against sums on paper."""

from __future__ import annotations

from fractions import Fraction as F
from functools import cache

import numpy as np
import pytest

from tests.recording.material import pronounce_english, utterance_of
from timing.hearing import line_states
from timing.hearing.aligner import confidence_of, differences, line_confidence, room_of
from timing.hearing.beat_prior import Habit, _distance, _odds, habit
from timing.hearing.differences import Verdict
from timing.hearing.followed_words import HUM, Token, _by_vowels, _matched, is_foreign, timed_syllables, tokens_of
from timing.hearing.line_candidates import _ends, _levelled, _Lows, _marks, _near, _places, sounding_steps
from timing.hearing.line_places import Place
from timing.hearing.line_states import LineStates, Walk
from timing.hearing.pause_edges import _nearest, to_the_pause
from timing.hearing.phone_costs import COARSE, StateCosts, anything
from timing.hearing.recogniser import HeardPhone
from timing.hearing.rising_voice import rises
from timing.hearing.song_following import SungScriptedLine, _rooms
from timing.hearing.sound_features import _triangles, band_energies, cepstra_of, with_differences
from timing.hearing.spread import _at, rough_line
from timing.hearing.word_edges import joined
from timing.language import read_line
from timing.language.heard_as import Hearing
from timing.model import Origin, Syllable, TimedSyllable, TimedWord, Word
from timing.timers.pace import PaceTimer

STATES = 126  # of the plain phones: three each


# Features.


def test_a_tone_has_the_energy_of_its_band():
    """Mel bands after Stevens and others (1937), 2595 log10(1 + f / 700): 25 between 130 and 6,800 Hz."""
    mel = np.linspace(*(2595 * np.log10(1 + np.array([130, 6800]) / 700)), 27)
    middle = 700 * (10 ** (mel[1:-1] / 2595) - 1)
    at = np.arange(16_000) / 16_000
    for band in (3, 10, 20):
        tone = np.round(6000 * np.sin(2 * np.pi * middle[band] * at)).astype(np.int16)
        energies = band_energies(tone)
        assert energies.shape == (100, 25)
        assert energies[20:80].mean(axis=0).argmax() == band
        # Ten times as loud is 20 log 10 / 10 nats more.
        assert (band_energies(tone // 10)[50, band] - energies[50, band]) == pytest.approx(-np.log(100), abs=0.01)


def test_the_triangles_have_an_area_of_two_and_meet_their_neighbours():
    bands = _triangles(1.0)
    assert bands.shape == (25, 257)
    assert bands.sum(axis=1)[8:] * 31.25 == pytest.approx(np.ones(17), rel=0.2)
    assert (np.diff(bands.argmax(axis=1)) >= 1).all()
    mel = np.linspace(*(2595 * np.log10(1 + np.array([130, 6800]) / 700)), 27)
    edges = np.round(700 * (10 ** (mel / 2595) - 1) / 31.25)
    for band in (0, 12, 24):
        inside = np.flatnonzero(bands[band])
        assert (inside[0], inside[-1]) == (edges[band] + 1, edges[band + 2] - 1)
        assert bands[band].max() == pytest.approx(2 / ((edges[band + 2] - edges[band]) * 31.25))


def test_energies_in_blocks_are_those_of_the_whole():
    sound = np.random.default_rng(3).normal(0, 3000, 160 * 1200).astype(np.int16)
    whole = band_energies(sound)
    late = band_energies(sound[160 * 900 :])
    assert whole.shape == (1200, 25)
    assert np.abs(whole[905:1195] - late[5:295]).max() < 0.05  # but for the half bit of noise
    assert len(band_energies(sound[:161])) == 2
    emphasised = np.diff(sound.astype(np.float64), prepend=0) + 0.03 * np.concatenate([[0], sound[:-1]])
    cell = np.fft.rfft(emphasised[160 * 500 : 160 * 500 + 410] * np.hamming(410), 512)
    wanted = np.log((np.abs(cell) ** 2) @ _triangles(1.0).T + 1e-4)
    assert whole[500] == pytest.approx(wanted, abs=0.05)


def test_cepstra_are_cosines_of_the_energies_lifted():
    # Davis and Mermelstein (1980): c_k = sqrt(2 / N) sum e_n cos(pi k (n + 1/2) / N), less their mean, lifted.
    energies = np.random.default_rng(1).normal(0, 1, (6, 25)).astype(np.float32)
    n = np.arange(25)
    wanted = np.empty((6, 13))
    for k in range(13):
        scale = np.sqrt((1 if k == 0 else 2) / 25)
        wanted[:, k] = (
            (energies * np.cos(np.pi * k * (n + 0.5) / 25)).sum(axis=1) * scale * (1 + 11 * np.sin(np.pi * k / 22))
        )
    wanted -= wanted.mean(axis=0)
    assert cepstra_of(energies) == pytest.approx(wanted, abs=1e-4)


def test_differences_over_four_steps_and_of_them_over_two():
    row = np.arange(10, dtype=np.float32)[:, None] ** 2 * np.ones((1, 13), np.float32)
    found = with_differences(row)
    assert found.shape == (10, 39)
    assert found[5, [0, 13, 26]].tolist() == [25, 49 - 9, (64 - 16) - (36 - 4)]
    assert found[0, [0, 13, 26]].tolist() == [0, 4, (9 - 0) - (1 - 0)]  # the ends are held
    assert found[9, [0, 13, 26]].tolist() == [81, 81 - 49, (81 - 64) - (81 - 36)]


def test_a_vowel_is_likelier_where_the_voice_rises():
    """Bands 6 to 19, from 2 nats below the median up; over three steps either side, two steps later."""
    energies = np.zeros((60, 25), np.float32)
    energies[30:, 6:20] = 1.0
    found = rises(energies)
    assert found.max() == pytest.approx(80)  # as steep as the steepest twentieth
    assert np.flatnonzero(found).tolist() == list(range(29, 35))  # steps 27 to 32 rise, two later
    outside = np.zeros((60, 25), np.float32)
    outside[30:, [5, 20]] = 5.0
    assert not rises(outside).any()
    quiet = np.full((60, 25), 10.0, np.float32)
    quiet[20:22] = 7.9  # more than 2 nats below the median is all as quiet
    deep = quiet.copy()
    deep[20:22] = 1.0
    assert rises(quiet)[20:30] == pytest.approx(rises(deep)[20:30], rel=0.06)
    assert not rises(energies[:6]).any()


# Walks and costs.


def cheapest(costs):
    """What each step costs on the cheapest way through phones of three states, 30 to go on to another; by all states."""
    count = len(costs)
    best, back = [costs[0].copy()], []
    for step in range(1, count):
        row, came = np.empty(STATES), np.empty(STATES, int)
        leave = 2 + 3 * int(best[-1][2::3].argmin())
        for s in range(STATES):
            ways = [(best[-1][s], s), (best[-1][leave] + 30, leave) if s % 3 == 0 else (best[-1][s - 1], s - 1)]
            value, came[s] = min(ways, key=lambda w: (w[0], w[1] != s))
            row[s] = value + costs[step, s]
        best.append(row)
        back.append(came)
    state = int(best[-1].argmin())
    path = [state]
    for came in reversed(back):
        path.append(int(came[path[-1]]))
    return np.array([costs[k, s] for k, s in enumerate(path[::-1])])


def test_anything_at_all_is_the_cheapest_way_however_it_comes_in_blocks():
    costs = np.random.default_rng(2).uniform(0, 60, (60, STATES)).astype(np.float32)
    wanted = cheapest(costs.astype(np.float64))
    for size in (60, 17, 1):
        found = anything(costs[k : k + size] for k in range(0, 60, size))
        assert found.sum() == pytest.approx(wanted.sum(), abs=0.01)
        assert found == pytest.approx(wanted, abs=0.01)
    assert len(anything([])) == 0


def test_costs_in_context_and_alone_are_mixed_by_their_share():
    plain = np.arange(6, dtype=np.float16).reshape(2, 3)
    context = np.array([[10, 20], [30, 40]], np.uint8)
    pairs = np.array([[0, 2], [1, 0]])
    one = StateCosts(plain, context, 0.25)
    assert one.piece(0, 2, pairs).tolist() == [
        [0.25 * 20 * COARSE, 2 * 0.75 + 0.25 * 10 * COARSE],
        [3 * 0.75 + 0.25 * 40 * COARSE, 5 * 0.75 + 0.25 * 30 * COARSE],
    ]
    assert one.reading(0.0).piece(1, 2, pairs).tolist() == [[3, 5]]
    assert len(one) == 2


def test_a_walk_finds_the_cheapest_way_to_the_end_of_every_word():
    """Against all ways: words of one phone of three states, each state one step or more, a pause of 10 between words and
    0.3 for each step... written out for a line of two words."""
    states = LineStates([[[("S",)], [("M",)]]])
    assert states.words == 2
    assert states.counts.tolist() == [2]
    dice = np.random.default_rng(5)
    costs = dice.uniform(0, 5, (12, len(states.plain))).astype(np.float32)
    walk = Walk(states)
    for number in range(12):
        walk.step(costs[number], number)

    @cache
    def reach(state, step):
        """The least cost of being in a state at a step: three of S, its pause, three of M, its pause."""
        if step < 0:
            return 1e9
        stay = reach(state, step - 1)
        if state == 0:
            come = 0.0
        elif state == 4:
            come = min(reach(2, step - 1), reach(3, step - 1), 250.0)  # from the word or its pause; or S passed over
        elif state in (3, 7):
            come = reach(state - 1, step - 1) + line_states._PAUSE
        else:
            come = reach(state - 1, step - 1)
        return min(stay, come) + float(costs[step, state])

    assert walk.ends == pytest.approx([reach(2, 11), reach(6, 11)], abs=1e-3)


def test_a_jump_over_silence_costs_forty_once():
    states = LineStates([[[("S",)], [("M",)]]])
    costs = np.full((10, len(states.plain)), 1, np.float32)
    plain, jumped = Walk(states), Walk(states)
    for number in range(10):
        plain.step(costs[number], number)
        jumped.step(costs[number], number, is_jump=number == 4)
    assert plain.ends[1] == 6
    assert jumped.ends[1] == 6  # begun after it
    assert jumped.begun[1] >= 4


# Candidates.


def test_which_beginnings_of_a_line_are_looked_for():
    assert [_ends(n) for n in (1, 2, 3, 5, 8, 20)] == [
        [1],
        [2],
        [2, 3],
        [2, 3, 4, 5],
        [2, 3, 4, 5, 6, 8],
        [5, 8, 11, 13, 16, 20],
    ]


def test_marks_and_what_lies_near_them():
    assert np.flatnonzero(_marks(100, [F(1, 10), F(5)])).tolist() == [10, 99]
    flags = np.zeros(20, bool)
    flags[10] = True
    assert np.flatnonzero(_near(flags, 3)).tolist() == [7, 8, 9, 10, 11, 12, 13]
    assert np.flatnonzero(_near(flags, 0)).tolist() == [10]
    assert np.flatnonzero(sounding_steps(100, [(F(1, 10), F(2, 10)), (F(1, 2), F(1, 2))])).tolist() == [
        *range(10, 21),
        50,
    ]


def test_lows_are_found_over_the_edges_of_blocks():
    values = np.array([5, 3, 3, 4, 1, 2, 0, 6, 2], np.float32)[:, None]
    begun = np.arange(9, dtype=np.int32)[:, None]
    for size in (9, 4, 1):
        lows = _Lows(np.array([3.5], np.float32))
        for k in range(0, 9, size):
            lows.see(values[k : k + size], begun[k : k + size])
        steps, costs, begins = lows.all()
        # Lower than the one before, no higher than the one after, below 3.5.
        assert (steps[0].tolist(), costs[0].tolist(), begins[0].tolist()) == ([1, 4, 6, 8], [3, 1, 0, 2], [1, 4, 6, 8])


class Edges:
    def __init__(self, begins, ends, count=200):
        self.begins, self.ends = np.zeros(count, bool), np.zeros(count, bool)
        self.begins[list(begins)] = True
        self.ends[list(ends)] = True


def test_places_of_a_line_do_not_lie_on_one_another():
    steps, costs, begun = np.array([50, 55, 120]), np.array([-30.0, -20, -10], np.float32), np.array([20, 25, 100])
    everywhere = Edges(range(200), range(200))
    assert _places(steps, costs, begun, everywhere, True) == [(20, 50, -30.0), (100, 120, -10.0)]
    # 30 % of the shorter may be shared: 9 of 30 steps.
    apart = np.array([50, 71])
    assert len(_places(apart, costs[:2], np.array([20, 41]), everywhere, True)) == 2
    assert len(_places(apart, costs[:2], np.array([20, 40]), everywhere, True)) == 1
    # An edge inside a stretch counts 300 against it: the worse one, at pauses, is taken first.
    some = Edges([25, 100], [55, 120])
    assert _places(steps, costs, begun, some, True)[0] == (25, 55, -20.0)
    assert (
        len(_places(np.arange(20, 200, 15), np.arange(12, dtype=np.float32), np.arange(10, 190, 15), everywhere, True))
        == 10
    )
    assert (
        len(_places(np.arange(20, 200, 15), np.arange(12, dtype=np.float32), np.arange(10, 190, 15), everywhere, False))
        == 3
    )


def test_silence_counts_for_a_quarter_of_the_mean_at_most():
    energies = np.random.default_rng(3).normal(5, 1, (40, 25)).astype(np.float32)
    sounding = np.zeros(40, bool)
    sounding[:12] = True
    found = _levelled(energies, sounding)
    assert found.shape == (40, 13)
    loud = found[sounding].mean(axis=0) * 12
    quiet = found[~sounding].mean(axis=0)
    # The weighted mean is nothing: twelve loud steps and four of silence.
    assert loud + 4 * quiet == pytest.approx(np.zeros(13), abs=0.01)


# Beats.


def test_how_far_an_onset_is_from_its_nearest_moment():
    assert _distance([1.0, 2.0, 4.0], np.array([0.5, 1.4, 1.6, 3.1, 9.0])) == pytest.approx([0.5, 0.4, 0.4, 0.9, 5.0])
    # On the moment: 1 / (0.03 sqrt(2 pi)) = 13.3 times the density elsewhere, in a step of 0.5 s, half of them there.
    assert _odds(np.array([0.0, 0.03]), 0.5, 0.5) == pytest.approx([6.649, 6.649 * np.exp(-0.5)], rel=1e-3)
    assert _odds(np.array([0.0]), 0.25, 0.5) == pytest.approx([6.649 / 3], rel=1e-3)
    bonus = Habit((1.0, 1.5), 0.5, 0.5).bonus(np.array([1.0, 1.25]))
    assert bonus == pytest.approx([80 * np.log(7.649), 0], abs=0.05)


@pytest.mark.parametrize(("parts", "lag"), [(1, 0.02), (2, 0.05), (3, -0.01), (4, 0.09)])
def test_the_parts_of_the_beat_and_the_lag_are_learnt(parts, lag):
    beats = np.arange(40) * 0.72
    grid = np.arange(39 * parts) * 0.72 / parts + lag
    onsets = np.random.default_rng(parts).choice(grid, 60 if parts > 1 else 38, replace=False)
    found = habit(sorted(onsets.tolist()), beats.tolist())
    assert found.step == pytest.approx(0.72 / parts)
    assert found.moments[0] == pytest.approx(lag, abs=0.0051)
    assert found.share == pytest.approx(0.95, abs=0.02)


# Words and syllables.


def phones(names):
    return [HeardPhone(n, F(i, 10), F(i + 1, 10)) for i, n in enumerate(names.split())]


def test_phones_heard_stand_for_those_that_match_best():
    assert _matched(["W", "AO", "T", "ER"], ["W", "AA", "D", "ER"]) == [0, 1, 2, 3]
    assert _matched(["EH", "V", "ER", "IY"], ["EH", "V", "R", "IY"]) == [
        0,
        1,
        1,
        3,
    ]  # R for ER costs 5, one more and one less 4
    assert _matched(["S", "IY"], ["S", "S", "IY"])[-1] == 1
    assert _matched(["S", "T", "IY"], ["S", "IY"]) == [0, 2]
    assert _matched(["IY"], ["S", "IY", "S"]) == [0, 0, 0]


def test_phones_are_shared_out_by_vowels():
    assert _by_vowels(2, ["T", "IY", "D", "EY"]) == [0, 2]
    assert _by_vowels(3, ["AA", "IY", "D", "EY"]) == [0, 1, 2]
    assert _by_vowels(2, ["S", "AA", "S", "T", "IY", "D", "EY"]) == [0, 3]  # three vowels for two syllables: the second
    assert _by_vowels(2, ["S", "T"]) == [0, 0]


def spoken(text, *syllables):
    parts = tuple(Syllable(t, phones=tuple(p.split())) for t, p in syllables)
    return Word(text, text, parts, 0, len(text))


def test_a_swallowed_syllable_has_its_part_of_the_sound_before_it():
    every = spoken("every", ("ev", "EH V"), ("e", "ER"), ("ry", "R IY"))
    found = timed_syllables(every, phones("EH V R IY"))
    assert [(s.start, s.end) for s in found] == [(0, F(1, 10)), (F(1, 10), F(2, 10)), (F(2, 10), F(4, 10))]
    assert [s.phones for s in found] == [(), (), ("R", "IY")]
    water = spoken("water", ("wa", "W AO"), ("ter", "T ER"))
    one = timed_syllables(water, phones("W"))
    assert [(s.start, s.end) for s in one] == [(0, F(1, 20)), (F(1, 20), F(1, 10))]


def test_most_words_unknown_are_a_foreign_line():
    known, strange = Token("a", 0, (("AH",),)), Token("b", 1, HUM)
    assert not is_foreign([known, strange])
    assert is_foreign([known, strange, strange])
    assert not is_foreign([])
    tokens = tokens_of(utterance_of("Out and in"), pronounce_english)
    assert [(t.text, t.word) for t in tokens] == [("out", 0), ("and", 1), ("in", 2)]
    assert all(len(t.pronunciations) <= 8 for t in tokens)


def test_a_rough_line_is_spread_by_rule():
    """Shares: 10 a syllable, 13 with main stress, the last before a mark 7/5 of it; sounding from 1 to 2 and 3 to 4 s."""
    line = read_line("Sea, go", "en_US")  # two stressed syllables: 13 x 1.4 = 18.2 and 13, of 31.2
    found = rough_line(line, [(F(1), F(2)), (F(3), F(4))], "a.wav")
    first = F(182, 312) * 2
    assert [(w.start, w.end) for w in found.words] == [(0, 2 + first - 1), (2 + first - 1, 3)]
    assert (found.take, found.take_start, found.confidence, found.origin) == ("a.wav", 1, 0.0, Origin.MEASURED)
    assert [f.code for f in found.findings] == ["rough"]
    regions = [(F(1), F(2)), (F(3), F(4))]
    assert [_at(F(x), regions, False) for x in ("0", "1/2", "1", "3/2", "2")] == [1, F(3, 2), 3, F(7, 2), 4]
    assert [_at(F(x), regions, True) for x in ("1", "2")] == [2, 4]  # an end stays before a pause


# Edges, confidences, rooms.


def test_confidence_is_a_straight_line_from_minus_50():
    assert [confidence_of(r) for r in (-60, -50, -25, -12.5, 0, 5)] == [0, 0, 0.5, 0.75, 1, 1]
    a, b = (
        TimedWord("w", "w", (TimedSyllable("w", F(s), F(e), Origin.MEASURED),), confidence=c)
        for s, e, c in ((0, 1, 0.9), (1, 4, 0.5))
    )
    assert line_confidence([a, b]) == 0.6  # (0.9 + 3 x 0.5) / 4
    said, missing = Verdict.SAID, Verdict.NOT_SAID
    assert [f.code for f in differences([a, b], [said, said], (), 0.6)] == []
    assert [f.code for f in differences([a, b], [said, said], (), 0.61)] == ["unclear"]
    assert [f.code for f in differences([a, b], [said, missing], ())] == ["not-said"]
    assert [f.code for f in differences([a, b], [missing, missing], ())] == ["not-said", "unclear"]
    extras = differences([a, b], [said, said], [(1, F(1), F(5, 4)), (2, F(4), F(5))], 0.1)
    assert [f.message for f in extras] == [
        "something unscripted is said before “w” (0.2 s); listen to it", "something unscripted is said after the last word (1.0 s); listen to it",
    ]  # fmt: skip
    assert [f.facts for f in extras] == [{"word": 1, "seconds": 0.25}, {"word": 2, "seconds": 1.0}]


def reading(first, start, end, last=True):
    return Place(0, ((first, F(start), F(end)),), True, last)


@pytest.mark.parametrize(
    ("places", "index", "room"),
    [
        ([(0, 5, 6)], 0, ("4.7", "6.3")),
        ([(1, 5, 6)], 0, ("3.8", "6.3")),  # its first word is still to be found
        ([(0, 5, 6, False)], 0, ("4.7", "7.2")),
        ([(0, 4, "4.9"), (0, 5, 6), (0, "6.1", 7)], 1, ("4.9", "6.1")),
        ([(0, "0.1", 6)], 0, ("0", "6.3")),
        ([(0, 5, "9.9")], 0, ("4.7", "10")),
    ],
)
def test_the_room_around_a_reading(places, index, room):
    found = room_of([reading(*p) for p in places], index, F(0), F(10))
    assert found == tuple(map(F, room))


@pytest.mark.parametrize(
    ("edges", "heard", "found", "nearest"),
    [
        (["1"], "1.2", "1.15", "1"), (["1"], "1.4", "1.16", "1.4"), (["1"], "1.3", "1.16", "1"), (["1"], "1.301", "1.16", "1.301"),
        (["1"], "0.65", "0.5", "1"), (["1"], "0.649", "0.5", "0.649"), (["1", "1.1"], "1.4", "1.08", "1.1"), ([], "2", "2", "2"),
    ],
)  # fmt: skip
def test_the_edge_at_which_a_line_was_found_else_one_near_by(edges, heard, found, nearest):
    assert _nearest([F(e) for e in edges], F(heard), F(found), F(3, 10), F(7, 20)) == F(nearest)


@pytest.mark.parametrize(("late", "moved"), [("0.08", False), ("0.09", True), ("0.15", True)])
def test_edges_that_differ_by_more_than_two_frames_are_moved(late, moved):
    line = PaceTimer("en_US").time(read_line("Hold on tight!", "en_US"))
    line = line.moved(1 + F(late) - line.start)
    found = to_the_pause(line, (F(1), line.end), [(F(1), line.end)], F(20))
    assert (found.start == 1) is moved


def test_words_of_other_languages_at_the_limits_of_a_closure():
    def heard(gap, first="K"):
        one = [HeardPhone("UW", F(0), F(1, 10)), HeardPhone("N", F(1, 10), F(3, 10))]
        other = [
            HeardPhone(first, F(3, 10) + F(gap), F(4, 10) + F(gap)),
            HeardPhone("OW", F(4, 10) + F(gap), F(5, 10) + F(gap)),
        ]
        from timing.hearing.recogniser import HeardWord

        words = [HeardWord(n, p[0].start, p[-1].end, 0.0, tuple(p)) for n, p in enumerate((one, other))]
        left, right = joined(words, (), Hearing())
        return left.end - F(3, 10), right.start - F(3, 10)

    assert heard("0.13") == (0, 0)  # a closure lasts 130 ms at most
    assert heard("0.131") == (0, F("0.131"))
    assert heard("0.06", "S") == (F("0.03"), F("0.03"))  # no pause is so short
    assert heard("0.061", "S") == (0, F("0.061"))


def sung(start=None, end=None):
    return SungScriptedLine("x", utterance_of("sea"), start, end)


def test_rooms_of_lines_that_are_sung_about_then():
    """1.3 s either side of what is known, steps of 10 ms; a line may last until the next begins."""
    # From 11.3 to 12.7 s and from 21.3 to 22.7 s: from 10.0 to 14.0, and from 20.0 to 24.0.
    assert _rooms([sung(11.3, 12.7)], 3000) == [(1000, 3000)]
    assert _rooms([sung(11.3, 12.7), sung(21.3, 22.7)], 3000) == [(1000, 2260), (2000, 3000)]
    assert _rooms([sung(), sung(21.3, 22.7)], 3000) == [(0, 2400), (2000, 3000)]
    assert _rooms([sung(0.5, 1.0)], 100) == [(0, 100)]
