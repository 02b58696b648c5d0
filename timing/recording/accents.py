"""How words of other languages may sound to a recogniser that knows English sounds only.

In: a word's pronunciation in the nearest English sounds. Out: the ways it may also be heard. Each language has rows of
changes, a row being one manner of saying everything (its changes apply together, one after another); each word may be
said in any of them. Chosen on lines of our own spoken by a synthesiser; the sounds themselves: handbooks of phonetics
(from memory).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from timing.recording.recogniser import Phones

_VOWEL = r"(?:A[AEHOWY]|E[HRY]|I[HY]|O[WY]|U[HW])"
_NASAL = (rf"({_VOWEL}) (?:N|M|NG)(?= (?!{_VOWEL}|[YW])|$)", r"\1")  # a nasal vowel: no consonant of its own
# Vowels between two English ones may be heard as either neighbour.
_OPEN = [(r"\bAA\b", "AE"), (r"\bOW\b", "AO"), (r"\bEH\b", "EY")]
_WEAK = [(r"\bAA\b", "AH"), (r"\bEH\b", "IH"), (r"\bER\b", "UH"), (r"\bR\b", "D")]
_CLOSE = [(r"\bEY\b", "EH"), (r"\bAO\b", "OW"), (r"\bUW\b", "UH"), (r"\bR\b", "HH")]
_ANY = (_OPEN, _WEAK, _CLOSE)
_ROWS: dict[str, tuple[list[tuple[str, str]], ...]] = {
    "pt": (*_ANY, [_NASAL], [_NASAL, *_WEAK]),
    "fr": (*_ANY, [_NASAL], [_NASAL, *_CLOSE], [(r"\bUW\b", "IY"), (r"\bR\b", "HH")]),
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


def _changed(text: str, row: Sequence[tuple[str, str]]) -> str:
    for pattern, by in row:
        text = re.sub(pattern, by, text)
    return text
