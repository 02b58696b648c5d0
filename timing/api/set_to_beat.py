"""Sets a lyric line to beats: the language stage reads its words, the song stage lays them on the bars."""

from __future__ import annotations

from fractions import Fraction

from timing.clock import seconds
from timing.errors import InputError
from timing.model import TimedSyllable, Where
from timing.song.lyrics import parse_lyric
from timing.song.setting import set_line

Number = int | float | str | Fraction


def set_to_beat(
    text: str,
    bpm: Number,
    metre: tuple[int, int] | str = (4, 4),
    bars: int = 2,
    language: str = "en_US",
    first: tuple[int, Number] | None = None,
    last: tuple[int, Number] | None = None,
) -> list[TimedSyllable]:
    """Return the syllables of a lyric line on the beat: ``.text .bar .beat .start .end``.

    ``bpm`` counts felt beats a minute (dotted quarters in 6/8). Bar 1 is the line's first full bar, bar 0 its pick-up
    bar; beats count from 1. Times are seconds from the beginning of bar 1, or of bar 0 where there is a pick-up.
    ``metre`` may be written "3/4". ``first`` and ``last`` pin the outer syllables as (bar, beat).
    The text may hold lyric marks (:mod:`timing.song.lyrics`). Raises InputError for values that cannot be,
    ScriptError for pins without room.
    """
    from timing.language import read_line

    if isinstance(metre, str):
        metre = metre_of(metre)
    tempo = seconds(bpm)
    if not 20 <= tempo <= 400:
        raise InputError(f"a tempo lies between 20 and 400 bpm, not {bpm}")
    if bars < 1:
        raise InputError(f"a line takes 1 bar or more, not {bars}")
    if metre[0] < 1 or metre[1] not in (1, 2, 4, 8, 16):
        raise InputError(f"{metre[0]}/{metre[1]} is not a metre; give for example (4, 4), (3, 4) or (6, 8)")
    lyric = parse_lyric(text, Where("lyric"))
    utterance = read_line(lyric.text, language, splits=lyric.splits, sung=True)
    if not utterance.words:
        raise InputError("there are no words to sing")
    pins = [None if p is None else (p[0], seconds(p[1])) for p in (first, last)]
    return list(set_line(utterance, lyric.marks, tempo, metre, bars, pins[0], pins[1]))


def metre_of(text: str) -> tuple[int, int]:
    """Return a metre as typed, "6/8"; raises InputError."""
    over, _, under = text.partition("/")
    if not (over.strip().isdecimal() and under.strip().isdecimal()):
        raise InputError(f'"{text}" is not a metre; write for example 4/4, 3/4 or 6/8')
    return int(over), int(under)
