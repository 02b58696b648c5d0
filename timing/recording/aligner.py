"""A known line on its sound: every word, syllable and phone with its time.

In: samples that hold one line, the Utterance, its pronunciations. Out: a TimedLine, measured, with a confidence for
each word, and findings where the reading differs from the script.

How: the sound is cut to what is spoken (silence at the ends spoils the level normalisation), cleaned of steady noise
where there is much of it, followed word by word and then phone by phone. Each word's score is held against a free
loop of phones over the same sound ("anything at all"): a word that fits much worse than anything at all was not said.
What the doubtful places hold instead is worked out in ``doubts``. Times come from the phones alone: moving them to
where the level rises made human speech worse, not better.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from timing.clock import Seconds
from timing.model import Finding, Origin, TimedLine, TimedWord, Utterance
from timing.recording.heard import Pronounce
from timing.recording.recogniser import HeardWord, Recogniser, step_at
from timing.recording.spoken import Token, timed_syllables, tokens_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from timing.recording.decode import Sound

MARGIN = Fraction(3, 10)  # kept on both sides of the speech
RATE_HZ = 16_000


@dataclass(frozen=True, slots=True)
class Reading:
    """What was followed: a heard word and its likelihood ratio (per 10 ms) for each token of a line."""

    words: tuple[HeardWord, ...]
    ratios: tuple[float, ...]


class LineAligner:
    """A recogniser that knows the words of some lines; line ``n`` is the n-th utterance given."""

    def __init__(self, utterances: Sequence[Utterance], pronounce: Pronounce):
        self.utterances = tuple(utterances)
        self.tokens: tuple[tuple[Token, ...], ...] = tuple(tokens_of(u, pronounce) for u in utterances)
        self.first: list[int] = []  # the vocabulary's index of each line's first token
        count = 0
        for tokens in self.tokens:
            self.first.append(count)
            count += len(tokens)
        self.recogniser = Recogniser([t.pronunciations for tokens in self.tokens for t in tokens])

    def order(self, line: int) -> range:
        """Return the vocabulary indices of a line's tokens."""
        return range(self.first[line], self.first[line] + len(self.tokens[line]))

    def follow(self, samples: NDArray[np.int16], line: int) -> Reading | None:
        """Return the line's tokens where they fit best in ``samples``; None when they cannot be fitted at all."""
        heard = self.recogniser.align(samples, self.order(line))
        if heard is None:
            return None
        return Reading(tuple(heard), self.ratios(samples, heard))

    def ratios(self, samples: NDArray[np.int16], heard: Sequence[HeardWord]) -> tuple[float, ...]:
        """Return each word's log-likelihood ratio against the free loop, for 10 ms (base 1.0001)."""
        free = self.recogniser.free_scores(samples)
        found = []
        for word in heard:
            start, end = step_at(word.start), step_at(word.end)
            steps = max(1, end - start)
            found.append((word.score - (float(free[start:end].sum()) if free is not None else 0.0)) / steps)
        return tuple(found)


def timed_line(utterance: Utterance, tokens: Sequence[Token], reading: Reading, offset: Seconds) -> TimedLine:
    """Return the words of ``utterance`` timed from ``reading``, moved by ``offset``."""
    words = []
    for index, word in enumerate(utterance.words):
        mine = [k for k, token in enumerate(tokens) if token.word == index]
        phones = [phone for k in mine for phone in reading.words[k].phones]
        ratio = min(reading.ratios[k] for k in mine)
        words.append(TimedWord.of(word, timed_syllables(word, phones), confidence_of(ratio)))
    length = words[-1].end - words[0].start
    line = TimedLine(tuple(words), Origin.MEASURED, length, length)
    return replace(line.moved(offset), confidence=line_confidence(words))


def confidence_of(ratio: float) -> float:
    """Return a likelihood ratio (per 10 ms) as a confidence from 0 to 1, two decimals.

    A straight line from 0 at -50 to 1 at 0: on clean synthesised speech 95 % of the words said lie above -8, words
    that were not said near -40.
    """
    return round(min(1.0, max(0.0, 1 + ratio / 50)), 2)


def line_confidence(words: Sequence[TimedWord]) -> float:
    """Return the mean of the words' confidences, each counted by its length."""
    total = sum((w.end - w.start for w in words), Fraction(0))
    return round(float(sum((w.end - w.start) * Fraction(w.confidence or 0) for w in words) / total), 2)


def align_line(
    sound: Sound, utterance: Utterance, pronounce: Pronounce, is_sung: bool = False
) -> TimedLine:
    """Return ``utterance`` timed in ``sound``'s own clock; its findings say where the reading differs.

    A line that cannot be followed at all comes back rough (finding "rough"). Raises RecordingError for a silent
    sound.
    """
    from timing.errors import RecordingError
    from timing.recording.levels import measure, sound_regions
    from timing.recording.rough import rough_line

    levels = measure(sound)
    regions = sound_regions(sound, levels)
    if not regions:
        raise RecordingError("is silent; record the line again", sound.path or None)
    aligner = LineAligner([utterance], pronounce)
    start = max(Fraction(0), regions[0][0] - MARGIN)
    samples = sound.cut(start, regions[-1][1] + MARGIN)
    reading = aligner.follow(samples, 0)
    if reading is None:
        line = rough_line(utterance, regions)
        return replace(line.moved(line.take_start or Fraction(0)), findings=(*line.findings, *levels.findings()))
    line = timed_line(utterance, aligner.tokens[0], reading, start)
    return replace(line, findings=(*line.findings, *levels.findings()))
