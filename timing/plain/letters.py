"""Which letters a language is written in: a word in others has no known sounds and no known syllables."""

from __future__ import annotations

import unicodedata
from functools import cache

# The scripts a language is written in, as Unicode names its letters; every language not listed uses Latin letters.
_SCRIPTS = {
    "el": ("GREEK",), "be": ("CYRILLIC",), "bg": ("CYRILLIC",), "mk": ("CYRILLIC",), "mn": ("CYRILLIC",),
    "ru": ("CYRILLIC",), "uk": ("CYRILLIC",), "sr": ("CYRILLIC", "LATIN"), "as": ("BENGALI",), "kn": ("KANNADA",),
    "mr": ("DEVANAGARI",), "sa": ("DEVANAGARI",), "or": ("ORIYA",), "pa": ("GURMUKHI",), "te": ("TELUGU",),
    "th": ("THAI",),
}  # fmt: skip


@cache
def is_written_in(text: str, language: str) -> bool:
    """True when ``text`` has no letters, or one the language uses.

    >>> is_written_in("sea,", "en_US"), is_written_in("θάλασσα", "en_US"), is_written_in("θάλασσα", "el_GR")
    (True, False, True)
    """
    scripts = _SCRIPTS.get(language.split("_")[0].lower(), ("LATIN",))
    letters = [c for c in text if c.isalpha()]
    return not letters or any(unicodedata.name(c, "").startswith(scripts) for c in letters)
