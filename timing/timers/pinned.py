"""A timer for a line whose length a person noted beside it, ``[[4 s]]``.

The words keep the rhythm that another timer gives them (from the text, or from a recording) and are drawn out or
pressed together until first and last sound are as far apart as noted. Silences that were noted too keep their length.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from timing.model import Finding, Origin, TimedLine, TimedSyllable, Utterance
from timing.model.clock import Seconds
from timing.model.findings import FindingCode
from timing.model.timed import Timer
from timing.plain.figures import figure, in_seconds


@dataclass(frozen=True)
class PinnedTimer:
    """Times a line to last ``length``, in the rhythm of ``rhythm``.

    >>> from timing.model import TimedWord
    >>> class Even:
    ...     def time(self, utterance):
    ...         a = TimedSyllable("sea", Fraction(0), Fraction(1), Origin.ESTIMATED)
    ...         return TimedLine((TimedWord("sea", "sea", (a,)),), Origin.ESTIMATED, Fraction(1, 2), Fraction(2))
    >>> line = PinnedTimer(Even(), Fraction(4)).time(None)
    >>> (str(line.length), str(line.low), line.origin.value)
    ('4', '4', 'pinned')
    """

    rhythm: Timer
    length: Seconds

    def time(self, utterance: Utterance) -> TimedLine:
        line = self.rhythm.time(utterance)
        line = line.moved(-line.start)
        noted = [word.pause_after or Fraction(0) for word in utterance.words[:-1]] if utterance else []
        gaps = [after.start - word.end for word, after in zip(line.words, line.words[1:], strict=False)]
        kept = [min(gap, pause) for gap, pause in zip(gaps, noted, strict=False)]
        fixed = sum(kept, Fraction(0))
        if fixed >= self.length:  # the silences alone are longer than all of it: everything gives way
            kept, fixed = [Fraction(0)] * len(kept), Fraction(0)
        factor = (self.length - fixed) / (line.length - fixed)
        words, silence = [], Fraction(0)
        for index, word in enumerate(line.words):
            by = silence - silence * factor
            syllables = tuple(_scaled(syllable, factor, by) for syllable in word.syllables)
            words.append(replace(word, syllables=syllables, confidence=None))
            silence += kept[index] if index < len(kept) else Fraction(0)
        found: tuple[Finding, ...] = ()
        if line.take is not None:
            message = (
                f"{figure(self.length)} s are noted beside it, so its reading in {line.take} of "
                f"{in_seconds(line.length, 1)} gives it its rhythm only"
            )
            facts = {"noted_s": round(float(self.length), 6), "seconds": round(float(line.length), 6)}
            found = (Finding(FindingCode.LENGTH_OVERRULES, message, facts),)
        return TimedLine(tuple(words), Origin.PINNED, self.length, self.length, findings=found)


def _scaled(syllable: TimedSyllable, factor: Fraction, by: Seconds) -> TimedSyllable:
    return replace(
        syllable,
        start=syllable.start * factor + by,
        end=syllable.end * factor + by,
        phone_starts=tuple(start * factor + by for start in syllable.phone_starts),
        origin=Origin.PINNED,
    )
