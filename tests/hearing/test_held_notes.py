"""Held notes: vowels, lines and beats of synthesised singing, whose times are known (``singer``)."""

from __future__ import annotations

import os
from functools import cache

import numpy as np
import pytest

from tests.recording.flite import is_installed
from tests.recording.material import LINES, pronounce_english, utterance_of
from tests.recording.singer import mixed, sing_song
from tests.recording.sounds import write_wav
from timing.hearing.acoustic_model import MODEL_PHONES
from timing.hearing.aligner import align_line
from timing.hearing.beat_prior import habit
from timing.hearing.phone_costs import COLUMN, StateCosts, anything, likeness
from timing.hearing.song_following import SungScriptedLine, align_song, follow_song
from timing.hearing.song_search import PAUSE_STAY, SHORTEST_CONSONANT, SHORTEST_VOWEL, Chain, Fixed
from timing.hearing.song_voice import SongVoice
from timing.hearing.sound_features import features_of
from timing.model import is_vowel
from timing.sound.decode import Sound

FRAME_S = 1 / 24
TEXTS = (LINES[1], LINES[8], LINES[12], LINES[30])

sung = pytest.mark.skipif(not is_installed(), reason="the flite synthesiser is not installed")


@cache
def song():
    return sing_song(TEXTS, "awb", 120, 150, seed=3)


def alone():
    sound = Sound(mixed(song(), None))
    return SongVoice(sound, sound)


def lines(texts=TEXTS, spans=None):
    spans = spans or [(None, None)] * len(texts)
    return [SungScriptedLine(str(n), utterance_of(t), *s) for n, (t, s) in enumerate(zip(texts, spans, strict=True))]


def vowels_of(words):
    return [start for word in words for name, start, _ in word.phones if is_vowel(name)]


def heard_vowels(line):
    return [float(s) for w in line.words for y in w.syllables for name, s, _ in y.sounds() if is_vowel(name)]


def within_a_frame(found):
    errors = [
        heard - true
        for n, words in enumerate(song().lines)
        for heard, true in zip(heard_vowels(found[str(n)]), vowels_of(words), strict=True)
    ]
    return float(np.mean(np.abs(errors) <= FRAME_S))


@cache
def followed(shift_beats=None):
    """Return the lines of the voice alone; ``shift_beats``: how wrong the beats given are, None for none given."""
    beats = song().beats
    step = beats[1] - beats[0]
    given = () if shift_beats is None else [b + shift_beats * step for b in beats]
    return follow_song(alone(), lines(), pronounce_english, given)


@sung
def test_notes_are_as_long_as_the_singer_was_told():
    # One half beat is 0.25 s: notes last two or three of them, give or take the looseness (0.02 s each end).
    for words in song().lines:
        halves = np.diff(vowels_of(words)) / 0.25
        assert np.abs(halves - np.round(halves)).max() < 0.45
        assert set(np.round(halves)) <= {2, 3}


@sung
def test_vowels_of_held_notes_are_within_a_frame():
    assert within_a_frame(followed(0)) >= 0.95


@sung
@pytest.mark.parametrize("wrong", [0.25, 1 / 3, 0.5])
def test_wrong_beats_do_no_harm(wrong):
    assert within_a_frame(followed(wrong)) >= within_a_frame(followed()) - 0.02


@sung
def test_lines_are_followed_beside_a_band_as_loud(tmp_path):
    path = write_wav(tmp_path / "song.wav", mixed(song(), 0))
    found = align_song(path, lines(), pronounce_english, song().beats)
    assert within_a_frame(found) >= 0.85
    assert not any(f.code == "unclear" for line in found.values() for f in line.findings)


@sung
def test_a_line_that_is_not_sung_is_doubted():
    other = (*TEXTS[:2], LINES[37], TEXTS[3])
    found = follow_song(alone(), lines(other), pronounce_english)
    assert [n for n, line in found.items() if line.findings] == ["2"]


@sung
def test_a_line_stays_near_its_anchors():
    truth = [(words[0].start, words[-1].end) for words in song().lines]
    wrong = [*truth[:3], (truth[3][0] + 5, truth[3][1] + 5)]
    found = follow_song(alone(), lines(spans=wrong), pronounce_english)
    assert abs(float(found["0"].start) - truth[0][0]) < 0.1
    assert float(found["3"].start) > truth[3][0] + 3
    assert [f.code for f in found["3"].findings] == ["unclear"]


@sung
def test_a_line_sung_alone_is_followed_to_its_held_notes():
    words = song().lines[0]
    first = int((words[0].start - 0.4) * 16_000)
    cut = mixed(song(), None)[first : int((words[-1].end + 0.4) * 16_000)]
    line = align_line(Sound(cut), utterance_of(TEXTS[0]), pronounce_english, is_sung=True)
    errors = np.array(heard_vowels(line)) + first / 16_000 - vowels_of(words)
    assert np.mean(np.abs(errors) <= 2 * FRAME_S) >= 0.9
    assert not line.findings


def test_onsets_that_gather_after_the_half_beats_are_noticed():
    dice = np.random.default_rng(1)
    beats = np.arange(40) * 0.6
    onsets = dice.choice(np.arange(79), 40, replace=False) * 0.3 + 0.035 + dice.normal(0, 0.02, 40)
    found = habit(onsets.tolist(), beats.tolist())
    assert found is not None
    assert found.step == pytest.approx(0.3)
    assert found.moments[0] == pytest.approx(0.035, abs=0.011)
    on, off = found.bonus(np.array([3.035, 3.185]))
    assert on > 100 > 1 > off


