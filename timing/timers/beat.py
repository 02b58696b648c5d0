"""The timer that sings: one line on the beat at a given tempo, metre and bar.

How syllables choose their beats is the song stage's knowledge; it is handed in as a function when the timer is built
(``timing.song.setting.set_line`` with its marks bound), so this timer can be tried with a five-line fake.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from timing.model import Origin, TimedLine, TimedSyllable, TimedWord, Utterance

SetLine = Callable[[Utterance], Sequence[TimedSyllable]]


@dataclass(frozen=True)
class BeatTimer:
    """Times a sung line; ``set_line`` returns one timed syllable for each of the utterance's, in order."""

    set_line: SetLine

    def time(self, utterance: Utterance) -> TimedLine:
        """Return the line from moment 0 with bar and beat on every syllable; low and high equal the length."""
        syllables = list(self.set_line(utterance))
        lead = syllables[0].start
        words = []
        for word in utterance.words:
            own, syllables = syllables[: len(word.syllables)], syllables[len(word.syllables) :]
            words.append(TimedWord.of(word, tuple(s.moved(-lead) for s in own)))
        length = words[-1].end - words[0].start
        return TimedLine(tuple(words), Origin.FITTED, length, length)
