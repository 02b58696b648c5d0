"""An untimed utterance in, the same words timed by rule out: how long is a line before anyone recorded it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

from timing.clock import Seconds
from timing.model import Break, Origin, Syllable, TimedLine, TimedSyllable, TimedWord, Utterance, is_vowel
from timing.timers.delivery import Z80, SpeakerFactor, calibrate, delivery_for, delivery_named

__all__ = ["PaceTimer", "SpeakerFactor", "calibrate", "delivery_for"]

_PAUSE = {Break.SENTENCE: 0.3, Break.CLAUSE: 0.16}


def _micro(value: float) -> Seconds:
    return Fraction(round(value * 1_000_000), 1_000_000)


class PaceTimer:
    """Times a line from its sounds; ``pace`` multiplies the length, ``factor`` is a speaker's own calibration."""

    def __init__(
        self,
        language: str = "en_US",
        delivery: str = "dialogue",
        pace: Fraction | None = None,
        directions: Sequence[str] = (),
        factor: SpeakerFactor | None = None,
    ):
        row = delivery_named(delivery)
        self.scale = factor.factor if factor else row.factor
        self.spread = factor.sd if factor else math.hypot(row.speaker_sd, row.line_sd)
        if pace:
            self.scale *= float(pace)

    def time(self, utterance: Utterance) -> TimedLine:
        """Return the line timed from moment 0, with its 80 % range."""
        at = Fraction(0)
        words = []
        for index, word in enumerate(utterance.words):
            timed = []
            for number, syllable in enumerate(word.syllables):
                last = number == len(word.syllables) - 1 and word.break_after >= Break.CLAUSE
                end = at + _micro(self._syllable(syllable, last) * self.scale * float(word.stretch))
                timed.append(_timed(syllable, at, end))
                at = end
            words.append(TimedWord.of(word, tuple(timed)))
            if index < len(utterance.words) - 1:
                rule = _PAUSE.get(word.break_after, 0.0) * self.scale
                at += word.pause_after if word.pause_after is not None else _micro(rule)
        length = float(at)
        low, high = length * math.exp(-Z80 * self.spread), length * math.exp(Z80 * self.spread)
        return TimedLine(tuple(words), Origin.ESTIMATED, _micro(low), _micro(high))

    def _syllable(self, syllable: Syllable, is_last: bool) -> float:
        base = 0.235 if syllable.stress else 0.155
        return base * (1.6 if is_last else 1.0)


def _timed(syllable: Syllable, start: Seconds, end: Seconds) -> TimedSyllable:
    weights = [Fraction(5, 2) if is_vowel(p) else Fraction(1) for p in syllable.phones]
    starts, at = [], start
    for weight in weights:
        starts.append(at)
        at += (end - start) * weight / sum(weights)
    return TimedSyllable(
        syllable.text, start, end, Origin.ESTIMATED, syllable.stress, syllable.phones, syllable.said, tuple(starts)
    )
