"""Languages without rules of their own: pyphen's patterns for the breaks, number words where num2words has them."""

from __future__ import annotations

import itertools
import re
import unicodedata
from collections.abc import Callable
from functools import cache

from timing.language.letter_rules import onset_finder, repaired
from timing.language.number_words import number_words
from timing.language.pronunciation import Pronunciation
from timing.language.record import Language
from timing.language.rules import Rules
from timing.language.spoken import SpokenRules

# The scripts that languages without a record are written in, as Unicode names their letters; the others: Latin.
_SCRIPTS = {
    "el": ("GREEK",), "be": ("CYRILLIC",), "bg": ("CYRILLIC",), "mk": ("CYRILLIC",), "mn": ("CYRILLIC",),
    "ru": ("CYRILLIC",), "uk": ("CYRILLIC",), "sr": ("CYRILLIC", "LATIN"), "as": ("BENGALI",), "kn": ("KANNADA",),
    "mr": ("DEVANAGARI",), "sa": ("DEVANAGARI",), "or": ("ORIYA",), "pa": ("GURMUKHI",), "te": ("TELUGU",),
    "th": ("THAI",),
}  # fmt: skip
_VOWELS = frozenset("aeiouyæœøıаеёиоуыэюяієїαεηιουωάέήίόύώ")


@cache
def pattern_pieces(code: str) -> Callable[[str], list[str]]:
    """Return a function that cuts a word at pyphen's points, two letters from either edge."""
    import pyphen

    patterns = pyphen.Pyphen(lang=code, left=2, right=2)
    return lambda word: [p for p in patterns.inserted(word, "\0").split("\0") if p]


def language_from_patterns(code: str) -> Language:
    """Return the record of a language by pyphen's code that has hyphenation patterns and nothing else."""
    return Language(rules_from_patterns(code), scripts=_SCRIPTS.get(code.split("_")[0], ("LATIN",)), has_sounds=False)


def rules_from_patterns(code: str) -> Rules:
    """Return rules for a language that has hyphenation patterns and nothing else."""
    pieces = pattern_pieces(code)

    def pronounce(word: str, sounds_weak_e: bool = False) -> tuple[Pronunciation, ...]:
        cuts = repaired(pieces(word), _vowel_groups, onset_finder(frozenset()))
        edges = [0, *cuts, len(word)]
        parts = tuple(word[a:b] for a, b in itertools.pairwise(edges) if b > a) or (word,)
        return (Pronunciation(parts, ((),) * len(parts)),)

    return Rules(pronounce, _plain_figures(code), {}, frozenset(), frozenset(), frozenset())


def _vowel_groups(word: str) -> list[tuple[int, int]]:
    plain = "".join(unicodedata.normalize("NFD", c)[0] for c in word)
    return [m.span() for m in re.finditer("[" + "".join(sorted(_VOWELS)) + "]+", plain)]


def _plain_figures(code: str) -> SpokenRules:
    try:
        from num2words import CONVERTER_CLASSES
    except ImportError:  # pragma: no cover - a dependency
        CONVERTER_CLASSES = {}
    known = code if code in CONVERTER_CLASSES else code.split("_")[0]
    cardinal, ordinal = number_words(known) if known in CONVERTER_CLASSES else (str, lambda n, f: str(n))
    return SpokenRules(
        cardinal=cardinal, ordinal=ordinal, ordinal_mark=r"\.", year=cardinal,
        clock=lambda h, m: f"{cardinal(h)} {cardinal(m)}" if m else cardinal(h), one=(cardinal(1), cardinal(1)),
        decimal=",", point="", money_and="", currencies={}, units={}, symbols={}, fractions={}, and_a={},
        fraction=lambda a, b: f"{cardinal(a)} {cardinal(b)}", large=frozenset(),
        percent="%", minus="", degree=("", ""),
        to="", number="",
    )  # fmt: skip
