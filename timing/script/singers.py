"""What stands beside the heading of a song's part: who sings it ("Verse 1 - Both", "(by Tansy)"), and how (softly).

In: the words beside the heading, and who speaks in the script. Out: the names, or that everybody sings, and the manner;
nothing where they are neither. The words are those of the languages' records.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from timing.language.registry import all_manners, all_script_words
from timing.language.script_words import either, plain_words
from timing.script.directions import is_direction
from timing.script.together import JOINTS, joined_names

_WORDS = all_script_words()
_EVERYBODY, _BOTH = plain_words(_WORDS, "everybody"), plain_words(_WORDS, "both")
_THE = plain_words(_WORDS, "the")
_BESIDE_THEM = _THE | plain_words(_WORDS, "performers") | JOINTS | {"&"}
_BY = "|".join(sorted(plain_words(_WORDS, "by")))
_SUNG_BY = re.compile(
    rf"(?:{either(_WORDS, 'sings')}\s+)?(?:{_BY})\s+|{either(_WORDS, 'sings')}\s*:?\s+", re.IGNORECASE
)
_SINGS_AT_END = re.compile(rf"\s+{either(_WORDS, 'sings')}", re.IGNORECASE)
_THEN = re.compile(rf"\s*,?\s*(?<!\w)(?:{'|'.join(sorted(plain_words(_WORDS, 'then')))})(?!\w)\s*", re.IGNORECASE)
_AROUND = " .:*_"


@dataclass(frozen=True, slots=True)
class Singers:
    """Who sings a part, in capitals, and the manner as written; ``is_both``: everybody, and they are two.

    ``left_over``: words beside the singers that were not understood.
    """

    names: tuple[str, ...] = ()
    is_everybody: bool = False
    is_both: bool = False
    manner: tuple[str, ...] = ()
    left_over: str = ""

    @property
    def names_singers(self) -> bool:
        return bool(self.names) or self.is_everybody

    @property
    def is_known(self) -> bool:
        return self.names_singers or bool(self.manner)


def beside_heading(text: str, known: Collection[str]) -> Singers:
    """Return what the words beside a heading say; ``known``: the names of those who speak, in capitals.

    >>> beside_heading("sung by both, softly", ())
    Singers(names=(), is_everybody=True, is_both=True, manner=('softly',), left_over='')
    >>> beside_heading("Tansy, then Bram", {"TANSY", "BRAM"}).names, beside_heading("Up we go", {"TANSY"}).is_known
    (('TANSY', 'BRAM'), False)
    """
    bare = text.strip(_AROUND)
    by = _SUNG_BY.match(bare)
    who = _SINGS_AT_END.sub("", _THEN.sub(", ", bare[by.end() :] if by else bare))
    names: list[str] = []
    manner: list[str] = []
    unknown: list[str] = []
    is_everybody = is_both = False
    for piece in (one.strip(_AROUND) for one in who.split(",")):
        joined = [name.upper() for name in joined_names(piece)]
        words = piece.casefold().split()
        if joined and all(name in known for name in joined):
            names += joined
        elif _is_everybody(words):
            is_everybody, is_both = True, is_both or not _BOTH.isdisjoint(words)
        elif piece and _is_manner(piece):
            manner.append(piece)
        elif piece:
            unknown.append(piece)
    if not names and not is_everybody:
        return Singers(manner=(bare,)) if manner and not unknown and not by else Singers()
    return Singers(tuple(dict.fromkeys(names)), is_everybody, is_both, tuple(manner), ", ".join(unknown))


def are_everybody(names: Sequence[str]) -> list[str]:
    """Return those of some names who are somebody, each once; none where they are fewer than two.

    >>> are_everybody(["TANSY", "BRAM AND TANSY", "BOTH", "NARRATOR"]), are_everybody(["TANSY"])
    (['TANSY', 'BRAM'], [])
    """
    one_by_one = dict.fromkeys(one for name in names for one in joined_names(name))
    found = [name for name in one_by_one if not _is_everybody(name.casefold().split())]
    acting = [name for name in found if not any(m.names_a_narrator(name) for m in all_manners())]
    return next((some for some in (acting, found) if len(some) > 1), [])


def _is_everybody(words: Sequence[str]) -> bool:
    """True for "both", "all together", "the two characters"."""
    named = [word for word in words if word in _EVERYBODY or (word in _BOTH and _THE.intersection(words))]
    return bool(named) and all(word in _EVERYBODY | _BOTH | _BESIDE_THEM for word in words)


def _is_manner(piece: str) -> bool:
    """True for "softly", "soft and slow"."""
    words = [word for word in piece.casefold().split() if word not in JOINTS]
    return bool(words) and len(words) < 5 and is_direction(" ".join(words))