def test_onsets_anywhere_tell_nothing_about_the_beats():
    beats = (np.arange(40) * 0.6).tolist()
    for seed in range(5):
        assert habit(np.random.default_rng(seed).uniform(0, 23, 40).tolist(), beats) is None
    assert habit([1.0], []) is None


def table(sounds, wrong=100):
    """Return costs of a sound that is exactly these phones, as (phone, steps)."""
    costs = np.full((sum(n for _, n in sounds), 3 * len(MODEL_PHONES)), wrong, np.float16)
    at = 0
    for phone, count in sounds:
        costs[at : at + count, COLUMN[phone] : COLUMN[phone] + 3] = 0
        at += count
    return StateCosts(costs, costs[:, :0].astype(np.uint8), 0)


def test_words_lie_where_their_sounds_are():
    sounds = [("SIL", 20), ("S", 10), ("IY", 50), ("SIL", 30), ("M", 8), ("UW", 40), ("N", 9), ("SIL", 25)]
    chain = Chain([[[("S", "IY")]], [[("M", "AE", "N"), ("M", "UW", "N")]]])
    laid = chain.lay(table(sounds), [(0, 192), (0, 192)])
    assert [(w.phones, w.starts, w.end) for w in laid] == [
        (("S", "IY"), (20, 30), 80),
        (("M", "UW", "N"), (110, 118, 158), 167),
    ]


def test_a_bonus_decides_between_places_that_sound_alike():
    costs = table([("SIL", 20), ("AA", 100), ("SIL", 20)])
    chain = Chain([[[("AA",)], [("AA",)]]])
    for favourite in (50, 90):
        bonus = np.zeros(140, np.float32)
        bonus[favourite] = 5
        laid = chain.lay(costs, [(0, 140)], bonus)
        assert laid[1].starts == (favourite,)


def test_what_is_fixed_holds_and_the_rest_lies_around_it():
    # One long vowel could be divided anywhere; the second word is fixed, and of the third its second syllable.
    sounds = [("SIL", 20), ("AA", 100), ("M", 10), ("AA", 60), ("SIL", 20)]
    chain = Chain([[[("AA",)], [("AA",)], [("AA", "M", "AA"), ("AA",)]]])
    fixed = [Fixed(1, 0, 47, 71), Fixed(2, 1, 123)]
    laid = chain.lay(table(sounds), None, None, fixed)
    assert (laid[1].starts, laid[1].end) == ((47,), 71)
    assert laid[0].end <= 47
    assert laid[2].phones == ("AA", "M", "AA")
    assert laid[2].starts[0] >= 71
    assert laid[2].starts[1] == 123
    assert chain.lay(table(sounds), None, None, [Fixed(1, 0, 5)]) is None  # no room for the first word before it


def test_no_room_means_no_way():
    assert Chain([[[("AA",)]]]).lay(table([("AA", 50)]), [(10, 10 + SHORTEST_VOWEL - 1)]) is None
    assert Chain([[[("S",)]]]).lay(table([("S", SHORTEST_CONSONANT - 1)]), [(0, 50)]) is None


def test_a_pause_inside_a_line_costs_something():
    # The hum between the words is half as likely a vowel as silence, yet a line is sung in one breath.
    costs = table([("AA", 30), ("SIL", 30), ("UW", 30)])
    costs.plain[30:60, COLUMN["AA"] : COLUMN["AA"] + 3] = PAUSE_STAY / 2
    laid = Chain([[[("AA",)], [("UW",)]]]).lay(costs, [(0, 90)])
    assert laid[0].end >= 57  # the shortest pause, three steps, costs nothing


def test_anything_at_all_costs_no_more_than_any_words():
    costs = likeness(features_of(np.random.default_rng(2).normal(0, 900, 16_000).astype(np.int16)))
    assert costs.plain.shape == (100, 126)
    laid = Chain([[[("S", "IY")]]]).lay(costs, [(0, 100)])
    free = anything([costs.plain])
    own = sum(
        costs.plain[a:b, COLUMN[p] : COLUMN[p] + 3].min(axis=1).sum()
        for p, a, b in zip(laid[0].phones, laid[0].starts, (*laid[0].starts[1:], laid[0].end), strict=True)
    )
    assert free[laid[0].starts[0] : laid[0].end].sum() <= own


def test_the_columns_are_the_models_own_phones():
    # The list of plain phones stands in the head of the model's definition, each name ending in a zero byte.
    import pocketsphinx

    path = os.path.join(pocketsphinx.get_model_path(), "en-us", "en-us", "mdef")
    with open(path, "rb") as file:
        head = file.read(4096)
    assert b"\0".join(name.encode() for name in MODEL_PHONES) + b"\0" in head


@sung
def test_a_sung_vowel_is_nearest_to_itself():
    costs = likeness(features_of(mixed(song(), None))).plain.astype(np.float32)
    for name, others in (("IY", ("AA", "S")), ("S", ("IY", "AA", "M"))):
        spans = [p for words in song().lines for w in words for p in w.phones if p[0] == name]
        steps = np.concatenate([np.arange(int(s * 100) + 2, int(e * 100) - 2) for _, s, e in spans])
        mean = {p: costs[steps, COLUMN[p] : COLUMN[p] + 3].min(axis=1).mean() for p in (name, *others)}
        assert min(mean, key=mean.get) == name


@sung
def test_the_same_song_gives_the_same_times():
    again = follow_song(alone(), lines(), pronounce_english)
    assert again == followed()
