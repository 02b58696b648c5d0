"""How a language's words may sound to a recogniser that knows English sounds only: the vocabulary of its rows.

A row is one manner of saying everything: pairs (pattern, replacement) on a pronunciation written in the nearest
English sounds, applied one after another. Chosen on lines of our own spoken by a synthesiser; the sounds themselves:
handbooks of phonetics (from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field

Row = tuple[tuple[str, str], ...]
Phones = tuple[str, ...]

VOWEL = r"(?:A[AEHOWY]|E[HRY]|I[HY]|O[WY]|U[HW])"
END = rf"(?= (?!{VOWEL}|[YW])|$)"  # of a syllable
NASAL = (rf"({VOWEL}) (?:N|M|NG){END}", r"\1")  # a nasal vowel: no consonant of its own
# Vowels between two English ones may be heard as either neighbour.
OPEN: Row = ((r"\bAA\b", "AE"), (r"\bOW\b", "AO"), (r"\bEH\b", "EY"))
WEAK: Row = ((r"\bAA\b", "AH"), (r"\bEH\b", "IH"), (r"\bER\b", "UH"), (r"\bR\b", "D"))
CLOSE: Row = ((r"\bEY\b", "EH"), (r"\bAO\b", "OW"), (r"\bUW\b", "UH"), (r"\bR\b", "HH"))
ANY: tuple[Row, ...] = (OPEN, WEAK, CLOSE)


def no_endings(phones: Phones, word: str, following: str) -> Iterator[Phones]:
    """Return the other endings of a word whose last letters always sound alike: none."""
    return iter(())


@dataclass(frozen=True)
class Hearing:
    """What following a known line in a recording needs to know of its language.

    ``manners`` are the rows above. ``keeps_double``: a double letter is two sounds (Italian). ``endings`` gives the
    other endings that a word may have before the word that follows ("" at the end of the line). ``weak_forms`` are
    what function words are reduced to. ``is_recognisers_own``: the recogniser was trained on this language, so its
    dictionary is used, nothing is allowed for foreign sounds, and edges of words stay where it hears them.
    ``closed`` are sounds whose closure is taken for silence before them, ``clear`` those that fade out before it.
    """

    manners: tuple[Row, ...] = ANY
    keeps_double: bool = False
    endings: Callable[[Phones, str, str], Iterator[Phones]] = no_endings
    weak_forms: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    is_recognisers_own: bool = False
    closed: frozenset[str] = frozenset("P T K B D G CH JH L".split())
    clear: frozenset[str] = frozenset(("L",))
