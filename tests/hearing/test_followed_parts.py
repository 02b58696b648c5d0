"""From phones back to syllables, and from a reading to what a person is told: cases worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from timing.hearing.aligner import confidence_of, differences, line_confidence
from timing.hearing.differences import Verdict
from timing.hearing.followed_words import (
    HUM,
    Token,
    _by_vowels,
    _first_phones,
    _matched,
    _with_room,
    is_foreign,
    timed_syllables,
    tokens_of,
)
from timing.hearing.recogniser import HeardPhone
from timing.hearing.unheard_words import spread
from timing.language import phones_for, read_line
from timing.model import TimedWord, Word


@pytest.mark.parametrize(
    ("own", "heard", "owner"),
    [
        ("W AO T ER", "W AO T ER", [0, 1, 2, 3]),
        ("W AO T ER", "W AA T ER", [0, 1, 2, 3]),  # a vowel for a vowel costs less than leaving both out
        ("W AO T ER", "W AO ER", [0, 1, 3]),
        ("W AO T ER", "W AO N T ER", [0, 1, 1, 2, 3]),  # what is too much belongs to what is before it
        ("AO T", "HH AO T", [0, 0, 1]),
        ("", "AO T", [0, 0]),
    ],
)
def test_each_phone_heard_stands_for_one_of_the_words(own: str, heard: str, owner: list[int]) -> None:
    assert _matched(own.split(), heard.split()) == owner


@pytest.mark.parametrize(
    ("syllables", "heard", "starts"),
    [
        (2, "W AO T ER", [0, 2]),
        (2, "AO ER", [0, 1]),
        (3, "W AO T ER", [0, 0, 2]),  # two vowels for three syllables: the first two share one
        (1, "W AO T ER", [0]),
        (2, "S T", [0, 0]),
        (2, "B AH N AE N AH", [0, 2]),  # three vowels for two: the second begins with the one in the middle
        (3, "B AH N AE N AH", [0, 2, 4]),
        (2, "S T R AO NG S T AO", [0, 6]),  # one consonant before the vowel
    ],
)
def test_phones_are_shared_out_by_their_vowels(syllables: int, heard: str, starts: list[int]) -> None:
    assert _by_vowels(syllables, heard.split()) == starts


def word_of(text: str) -> Word:
    return read_line(text).words[0]


def test_a_syllable_without_phones_begins_where_the_next_one_does() -> None:
    water = word_of("Water")
    assert _first_phones(water, ["W", "AO", "T", "ER"]) == [0, 2]
    assert _first_phones(water, ["W", "AO", "ER"]) == [0, 2]
    assert _first_phones(water, ["T", "ER"]) == [0, 0]


F = Fraction
Edge = tuple[Fraction, Fraction, int, int]


def edges(*rows: tuple[str, str, int, int]) -> list[Edge]:
    return [(F(a), F(b), first, last) for a, b, first, last in rows]


def test_swallowed_syllables_share_the_sound_before_them() -> None:
    assert _with_room(edges(("0", "1", 0, 2), ("1", "1", 2, 2), ("1", "2", 2, 3))) == edges(
        ("0", "1/2", 0, 0), ("1/2", "1", 0, 0), ("1", "2", 2, 3)
    )
    assert _with_room(edges(("0", "3", 0, 1), ("3", "3", 1, 1), ("3", "3", 1, 1))) == edges(
        ("0", "1", 0, 0), ("1", "2", 0, 0), ("2", "3", 0, 0)
    )
    whole = edges(("0", "1", 0, 2), ("1", "2", 2, 3))
    assert _with_room(whole) == whole


def phones(*rows: tuple[str, str, str]) -> list[HeardPhone]:
    return [HeardPhone(name, F(a), F(b)) for name, a, b in rows]


def test_syllables_lie_on_their_phones_and_a_pause_inside_a_word_on_none() -> None:
    heard = phones(("W", "0", "0.1"), ("AO", "0.1", "0.3"), ("T", "0.5", "0.6"), ("ER", "0.6", "0.9"))
    one, two = timed_syllables(word_of("Water"), heard)
    assert (one.start, one.end, one.phones) == (0, F("0.3"), ("W", "AO"))
    assert (two.start, two.end, two.phones, two.phone_starts) == (F("0.5"), F("0.9"), ("T", "ER"), (F("0.5"), F("0.6")))


def test_a_syllable_of_which_nothing_was_heard_takes_half_of_the_one_before() -> None:
    one, two = timed_syllables(word_of("Water"), phones(("W", "0", "0.2"), ("AO", "0.2", "0.6")))
    assert [(one.start, one.end), (two.start, two.end)] == [(0, F("0.3")), (F("0.3"), F("0.6"))]
    assert (one.phones, two.phones) == ((), ())


def token(*variants: tuple[str, ...]) -> Token:
    return Token("x", 0, variants)


def test_a_line_is_foreign_with_more_than_half_of_its_words_unknown() -> None:
    known, hum = token(("AH",)), token(*HUM)
    assert is_foreign([hum, hum, known])
    assert not is_foreign([hum, known])
    assert not is_foreign([])


def test_a_word_that_is_said_as_several_has_a_token_for_each() -> None:
    line = read_line("37 puddles, don't!")
    found = tokens_of(line, lambda text: phones_for(text, "en_US"))
    assert [(t.text, t.word) for t in found] == [("thirty", 0), ("seven", 0), ("puddles", 1), ("don't", 2)]
    assert all(len(t.pronunciations) <= 8 for t in found)
    assert found[2].pronunciations[0] == tuple(p for s in line.words[1].syllables for p in s.phones)


# --- confidence


@pytest.mark.parametrize(
    ("ratio", "confidence"), [(0, 1.0), (5, 1.0), (-50, 0.0), (-80, 0.0), (-12.5, 0.75), (-8, 0.84)]
)
def test_confidence_falls_in_a_straight_line_to_nothing_at_fifty(ratio: float, confidence: float) -> None:
    assert confidence_of(ratio) == confidence


def timed(*rows: tuple[str, str, str, float]) -> list[TimedWord]:
    words = read_line(" ".join(text for text, *_ in rows)).words
    return [
        replace(spread(word, F(a), F(b)), confidence=sure) for word, (_, a, b, sure) in zip(words, rows, strict=True)
    ]


LINE = timed(("The", "0", "1", 0.9), ("sea", "1", "4", 0.5), ("goes", "5", "6", 0.7))


def test_a_lines_confidence_counts_each_word_by_its_length() -> None:
    """(1 x 0.9 + 3 x 0.5 + 1 x 0.7) / 5 = 0.62."""
    assert line_confidence(LINE) == 0.62


def test_what_a_person_is_told_of_a_reading() -> None:
    said, unsaid, other = Verdict.SAID, Verdict.NOT_SAID, Verdict.DIFFERENT
    assert differences(LINE, [said] * 3, []) == ()
    found = differences(LINE, [unsaid, other, said], [(1, F(1), F("1.25")), (3, F(6), F(8))])
    assert [f.code.value for f in found] == ["not-said", "said-differently", "extra-words", "extra-words"]
    assert [f.message for f in found] == [
        "“The”: not said in this reading; read the line again or change the script",
        "“sea”: said differently; listen to it; change the script or read it again",
        "something unscripted is said before “sea” (0.2 s); listen to it",
        "something unscripted is said after the last word (2.0 s); listen to it",
    ]
    assert (found[0].facts["words"], found[2].facts) == ([0], {"word": 1, "seconds": 0.25})


def test_a_reading_whose_words_fit_badly_is_unclear() -> None:
    said, other = Verdict.SAID, Verdict.DIFFERENT
    assert [f.code.value for f in differences(LINE, [said] * 3, [], unclear=0.63)] == ["unclear"]
    assert differences(LINE, [said] * 3, [], unclear=0.62) == ()
    # only the words that were said count: 0.9 and 0.7 are 0.8 together
    assert [f.code.value for f in differences(LINE, [said, other, said], [], unclear=0.8)] == ["said-differently"]
    assert [f.code.value for f in differences(LINE, [other] * 3, [])] == ["said-differently", "unclear"]
