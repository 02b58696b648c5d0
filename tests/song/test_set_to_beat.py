"""Lyrics typed by people, set to beats through the language stage."""

from fractions import Fraction

import pytest

from timing import set_to_beat
from timing.plain.errors import InputError, ScriptError


def places(text, *arguments, **options):
    return [(s.text, s.bar, s.beat) for s in set_to_beat(text, *arguments, **options)]


def test_a_song_that_everyone_knows():
    # "Twinkle, twinkle, little star", rhythm from memory: one syllable a beat, the last one held.
    assert places("Twinkle, twinkle, little star", 96) == [
        ("Twin", 1, 1), ("kle,", 1, 2), ("twin", 1, 3), ("kle,", 1, 4), ("lit", 2, 1), ("tle", 2, 2), ("star", 2, 3),
    ]  # fmt: skip


def test_the_pieces_of_a_word_join_to_what_is_printed():
    assert "".join(s.text for s in set_to_beat("The hap-py merry-go-round", 96)) == "Thehappymerry-go-round"


def test_both_ends_can_be_pinned():
    found = set_to_beat("The tide goes out and in", 96, first=(0, 4), last=(2, 1.5))
    assert (found[0].bar, found[0].beat) == (0, 4)
    assert (found[-1].bar, found[-1].beat) == (2, Fraction(3, 2))
    assert found[0].start == Fraction(15, 8)


def test_a_tempo_may_be_typed_in_any_way():
    assert [s.start for s in set_to_beat("go out", "96")] == [s.start for s in set_to_beat("go out", 96.0)]


@pytest.mark.parametrize(
    ("options", "error", "message"),
    [
        ({"text": "", "bpm": 96}, InputError, "no words"),
        ({"text": "go", "bpm": 0}, InputError, "tempo .*between"),
        ({"text": "go", "bpm": 96, "metre": (4, 3)}, InputError, "not a metre"),
        ({"text": "go", "bpm": 96, "bars": 0}, InputError, "bars.* 1 or more"),
        ({"text": "go on", "bpm": 96, "first": (2, 1), "last": (1, 1)}, ScriptError, "first syllable.*last syllable"),
        ({"text": "go", "bpm": 96, "first": (1, 9)}, ScriptError, "has 4 beats"),
    ],
)
def test_what_cannot_be_is_refused(options, error, message):
    with pytest.raises(error, match=message):
        set_to_beat(**options)
