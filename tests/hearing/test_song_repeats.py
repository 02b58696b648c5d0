"""Lines that come again: where they help each other, and what is averaged. Sounds are made up; places known by hand."""

from __future__ import annotations

import numpy as np
import pytest

from tests.recording.material import LINES, pronounce_english, utterance_of
from timing.hearing import song_repeats
from timing.hearing.phone_costs import StateCosts
from timing.hearing.song_following import SungScriptedLine, follow_song
from timing.hearing.song_repeats import Repeat, averaged, repeats_of
from timing.hearing.song_voice import SongVoice
from timing.sound.decode import Sound

RATE_HZ = 16_000
STEPS, LENGTH = 1000, 100
SEA, MOON = (("S", "IY"),), (("M", "UW", "N"),)


def voice(*places, noise=0.0):
    """Bands of a voice that sings the same at each place, from 20 steps before it to 20 behind its 100."""
    dice = np.random.default_rng(1)
    energies = dice.normal(0, 1, (STEPS, 25)).astype(np.float32)
    sung = dice.normal(0, 3, (LENGTH + 40, 25)).astype(np.float32)
    for begin in places:
        energies[begin - 20 : begin + LENGTH + 20] = sung + noise * dice.normal(0, 3, sung.shape)
    return energies


def spans(*begins):
    return [(begin, begin + LENGTH) for begin in begins]


def test_a_line_is_found_again_to_the_step_though_it_was_followed_otherwise():
    # Sung at 100 and 500, but followed at 100 and 530: the same lies 400 later, and from there 400 earlier.
    found = repeats_of([SEA, SEA], spans(100, 530), [True, True], voice(100, 500))
    assert found == [Repeat(80, 220, (400,)), Repeat(510, 650, (-400,))]


@pytest.mark.parametrize(("followed", "is_found"), [(540, True), (541, False)])
def test_a_line_is_looked_for_within_four_tenths_of_a_second(followed, is_found):
    found = repeats_of([SEA, SEA], spans(100, followed), [True, True], voice(100, 500))
    assert (Repeat(80, 220, (400,)) in found) is is_found


def test_other_words_a_doubted_line_and_another_sound_help_nobody():
    alike = voice(100, 500)
    assert repeats_of([SEA, MOON], spans(100, 500), [True, True], alike) == []
    assert repeats_of([SEA, SEA], spans(100, 500), [True, False], alike) == []
    assert repeats_of([SEA, SEA], spans(100, 500), [True, True], voice(100)) == []
    # With noise of its own at each place, 1.2 times as strong, the correlation is 1 / (1 + 1.44), 0.41; with 0.8, 0.61.
    assert repeats_of([SEA, SEA], spans(100, 500), [True, True], voice(100, 500, noise=1.2)) == []
    assert repeats_of([SEA, SEA], spans(100, 500), [True, True], voice(100, 500, noise=0.8)) != []


def test_a_line_at_the_songs_edge_is_as_long_as_the_song_lets_it_be():
    energies = voice(100, 500)
    found = repeats_of([SEA, SEA], [(0, 90), (400, 490)], [True, True], energies)
    assert all(r.begin >= 0 and all(r.begin + s >= 0 and r.end + s <= STEPS for s in r.shifts) for r in found)


def test_costs_of_a_line_sung_three_times_are_the_mean_of_the_three():
    # By hand: step 0 counts with 2 and 4: plain (3 + 6 + 12) / 3 = 7, in context (10 + 20 + 31) / 3 = 20.3, that is 20.
    plain = np.array([[3], [0], [6], [0], [12]], np.float16)
    context = np.array([[10], [0], [20], [0], [31]], np.uint8)
    costs = StateCosts(plain.copy(), context, 0.7)
    found = averaged(costs, [Repeat(0, 1, (2, 4)), Repeat(2, 3, (-2, 2)), Repeat(4, 5, (-4, -2))])
    assert found.plain[:, 0].tolist() == [7, 0, 7, 0, 7]
    assert found.context[:, 0].tolist() == [20, 0, 20, 0, 20]
    assert (costs.plain == plain).all()  # how well words fit is told by their own place
    assert found.share == 0.7


def test_a_line_sung_twice_is_followed_with_what_is_heard_at_both_places(say, monkeypatch):
    # The same sound again two seconds and the length of another line later; known from how it is put together.
    texts, parts = (LINES[2], LINES[3], LINES[2]), [np.zeros(RATE_HZ)]
    begins = []
    for text in texts:
        begins.append(sum(map(len, parts)) / RATE_HZ)
        parts += [say(text, "rms")[0], np.zeros(RATE_HZ)]
    sound = Sound(np.concatenate(parts).astype(np.int16))
    seen = []
    monkeypatch.setattr(song_repeats, "averaged", lambda costs, found: seen.append(found) or averaged(costs, found))
    lines = [SungScriptedLine(str(n), utterance_of(text)) for n, text in enumerate(texts)]
    found = follow_song(SongVoice(sound, sound), lines, pronounce_english)
    ((one, other),) = seen
    later = round((begins[2] - begins[0]) * 100)
    assert one.shifts == pytest.approx((later,), abs=1)
    assert other.shifts == pytest.approx((-later,), abs=1)
    first, again = ([float(w.start) for w in found[n].words] for n in ("0", "2"))
    assert np.abs(np.subtract(again, first) - (begins[2] - begins[0])).max() < 0.025
