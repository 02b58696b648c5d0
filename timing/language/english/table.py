"""The English dictionary: a word in lower case in, its pronunciations out; nothing is parsed before it is asked for.

The file is CMUdict's data, compressed: sorted lines of ``word TAB pronunciation TAB ...``, the preferred one first.
A pronunciation is the lengths of its printed pieces (letters "a" = 1 ... ), a full stop, and one character a phone
with full stops between syllables. It is written by ``tests/bench/make_english.py``.
"""

from __future__ import annotations

import zlib
from functools import cache
from importlib import resources

from timing.language.pronunciation import Pronunciation

CONSONANTS = "B CH D DH F G HH JH K L M N NG P R S SH T TH V W Y Z ZH".split()
_VOWELS = "AA AE AH AO AW AY EH ER EY IH IY OW OY UH UW".split()
SYMBOLS = (*CONSONANTS, *(v + s for v in _VOWELS for s in "012"))
CODES = {symbol: chr(number) for number, symbol in enumerate(SYMBOLS, ord("0"))}
_PHONES = {code: symbol for symbol, code in CODES.items()}


def decode(word: str, text: str) -> Pronunciation:
    """Return a pronunciation as the file holds it."""
    lengths, *sounds = text.split(".")
    pieces, at = [], 0
    for letter in lengths:
        length = ord(letter) - ord("a") + 1
        pieces.append(word[at : at + length])
        at += length
    return Pronunciation(tuple(pieces), tuple(tuple(_PHONES[c] for c in sound) for sound in sounds))


@cache
def _lines() -> bytes:
    packed = resources.files("timing.language.english").joinpath("data", "english.bin").read_bytes()
    return b"\n" + zlib.decompress(packed)


@cache
def find(word: str) -> tuple[Pronunciation, ...]:
    """Return the pronunciations of a word, the preferred one first; none where the dictionary lacks it.

    >>> [p.pieces for p in find("otter")], find("zzyzx")
    ([('ot', 'ter')], ())
    """
    lines = _lines()
    wanted = word.encode()
    low, high = 0, len(lines) - 1  # the line sought begins after a line end within [low, high)
    while low < high:
        middle = (low + high) // 2
        start = lines.rfind(b"\n", low, middle + 1)
        if start < 0:
            start = low
        end = lines.find(b"\n", start + 1)
        found, _, rest = lines[start + 1 : end].partition(b"\t")
        if found == wanted:
            return tuple(decode(word, text) for text in rest.decode().split("\t"))
        if found < wanted:
            low = end
        else:
            high = start
    return ()
