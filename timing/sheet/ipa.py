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
# Other languages' sounds are written with ARPABET's nearest; these are the signs that their mouths make: the Handbook
# of the International Phonetic Association (1999), its illustrations of French, German and Portuguese; Spanish and
# Italian from memory.
_ABROAD = {"AA": "a", "AO": "ɔ", "AW": "au", "AY": "ai", "EY": "e", "OW": "o", "OY": "oi", "UW": "u", "IY": "i",
           "AH": "ə", "ER": "œ", "EH": "ɛ", "IH": "ɪ", "UH": "ʊ", "AE": "ɛ"}  # fmt: skip
_OWN: dict[str, dict[str, str]] = {
    "en": IPA, "de": {"ER": "ø"}, "es": {"EH": "e", "EY": "ei"}, "it": {"EY": "ei"}, "pt": {"AH": "ɐ"},
}  # fmt: skip
NO_WORD = "in this language listen to the word"
_UNSTRESSED = {"AH": "ə", "ER": "ɚ"}

LIPS_CLOSED = frozenset(("M", "B", "P"))
LIP_ON_TEETH = frozenset(("F", "V"))


def key_of(signs: Iterable[str], words: Mapping[str, str]) -> str:
    """Return the key of the vowels that occur, each with its everyday word of the language.

    >>> key_of(["u", "i", "u"], {"i": "sea", "ɑ": "palm", "u": "moon"}), key_of([], {})
    ('mouth: i as in sea · u moon', '')
    """
    there = sorted(set(signs))
    if not there:
        return ""
    told, first = [], " as in"
    for sign in there:
        told.append(f"{sign}{first} {words[sign]}" if sign in words else sign)
        first = "" if sign in words else first
    lacking = "" if words else f" · {NO_WORD}"
    return f"mouth: {' · '.join(told)}{lacking}"


def vowel_sign(phone: str, stress: int, language: str = "en_US") -> str:
    """Return the sign of a vowel.

    >>> vowel_sign("AH", 1), vowel_sign("AH", 0), vowel_sign("AY", 1), vowel_sign("ER", 1, "de_DE")
    ('ʌ', 'ə', 'aɪ', 'ø')
    """
    own = _OWN.get(language.split("_")[0])
    if own is IPA:
        return (_UNSTRESSED.get(phone) if stress == 0 else None) or IPA.get(phone, phone.lower())
    return (own or {}).get(phone) or _ABROAD.get(phone, phone.lower())
