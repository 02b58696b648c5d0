"""What the program knows of one language: everything that depends on a language hangs on its record.

In: facts, each with its source. Out: :class:`Language`. What a record leaves out has a default that is said
(:meth:`Language.assumed`), so that a new language works from its first line.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from timing.language.heard_as import Hearing
from timing.language.manners import Manners
from timing.language.rules import Rules
from timing.language.script_words import ScriptWords


@dataclass(frozen=True)
class Figure:
    """A number and where it comes from; ``is_assumed`` where nobody measured it for this language."""

    value: float
    source: str
    is_assumed: bool = False


# How fast languages are read, in syllables a second without pauses.
READING_RATES = 'F. Pellegrino, C. Coupé and E. Marsico, "A cross-language perspective on speech information rate", '
READING_RATES += "Language 87 (2011)"
# Lengths come from rules made for English; a factor makes them run at the language's own rate on our sample texts.
FITTED = f"fitted to {READING_RATES} (tests/bench/bench_words.py --languages)"
ENGLISH_PACE = Figure(1.0, "the pace of English", is_assumed=True)
ENGLISH_RATE = 6.19


@dataclass(frozen=True)
class Language:
    """One language.

    ``pace`` multiplies the lengths that rules made for English give. ``usual_rate`` is the rate of adults reading,
    syllables a second, above which speech is called brisk. ``scripts`` are the alphabets it is written in, as Unicode
    names their letters. ``common_words`` and ``own_letters`` tell a line in it among lines of another language: words
    so common that most sentences have some, less those that English has too or sings without a meaning.
    ``vowel_words`` are everyday words for the vowel signs on the sheets (none: no key is printed).
    ``manners`` are the words of directions, ``script_words`` those of songs, waits and what stands around a script.
    ``has_sounds`` is False where only breaks are known.
    """

    rules: Rules
    pace: Figure = ENGLISH_PACE
    usual_rate: Figure = Figure(ENGLISH_RATE, "the rate of English", is_assumed=True)
    hearing: Hearing = field(default_factory=Hearing)
    scripts: tuple[str, ...] = ("LATIN",)
    common_words: frozenset[str] = frozenset()
    own_letters: str = ""
    vowel_words: Mapping[str, str] = field(default_factory=dict)
    manners: Manners = field(default_factory=Manners)
    script_words: ScriptWords = field(default_factory=ScriptWords)
    has_sounds: bool = True

    def assumed(self) -> tuple[str, ...]:
        """Return in words which figures are taken from elsewhere because nobody measured them here."""
        figures = {"how fast it is spoken": self.pace, "which rate is usual": self.usual_rate}
        return tuple(f"{what}: {figure.source}" for what, figure in figures.items() if figure.is_assumed)
