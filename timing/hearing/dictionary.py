"""The English pronouncing dictionary inside the pocketsphinx wheel, read once.

135,000 entries in ARPABET without stress digits (a CMUdict of the recogniser's own phones, so that a word's
variants are those the acoustic model was trained with). Used beside the language stage's pronunciations.
"""

from __future__ import annotations

import os
from functools import lru_cache

Phones = tuple[str, ...]


@lru_cache(maxsize=1)
def _entries() -> dict[str, list[Phones]]:
    import pocketsphinx

    found: dict[str, list[Phones]] = {}
    path = os.path.join(pocketsphinx.get_model_path(), "en-us", "cmudict-en-us.dict")
    with open(path, encoding="utf-8") as file:
        for line in file:
            word, _, phones = line.partition(" ")
            found.setdefault(word.partition("(")[0] or word, []).append(tuple(phones.split()))
    return found


def look_up(word: str) -> tuple[Phones, ...]:
    """Return the dictionary's pronunciations of a lower-case word, () for an unknown one.

    >>> look_up("sea")
    (('S', 'IY'),)
    """
    return tuple(_entries().get(word, ()))
