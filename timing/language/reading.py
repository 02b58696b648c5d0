"""First simple reading: tokens, vowel groups and pyphen's points."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache

from timing.language.registry import resolve
from timing.model import Break, PauseMark, Syllable, Utterance, Word
from timing.settings import SayEntry

_BRACKETS = re.compile(r"\([^)]*\)|\[[^\]]*\]|\{[^}]*\}|<[^>]*>")
_TOKEN = re.compile(r"\S+")
_WORD = re.compile(r"[^\W_]+(?:['’\-‑][^\W_]+)*['’]?", re.UNICODE)
_FUNCTION = frozenset(
    "a an the and or but nor so as if of to in on at by for from with into is are was were be been am do does did has "
    "have had can could will would shall should may might must i you he she it we they me him her us them my your his "
    "its our their that this than then who which what when where while because".split()
)
_NEVER = frozenset("a an the my your his her its our their of to in on at by for from with into".split())
_PHRASE = frozenset("and or but so because if when while that of to in on at by for from with into".split())


@cache
def _patterns(code: str):  # type: ignore[no-untyped-def]
    import pyphen

    return pyphen.Pyphen(lang=code, left=2, right=2)


def syllabify(word: str, language: str = "en_US") -> list[str]:
    """Return the syllables of a written word; the pieces join to it."""
    pieces = _patterns(resolve(language)).inserted(word, "\0").split("\0")
    return [p for p in pieces if p] or [word]


def spoken_form(text: str, language: str = "en_US") -> str:
    """Return the text as it is read aloud."""
    return " ".join(w.spoken for w in read_line(text, language).words)


def phones_for(
    word: str, language: str = "en_US", say: Mapping[str, SayEntry] | None = None
) -> tuple[tuple[str, ...], ...]:
    """Return the pronunciations of a word, ARPABET without stress digits."""
    return ()


def read_line(
    text: str,
    language: str = "en_US",
    *,
    say: Mapping[str, SayEntry] | None = None,
    emphasis: tuple[tuple[int, int], ...] = (),
    pauses: tuple[PauseMark, ...] = (),
    mute_e: bool = True,
    sung: bool = False,
    splits: Mapping[int, tuple[str, ...]] | None = None,
) -> Utterance:
    """Return the spoken words of a line."""
    code = resolve(language)
    hidden = _BRACKETS.sub(lambda m: " " * len(m[0]), text)
    words: list[Word] = []
    for token in _TOKEN.finditer(hidden):
        core = _WORD.search(token[0])
        if not core:
            continue
        start = token.start()
        pieces = (splits or {}).get(start) or tuple(syllabify(token[0], code))
        lower = core[0].lower()
        tail = token[0][core.end() :]
        mark = next((c for c in tail if c in ".,;:!?…—–"), "")
        quality = Break.SENTENCE if mark and mark in ".!?…" else Break.CLAUSE if mark else Break.WORD
        if not mark and lower in _NEVER:
            quality = Break.NEVER
        words.append(
            Word(
                token[0], lower, tuple(Syllable(p, int(not i)) for i, p in enumerate(pieces)), start, token.end(),
                quality, mark, is_function=lower in _FUNCTION,
            )
        )  # fmt: skip
    return Utterance(text, tuple(words), code)
