"""Timers that take their times from a recording: words already heard, or only where the sound begins and ends."""

from __future__ import annotations

from dataclasses import dataclass, replace

from timing.model import Origin, TimedLine, TimedSyllable, TimedWord, Utterance, Word
from timing.model.clock import Seconds
from timing.plain.words import letters_of


@dataclass(frozen=True)
class MeasuredTimer:
    """A timer for one line that was heard: the recording's times on the words of the script as it is now.

    Words are matched by what is written; a word the recording does not have (the script changed by a comma, a
    capital, one word) gets the room between its neighbours.
    """

    heard: TimedLine

    def time(self, utterance: Utterance) -> TimedLine:
        """Return ``utterance`` timed from moment 0; raises ValueError when no word matches."""
        line = self.heard.moved(-self.heard.start)
        if tuple(w.text for w in line.words) == tuple(w.text for w in utterance.words):
            words = tuple(_onto(word, old) for word, old in zip(utterance.words, line.words, strict=True))
        else:
            words = _matched(utterance, line)
        first = words[0].start
        words = tuple(w.moved(-first) for w in words)
        length = words[-1].end
        start = line.take_start + first if line.take_start is not None else None
        return replace(line, words=words, low=length, high=length, take_start=start)


def _onto(word: Word, old: TimedWord) -> TimedWord:
    """Return the script's word with the times of the same word heard."""
    if len(word.syllables) == len(old.syllables):
        syllables = tuple(
            replace(
                o, text=n.text, said=n.said, stress=n.stress,
                phones=n.phones if o.phones == n.phones or not o.phone_starts else o.phones,
            )
            for n, o in zip(word.syllables, old.syllables, strict=True)
        )  # fmt: skip
        return TimedWord.of(word, syllables, old.confidence)
    return _spread(word, old.start, old.end, old.confidence, Origin.MEASURED)


def _spread(word: Word, start: Seconds, end: Seconds, confidence: float | None, origin: Origin) -> TimedWord:
    step = (end - start) / len(word.syllables)
    syllables = tuple(
        TimedSyllable(s.text, start + i * step, start + (i + 1) * step, origin, s.stress, s.phones, s.said)
        for i, s in enumerate(word.syllables)
    )
    return TimedWord.of(word, syllables, confidence)


def _matched(utterance: Utterance, line: TimedLine) -> tuple[TimedWord, ...]:
    from difflib import SequenceMatcher

    new, old = [letters_of(w.text) for w in utterance.words], [letters_of(w.text) for w in line.words]
    pairs: dict[int, int] = {}
    for block in SequenceMatcher(None, new, old, autojunk=False).get_matching_blocks():
        pairs.update({block.a + i: block.b + i for i in range(block.size)})
    if not pairs:
        raise ValueError("no word of the line was heard in its recording")
    timed: list[TimedWord | None] = [
        _onto(w, line.words[pairs[i]]) if i in pairs else None for i, w in enumerate(utterance.words)
    ]
    rate = line.length / len(line.syllables)  # seconds a syllable, for words beyond the last one heard
    index = 0
    while index < len(timed):
        if timed[index] is not None:
            index += 1
            continue
        stop = next((k for k in range(index, len(timed)) if timed[k] is not None), len(timed))
        group = utterance.words[index:stop]
        count = sum(len(w.syllables) for w in group)
        before = timed[index - 1] if index else None
        after = timed[stop] if stop < len(timed) else None
        if before and after and after.start > before.end:
            start, end = before.end, after.start
        elif after and not before:
            start, end = after.start - count * rate, after.start
        elif before and not after:
            start, end = before.end, before.end + count * rate
        else:  # no room: half of the syllable before gives way
            assert before
            last = before.syllables[-1]
            start, end = last.start + (last.end - last.start) / 2, last.end
            cut = replace(last, end=start, phone_starts=())
            timed[index - 1] = replace(before, syllables=(*before.syllables[:-1], cut))
        step = (end - start) / count
        for offset, word in enumerate(group):
            until = start + step * len(word.syllables)
            timed[index + offset] = _spread(word, start, until, 0.0, Origin.ESTIMATED)
            start = until
        index = stop
    return tuple(w for w in timed if w is not None)
