"""A line's first and last moment where the recogniser and the pause beside the line say different things.

In: a line as it was followed, and the stretches that hold sound. Out: the line, begun and ended with the stretch where
both differ by more than two or three frames. A weak first "h" is followed too late, a last "f" into the silence, and
in noise a first word is lost although its sound stands above the noise.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from timing.model import TimedLine, TimedSyllable, TimedWord
from timing.model.clock import Seconds

Stretches = Sequence[tuple[Seconds, Seconds]]

# Chosen on the first half of ``tests/bench/bench_memo.py``.
_AGREE = Fraction(8, 100)  # so far apart both mean the same, and the recogniser's moment is the finer one
_AT_PAUSE = Fraction(3, 20)  # so near to where a line was found, a stretch begins or ends with it
# Else it does so near to where the line was followed, outside it or inside.
_OUT, _IN = Fraction(3, 10), Fraction(7, 20)
_FAR = Fraction(3, 5)  # nothing is moved further
_END = Fraction(2, 100)
_SHORTEST = Fraction(3, 100)  # left of the outermost sound


def to_the_pause(line: TimedLine, found: tuple[Seconds, Seconds], stretches: Stretches, length: Seconds) -> TimedLine:
    """Return ``line`` (in the clock of ``stretches``) begun and ended at the pauses beside it.

    ``found`` is from where to where the line was found before it was followed; ``length`` is that of the recording,
    whose own ends tell nothing: a pause there may be too short to be one.
    """
    start = _nearest([a for a, _ in stretches if a > _END], line.start, found[0], _OUT, _IN)
    end = _nearest([b for _, b in stretches if b < length - _END], line.end, found[1], _IN, _OUT)
    words = list(line.words)
    if _AGREE < abs(line.start - start) <= _FAR:
        words[0] = _begun(words[0], start)
    if _AGREE < abs(line.end - end) <= _FAR:
        words[-1] = _ended(words[-1], end)
    length = words[-1].end - words[0].start
    return replace(line, words=tuple(words), low=length, high=length)


def _nearest(edges: Sequence[Seconds], heard: Seconds, found: Seconds, before: Seconds, after: Seconds) -> Seconds:
    """Return the edge at which a line was found, else one up to ``before`` or ``after`` the moment heard, else that."""
    at_found = [edge for edge in edges if abs(edge - found) <= _AT_PAUSE]
    beside = [edge for edge in edges if heard - before <= edge <= heard + after]
    if at_found:
        return min(at_found, key=lambda edge: abs(edge - found))
    return min(beside, key=lambda edge: abs(edge - heard), default=heard)


def _begun(word: TimedWord, moment: Seconds) -> TimedWord:
    first = word.syllables[0]
    after = first.phone_starts[1] if len(first.phone_starts) > 1 else first.end
    start = min(moment, max(first.start, after - _SHORTEST))
    starts = (start, *first.phone_starts[1:]) if first.phone_starts else ()
    return _with(word, 0, replace(first, start=start, phone_starts=starts))


def _ended(word: TimedWord, moment: Seconds) -> TimedWord:
    """Return the word ended at ``moment``; last sounds that lie behind it (a stop in the silence) are drawn in."""
    last = word.syllables[-1]
    starts = last.phone_starts
    count = len(starts)
    if starts and starts[0] + count * _SHORTEST <= moment:
        starts = tuple(min(start, moment - (count - k) * _SHORTEST) for k, start in enumerate(starts))
    before = starts[-1] if starts else last.start
    end = max(moment, min(last.end, before + _SHORTEST))
    return _with(word, -1, replace(last, end=end, phone_starts=starts))


def _with(word: TimedWord, index: int, syllable: TimedSyllable) -> TimedWord:
    syllables = list(word.syllables)
    syllables[index] = syllable
    return replace(word, syllables=tuple(syllables))
