"""What a language must offer: the shape of its record of rules."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from timing.language.pronunciation import Pronunciation
from timing.language.spoken import SpokenRules
from timing.language.ways import Ways


@dataclass(frozen=True)
class Rules:
    """Everything about one language that reading a line needs.

    ``pronounce`` takes a word (lower case, one code point a letter, without punctuation but apostrophes) and
    whether its weak final vowel is sounded (French), and returns its pronunciations, the preferred one first.
    ``abbreviations`` maps a written form, lower case and with its full stop, to what is said; "~" before the words
    means: only before a capital letter, "#": only before a figure.
    ``never_after`` are words after which no cut is good, ``phrase_before`` those before which one is.
    ``counted_before`` are words that a Roman figure after them counts ("Part V"), ``silent_before`` the letters before
    which a weak final vowel is silent even when it is sung. ``own_ways`` is what the language reads its own way.
    """

    pronounce: Callable[[str, bool], tuple[Pronunciation, ...]]
    figures: SpokenRules
    abbreviations: Mapping[str, str]
    function_words: frozenset[str]
    never_after: frozenset[str]
    phrase_before: frozenset[str]
    homographs: Mapping[str, str] = field(default_factory=dict)  # word -> its readings, for the report
    weak_at_end: frozenset[str] = frozenset()  # unstressed even before a pause
    conjunctions: frozenset[str] = frozenset()  # a cut before them is good whatever stands there, but ...
    before_conjunction: frozenset[str] = frozenset()  # ... after these: as if, of when
    ends_or_leans: frozenset[str] = frozenset()  # object or subject: "with you | to the sea", "you swim"
    leaning_endings: tuple[str, ...] = ()  # of words that lean on the next: possessives
    elided: frozenset[str] = frozenset()  # forms before an apostrophe that join the next word: l', d', c'
    counted_before: frozenset[str] = frozenset()
    behind_hyphen: frozenset[str] = frozenset()  # pronouns that lean on the word before: dá-me
    before_hyphen: frozenset[str] = frozenset()  # words that begin a compound written with a hyphen: grand-mère
    kept_hyphen: str = ""  # a regular expression of hyphens at which no word ends: a-t-il
    silent_before: str = ""
    capitalises_nouns: bool = False  # so that two capitals in a row are no name
    own_ways: Ways | None = None

    @property
    def ways(self) -> Ways:
        """How tokens are read: the language's own ways, or the plain ones."""
        return self.own_ways or Ways(self.pronounce)
