"""Words and syllables of a line, untimed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from timing.model.basics import Break, Finding
from timing.model.clock import Seconds
from timing.model.packed import Packed

Pronounce = Callable[[str], Sequence[Sequence[str]]]
"""A word (lower case) in, its pronunciations out: ARPABET without stress digits, best first, never empty."""


def shown_text(text: str, said: str) -> str:
    return f"{text} ({said})" if text and said else text or said


@dataclass(frozen=True, slots=True)
class Syllable:
    """One syllable as printed.

    The texts of a word's syllables join to the word as printed, punctuation included; where the spoken form
    differs ("$5"), the first carries the print and the others are empty, and ``said`` holds what is heard of each,
    the first included: "7" is ("7", said "sev") and ("", said "en").
    ``stress``: 0 none, 1 primary, 2 secondary (as in CMUdict). ``phones`` are ARPABET symbols without
    stress digits; empty where the language has no sounds here.
    """

    text: str
    stress: int = 0
    phones: tuple[str, ...] = ()
    said: str = ""

    @property
    def shown(self) -> str:
        """What a sheet prints for this syllable: "7 (sev)" where the voice says other than the print.

        >>> Syllable("7", said="sev").shown, Syllable("", said="en").shown, Syllable("lim").shown
        ('7 (sev)', 'en', 'lim')
        """
        return shown_text(self.text, self.said)

    @property
    def heard(self) -> str:
        """What the voice says, in letters: "sev" of "7", else the print itself."""
        return self.said or self.text


@dataclass(frozen=True, slots=True)
class Word:
    """One written token that is spoken, with the punctuation that touches it.

    ``spoken`` is how it is said ("five dollars"); ``start``/``end`` are offsets into the line's text.
    ``pause_after`` is a silence pinned by the user; other pauses are the timer's business, by ``mark``, the
    punctuation that follows ("," "." "…" "—" or "").
    """

    text: str
    spoken: str
    syllables: tuple[Syllable, ...]
    start: int
    end: int
    break_after: Break = Break.WORD
    mark: str = ""
    pause_after: Seconds | None = None
    is_guessed: bool = False  # pronounced by the letter model
    is_emphasised: bool = False
    is_function: bool = False  # article, preposition, pronoun, conjunction, auxiliary
    stretch: Fraction = Fraction(1)  # "sooo" is longer than "so"
    is_syllabled: bool = False  # "wa-ter": said syllable by syllable

    def __post_init__(self) -> None:
        if not self.syllables:
            raise ValueError(f"word without syllables: {self.text!r}")
        if "".join(s.text for s in self.syllables) != self.text:
            raise ValueError(f"syllables do not join to the word: {self.text!r} {self.syllables}")


@dataclass(frozen=True, slots=True)
class Utterance:
    """The spoken words of one line; ``text`` is the line as printed."""

    text: str
    words: Sequence[Word]
    language: str = "en_US"
    findings: tuple[Finding, ...] = ()

    def packed(self) -> Utterance:
        """Return the utterance with its words kept small."""
        return replace(self, words=Packed.of(self.words))

    @property
    def syllable_count(self) -> int:
        return sum(len(w.syllables) for w in self.words)
