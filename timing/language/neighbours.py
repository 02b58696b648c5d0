"""A line that is not in the episode's language: told by the very common words of the others.

In: the words of a line, and which of them no dictionary knew. Out: the other language's code or None. The common words
and the letters of its own hang on each language's record.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from timing.language.registry import LANGUAGES, language_of

_FEWEST_WORDS = 3


def neighbour_of(
    words: Sequence[str], unknown: Collection[str], own: Collection[str], at_home: str = "en"
) -> str | None:
    """Return the code of the language that a line looks like, None where it looks like the episode's own.

    ``words`` are the line's, lower case with accents, ``unknown`` those that no dictionary held, ``own`` the common
    words of the episode's language ``at_home``. At least two different common words of the neighbour (or one and a
    letter of its own), and half of the line either such words or unknown (a third where no word is common at home),
    decide.

    >>> neighbour_of("adónde va el mar cuando la marea".split(), {"adónde", "cuando", "marea"}, {"the"})
    'es'
    """
    if len(words) < _FEWEST_WORDS or not unknown:
        return None
    best: tuple[int, str] | None = None
    for code in dict.fromkeys(row.base for row in LANGUAGES if row.base != at_home.split("_")[0]):
        record = language_of(code)
        common, letters = record.common_words, record.own_letters
        hits = [w for w in words if w in common and w not in own]
        marks = sum(any(c in letters for c in w) for w in words)
        fitting = sum(w in unknown or w in common for w in words)
        is_enough = len(set(hits)) + bool(marks) >= 2 and bool(hits)
        familiar = sum(w in own and w not in common for w in words)
        score = 2 * len(hits) + marks
        if (
            is_enough
            and (2 if familiar else 3) * fitting >= len(words)
            and familiar < len(hits)
            and (best is None or score > best[0])
        ):
            best = (score, code)
    return best[1] if best else None
