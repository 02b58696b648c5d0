"""Sounds written without a vowel: mmm, hm, shhh, psst, brrr. Still one event each.

In: the letters as written. Out: one syllable; a letter written again and again is one sound, held (how long, says
the word's stretch). Which letters make which sound is ours, from memory.
"""

from __future__ import annotations

import re

from timing.language.pronunciation import Pronunciation

# Said as they stand in any language, although no letter repeats.
SOUNDS_ALONE = frozenset("hm mm mhm sh ssh sch pst psst tss pff pfft brr grr tsk".split())

# Two letters before one; r alone is the vowel of brrr.
_SOUNDS = {
    "sch": "SH", "sh": "SH", "ch": "CH", "th": "TH", "ph": "F", "r": "ER1", "b": "B", "c": "K", "d": "D", "f": "F",
    "g": "G", "h": "HH", "j": "JH", "k": "K", "l": "L", "m": "M", "n": "N", "p": "P", "q": "K", "s": "S", "t": "T",
    "v": "V", "w": "W", "x": "K S", "z": "Z",
}  # fmt: skip
_PARTS = re.compile(r"sch+|(?:s+|[ctp])h+|([a-z])\1*")


def vowelless(text: str) -> Pronunciation:
    """Return the sounds of letters a to z without a vowel; apostrophes are silent.

    >>> vowelless("Mmmm").sounds, vowelless("shhh").sounds, vowelless("psst").sounds
    ((('M',),), (('SH',),), (('P', 'S', 'T'),))
    """
    phones: list[str] = []
    for part in _PARTS.finditer(text.lower().replace("'", "")):
        letters = re.sub(r"(.)\1+", r"\1", part[0])
        phones += _SOUNDS[letters if letters in _SOUNDS else letters[0]].split()
    return Pronunciation((text,), (tuple(phones),))
