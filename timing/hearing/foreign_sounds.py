"""How words of other languages may sound to a recogniser that knows English sounds only.

In: a word's pronunciation in the nearest English sounds, and its language's rows of changes. Out: the ways it may also
be heard. A row is one manner of saying everything (its changes apply together); each word may be said in any of them.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from timing.hearing.recogniser import Phones
from timing.language.heard_as import Hearing, Row

_DOUBLE = re.compile(r"\b(?!A|E|I|O|U)([A-Z]+) (?=\1\b)")


def manners(phones: Phones, hearing: Hearing) -> Iterator[Phones]:
    """Return the pronunciation itself and the ways it may also be heard, likelier ones first.

    >>> list(manners(("T", "AA", "L", "L"), Hearing()))[:3]
    [('T', 'AA', 'L'), ('T', 'AE', 'L'), ('T', 'AH', 'L')]
    """
    text = " ".join(phones)
    if not hearing.keeps_double:
        text = _DOUBLE.sub("", text)
    found = {text: None}
    for row in hearing.manners:
        found[_changed(text, row)] = None
    for each in found:
        if each:
            yield tuple(each.split())


def _changed(text: str, row: Row) -> str:
    for pattern, by in row:
        text = re.sub(pattern, by, text)
    return text
