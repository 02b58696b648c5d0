"""The English pronouncing dictionary inside the pocketsphinx wheel, read once.

135,000 entries in ARPABET without stress digits (a CMUdict of the recogniser's own phones, so that a word's
variants are those the acoustic model was trained with). Used beside the language stage's pronunciations.
"""

from __future__ import annotations

import os
from bisect import bisect_left
from functools import lru_cache
from itertools import takewhile

Phones = tuple[str, ...]
_MOST = 20  # no word has as many pronunciations


@lru_cache(maxsize=1)
def _lines() -> list[str]:
    """Return the dictionary's lines, "WORD PHONES" or "WORD(2) PHONES", sorted by the word: a test holds them to it."""
    import pocketsphinx

    path = os.path.join(pocketsphinx.get_model_path(), "en-us", "cmudict-en-us.dict")
    with open(path, encoding="utf-8") as file:
        return file.read().splitlines()


def _word(line: str) -> str:
    word = line.partition(" ")[0]
    return word.partition("(")[0] or word


@lru_cache(maxsize=4096)
def look_up(word: str) -> tuple[Phones, ...]:
    """Return the dictionary's pronunciations of a lower-case word, () for an unknown one.

    >>> look_up("sea")
    (('S', 'IY'),)
    """
    lines = _lines()
    first = bisect_left(lines, word, key=_word)
    own = takewhile(lambda line: _word(line) == word, lines[first : first + _MOST])
    return tuple(tuple(line.split()[1:]) for line in own)
