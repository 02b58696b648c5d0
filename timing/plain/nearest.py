"""How near two words are: for names and words that were meant but mistyped."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches

# The share of two words' letters, in order, that must be the same (our own choices): for a name among few; for a word
# among many that are alike; for one that is an ordinary word as likely as a slip.
LIKE, CLOSE, VERY_CLOSE = 0.6, 0.75, 0.87


def nearest(word: str, known: Iterable[str], most: int = 1, like: float = LIKE) -> list[str]:
    """Return the known names that ``word`` may have been meant for, best first, as they are written; case is nothing.

    >>> nearest("tanys", ["BRAM", "TANSY"]), nearest("tide", ["BRAM", "TANSY"])
    (['TANSY'], [])
    """
    folded = {name.casefold(): name for name in known}
    return [folded[found] for found in get_close_matches(word.strip().casefold(), folded, most, like)]


def meant(word: str, known: Iterable[str], otherwise: str = "", like: float = LIKE) -> str:
    """Return the advice for a name nobody knows: 'did you mean "X"?', or ``otherwise`` where none is near.

    >>> meant("tanys", ["BRAM", "TANSY"]), meant("tide", ["BRAM", "TANSY"], "they are BRAM, TANSY")
    ('did you mean "TANSY"?', 'they are BRAM, TANSY')
    """
    near = nearest(word, known, 1, like)
    return f'did you mean "{near[0]}"?' if near else otherwise


def one_slip(a: str, b: str) -> bool:
    """True when one letter added, left out, changed or swapped with its neighbour makes ``a`` into ``b``.

    >>> one_slip("TANYS", "TANSY"), one_slip("wispered", "whispered"), one_slip("BRAM", "BRAM")
    (True, True, False)
    """
    if a == b or abs(len(a) - len(b)) > 1 or any(c.isdigit() for c in a + b):
        return False
    start = 0
    while start < min(len(a), len(b)) and a[start] == b[start]:
        start += 1
    rest_a, rest_b = a[start:], b[start:]
    return (
        rest_a[1:] == rest_b[1:]
        or rest_a[1:] == rest_b
        or rest_a == rest_b[1:]
        or (rest_a[1::-1] == rest_b[:2] and len(rest_a) > 1 and rest_a[2:] == rest_b[2:])
    )


def ends_otherwise(a: str, b: str) -> bool:
    """True for names that begin with the same four letters or more and end in one or two others.

    >>> ends_otherwise("TANSIE", "TANSY"), ends_otherwise("BRAMBLE", "BRAM"), ends_otherwise("TANNER", "TANSY")
    (True, False, False)
    """
    same = 0
    while same < min(len(a), len(b)) and a[same].casefold() == b[same].casefold():
        same += 1
    rests = len(a) - same, len(b) - same
    return same >= 4 and 0 < max(rests) <= 2 and not any(c.isdigit() for c in a[same:] + b[same:])
