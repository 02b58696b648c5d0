"""The user's word on how something is said: syllables, stress, sounds or a respelling; each by hand."""

from __future__ import annotations

import pytest

from timing.language import read_line
from timing.language.children import are_syllables, cried, may_be_syllables
from timing.language.initials import has_vowel
from timing.language.saying import spread
from timing.language.vowelless import vowelless
from timing.model.settings import SayEntry
from timing.plain.errors import SettingsError


@pytest.mark.parametrize(
    ("phones", "count", "pieces"),
    [
        ("S IY T", 1, "S IY T"), ("S IY T", 2, "S IY|IY T"), ("S IY T", 3, "S IY|IY|IY T"), ("W AO T ER", 2, "W AO|T ER"),
        ("W AO T ER", 1, "W AO T ER"), ("W AO T ER", 3, "W AO|T ER|ER"), ("SH", 1, "SH"), ("SH", 3, "SH||"), ("EH K S T R AH", 2, "EH K|S T R AH"),
        ("B AH N AE N AH", 2, "B AH|N AE N AH"), ("IY IH NG", 2, "IY|IH NG"),
    ],
)  # fmt: skip
def test_sounds_over_syllables(phones, count, pieces):
    """As many consonants as can begin an English word go right; a held vowel sounds on; the last piece takes the rest."""
    assert spread(phones.split(), count) == tuple(tuple(p.split()) for p in pieces.split("|"))


def said(entry, text="zog"):
    (word,) = read_line(text, say={entry.word.casefold(): entry}).words
    return [(s.text, " ".join(s.phones), s.stress) for s in word.syllables]


def test_an_entry_says_as_much_or_as_little_as_it_likes():
    assert said(SayEntry("zog", phones=("Z", "OW1", "G"))) == [("zog", "Z OW G", 1)]
    assert said(SayEntry("zogga", ("zog", "ga"), phones=("Z", "AA", "G", "AH1")), "zogga") == [
        ("zog", "Z AA", 0),
        ("ga", "G AH", 1),
    ]
    assert said(SayEntry("zogga", ("zog", "ga"), 1, ("Z", "AA1", "G", "AH0")), "Zogga!") == [
        ("Zog", "Z AA", 0),
        ("ga!", "G AH", 1),
    ]
    assert said(SayEntry("zogga", ("zog", "ga"), phones=("Z", "AA", "G", "AH")), "zogga") == [
        ("zog", "Z AA", 1),
        ("ga", "G AH", 0),
    ]
    assert [s[1] for s in said(SayEntry("zog", sounds_like="see-saw"))] == ["S IY", "S AO"]
    # no pieces are given and no rule finds as many as there are vowels: the letters are shared evenly
    assert [s[0] for s in said(SayEntry("hm", phones=("AA1", "B", "IY0", "B", "UW0")), "hm")] == ["h", "m"]
    assert [s[0] for s in said(SayEntry("bzzrt", phones=("B", "AH1", "Z", "ER0")), "bzzrt")] == ["bz", "zrt"]


def test_pieces_must_spell_the_word():
    with pytest.raises(SettingsError, match='the syllables zo-ga do not spell "zog"; write for example "tan-sy"'):
        said(SayEntry("zog", ("zo", "ga")))


@pytest.mark.parametrize(
    ("text", "sounds", "pieces"),
    [("Uuuuaaah", "UW1|AA1", "Uuuu|aaah"), ("aaaooo", "AA1|OW1", "aaa|ooo"), ("aaaooohh", "AA1|OW1", "aaa|ooohh"), ("aaooo", None, None),
     ("aaa", None, None), ("aaaooot", None, None), ("EEEIIIUUU", "IY1|IY1|UW1", "EEE|III|UUU"), ("Woooow", None, None)],
)  # fmt: skip
def test_cries_of_two_vowels_or_more(text, sounds, pieces):
    found = cried(text)
    if sounds is None:
        assert found is None
    else:
        assert found is not None
        assert (found.pieces, found.sounds) == (tuple(pieces.split("|")), tuple((p,) for p in sounds.split("|")))


@pytest.mark.parametrize(
    ("texts", "core", "may"),
    [
        (["Wa", "ter"], "Wa-ter", True), (["WA", "TER"], "WA-TER", True), (["Anne", "Marie"], "Anne-Marie", False), (["water"], "water", False),
        (["yo", "yo"], "yo-yo", False), (["Yo", "yo"], "Yo-yo", False), (["and", "or"], "and/or", False), (["3", "d"], "3-d", False),
        (["rock'n", "roll"], "rock'n-roll", True), (["wa", "ter", "wa"], "wa-ter-wa", True), (["", "ter"], "-ter", False),
    ],
)  # fmt: skip
def test_pieces_that_may_be_syllables(texts, core, may):
    assert may_be_syllables(texts, core) is may


def test_syllables_are_compared_without_accents():
    assert are_syllables(["a", "gua"], ["á", "gua"])
    assert not are_syllables(["ag", "ua"], ["a", "gua"])
    assert not are_syllables(["a"], ["a", "gua"])


@pytest.mark.parametrize(
    ("text", "phones"),
    [("Mmmm", "M"), ("shhh", "SH"), ("psst", "P S T"), ("brrr", "B ER1"), ("hm", "HH M"), ("tsk", "T S K"), ("pfft", "P F T"), ("schh", "SH"),
     ("thh", "TH"), ("chh", "CH"), ("phh", "F"), ("ssh", "SH"), ("zzz", "Z"), ("grr", "G ER1"), ("b'r", "B ER1"), ("x", "K S")],
)  # fmt: skip
def test_sounds_without_a_vowel(text, phones):
    assert vowelless(text).sounds == (tuple(phones.split()),)
    assert vowelless(text).pieces == (text,)


def test_letters_that_are_vowels_whatever_stands_on_them():
    assert [has_vowel(w) for w in ("brr", "sea", "fly", "çà", "ñ", "ø", "Ü")] == [
        False,
        True,
        True,
        True,
        False,
        False,
        False,
    ]
