"""Portuguese as it is said in Portugal: the syllables of Brazil's spelling rules, other sounds, numbers and pace.

Sources: M. H. Mateus and E. d'Andrade, "The Phonology of Portuguese" (2000), for reduced vowels, s as sh before a
pause, hard t and d (from memory). Syllables are counted as written: many a weak vowel is hardly heard, but a careful
speaker, and one who speaks to children, says it.
"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

from timing.language import portuguese
from timing.language.letter_rules import ignoring_apostrophes, letter_rules
from timing.language.number_words import ending_in_a, number_words
from timing.language.pronunciation import Pronunciation
from timing.language.record import Figure

# Of Brazil's rules these go; those below come, behind what is written with two letters.
_BRAZILIAN = frozenset(
    ("d(?=i|e$|es$) > JH", "t(?=i|e$|es$) > CH", "l(?![aeiouáéíóúâêôãõh]) > W", "z$ > S", "e$ > IY", "es$ > IY S",
     "em$ > EY N", "os$ > UW S")
)  # fmt: skip
_EUROPEAN = r"""
e$ > AH
es$ > AH SH
em$ > AY N
os$ > UW SH
z$ > SH
s(?![aeiouáéíóúâêôãõ]) > SH
"""
_REDUCED = {"EH0": "AH0", "OW0": "UW0", "AA0": "AH0"}  # unstressed e, o and a


def _rules() -> str:
    kept = [line for line in portuguese.SOUNDS.strip().splitlines() if line.strip() not in _BRAZILIAN]
    at = kept.index("r > R") + 1
    return "\n".join([*kept[:at], *_EUROPEAN.strip().splitlines(), *kept[at:]])


_SOUNDS = letter_rules(_rules())


@cache
def pronounce(word: str, sounds_weak_e: bool) -> tuple[Pronunciation, ...]:
    """Return the pronunciation of a word.

    >>> pronounce("tarde", False)[0].sounds, pronounce("noites", False)[0].sounds[-1]
    ((('T', 'AA1', 'R'), ('D', 'AH0')), ('T', 'AH0', 'SH'))
    """
    return (ignoring_apostrophes(word, _read),)


def _read(word: str) -> Pronunciation:
    found = portuguese.read_with(word, _SOUNDS)
    reduced = tuple(tuple(_REDUCED.get(phone, phone) for phone in piece) for piece in found.sounds)
    return replace(found, sounds=reduced)


_CARDINAL, _ORDINAL = number_words("pt", ending_in_a)


def _clock(hour: int, minute: int) -> str:
    return re.sub(r"dezes(seis|sete)|dezenove", _teen, portuguese.RULES.figures.clock(hour, minute))


def _teen(match: re.Match[str]) -> str:
    return {"dezesseis": "dezasseis", "dezessete": "dezassete", "dezenove": "dezanove"}[match[0]]


_UNITS = {
    sign: (one.replace("quilô", "quiló"), many.replace("quilô", "quiló"))
    for sign, (one, many) in portuguese.RULES.figures.units.items()
}
RULES = replace(
    portuguese.RULES,
    pronounce=pronounce,
    figures=replace(
        portuguese.RULES.figures, cardinal=_CARDINAL, ordinal=_ORDINAL, year=_CARDINAL, clock=_clock, units=_UNITS
    ),
)

PORTUGAL_RATES = (
    "as many syllables a second as Spanish: S. Voigt and A. Schüppert (2013), abstract; Spanish from the study of "
    "Pellegrino and others (2011)"
)

LANGUAGE = replace(
    portuguese.LANGUAGE,
    rules=RULES,
    pace=Figure(0.95, PORTUGAL_RATES),
    usual_rate=Figure(7.82, PORTUGAL_RATES),
)
