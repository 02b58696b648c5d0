"""From printed words to what is followed, and from phones heard back to printed syllables."""

from __future__ import annotations

from fractions import Fraction

import pytest

from timing.hearing.followed_words import HUM, timed_syllables, tokens_of
from timing.hearing.recogniser import HeardPhone
from timing.language import phones_for, read_line
from timing.model import Syllable, Utterance, Word


def word(text: str, *syllables: tuple[str, str], spoken: str = "") -> Word:
    parts = tuple(Syllable(t, phones=tuple(p.split())) for t, p in syllables)
    return Word(text, spoken or text.lower(), parts, 0, len(text))


def phones(names: str) -> list[HeardPhone]:
    return [HeardPhone(n, Fraction(i, 10), Fraction(i + 1, 10)) for i, n in enumerate(names.split())]


WATER = word("water", ("wa", "W AO"), ("ter", "T ER"))


def test_syllables_begin_with_their_own_consonants():
    first, second = timed_syllables(WATER, phones("W AO T ER"))
    assert (first.start, first.end, second.start, second.end) == (0, Fraction(1, 5), Fraction(1, 5), Fraction(2, 5))
    assert second.vowel_start == Fraction(3, 10)


def test_another_pronunciation_is_shared_out_by_what_matches():
    first, second = timed_syllables(WATER, phones("W AA D ER"))
    assert (first.phones, second.phones) == (("W", "AA"), ("D", "ER"))


@pytest.mark.parametrize("heard", ["EH V R IY", "EH V IY"])
def test_a_swallowed_syllable_still_has_time(heard):
    every = word("every", ("ev", "EH V"), ("e", "ER"), ("ry", "IY"))
    found = timed_syllables(every, phones(heard))
    assert len(found) == 3
    assert all(s.end > s.start for s in found)
    assert found[0].start == 0
    assert found[-1].end == Fraction(len(heard.split()), 10)


def test_syllables_without_sounds_are_shared_out_by_vowels():
    plain = Word("tide", "tide", (Syllable("ti"), Syllable("de")), 0, 4)
    assert [s.phones for s in timed_syllables(plain, phones("T IY D EY"))] == [("T", "IY"), ("D", "EY")]


def test_a_token_of_several_words_is_followed_as_several():
    price = Word("$5", "five dollars", (Syllable("$5"), Syllable(""), Syllable("")), 0, 2)
    tokens = tokens_of(Utterance("$5", (price,)), lambda _: ())
    assert [(t.text, t.word) for t in tokens] == [("five", 0), ("dollars", 0)]
    assert ("F", "AY", "V") in tokens[0].pronunciations


def test_the_users_own_sounds_come_first_and_nonsense_is_left_out():
    (token,) = tokens_of(Utterance("water", (WATER,)), lambda _: [("W", "QQ"), ()])
    assert token.pronunciations[0] == ("W", "AO", "T", "ER")
    assert all("QQ" not in p for p in token.pronunciations)


def test_a_word_nobody_can_say_is_hummed():
    strange = Word("вода", "вода", (Syllable("во"), Syllable("да")), 0, 4)
    (token,) = tokens_of(Utterance("вода", (strange,), "ru_RU"), lambda _: ())
    assert token.pronunciations == HUM


def french(text: str) -> dict[str, tuple[str, ...]]:
    tokens = tokens_of(read_line(text, "fr"), lambda w: phones_for(w, "fr"))
    return {t.text: tuple(" ".join(p) for p in t.pronunciations) for t in tokens}


def test_french_words_may_be_linked_before_a_vowel_only():
    # les‿amis, petit‿ami, but les bateaux: liaison as grammars teach it (from memory)
    found = french("Les amis, un petit ami et les bateaux.")
    assert "P AH T IY T" in found["petit"]
    assert "L EY Z" in french("Les amis")["les"]
    assert "L EY Z" not in french("Les bateaux")["les"]


def test_a_french_nasal_vowel_may_be_said_without_a_consonant():
    assert {"B OW N", "B OW", "B AO"} <= set(french("bon")["bon"])


@pytest.mark.parametrize(
    ("word", "sounds"),
    [
        ("elle", "EH L"), ("sept", "S EH T"), ("les", "L EY"), ("reste", "R EH S T"), ("nagent", "N AA ZH"),
        ("vers", "V EH R"), ("petite", "P AH T IY T"), ("secret", "S AH K R EH"), ("feuille", "F ER Y"),
    ],
)  # fmt: skip
def test_french_e_is_open_in_a_closed_syllable_and_endings_are_silent(word: str, sounds: str):
    # Rules of the letter e as grammars teach them (from memory).
    assert phones_for(word, "fr")[0] == tuple(sounds.split())
