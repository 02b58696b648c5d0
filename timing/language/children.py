"""Words as they are written for children: in syllables ("wa-ter va-pour") and cried out ("Uuuuaaah").

In: one written token. Out: how it is said. Which letter a cry holds on which sound is ours, from memory.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence

from timing.language.pronunciation import Pronunciation

_CRIES = {"a": "AA1", "e": "IY1", "i": "IY1", "o": "OW1", "u": "UW1"}


def cried(text: str) -> Pronunciation | None:
    """Return how a cry of two or more drawn-out vowels sounds, None for any other word.

    Of a single vowel, or with another letter, it is a word drawn out ("wooow"), and read as that.

    >>> cried("Uuuuaaah").sounds, cried("Woooow")
    ((('UW1',), ('AA1',)), None)
    """
    lower = "".join(c.lower() if len(c.lower()) == 1 else c for c in text)
    if not re.fullmatch(r"(?:([aeiou])\1{2,}){2,}h*", lower):
        return None
    found = list(re.finditer(r"([aeiou])\1*", lower))
    ends = [m.start() for m in found[1:]] + [len(text)]
    pieces = tuple(text[m.start() : end] for m, end in zip(found, ends, strict=True))
    return Pronunciation(pieces, tuple((_CRIES[m[1]],) for m in found))


def may_be_syllables(texts: Sequence[str], core: str) -> bool:
    """True unless the pieces between hyphens are plainly words: a name, one word twice, or no letters.

    >>> may_be_syllables(["Wa", "ter"], "Wa-ter"), may_be_syllables(["Anne", "Marie"], "Anne-Marie")
    (True, False)
    """
    is_plain = all(text.replace("'", "").isalpha() for text in texts) and "/" not in core
    is_name = any(text[:1].isupper() for text in texts[1:]) and not core.isupper()
    return len(texts) > 1 and is_plain and not is_name and len({text.lower() for text in texts}) > 1


def are_syllables(written: Sequence[str], own: Sequence[str]) -> bool:
    """True when a word's own syllables are just those written, accents aside.

    >>> are_syllables(["va", "por"], ["va", "por"]), are_syllables(["guarda", "chuva"], ["guar", "da", "chu", "va"])
    (True, False)
    """
    return [_plain(piece) for piece in written] == [_plain(piece) for piece in own]


def _plain(text: str) -> str:
    return "".join(c for c in unicodedata.normalize("NFKD", text.casefold()) if not unicodedata.combining(c))
