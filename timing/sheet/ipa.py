"""ARPABET to the International Phonetic Alphabet, as printed in the mouth column.

Sources: the symbols and example words of the CMU Pronouncing Dictionary (cmudict.phones and the table in its
documentation: AA odd AD, AE at, AH hut, AO ought, AW cow, AY hide, EH Ed, ER hurt, EY ate, IH it, IY eat, OW oat,
OY toy, UH hood, UW two); the signs of the IPA chart (2020) for those words in General American, J. C. Wells,
Accents of English 1 (1982), lexical sets LOT, TRAP, STRUT, THOUGHT, MOUTH, PRICE, DRESS, NURSE, FACE, KIT, FLEECE,
GOAT, CHOICE, FOOT, GOOSE. Unstressed AH and ER are schwa, as in the dictionary's own notes.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

IPA = {
    "AA": "ɑ", "AE": "æ", "AH": "ʌ", "AO": "ɔ", "AW": "aʊ", "AY": "aɪ", "EH": "ɛ", "ER": "ɝ", "EY": "eɪ",
    "IH": "ɪ", "IY": "i", "OW": "oʊ", "OY": "ɔɪ", "UH": "ʊ", "UW": "u",
    "B": "b", "CH": "tʃ", "D": "d", "DH": "ð", "F": "f", "G": "ɡ", "HH": "h", "JH": "dʒ", "K": "k", "L": "l",
    "M": "m", "N": "n", "NG": "ŋ", "P": "p", "R": "ɹ", "S": "s", "SH": "ʃ", "T": "t", "TH": "θ", "V": "v",
    "W": "w", "Y": "j", "Z": "z", "ZH": "ʒ",
}  # fmt: skip
_UNSTRESSED = {"AH": "ə", "ER": "ɚ"}

LIPS_CLOSED = frozenset(("M", "B", "P"))
LIP_ON_TEETH = frozenset(("F", "V"))


def key_of(signs: Iterable[str], words: Mapping[str, str]) -> str:
    """Return the key of the vowels that occur, each with its everyday word of the language.

    >>> key_of(["u", "i", "u"], {"i": "sea", "ɑ": "palm", "u": "moon"})
    'i sea · u moon'
    """
    there = set(signs)
    return " · ".join(f"{sign} {word}" for sign, word in sorted(words.items()) if sign in there)


def vowel_sign(phone: str, stress: int) -> str:
    """Return the sign of a vowel.

    >>> vowel_sign("AH", 1), vowel_sign("AH", 0), vowel_sign("AY", 1)
    ('ʌ', 'ə', 'aɪ')
    """
    return (_UNSTRESSED.get(phone) if stress == 0 else None) or IPA.get(phone, phone.lower())
