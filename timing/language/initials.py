"""Capitals: initials that are spelt out (TV, DIY) or a word said loudly (NO, NASA).

In: one word in capitals. The decision rests on the dictionary where it knows the word, else on whether the letters
could be said as a word at all; our own rules, from memory.
"""

from __future__ import annotations

import re
import unicodedata

from timing.language.ways import Ways

_LONGEST_SPELT, _LONGEST_UNKNOWN = 5, 3
# Sounds written without a vowel: SHHH, BRRR, HMM, PSST, and anything with a letter three times over but WWW.
_SOUND = re.compile(r"h$|^[bgp]r|^hm|^mm|^ps|(?!w)(.)\1\1")
_LIKE_A_WORD = re.compile(r"[^aeiouy]+[aeiouy][^aeiouy]|.*(.)\1.*")  # ZOG, BOO
_ANY_VOWEL = "aeiouyáéíóúàèìòùâêîôûäöüãõ"
_SAYABLE = re.compile(rf"[{_ANY_VOWEL}][^{_ANY_VOWEL}]|^[^{_ANY_VOWEL}][{_ANY_VOWEL}]")


def is_initials(text: str, ways: Ways, is_loud: bool) -> bool:
    """Return whether a word is spelt out; ``is_loud`` says that its whole line is in capitals."""
    letters = re.sub(r"(?<=[A-Z])'?s$", "", text)
    if len(letters) < 2 or not (letters.isalpha() and letters.isupper()):
        return False
    lower = letters.lower()
    if not has_vowel(lower):
        return len(lower) <= _LONGEST_SPELT and not _SOUND.search(lower)
    known = ways.is_spelt(lower)
    if known is not None:
        return known
    is_word = _LIKE_A_WORD.fullmatch(lower) if ways.has_dictionary else _SAYABLE.search(lower)
    return not is_loud and len(lower) <= _LONGEST_UNKNOWN and not is_word


def has_vowel(word: str) -> bool:
    """True when a word is written with a vowel, accents aside."""
    return any(unicodedata.normalize("NFD", c)[0] in "aeiouy" for c in word)
