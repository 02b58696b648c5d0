"""What makes a setting good: stress on strong places, even motion, room at the end of the line.

First version with hand-set weights after Halle & Lerdahl, "A generative textsetting model", Current Musicology 55
(1993) and Hayes, "Textsetting as constraint conflict" (2009): stress to strong position, no long lapse, no squeeze,
the line ends with its phrase.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from timing.song.metre import Metre, beats_a_bar, parts_a_beat

DOWNBEAT, HALF_BAR, BEAT, PART, BETWEEN = 4, 3, 2, 1, 0


@dataclass(frozen=True, slots=True)
class Place:
    """A place in the bar: ``position`` in beats, ``level`` its metrical strength (4 downbeat .. 0 between parts)."""

    position: Fraction
    level: int
    left: float  # beats to the end of the line's bars

    @classmethod
    def at(cls, position: Fraction, metre: Metre, bars: int) -> Place:
        """Return the place at ``position``."""
        beats = beats_a_bar(metre)
        within = position % beats
        if within == 0:
            level = DOWNBEAT
        elif beats % 2 == 0 and within == Fraction(beats, 2):
            level = HALF_BAR
        elif within.denominator == 1:
            level = BEAT
        else:
            level = PART if (within * parts_a_beat(metre)).denominator == 1 else BETWEEN
        return cls(position, level, float(bars * beats - position))


class Scorer:
    """Scores notes and steps between them for one line; higher is better."""

    def __init__(self, stresses: Sequence[int], words: Sequence[int], metre: Metre, bars: int):
        self.stresses, self.words = stresses, words
        self.even = bars * beats_a_bar(metre) / (len(stresses) + 1)

    def note(self, index: int, place: Place) -> float:
        stress = self.stresses[index]
        value = (-0.55 * max(0, place.level - 1), 0.5 * place.level, 1.2 * place.level)[stress]
        if place.level == BETWEEN:
            value -= 1.5
        if place.level < BEAT and stress == 2:
            value -= 1.0
        return value

    def first(self, place: Place) -> float:
        late = abs(float(place.position))
        if place.position < 0:
            return self.note(0, place) + (0.8, -0.8, -1.5)[self.stresses[0]] - 0.5 * late
        return self.note(0, place) - 0.8 * late

    def last(self, place: Place) -> float:
        return 1.2 if 1 <= place.left <= 3 else -0.8

    def step(self, index: int, before: Place, after: Place) -> float:
        gap = float(after.position - before.position)
        value = -0.9 * abs(math.log2(gap / self.even)) - 0.8 * max(0.0, gap - 2)
        same_word = self.words[index] == self.words[index + 1]
        rise = self.stresses[index + 1] - self.stresses[index]
        lift = after.level - before.level
        return value + (1.0 if same_word else 0.4) * (1.2 if rise * lift > 0 else -1.2 if rise * lift < 0 else 0.0)
