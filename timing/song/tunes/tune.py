"""A tune that exists as a file: which syllable falls where.

In: a Standard MIDI File with lyrics, or MusicXML (``.musicxml``, ``.xml``, ``.mxl``). Out: :class:`Tune`: syllables
with start and length in felt beats from beat 1 of bar 1 (negative in the pick-up), tempo and metre where the file
says them. Then :func:`find_line` looks a lyric line up in it.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from timing.model.metre import Metre

LARGEST_FILE = 20_000_000  # bytes, packed or unpacked: more is no tune


@dataclass(frozen=True, slots=True)
class TuneSyllable:
    """One sung syllable: ``start`` and ``length`` in beats, a melisma being one long syllable; ``verse`` from 1."""

    text: str
    start: Fraction
    length: Fraction
    verse: int = 1


@dataclass(frozen=True, slots=True)
class Tune:
    """What a tune file says; ``bpm`` counts felt beats, None where the file is silent."""

    syllables: tuple[TuneSyllable, ...]
    metre: Metre
    bpm: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Found:
    """A line found in a tune: start and length of each of its notes, and where the next line may begin."""

    starts: tuple[Fraction, ...]
    lengths: tuple[Fraction, ...]
    verse: int
    after: int


def letters(text: str) -> str:
    """Return what two spellings of a lyric have in common: letters and digits, without case or accents.

    >>> letters("Twin-kle, Blüm")
    'twinkleblum'
    """
    plain = unicodedata.normalize("NFKD", text.casefold())
    return re.sub(r"[\W_]", "", "".join(c for c in plain if not unicodedata.combining(c)))


def find_line(tune: Tune, notes: Sequence[str], begin: int = 0) -> Found | None:
    """Return where a line, given as the texts of its notes, stands in the tune; None where it does not.

    The search begins at syllable ``begin`` and goes round. Where the file divides the words otherwise, every note of
    the line must still begin where one of the file's does.
    """
    wanted = [letters(n) for n in notes]
    whole = "".join(wanted)
    if not whole:
        return None
    own = [letters(s.text) for s in tune.syllables]
    count = len(own)
    for offset in range(count):
        at = (begin + offset) % count
        taken, end = "", at
        while end < count and len(taken) < len(whole) and whole.startswith(taken):
            taken += own[end]
            end += 1
        if taken == whole:
            found = _line_up(tune.syllables[at:end], own[at:end], wanted)
            if found:
                return Found(*found, tune.syllables[at].verse, end)
    return None


def _line_up(
    syllables: Sequence[TuneSyllable], own: Sequence[str], wanted: Sequence[str]
) -> tuple[tuple[Fraction, ...], tuple[Fraction, ...]] | None:
    """Return (starts, lengths) of the wanted notes by the letters at which they begin."""
    begins: dict[int, int] = {}
    at = 0
    for i, text in enumerate(own):
        begins.setdefault(at, i)
        at += len(text)
    picked, at = [], 0
    for text in wanted:
        if at not in begins or not text:
            return None
        picked.append(begins[at])
        at += len(text)
    starts = tuple(syllables[i].start for i in picked)
    ends = [syllables[j - 1].start + syllables[j - 1].length for j in [*picked[1:], len(syllables)]]
    return starts, tuple(e - s for s, e in zip(starts, ends, strict=True))
