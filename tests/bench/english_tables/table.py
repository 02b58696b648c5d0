"""Makes the English dictionary file from CMUdict's entries."""

from __future__ import annotations

import zlib
from collections.abc import Mapping, Sequence

import pyphen

from timing.language.english.breaks import VOWEL_LETTERS, divide, nuclei
from timing.language.english.letters_and_sounds import Pairs, align, bare
from timing.language.english.table import CODES
from timing.language.english.word_lists import LETTER_NAMES
from timing.language.pronunciation import Pronunciation
from timing.model import is_vowel

Words = Mapping[str, Sequence[tuple[str, ...]]]


def encode(found: Pronunciation) -> str:
    """Return one pronunciation as the file holds it."""
    lengths = "".join(chr(ord("a") - 1 + len(piece)) for piece in found.pieces)
    return lengths + "." + ".".join("".join(CODES[p] for p in piece) for piece in found.sounds)


def preferred_first(words: Words, pairs: Pairs) -> dict[str, list[tuple[str, ...]]]:
    """Return the words with their pronunciations ranked for print."""
    return {
        word: sorted(all_of, key=lambda phones: _strangeness(word, phones, pairs)) for word, all_of in words.items()
    }


def table_bytes(words: Words, pairs: Pairs) -> bytes:
    """Return the file: every word that its letters can carry; ``words`` hold the preferred pronunciation first."""
    patterns = pyphen.Pyphen(lang="en_US", left=2, right=2)
    lines = []
    for word in sorted(words, key=str.encode):
        found: list[str] = []
        for phones in words[word]:
            ranges = align(word, phones, pairs)
            if ranges is None or not any(is_vowel(p.rstrip("012")) for p in phones):
                continue
            chunks = [tuple(phones[a:b]) for a, b in ranges]
            coded = encode(divide(word, chunks, set(patterns.positions(word)), lambda other: words.get(other, ())))
            if coded not in found:
                found.append(coded)
        if found:
            lines.append("\t".join([word, *found]))
    return zlib.compress(("\n".join(lines) + "\n").encode(), 9)


def _strangeness(word: str, phones: tuple[str, ...], pairs: Pairs) -> tuple[int, int, int]:
    """Rank pronunciations: letters that explain the sounds, vowels on vowel letters, then the fuller one.

    CMUdict lists letter names as pronunciations too ("us" as U.S., "am" as A.M.); the first figure keeps them last.
    """
    names = [p for letter in word if letter in LETTER_NAMES for p in LETTER_NAMES[letter].replace(".", " ").split()]
    if len(word) > 1 and bare(phones) == bare(names):
        return (50, 0, 0)
    ranges = align(word, phones, pairs)
    if ranges is None:
        return (99, 0, 0)
    chunks = [tuple(phones[a:b]) for a, b in ranges]
    unlikely = sum(bare(chunk) not in pairs.get(letter, {}) for letter, chunk in zip(word, chunks, strict=True))
    found = nuclei(word, chunks)
    return (unlikely, sum(word[at] not in VOWEL_LETTERS for at, _ in found), -len(found))
