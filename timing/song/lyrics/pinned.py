"""A sung line printed back fully pinned, to be edited by hand.

In: timed words with bars and beats. Out: the lyric with a pin after every syllable; read again by
:mod:`timing.song.lyrics.lyrics` it gives the same places.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

from timing.model import TimedWord

PRINTED_HYPHEN = "‑"  # U+2011: printed, never a split


def pinned_line(words: Sequence[TimedWord], start_bar: int = 1) -> str:
    """Return the line with ``@bar:beat`` on every syllable; bars count from ``start_bar`` as the line's first.

    Syllables without a place (of a word written as a figure, say) get no pin.
    """
    return " ".join(_word(word, start_bar) for word in words)


def _word(word: TimedWord, start_bar: int) -> str:
    pieces = [s for s in word.syllables if s.text]
    out = []
    for i, syllable in enumerate(pieces):
        found = re.fullmatch(r"(.*?)([-‐‑]?)", syllable.text, re.DOTALL)
        assert found
        is_last = i == len(pieces) - 1
        body, hyphen = (syllable.text, "") if is_last else (found[1], PRINTED_HYPHEN if found[2] else "-")
        pin = ""
        if syllable.bar is not None and syllable.beat is not None:
            pin = f"@{syllable.bar - start_bar + 1}:{beat_text(syllable.beat)}"
        out.append(body + pin + hyphen)
    return "".join(out)


def beat_text(beat: Fraction) -> str:
    """Return a beat as a pin writes it.

    >>> [beat_text(Fraction(n, 6)) for n in (6, 9, 8)] + [beat_text(Fraction(9, 4))]
    ['1', '1+', '1+1/3', '2+1/4']
    """
    whole, rest = divmod(beat, 1)
    if not rest:
        return str(whole)
    return f"{whole}+" if rest == Fraction(1, 2) else f"{whole}+{rest}"
