"""Times for words that were not heard: a measured line keeps every word of the script, in order.

A word that was replaced takes the time of what was said instead; one left out takes a little of the pause there, or,
where there is none, of the word beside it. Such syllables are marked as estimated.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from timing.model import Origin, TimedSyllable, TimedWord, Utterance, Word
from timing.model.clock import Seconds

_SYLLABLE = Fraction(3, 20)  # room for one syllable, where the pause has it
_LEAST = Fraction(1, 25)  # one frame at 25 a second


def spread(word: Word, start: Seconds, end: Seconds) -> TimedWord:
    """Return ``word`` with its syllables shared out evenly from ``start`` to ``end``, confidence 0."""
    step = (end - start) / len(word.syllables)
    syllables = tuple(
        TimedSyllable(s.text, start + i * step, start + (i + 1) * step, Origin.ESTIMATED, s.stress, s.phones, s.said)
        for i, s in enumerate(word.syllables)
    )
    return TimedWord.of(word, syllables, 0.0)


def with_replaced(
    utterance: Utterance, words: Sequence[TimedWord | None], replaced: Mapping[int, tuple[Seconds, Seconds]]
) -> list[TimedWord | None]:
    """Return ``words`` with those said differently on the time of what was said instead, where it has room."""
    found = list(words)
    for index, (start, end) in replaced.items():
        before = next((w.end for w in reversed(found[:index]) if w is not None), start)
        after = next((w.start for w in found[index + 1 :] if w is not None), end)
        start, end = max(start, before), min(end, after)
        if end - start >= _LEAST * len(utterance.words[index].syllables):
            found[index] = spread(utterance.words[index], start, end)
    return found


def fill(utterance: Utterance, words: Sequence[TimedWord | None]) -> tuple[TimedWord, ...]:
    """Return ``words`` with every None (not heard) timed; at least one was heard."""
    found = list(words)
    index = 0
    while index < len(found):
        if found[index] is not None:
            index += 1
            continue
        stop = next((k for k in range(index, len(found)) if found[k] is not None), len(found))
        group = utterance.words[index:stop]
        count = sum(len(w.syllables) for w in group)
        before = found[index - 1] if index else None
        after = found[stop] if stop < len(found) else None
        if before is not None and after is not None and after.start - before.end >= count * _LEAST:
            start = before.end
            end = min(after.start, start + count * _SYLLABLE)
        elif before is not None:
            last = before.syllables[-1]
            start, end = max(last.start + (last.end - last.start) / 2, last.end - count * _LEAST), last.end
            found[index - 1] = replace(before, syllables=(*before.syllables[:-1], _ending(last, start)))
        else:
            assert after is not None
            head = after.syllables[0]
            start, end = head.start, min(head.start + (head.end - head.start) / 2, head.start + count * _LEAST)
            found[stop] = replace(after, syllables=(_beginning(head, end), *after.syllables[1:]))
        for offset, word in enumerate(group):
            share = (end - start) * len(word.syllables) / count
            found[index + offset] = spread(word, start, start + share)
            start, count = start + share, count - len(word.syllables)
        index = stop
    return tuple(w for w in found if w is not None)


def _ending(syllable: TimedSyllable, end: Seconds) -> TimedSyllable:
    """Return the syllable ending sooner; its sounds' times no longer hold where they lie beyond that."""
    inside = all(p < end for p in syllable.phone_starts)
    return replace(syllable, end=end, phone_starts=syllable.phone_starts if inside else ())


def _beginning(syllable: TimedSyllable, start: Seconds) -> TimedSyllable:
    return replace(syllable, start=start, phone_starts=())
