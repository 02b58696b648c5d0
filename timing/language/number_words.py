"""Number words of languages other than English, by num2words; loaded when the first figure is read."""

from __future__ import annotations

import re
from collections.abc import Callable


def ending_in_a(said: str) -> str:
    """Return the feminine of an ordinal whose words end in o: décimo, décima."""
    return " ".join(re.sub("o$", "a", word) for word in said.split())


def unchanged(said: str) -> str:
    """Return the feminine of an ordinal that does not change."""
    return said


def number_words(
    code: str, feminine_of: Callable[[str], str] = unchanged
) -> tuple[Callable[[int], str], Callable[[int, bool], str]]:
    """Return (cardinal, ordinal) functions of a language by num2words' code; words are parted by spaces.

    Money is never asked of num2words: it reads a whole number of currency as hundredths.

    >>> cardinal, ordinal = number_words("fr")
    >>> cardinal(26), ordinal(2, False)
    ('vingt six', 'deuxième')
    """

    def cardinal(value: int) -> str:
        from num2words import num2words

        return _plain(num2words(value, lang=code))

    def ordinal(value: int, feminine: bool) -> str:
        from num2words import num2words

        said = _plain(num2words(value, lang=code, to="ordinal"))
        return feminine_of(said) if feminine else said

    return cardinal, ordinal


def _plain(words: str) -> str:
    return " ".join(words.replace(",", " ").replace("-", " ").split())
