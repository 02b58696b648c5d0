"""The languages, one row each.

To add a language: one row here, and the module it names with a ``LANGUAGE`` (see
:class:`~timing.language.record.Language`); ``tests/language/test_records.py`` says by name what is missing. Every
other language that pyphen can hyphenate works too, by its patterns alone and with a notice.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from functools import cache
from importlib import import_module

from timing.language.manners import Manners
from timing.language.record import Language
from timing.language.script_words import ScriptWords
from timing.plain.errors import SettingsError
from timing.plain.nearest import nearest


@dataclass(frozen=True)
class Row:
    """``code`` is pyphen's, ``names`` what people type besides; the record is ``record`` in ``module``."""

    code: str
    name: str
    module: str
    names: tuple[str, ...] = ()
    record: str = "LANGUAGE"

    @property
    def base(self) -> str:
        """The language without its country."""
        return self.code.split("_")[0]


LANGUAGES = (
    Row("en_US", "English", "english.record", ("en", "american", "us")),
    Row("en_GB", "English (Britain)", "english.record", ("british", "uk")),
    Row("es", "Spanish", "spanish", ("español", "castellano", "es_es", "es_mx")),
    Row("pt_BR", "Portuguese (Brazil)", "portuguese", ("pt", "portuguese", "português", "brazilian")),
    Row("pt_PT", "Portuguese (Portugal)", "european_portuguese"),
    Row("fr", "French", "french", ("français",)),
    Row("de_DE", "German", "german", ("de", "deutsch")),
    Row("de_AT", "German (Austria)", "german"),
    Row("de_CH", "German (Switzerland)", "german"),
    Row("it_IT", "Italian", "italian", ("it", "italiano")),
    Row("nl_NL", "Dutch", "dutch", ("nl", "nederlands", "flemish", "vlaams", "nl_be")),
)


def languages() -> tuple[str, ...]:
    """Return the codes of the languages with a record of their own, best known first."""
    return tuple(row.code for row in LANGUAGES)


@cache
def language_of(code: str) -> Language:
    """Return the record of a language; one without a record gets what hyphenation patterns give, and the defaults.

    Raises SettingsError for a code that :func:`resolve` does not know.
    """
    known = resolve(code)
    row = next((row for row in LANGUAGES if row.code == known), None)
    if row is None:
        from timing.language.patterns import language_from_patterns

        return language_from_patterns(known)
    return _record(row)


def _record(row: Row) -> Language:
    record: Language = getattr(import_module(f"timing.language.{row.module}"), row.record)
    return record


@cache
def all_manners() -> tuple[Manners, ...]:
    """Return the direction words of every language with a record, each once, best known first."""
    return tuple(dict.fromkeys(_record(row).manners for row in LANGUAGES))


@cache
def all_script_words() -> tuple[ScriptWords, ...]:
    """Return how songs, waits and what stands around a script are named in every language with a record, each once."""
    return tuple(dict.fromkeys(_record(row).script_words for row in LANGUAGES))


@cache
def manners_of(code: str) -> tuple[Manners, ...]:
    """Return the direction words of a language and of English, which scripts in any language use."""
    return tuple(dict.fromkeys((language_of(code).manners, language_of("en_US").manners)))


def name_of(code: str) -> str:
    """Return the English name of a language without its country, or the code of one without a record.

    >>> name_of("pt_BR"), name_of("de"), name_of("pl_PL")
    ('Portuguese', 'German', 'pl_PL')
    """
    base = code.split("_")[0]
    return next((row.name.partition(" (")[0] for row in LANGUAGES if row.base == base), code)


@cache
def is_written_in(text: str, code: str) -> bool:
    """True when ``text`` has no letters, or one that the language uses.

    >>> is_written_in("sea,", "en_US"), is_written_in("θάλασσα", "en_US"), is_written_in("θάλασσα", "el_GR")
    (True, False, True)
    """
    letters = [c for c in text if c.isalpha()]
    return not letters or any(unicodedata.name(c, "").startswith(language_of(code).scripts) for c in letters)


@cache
def resolve(code: str) -> str:
    """Return pyphen's code for what a person typed; raises SettingsError with the nearest codes.

    >>> resolve("en"), resolve("pt-br"), resolve("German"), resolve("pl")
    ('en_US', 'pt_BR', 'de_DE', 'pl_PL')
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
    codes = list(dict.fromkeys(known[n] for n in nearest(typed, known, 3, 0.5)))
    hint = f"did you mean {' or '.join(codes)}?" if codes else "write for example en_US or pt_BR"
    raise SettingsError(f'"{code}" is not a language this tool knows; {hint}')
