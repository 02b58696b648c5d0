"""Words without the marks around them, as text and as a key to compare by."""

from __future__ import annotations

import re

# Marks that stand around a word in a line; an apostrophe inside or at the end of one ("swimmin'") is among them.
MARKS = " \t.,;:!?…\"'“”‘’«»‹›()[]{}*_–—-"
_WORD = re.compile(r"[^\W_]+(?:['’][^\W_]+)*")


def bare(text: str) -> str:
    """Return a written word without the marks around it; what is nothing but marks stays.

    >>> bare("“sea,”"), bare("(don’t)…"), bare("—")
    ('sea', 'don’t', '—')
    """
    return text.strip(MARKS) or text


def folded(text: str) -> str:
    """Return a word as two spellings of it agree: small letters, straight apostrophes, no marks around it.

    >>> folded("“Don’t!”") == folded("don't")
    True
    """
    return bare(text.casefold().replace("’", "'"))


def bare_words(text: str) -> tuple[str, ...]:
    """Return the words in a text, small, without the marks around them.

    >>> bare_words("Out and in — “the sea” goes!")
    ('out', 'and', 'in', 'the', 'sea', 'goes')
    """
    return tuple(_WORD.findall(text.casefold()))


def letters_of(text: str) -> str:
    """Return the letters and figures of a text alone, small: what a comma or a capital does not change.

    >>> letters_of("Don’t!") == letters_of("dont")
    True
    """
    return "".join(c for c in text.casefold() if c.isalnum())
