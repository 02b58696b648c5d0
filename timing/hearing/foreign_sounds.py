"""How words of other languages may sound to a recogniser that knows English sounds only.

In: a word's pronunciation in the nearest English sounds. Out: the ways it may also be heard. Each language has rows of
changes, a row being one manner of saying everything (its changes apply together, one after another); each word may be
said in any of them. Chosen on lines of our own spoken by a synthesiser; the sounds themselves: handbooks of phonetics
(from memory).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from timing.hearing.recogniser import Phones

_VOWEL = r"(?:A[AEHOWY]|E[HRY]|I[HY]|O[WY]|U[HW])"
_END = rf"(?= (?!{_VOWEL}|[YW])|$)"  # of a syllable
_NASAL = (rf"({_VOWEL}) (?:N|M|NG){_END}", r"\1")  # a nasal vowel: no consonant of its own
# Vowels between two English ones may be heard as either neighbour.
_OPEN = [(r"\bAA\b", "AE"), (r"\bOW\b", "AO"), (r"\bEH\b", "EY")]
_WEAK = [(r"\bAA\b", "AH"), (r"\bEH\b", "IH"), (r"\bER\b", "UH"), (r"\bR\b", "D")]
_CLOSE = [(r"\bEY\b", "EH"), (r"\bAO\b", "OW"), (r"\bUW\b", "UH"), (r"\bR\b", "HH")]
_ANY = (_OPEN, _WEAK, _CLOSE)
# French nasal vowels are open and far back: without a consonant, or with a tail like a dark l, as low as theirs.
_BACK = [(rf"\b(?:AA|OW) N{_END}", "AO"), (rf"\bEH N{_END}", "AH")]
_BACK_TAIL = [(rf"\b(?:AA|OW) N{_END}", "AO L"), (rf"\bEH N{_END}", "UH L")]
_ROWS: dict[str, tuple[list[tuple[str, str]], ...]] = {
    "pt": (*_ANY, [_NASAL], [_NASAL, *_WEAK]),
    "fr": (_BACK, _BACK_TAIL, *_ANY, [_NASAL], [_NASAL, *_CLOSE], [(r"\bUW\b", "IY"), (r"\bR\b", "HH")]),
    "de": (*_ANY, [(r"\bER\b", "EH R")], [(r"\bER\b", "AH"), (rf"({_VOWEL}) R\b", r"\1 AH")]),
}
_DOUBLE = re.compile(r"\b(?!A|E|I|O|U)([A-Z]+) (?=\1\b)")


def manners(phones: Phones, language: str) -> Iterator[Phones]:
    """Return the pronunciation itself and the ways it may also be heard, likelier ones first.

    >>> list(manners(("T", "AA", "L", "L"), "de"))[:3]
    [('T', 'AA', 'L'), ('T', 'AE', 'L'), ('T', 'AH', 'L')]
    """
    code = language[:2]
    text = " ".join(phones)
    if code != "it":  # in the other languages a double letter is one sound
        text = _DOUBLE.sub("", text)
    found = {text: None}
    for row in _ROWS.get(code, _ANY):
        found[_changed(text, row)] = None
    for each in found:
        if each:
            yield tuple(each.split())


# French endings that are silent or not by what follows or what is meant (handbooks of pronunciation, from memory).
_LIAISON = {"s": "Z", "x": "Z", "z": "Z", "d": "T", "t": "T", "p": "P", "r": "R"}
_BEGINS_WITH_VOWEL = re.compile("[aeiouyhàâæéèêëîïôœùû]")
_SOMETIMES_S = frozenset("tous plus six dix os fils hélas".split())


def endings(phones: Phones, word: str, following: str, language: str) -> Iterator[Phones]:
    """Return the other endings that a French word may have before the word ``following`` ("" at the end).

    >>> list(endings(("L", "EY"), "les", "algues", "fr")), list(endings(("L", "EY"), "les", "vagues", "fr"))
    ([('L', 'EY', 'Z')], [])
    """
    if not language.startswith("fr"):
        return
    sound = _LIAISON.get(word[-1:])
    if sound and phones[-1:] != (sound,) and _BEGINS_WITH_VOWEL.match(following):
        yield (*phones, sound)
    if word in _SOMETIMES_S:
        yield (*phones, "S")
    if word.endswith("ent") and phones[-2:] == ("AA", "N") and len(phones) > 3:
        yield phones[:-2]  # a verb's plural, or else a noun or an adverb


def _changed(text: str, row: Sequence[tuple[str, str]]) -> str:
    for pattern, by in row:
        text = re.sub(pattern, by, text)
    return text
