"""What the letter model for unknown words looks at: one place for its training and its use.

There are two models of one shape: one reads the word forwards, the other backwards (its caller reverses word and
answers), because English stress is counted from the end; they decide together. For each letter a model sees
the letters around it, what it has answered for the letters already read, and where the
stress stands. A feature is a row number of the first weight table.
"""

from __future__ import annotations

from collections.abc import Sequence

from timing.model import is_vowel

LETTERS = "abcdefghijklmnopqrstuvwxyz'"
REACH = 6  # letters seen on each side
MEMORY = 3  # earlier answers seen
_SYMBOLS = len(LETTERS) + 1  # and "beyond the word"
WINDOW_ROWS = (2 * REACH + 1) * _SYMBOLS
VOWELS_COUNTED = 4


def window_rows(word: str, index: int) -> list[int]:
    """Return the rows of the letters around ``word[index]``."""
    found = []
    for place in range(2 * REACH + 1):
        at = index + place - REACH
        symbol = LETTERS.find(word[at]) if 0 <= at < len(word) else -1
        found.append(place * _SYMBOLS + (symbol if symbol >= 0 else len(LETTERS)))
    return found


def state_rows(answers: Sequence[int], names: Sequence[tuple[str, ...]]) -> list[int]:
    """Return the rows of what was answered so far; ``answers`` are label numbers, the latest last."""
    count = len(names)
    found = []
    for back in range(MEMORY):
        label = answers[-1 - back] if back < len(answers) else count
        found.append(WINDOW_ROWS + back * (count + 1) + label)
    stresses = [p[-1] for a in answers for p in names[a] if is_vowel(p.rstrip("012"))]
    base = WINDOW_ROWS + MEMORY * (count + 1)
    found.append(base + ("1" in stresses))
    found.append(base + 2 + min(len(stresses), VOWELS_COUNTED))
    found.append(base + 3 + VOWELS_COUNTED + (int(stresses[-1]) if stresses else 3))
    return found
