"""Lyric lines on the beat: what is pinned holds, the rest is sung as people sing it."""

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.song.words import line
from timing.model import Origin, Where
from timing.model.metre import COMMON_TIME, Metre, parse_metre
from timing.plain.errors import ScriptError
from timing.song.lyrics.lyrics import LyricMarks, parse_lyric
from timing.song.lyrics.setting import place, set_line

HERE = Where("song.fountain", 7)
NO_MARKS = LyricMarks()

# Traditional songs, rhythm from memory: eighths from the first full bar.
NURSERY = [
    ("4/4", 2, "twin-kle twin-kle lit-tle star", [0, 2, 4, 6, 8, 10, 12]),
    ("4/4", 2, "how I won-der what you are", [0, 2, 4, 6, 8, 10, 12]),
    ("6/8", 2, "the it-sy bit-sy spi-der", [-1, 0, 2, 3, 5, 6, 9]),
    ("6/8", 2, "gent-ly down the stream", [0, 2, 3, 5, 6]),
    ("6/8", 2, "mer-ri-ly mer-ri-ly mer-ri-ly mer-ri-ly", list(range(12))),
    ("6/8", 2, "hick-o-ry dick-o-ry dock", [0, 1, 2, 3, 4, 5, 6]),
    ("4/4", 2, "and on that farm he had a cow", [-2, 0, 2, 4, 6, 8, 10, 12]),
]


def placed(text, metre=COMMON_TIME, bars=2, **options):
    lyric = parse_lyric(text, HERE)
    return place(line(text_for_reader(text)), lyric.marks, metre, bars, where=HERE, **options)


def text_for_reader(text):
    """The lyric without its other marks, hyphens kept, as the test's word reader takes it."""
    import re

    return " ".join(re.sub(r"@[\d:.+/]*|_+|\||=\d+", "", text).replace("~", " ").split())


def test_songs_that_everyone_knows_come_out_as_sung():
    hit = total = 0
    for metre, bars, text, eighths in NURSERY:
        parts = 3 if metre == "6/8" else 2
        found = placed(text, parse_metre(metre), bars).positions
        hit += sum(p * parts == e for p, e in zip(found, eighths, strict=True))
        total += len(eighths)
    assert hit / total >= 0.8


def test_a_line_gets_bar_beat_and_exact_times():
    syllables = set_line(line("twin-kle twin-kle lit-tle star"), NO_MARKS, Fraction(96), COMMON_TIME, 2)
    assert [(s.bar, s.beat) for s in syllables] == [(1, 1), (1, 2), (1, 3), (1, 4), (2, 1), (2, 2), (2, 3)]
    assert [s.start for s in syllables] == [Fraction(5, 8) * n for n in range(7)]  # 96 bpm: 0.625 s a beat
    assert {s.origin for s in syllables} == {Origin.FITTED}


def test_a_pick_up_lies_in_bar_0_and_no_time_is_negative():
    syllables = set_line(
        line("the tide goes out"),
        NO_MARKS,
        Fraction(120),
        COMMON_TIME,
        2,
        first=(0, Fraction(4)),
        last=(2, Fraction(1)),
    )
    assert (syllables[0].bar, syllables[0].beat, syllables[0].start) == (0, 4, Fraction(3, 2))
    assert (syllables[-1].bar, syllables[-1].beat, syllables[-1].start) == (2, 1, 4)
    assert syllables[0].origin is syllables[-1].origin is Origin.PINNED


def test_start_bar_only_numbers_the_bars():
    one = set_line(line("the tide goes out"), NO_MARKS, Fraction(96), COMMON_TIME, 2)
    nine = set_line(line("the tide goes out"), NO_MARKS, Fraction(96), COMMON_TIME, 2, start_bar=9)
    assert [s.start for s in one] == [s.start for s in nine]
    assert [s.bar + 8 for s in one] == [s.bar for s in nine]


def test_bar_lines_fix_the_next_syllable_on_beat_1():
    found = placed("the | tide goes out | and in")
    assert (found.positions[1], found.positions[4]) == (0, 4)
    assert found.positions[0] < 0
    inside = placed("twin-kle twin-kle | lit-tle star")
    assert (inside.positions[0], inside.positions[4]) == (0, 4)
    assert inside.bars == 2


def test_a_hold_sounds_one_beat_and_one_for_each_mark():
    found = placed("out__ and in")
    assert found.lengths[0] == 3
    assert found.positions[1] >= found.positions[0] + 3
    assert placed("out and in__").lengths[-1] == 3


def test_joined_words_share_a_note():
    found = placed("go and~round")
    assert len(found.positions) == 2
    lyric = parse_lyric("go and~round", HERE)
    syllables = set_line(line("go and round"), lyric.marks, Fraction(60), COMMON_TIME, 1)
    assert len(syllables) == 3
    assert syllables[1].end == syllables[2].start
    assert syllables[1].end - syllables[1].start == syllables[2].end - syllables[2].start


def test_a_pin_between_the_beats_and_a_triplet_hold():
    found = placed("fall-ing@2:4+ down")
    assert found.positions[1] == Fraction(15, 2)
    assert placed("fall-ing@1+1/3 down", COMMON_TIME, 1).positions[1] == Fraction(1, 3)
    assert placed("fall-ing@1.33 down", Metre(6, 8), 1).positions[1] == Fraction(1, 3)


@pytest.mark.parametrize(
    ("text", "both"),
    [
        ("fall@2:3 down@2:1 now", ['"@2:3" on "fall"', '"@2:1" on "down"']),
        ("fall@1:1 a b c d down@1:1.25 now", ['"@1:1" on "fall"', '"@1:1.25" on "down"', "4 syllables"]),
        ("| fall@3 now", ["bar line", '"@3"']),
        ("fall____ down@1:2", ['hold on "fall"', '"@1:2" on "down"']),
    ],
)
def test_pins_that_exclude_each_other_are_an_error_naming_both(text, both):
    with pytest.raises(ScriptError) as caught:
        placed(text)
    message = str(caught.value)
    assert message.startswith("song.fountain:7: ")
    for name in both:
        assert name in message


@pytest.mark.parametrize(("text", "message"), [("fall@5", "has 4 beats"), ("fall@40:1", "line's own first bar")])
def test_a_pin_outside_the_bars_is_an_error(text, message):
    with pytest.raises(ScriptError, match=message):
        placed(text)


def test_too_many_syllables_are_squeezed_and_said_so():
    found = placed(" ".join(["la"] * 40), bars=1)
    assert len(set(found.positions)) == 40
    assert found.squeezed
    assert not placed("la la la", bars=1).squeezed


words_of_a_line = st.lists(
    st.sampled_from(["the", "sea", "wa-ter", "mer-ri-ly", "and", "a-'way"]), min_size=1, max_size=9
)


@settings(max_examples=40, deadline=None)
@given(
    words_of_a_line,
    st.sampled_from([Metre(*m) for m in ((4, 4), (3, 4), (2, 4), (6, 8), (9, 8), (5, 4), (2, 2))]),
    st.integers(1, 4),
)
def test_laws_of_every_setting(words, metre, bars):
    utterance = line(" ".join(words))
    found = set_line(utterance, NO_MARKS, Fraction(100), metre, bars)
    assert [s.text for s in found] == [s.text for w in utterance.words for s in w.syllables]
    for before, after in pairwise(found):
        assert before.end <= after.start
    for s in found:
        assert s.start >= 0
        assert 0 <= s.bar <= bars
        assert 1 <= s.beat < metre.beats + 1
    assert found[-1].end - found[0].start <= (bars + 1) * metre.beats * Fraction(60, 100)
