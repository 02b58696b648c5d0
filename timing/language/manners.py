"""How directions are written in a language: what a speaker does, how a line is spoken, who only tells the story.

Scripts mix languages ("(sussurrando)" beside "(whispers)"), so a direction is looked for in every language that has a
record; how long it makes the line hangs on the line's own language and English.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache

# What a direction does to the length of a line; the figures are the timers'.
CHANGES = ("strong", "slow", "narration", "hushed", "quick")

# Shapes that Romance languages share, less words that only end so: "bocejando", "lentamente".
ROMANCE_DOING = (
    r"(?!quando|cuando|segundo|comando|mundo|lindo|blando|grande)\w{3,}(?:ando|endo|indo|iendo|yendo)(?:-?se)?"
)
ROMANCE_MANNER = r"(?!finalmente|realmente|somente|novamente|solamente|normalmente|semente)\w{3,}mente"


@dataclass(frozen=True, eq=False)
class Manners:
    """The words of directions, all in small letters.

    ``changes``: by one of ``CHANGES``, a regular expression that one of a direction's words begins with ("shout" stands
    for "shouted" too). ``acting``: what a speaker does or is
    ("giggles", "sad"). ``spoken_so``: a regular expression that a whole direction of a language's own shape matches
    ("bocejando", "à voix basse"). ``narrators``: a regular expression that the beginning of the name of one who tells
    the story matches.
    """

    changes: Mapping[str, str] = field(default_factory=dict)
    acting: frozenset[str] = frozenset()
    spoken_so: str = ""
    narrators: str = ""

    def changed_by(self, direction: str) -> tuple[str, ...]:
        """Return what a direction changes, in the order of ``CHANGES``.

        >>> Manners({"strong": "shout", "quick": "in one breath"}).changed_by("shouted in one breath")
        ('strong', 'quick')
        """
        return tuple(kind for kind in CHANGES if kind in self.changes and _begun(self.changes[kind]).search(direction))

    def begins_so(self, direction: str) -> bool:
        """True where the first word of a direction is one that changes the length."""
        return any(_begun(change).match(direction) for change in self.changes.values())

    def names_a_narrator(self, speaker: str) -> bool:
        return bool(self.narrators) and _whole(self.narrators).match(speaker.strip()) is not None

    def is_acted(self, words: Sequence[str]) -> bool:
        """True for "giggles", "giggling softly", "bocejando": what somebody does, not how a word is stressed."""
        if not words:
            return False
        if words[0] in self.acting:
            return True
        return len(words) < 5 and bool(self.spoken_so) and _whole(self.spoken_so).fullmatch(" ".join(words)) is not None


@cache
def _begun(pattern: str) -> re.Pattern[str]:
    return re.compile(rf"\b(?:{pattern})", re.IGNORECASE)


@cache
def _whole(pattern: str) -> re.Pattern[str]:
    return re.compile(pattern, re.IGNORECASE)
