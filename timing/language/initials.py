"""Capitals: initials that are spelt out (TV, DIY) or a word said loudly (NO, NASA).

In: one word in capitals. The decision rests on the dictionary where it knows the word, else on whether the letters
could be said as a word at all; our own rules, from memory.
"""

from __future__ import annotations

import re
import unicodedata

from timing.language.rules import Rules

_LONGEST_SPELT, _LONGEST_UNKNOWN = 5, 3
# Sounds written without a vowel: SHHH, BRRR, HMM, PSST, and anything with a letter three times over but WWW.
_SOUND = re.compile(r"h$|^[bgp]r|^hm|^mm|^ps|(?!w)(.)\1\1")
_LIKE_A_WORD = re.compile(r"[^aeiouy]+[aeiouy][^aeiouy]|.*(.)\1.*")  # ZOG, BOO
_ANY_VOWEL = "aeiouyáéíóúàèìòùâêîôûäöüãõ"
_SAYABLE = re.compile(rf"[{_ANY_VOWEL}][^{_ANY_VOWEL}]|^[^{_ANY_VOWEL}][{_ANY_VOWEL}]")


def is_initials(text: str, rules: Rules, is_english: bool, is_loud: bool) -> bool:
    """Return whether a word is spelt out; ``is_loud`` says that its whole line is in capitals."""
    letters = re.sub(r"(?<=[A-Z])'?s$", "", text)
    if len(letters) < 2 or not (letters.isalpha() and letters.isupper()):
        return False
    lower = letters.lower()
    if not has_vowel(lower):
        return len(lower) <= _LONGEST_SPELT and not _SOUND.search(lower)
    if not is_english:
        return len(lower) <= _LONGEST_UNKNOWN and not is_loud and not _SAYABLE.search(lower)
    return _is_english_initials(lower, rules, is_loud)


def _is_english_initials(lower: str, rules: Rules, is_loud: bool) -> bool:
    from timing.language.english.rules import is_known, letter_name, pronounce

    if is_known(lower):
        spelt = tuple(p for letter in lower for p in letter_name(letter).phones)
        readings = [one.phones for one in pronounce(lower)]
        # "ID" and "TV" are spelt out; "US", "IT", "AM" are words said loudly.
        return spelt in readings and (spelt == readings[0] or lower not in rules.function_words)
    return not is_loud and len(lower) <= _LONGEST_UNKNOWN and not _LIKE_A_WORD.fullmatch(lower)


def has_vowel(word: str) -> bool:
    """True when a word is written with a vowel, accents aside."""
    return any(unicodedata.normalize("NFD", c)[0] in "aeiouy" for c in word)
