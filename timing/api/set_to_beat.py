"""Sets a lyric line to beats: the language stage reads its words, the song stage lays them on the bars."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from timing.api import values
from timing.api.values import Number, number, whole
from timing.model import TimedSyllable, Where
from timing.plain.errors import InputError
from timing.song.lyrics.lyrics import parse_lyric
from timing.song.lyrics.setting import set_line


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
    The text may hold lyric marks (:mod:`timing.song.lyrics.lyrics`). Raises InputError for values that cannot be,
    ScriptError for pins without room.
    """
    from timing.language import read_line

    metre = values.metre(metre)
    tempo = number(bpm, "a tempo in bpm", 20, 400)
    bars = whole(bars, "the number of bars", 1)
    lyric = parse_lyric(text, Where("lyric"))
    utterance = read_line(lyric.text, language, splits=lyric.splits, sung=True)
    if not utterance.words:
        raise InputError("there are no words to sing")
    pins = [None if pin is None else _pin(pin) for pin in (first, last)]
    return list(set_line(utterance, lyric.marks, tempo, metre, bars, pins[0], pins[1]))


def _pin(pin: Any) -> tuple[int, Fraction]:
    try:
        bar, beat = pin
    except (TypeError, ValueError):
        raise InputError(f"a pin is (bar, beat), for example (1, 3), not {pin!r}") from None
    return whole(bar, "the bar of a pin", 0), number(beat, "the beat of a pin", 1)
