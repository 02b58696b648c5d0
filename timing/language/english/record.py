"""What the program knows of English: its rules, its own ways of reading, how it is heard."""

from __future__ import annotations

import re
import unicodedata

from timing.language.english.figures import ABBREVIATIONS, FIGURES, ordinal
from timing.language.english.manners import MANNERS
from timing.language.english.rules import is_known, letter_name, pronounce, spelled, with_ending
from timing.language.english.script_words import SCRIPT_WORDS
from timing.language.english.word_lists import (
    BEFORE_CONJUNCTION,
    CONJUNCTIONS,
    FUNCTION_WORDS,
    HOMOGRAPHS,
    NEVER_AFTER,
    PHRASE_BEFORE,
    WEAK_FORMS,
)
from timing.language.heard_as import Hearing
from timing.language.pronunciation import Pronunciation
from timing.language.record import ENGLISH_RATE, READING_RATES, Figure, Language
from timing.language.rules import Rules
from timing.language.ways import Ways

_STREETS = {"st": "street", "dr": "drive"}


class EnglishWays(Ways):
    """How English reads tokens: by its dictionary first."""

    has_dictionary = True
    prefixes = frozenset("re un co de pre non anti semi mid self ex all multi".split())
    plural_s = "Z"

    def is_known(self, word: str) -> bool:
        return is_known(word)

    def letter(self, letter: str, name: str) -> Pronunciation:
        is_plain = letter.lower() in "abcdefghijklmnopqrstuvwxyz"
        return letter_name(letter) if is_plain else super().letter(letter, name)

    def letter_in_figure(self, letter: str) -> Pronunciation:
        return letter_name(letter) if letter.isupper() else super().letter_in_figure(letter)

    def heard_of_letter(self, found: Pronunciation, number: int) -> str:
        # Only W has several syllables; its name carries the letter itself and nothing for the rest.
        return found.pieces[number] if "" not in found.pieces else ("dou", "ble", "u")[number]

    def is_spelt(self, word: str) -> bool | None:
        if not is_known(word):
            return None
        spelt = tuple(p for letter in word for p in letter_name(letter).phones)
        readings = [one.phones for one in pronounce(word)]
        # "ID" and "TV" are spelt out; "US", "IT", "AM" are words said loudly.
        return spelt in readings and (spelt == readings[0] or word not in FUNCTION_WORDS)

    def possessive(self, found: Pronunciation, written: str) -> Pronunciation:
        return with_ending(found, "s", written)

    def double_contraction(self, text: str) -> tuple[int, str, Pronunciation] | None:
        """I'd've is two words: "I'd have"."""
        found = re.fullmatch(r"([\w]+'(?:d|ll|t|m|re))('ve|'d)", text, re.IGNORECASE)
        if not found:
            return None
        last = found[2].lower()
        heard, phones = ("have", ("AH0", "V")) if last == "'ve" else ("would", ("AH0", "D"))
        return found.start(2), heard, Pronunciation((last,), (phones,))

    def is_letter_alone(self, word: str) -> bool:
        return len(word) == 1 and word not in "aio"

    def stutter(self, letters: str) -> Pronunciation:
        sounds = (*pronounce(letters + "'", False)[0].sounds[0], "AH0")
        return Pronunciation((letters,), (tuple(p for p in sounds if p),))

    def heard(self, word: str) -> str:
        if word == "i" or word.startswith("i'"):
            return "I" + word[1:]
        if "'" in word and is_known(word):
            return word
        word = word.replace("ñ", "ny")
        word = "".join(unicodedata.normalize("NFD", c)[0] for c in word)
        return word.replace("'", "") if re.fullmatch(r"\w+'(?!s$|d$|m$|t$|ll$|ve$|re$)\w+", word) else word

    def divide(self, word: str, phones: list[str]) -> tuple[str, ...]:
        return spelled(word.lower(), phones).pieces

    def street(self, abbreviation: str) -> str | None:
        return _STREETS.get(abbreviation)

    def ruler(self, value: int) -> str:
        return "the " + ordinal(value)

    def usual_length(self, text: str, start: int, end: int) -> int:
        """Where both would be words: "gooood", "nooo", "weee"."""
        letter, before, rest = text[start], text[:start], text[end:]
        if letter == "o" and not rest and before in ("m", "b", "w", "t", "z", "c", "sh", "wh"):
            return 2
        if letter == "o" and rest[:2] == "ng":
            return 1
        if letter in "eo" and rest:
            return 2
        if letter == "e":
            return 1 if before in ("m", "h", "sh", "w", "b", "th") else 2
        return 2 if letter in "ls" and start > 0 and len(re.findall("[aeiouy]+", text)) == 1 else 1


RULES = Rules(
    pronounce=pronounce,
    figures=FIGURES,
    abbreviations=ABBREVIATIONS,
    function_words=FUNCTION_WORDS,
    never_after=NEVER_AFTER,
    phrase_before=PHRASE_BEFORE,
    conjunctions=CONJUNCTIONS,
    before_conjunction=BEFORE_CONJUNCTION,
    ends_or_leans=frozenset(("you", "it")),
    leaning_endings=("'s", "s'"),
    weak_at_end=frozenset("it me you him her us them".split()),
    homographs={word: " or ".join(readings) for word, readings in HOMOGRAPHS.items()},
    counted_before=frozenset("part chapter act scene war volume episode book level lesson verse round step".split()),
    own_ways=EnglishWays(pronounce),
)

LANGUAGE = Language(
    RULES,
    pace=Figure(1.0, "the rules are made for English"),
    usual_rate=Figure(ENGLISH_RATE, READING_RATES),
    hearing=Hearing(is_recognisers_own=True, weak_forms=WEAK_FORMS),
    script_words=SCRIPT_WORDS,
    manners=MANNERS,
    common_words=FUNCTION_WORDS,
    # Everyday words of General American for each vowel sign; ours.
    vowel_words={
        "ɑ": "palm", "æ": "cat", "ʌ": "cup", "ə": "sofa", "ɔ": "saw", "aʊ": "cow", "aɪ": "five", "ɛ": "bed",
        "ɝ": "bird", "ɚ": "water", "eɪ": "day", "ɪ": "ship", "i": "sea", "oʊ": "boat", "ɔɪ": "boy", "ʊ": "book",
        "u": "moon",
    },
)  # fmt: skip
