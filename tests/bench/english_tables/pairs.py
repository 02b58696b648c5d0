"""Learns which letters stand for which sounds, by expectation and maximisation over CMUdict."""

from __future__ import annotations

import math
import random
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence

from timing.language.english.letters_and_sounds import Pairs, align, bare
from timing.model import is_vowel

Words = Mapping[str, Sequence[tuple[str, ...]]]

ROUNDS, SAMPLE = 4, 40_000

# A first guess that any reader of English would make; training replaces it.
_FIRST = {
    "a": "AE EY AA AH AO EH", "b": "B", "c": "K S CH", "d": "D T", "e": "EH IY AH IH ER", "f": "F", "g": "G JH NG",
    "h": "HH", "i": "IH AY IY AH", "j": "JH Y", "k": "K", "l": "L", "m": "M", "n": "N NG", "o": "OW AA AO AH UW",
    "p": "P F", "q": "K", "r": "R ER", "s": "S Z SH ZH", "t": "T SH TH DH CH", "u": "AH UW UH ER", "v": "V", "w": "W",
    "x": "Z", "y": "IY AY Y IH", "z": "Z S", "'": "",
}  # fmt: skip
_FIRST_DOUBLES = {
    "x": [("K", "S"), ("G", "Z")], "u": [("Y", "UW")], "q": [("K", "W")],
    "l": [("AH", "L")], "m": [("AH", "M"), ("M", "AH")],
    "n": [("AH", "N")], "s": [("IH", "Z"), ("AH", "Z")], "d": [("IH", "D"), ("AH", "D")], "o": [("W", "AH")],
}  # fmt: skip


def learn_pairs(words: Words) -> Pairs:
    """Return the log probabilities of the sounds of each letter."""
    pairs: dict[str, dict[tuple[str, ...], float]] = {}
    for letter, sounds in _FIRST.items():
        pairs[letter] = {(): -2.0} | {(s,): -1.0 for s in sounds.split()}
        pairs[letter] |= dict.fromkeys(_FIRST_DOUBLES.get(letter, []), -1.5)
    sample = sorted(words)
    random.Random(0).shuffle(sample)
    for _ in range(ROUNDS):
        seen: dict[str, Counter[tuple[str, ...]]] = defaultdict(Counter)
        for word in sample[:SAMPLE]:
            phones = bare(words[word][0])
            for letter, (start, end) in zip(word, align(word, phones, pairs) or (), strict=False):
                seen[letter][phones[start:end]] += 1
        pairs = {
            letter: {s: round(math.log(n / counts.total()), 3) for s, n in counts.items() if n > 2 and _fits(letter, s)}
            for letter, counts in seen.items()
        }
    return pairs


def _fits(letter: str, sounds: tuple[str, ...]) -> bool:
    """False for a vowel on a consonant letter, but for "r" and for the syllables of litt-le, rhyth-m,
    church-'s, M-c."""
    if letter in "aeiouy'" or not any(is_vowel(s) for s in sounds):
        return True
    return sounds == ("ER",) if letter == "r" else len(sounds) == 2 and sounds in _FIRST_DOUBLES.get(letter, [])
