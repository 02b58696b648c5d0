"""The languages, one record each.

To add a language: one row here naming the module that knows its rules. A module of rules offers what
:class:`~timing.language.rules.Rules` describes. Every other language that pyphen can hyphenate works too,
by its patterns alone and with a notice.
"""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from functools import cache

from timing.plain.errors import SettingsError


@dataclass(frozen=True)
class Language:
    """``code`` is pyphen's, ``rules`` the module under timing.language, ``names`` what people type besides."""

    code: str
    name: str
    rules: str
    names: tuple[str, ...] = ()


LANGUAGES = (
    Language("en_US", "English", "english.rules", ("en", "american", "us")),
    Language("en_GB", "English (Britain)", "english.rules", ("british", "uk")),
    Language("pt_BR", "Portuguese (Brazil)", "portuguese", ("pt", "portuguese", "português", "brazilian")),
    Language("pt_PT", "Portuguese (Portugal)", "portuguese"),
    Language("es", "Spanish", "spanish", ("español", "castellano", "es_es", "es_mx")),
    Language("fr", "French", "french", ("français",)),
    Language("de_DE", "German", "german", ("de", "deutsch")),
    Language("de_AT", "German (Austria)", "german"),
    Language("de_CH", "German (Switzerland)", "german"),
    Language("it_IT", "Italian", "italian", ("it", "italiano")),
)


def record_of(code: str) -> Language | None:
    """Return the record of a language by pyphen's code, None where it has none."""
    return next((row for row in LANGUAGES if row.code == code), None)


def languages() -> tuple[str, ...]:
    """Return the codes of the languages with rules of their own, best known first."""
    return tuple(row.code for row in LANGUAGES)


@cache
def resolve(code: str) -> str:
    """Return pyphen's code for what a person typed; raises SettingsError with the nearest codes.

    >>> resolve("en"), resolve("pt-br"), resolve("German"), resolve("nl")
    ('en_US', 'pt_BR', 'de_DE', 'nl_NL')
    """
    import pyphen

    typed = code.strip().replace("-", "_").lower()
    known: dict[str, str] = {}
    for found in pyphen.LANGUAGES:
        known.setdefault(found.lower(), found)
        known.setdefault(found.split("_")[0].lower(), found)
    for row in LANGUAGES:
        known[row.code.lower()] = row.code
        for name in (row.name.lower(), *row.names):
            known[name] = row.code
    if typed in known:
        return known[typed]
    base = typed.split("_")[0]
    if "_" in typed and base in known and len(base) in (2, 3):
        return known[base]
    near = difflib.get_close_matches(typed, known, 3, 0.5)
    codes = list(dict.fromkeys(known[n] for n in near))
    hint = f"did you mean {' or '.join(codes)}?" if codes else "write for example en_US or pt_BR"
    raise SettingsError(f'"{code}" is not a language this tool knows; {hint}')
