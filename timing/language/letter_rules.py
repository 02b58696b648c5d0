"""Spelling to sound by ordered rules, and syllables by counting vowels: what the regular languages share.

A rule is one line, ``letters > PHONES``: a regular expression tried at the place reached, the first that fits wins.
Sounds are ARPABET's nearest: enough for lips, openness and length, not for a phonetician. Rounded front vowels are
written with the rounded vowel of the same height (UW, ER), nasal vowels with N, trilled and tapped r with R.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

from timing.language.pronunciation import Pronunciation
from timing.model import is_vowel

_FULL = {"Y": "IY", "W": "UW"}  # the vowel that a glide comes from


@dataclass(frozen=True)
class LetterRules:
    """Rules by their lines, compiled when a word is first read by them: a language may be asked for other things."""

    text: str

    @cached_property
    def rules(self) -> tuple[tuple[re.Pattern[str], tuple[str, ...]], ...]:
        """What letters are and how they sound; later ones are tried later."""
        rows = (line.partition(">") for line in self.text.strip().splitlines())
        return tuple((re.compile(letters.strip()), tuple(phones.split())) for letters, _, phones in rows)


def letter_rules(text: str) -> LetterRules:
    """Return rules from their lines; later ones are tried later."""
    return LetterRules(text)


def sounds_at(word: str, rules: LetterRules) -> list[tuple[int, tuple[str, ...]]]:
    """Return (letter offset, phones) in order; a letter that no rule knows is silent."""
    found, at = [], 0
    while at < len(word):
        for pattern, phones in rules.rules:
            match = pattern.match(word, at)
            if match and match.end() > at:
                found.append((at, phones))
                at = match.end()
                break
        else:
            at += 1
    return found


def said(word: str, cuts: Sequence[int], rules: LetterRules, stress: int) -> Pronunciation:
    """Return a word cut at ``cuts``, each piece with the sounds of its letters; ``stress`` is the stressed piece."""
    edges = [0, *cuts, len(word)]
    sounds = sounds_at(word, rules)
    pieces = [word[start:end] for start, end in itertools.pairwise(edges)]
    spoken = [
        [p for at, all_of in sounds if start <= at < end for p in all_of] for start, end in itertools.pairwise(edges)
    ]
    for number, phones in enumerate(spoken):
        if any(map(is_vowel, phones)) or len(pieces) == 1:
            continue
        if phones and phones[-1] in _FULL:  # lu-a, mi-o: a glide by its letters, but a syllable by itself
            phones[-1] = _FULL[phones[-1]]
        elif number:  # ra-i-nha: two letters of one sound that belong to two syllables
            spoken[number - 1 : number + 1] = [
                [p for _, all_of in sounds_at(piece, rules) for p in all_of]
                for piece in pieces[number - 1 : number + 1]
            ]
    stressed = (
        tuple(p + "01"[number == stress] if is_vowel(p) else p for p in phones) for number, phones in enumerate(spoken)
    )
    return Pronunciation(tuple(pieces), tuple(stressed))


def ignoring_apostrophes(word: str, pronounce: Callable[[str], Pronunciation]) -> Pronunciation:
    """Return a word read as if its apostrophes were not there; they stay with the letter before: del-l'o-ce-a-no."""
    if "'" not in word:
        return pronounce(word)
    plain = word.replace("'", "")
    if not plain:
        return Pronunciation((word,), ((),), True)
    found = pronounce(plain)
    pieces, at = [], 0
    for piece in found.pieces:
        end = at
        for letter in piece:
            while word[end] == "'" != letter:
                end += 1
            end += 1
        while end < len(word) and word[end] == "'":
            end += 1
        pieces.append(word[at:end])
        at = end
    return Pronunciation(tuple(pieces), found.sounds, found.is_guessed)


def cuts_between(
    word: str, nuclei: Sequence[tuple[int, int]], onset_start: Callable[[str, int, int], int]
) -> list[int]:
    """Return one cut between each two nuclei; ``onset_start`` says where the right one's consonants begin."""
    return [onset_start(word, left[1], right[0]) for left, right in itertools.pairwise(nuclei)]


def onset_finder(onsets: frozenset[str]) -> Callable[[str, int, int], int]:
    """Return a function that gives the longest of ``onsets`` (one consonant at least) to the right syllable."""

    def start(word: str, low: int, high: int) -> int:
        if low >= high:
            return high
        return next((k for k in range(low, high) if word[k:high] in onsets), high - 1)

    return start


def repaired(
    pieces: Sequence[str],
    nuclei_of: Callable[[str], list[tuple[int, int]]],
    onset_start: Callable[[str, int, int], int],
) -> list[int]:
    """Return cuts made from hyphenation pieces so that every piece has one vowel sound.

    Patterns for the printer leave single letters at the edges together and sometimes split off consonants.
    """
    word = "".join(pieces)
    nuclei = nuclei_of(word)
    points, at = set(), 0
    for piece in pieces[:-1]:
        at += len(piece)
        points.add(at)
    cuts = []
    for left, right in itertools.pairwise(nuclei):
        inside = [k for k in range(left[1], right[0] + 1) if k in points]
        cuts.append(inside[-1] if inside else onset_start(word, left[1], right[0]))
    return cuts
