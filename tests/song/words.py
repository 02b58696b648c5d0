"""Utterances for tests: "twin-kle" style text, stress marked with ' before the strong piece; no language stage."""

from __future__ import annotations

import re

from timing.model import Break, Syllable, Utterance, Word

LITTLE = frozenset("a an the and or of to in on at by with is are was he she we it his her my your up".split())


def line(text: str) -> Utterance:
    """Return an utterance; a word of several pieces is stressed on its first one, or on the one after a quote mark.

    Text keeps single spaces; hyphens split and vanish.
    """
    words, printed, at = [], [], 0
    for token in text.split():
        pieces = token.split("-")
        strong = next((i for i, p in enumerate(pieces) if p.startswith("'")), 0)
        pieces = [p.lstrip("'") for p in pieces]
        whole = "".join(pieces)
        plain = re.sub(r"\W", "", whole).lower()
        little = len(pieces) == 1 and plain in LITTLE
        syllables = tuple(Syllable(p, int(i == strong and not little)) for i, p in enumerate(pieces))
        mark = whole[-1] if whole[-1] in ",.!?;" else ""
        words.append(
            Word(
                whole,
                plain,
                syllables,
                at,
                at + len(whole),
                Break.CLAUSE if mark else Break.WORD,
                mark,
                is_function=little,
            )
        )
        printed.append(whole)
        at += len(whole) + 1
    return Utterance(" ".join(printed), tuple(words))
