"""An untimed utterance in, the same words timed by rule out: how long is a line before anyone recorded it.

The sounds of each phrase get their lengths from :mod:`timing.timers.sound_lengths`, pauses come by the mark that
stands in the line, and one factor, the delivery's or the speaker's own, scales all of it. A silence asked for in
the script is kept as it is. The range comes from how much speakers and lines were measured to differ.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from fractions import Fraction

from timing.language.registry import language_of
from timing.model import Break, Origin, Syllable, TimedLine, TimedSyllable, TimedWord, Utterance, Word
from timing.model.clock import Seconds
from timing.timers.delivery import (
    TABLE,
    Z80,
    Delivery,
    SpeakerFactor,
    calibrate,
    delivery_for,
    delivery_named,
    direction_factor,
)
from timing.timers.sound_lengths import phone_lengths

__all__ = ["TABLE", "Delivery", "PaceTimer", "SpeakerFactor", "calibrate", "delivery_for", "delivery_named"]

# Seconds before the factor; commas fitted to narrators (see the benchmark), other marks as measured there.
COMMA_PAUSE_S = 0.16
PAUSE_S = 0.40
LONG_PAUSE_S = 0.60  # an ellipsis; our own
SYLLABLE_PAUSE_S = 0.15  # between the syllables of a word that is said syllable by syllable; our own
FADE_S = 0.05  # the last sound of a line dies away
_PAUSES = {",": COMMA_PAUSE_S, "…": LONG_PAUSE_S, "": COMMA_PAUSE_S}

# A language without sounds here: milliseconds of a syllable, stressed or not, and last before a pause.
_PLAIN_MS = (190.0, 330.0)


def _exact(milliseconds: float) -> Seconds:
    """Whole microseconds, so that the same text gives the same fractions everywhere."""
    return Fraction(max(1, round(milliseconds * 1000)), 1_000_000)


class PaceTimer:
    """Times a line from its sounds.

    ``delivery`` is narration, dialogue, strong or slow; ``pace`` multiplies the length (1.1 = 10 % longer);
    ``directions`` beside the line ("whispered", "slowly") add their own; ``factor`` is the speaker's, from recorded
    lines (:func:`calibrate`), and takes the place of the delivery's. Raises SettingsError for an unknown delivery or
    language.
    """

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
        self.scale *= language_of(language).pace.value * direction_factor(directions, language)
        if pace:
            self.scale *= float(pace)

    def time(self, utterance: Utterance) -> TimedLine:
        """Return the line timed from moment 0, every phone with its start, and the 80 % range of its length."""
        at = Fraction(0)
        asked = Fraction(0)
        words: list[TimedWord] = []
        read = tuple(utterance.words)
        for phrase in phrases(read):
            for word, lengths in zip(phrase, phone_lengths(phrase), strict=True):
                if word is read[-1] and lengths[-1]:
                    lengths[-1][-1] += 1000 * FADE_S
                timed = []
                for number, syllable in enumerate(word.syllables):
                    is_last = word is phrase[-1] and number == len(word.syllables) - 1
                    made = self._syllable(syllable, lengths[number], at, float(word.stretch), is_last)
                    timed.append(made)
                    at = made.end
                    if word.is_syllabled and number < len(word.syllables) - 1:
                        at += _exact(1000 * SYLLABLE_PAUSE_S * self.scale)
                words.append(TimedWord.of(word, tuple(timed)))
            if len(words) < len(read):
                pinned = phrase[-1].pause_after
                if pinned is None:
                    at += _exact(1000 * _PAUSES.get(phrase[-1].mark, PAUSE_S) * self.scale)
                else:
                    at, asked = at + pinned, asked + pinned
        free = float(at - asked)  # a pause that the user asked for does not vary
        low, high = (
            Fraction(round(1_000_000 * free * math.exp(sign * Z80 * self.spread)), 1_000_000) for sign in (-1, 1)
        )
        return TimedLine(tuple(words), Origin.ESTIMATED, asked + low, asked + high)

    def _syllable(
        self, syllable: Syllable, lengths: Sequence[float], start: Seconds, stretch: float, is_last: bool
    ) -> TimedSyllable:
        if not lengths:
            end = start + _exact(_PLAIN_MS[is_last] * self.scale * stretch)
            return TimedSyllable(
                syllable.text, start, end, Origin.ESTIMATED, syllable.stress, syllable.phones, syllable.said
            )
        starts, at = [], start
        for length in lengths:
            starts.append(at)
            at += _exact(length * self.scale * stretch)
        return TimedSyllable(
            syllable.text, start, at, Origin.ESTIMATED, syllable.stress, syllable.phones, syllable.said, tuple(starts)
        )


def phrases(words: Sequence[Word]) -> Iterator[Sequence[Word]]:
    """Yield the words from one pause to the next."""
    start = 0
    for index, word in enumerate(words):
        if index == len(words) - 1 or word.break_after >= Break.CLAUSE or word.pause_after is not None:
            yield words[start : index + 1]
            start = index + 1
