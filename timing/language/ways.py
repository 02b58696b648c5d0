"""What a language does its own way when a written token is read. Here are the plain ways, for a language without a
pronouncing dictionary; a language overrides those that are different in it.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from timing.language.pronunciation import Pronunciation

Pronounce = Callable[[str, bool], tuple[Pronunciation, ...]]


@dataclass(frozen=True)
class Ways:
    """The ways of a language; ``pronounce`` is that of its rules."""

    pronounce: Pronounce

    has_dictionary = False
    prefixes: frozenset[str] = frozenset()  # before a hyphen and a word: no syllable of a word written in syllables
    plural_s = ""  # the sound of an s that leans on initials ("TVs"); none: it is a letter like the others

    def is_known(self, word: str) -> bool:
        """True when a dictionary holds the word, in lower case."""
        return False

    def letter(self, letter: str, name: str) -> Pronunciation:
        """Return how a letter is said by itself; ``name`` is its name where it is not the letter."""
        said = [self.pronounce(word, False)[0] for word in (name or letter.lower()).split()]
        return Pronunciation(tuple(p for one in said for p in one.pieces), tuple(s for one in said for s in one.sounds))

    def letter_in_figure(self, letter: str) -> Pronunciation:
        """Return how a letter is said that stands among words read for a figure: the M of "seven A M"."""
        return self.pronounce(letter.lower(), False)[0]

    def heard_of_letter(self, found: Pronunciation, number: int) -> str:
        """Return what is heard of the ``number``-th syllable of a letter's name that has several."""
        return found.pieces[number]

    def is_spelt(self, word: str) -> bool | None:
        """Return whether a word in capitals is spelt out, None where only its look can tell."""
        return None

    def possessive(self, found: Pronunciation, written: str) -> Pronunciation:
        """Return a word with its 's, printed as ``written``."""
        pieces = (*found.pieces[:-1], found.pieces[-1] + written)
        return Pronunciation(pieces, (*found.sounds[:-1], (*found.sounds[-1], "S")), found.is_guessed)

    def double_contraction(self, text: str) -> tuple[int, str, Pronunciation] | None:
        """Return where the second of two contractions begins, what it stands for and how it is said; None: it is one
        word."""
        return None

    def is_letter_alone(self, word: str) -> bool:
        """True for a single letter that is no word and so is called by its name."""
        return False

    def stutter(self, letters: str) -> Pronunciation | None:
        """Return how the first consonants of a stuttered word are said ("b-b-but"), None to read them as a word."""
        return None

    def heard(self, word: str) -> str:
        """Return what is said as it is written in full: without accents or clipped letters where those say nothing."""
        return word

    def respell(self, text: str) -> list[str]:
        """Return the phones of an ordinary respelling; hyphens part its syllables."""
        words = [w for w in re.split(r"[\s-]+", text.lower()) if w]
        return [p for word in words for sounds in self.pronounce(word, False)[0].sounds for p in sounds]

    def divide(self, word: str, phones: list[str]) -> tuple[str, ...]:
        """Return the printed pieces of a word that is said with these phones."""
        return self.pronounce(word.lower(), False)[0].pieces

    def street(self, abbreviation: str) -> str | None:
        """Return what an abbreviation means after a street's name: the "St." of "Shore St."."""
        return None

    def ruler(self, value: int) -> str | None:
        """Return how the number after a name is said ("the third"), None: as a plain number."""
        return None

    def usual_length(self, text: str, start: int, end: int) -> int:
        """Return whether the letter written many times from ``start`` to ``end`` is single (1) or double in the word
        itself, where nothing else tells."""
        return 1
