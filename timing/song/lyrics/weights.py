"""What makes a setting good: learned weights for where syllables fall.

In: the notes of a line (how strong each syllable is, which word it belongs to), metre and number of bars. Out: scores
for a note at a place and for the step between two notes; :mod:`timing.song.lyrics.setting` finds the best sum.

The features follow the literature on text setting: stress to strong places and the stronger of two neighbours to the
stronger place (J. Halle & F. Lerdahl, "A generative textsetting model", Current Musicology 55, 1993), no long lapses
and no squeeze, the end of the line on the end of its phrase (B. Hayes, "Textsetting as constraint conflict", 2009).
How long a syllable lasts also hangs on its foot: a strong one and the weak ones up to the next. Where a line begins and
ends hangs on its first and last strong syllable, the beat of a syllable on those beside it and, for little words, on
the word itself; where a line says its stresses twice, the second half tends to open the second half of its bars.
Their weights were learned by ``tests/bench/train_setting.py`` (a conditional random field) from printed art songs and
from nursery songs, these in every metre that their rhythm can be written in, and lie in ``data/setting.json``; a key
is a feature with its values, "|" between them. With the songs measured kept out of the learning, 88 % of the
syllables of 936 nursery lines lie where people sing them, 91 % of the stressed ones within the right beat, and 75 % of
the lines are right as a whole; with the first and last syllable given 95 %, 98 % and 85 %. How to learn was chosen on
all but 102 of those lines; on these 92 %, 94 % and 82 %.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from importlib import resources
from itertools import pairwise

from timing.model.metre import Metre

DOWNBEAT, HALF_BAR, BEAT, PART, BETWEEN = 4, 3, 2, 1, 0

# How strong a syllable is sung. A little word counts less than the weak syllable of a long one.
LITTLE, WEAK, SECONDARY, ALONE, STRONG = "lwsap"  # function word, unstressed, secondary, one-syllable word, primary
STRENGTH: Mapping[str, int] = {LITTLE: 0, WEAK: 0, SECONDARY: 1, ALONE: 2, STRONG: 2}

_GAPS = (0.5, 1, 1.5, 2, 2.5, 3, 4, 5, 6, 8)  # upper edges of length classes, in parts of a beat
_STRESSES = (0.3, 0.4, 0.55, 0.8)  # upper edges of classes of stressed notes a beat
_DENSITIES = (0.6, 0.8, 1.01, 1.3, 1.6, 2.1)  # upper edges of classes of notes a beat


@dataclass(frozen=True, slots=True)
class Place:
    """A place in the line: ``part`` in parts of a beat (eighths) from its first full bar, ``level`` its strength."""

    part: float
    level: int
    bar: int
    left: float  # parts to the end of the line's bars

    @classmethod
    def at(cls, position: Fraction, metre: Metre, bars: int) -> Place:
        """Return the place at ``position`` (beats)."""
        beats, parts = metre.beats, metre.parts
        within = position % beats
        return cls(
            float(position * parts), _level(within, beats, parts), int(position // beats),
            float((bars * beats - position) * parts),
        )  # fmt: skip


def _level(within: Fraction, beats: int, parts: int) -> int:
    if within == 0:
        return DOWNBEAT
    if beats % 2 == 0 and within == Fraction(beats, 2):
        return HALF_BAR
    if within.denominator == 1:
        return BEAT
    return PART if (within * parts).denominator == 1 else BETWEEN


@cache
def shipped() -> Mapping[str, float]:
    """Return the weights that come with the program."""
    text = resources.files("timing.song.lyrics").joinpath("data/setting.json").read_text("utf-8")
    loaded: dict[str, float] = json.loads(text)["weights"]
    return loaded


def _class(value: float, edges: Sequence[float]) -> int:
    return next((i for i, edge in enumerate(edges) if value <= edge + 1e-9), len(edges))


class Features:
    """The features of one line's settings."""

    def __init__(
        self, classes: Sequence[str], words: Sequence[int], metre: Metre, bars: int, texts: Sequence[str] = ()
    ):
        self.classes, self.words, self.bars = classes, words, bars
        named = texts or [""] * len(classes)
        self.little = [t if c == LITTLE else "" for t, c in zip(named, classes, strict=True)]
        self.again = _again(classes)
        self.is_repeat = _again(texts) is not None
        beats, parts = metre.beats, metre.parts
        self.metre = "6/8" if metre.is_compound else {2: "2/4", 3: "3/4"}.get(beats, "4/4")
        self.a_bar, self.parts = beats * parts, parts
        self.count = len(classes)
        self.even = bars * beats * parts / self.count
        self.density = _class(self.count / (bars * beats), _DENSITIES)
        strong = [STRENGTH[c] > 0 for c in classes]
        self.ahead = min(next((i for i, s in enumerate(strong) if s), 3), 3)  # weak syllables before the first strong
        self.behind = min(next((i for i, s in enumerate(reversed(strong)) if s), 2), 2)
        stressed = [STRENGTH[c] == 2 for c in classes]
        heavy = [i for i, is_stressed in enumerate(stressed) if is_stressed]
        self.first_strong, self.last_strong = (heavy[0], heavy[-1]) if heavy else (-1, -1)
        self.stresses = _class(len(heavy) / (bars * beats), _STRESSES)
        self.feet = _feet(stressed)
        edged = ["|", *classes, "|"]
        self.around = [before + after for before, after in zip(edged, edged[2:], strict=False)]

    def note(self, index: int, place: Place) -> Iterator[str]:
        """Yield what holds of note ``index`` at ``place``."""
        own, metre, level = self.classes[index], self.metre, place.level
        yield f"u|{own}|{level}|{metre}"
        yield f"uc|{own}|{level}"
        yield f"ud|{STRENGTH[own]}|{level}|{self.density}"
        yield f"us|{STRENGTH[own]}|{level}|{self.stresses}"
        yield f"ua|{own}|{self.around[index]}|{level}"
        if self.little[index]:
            yield f"w|{self.little[index]}|{min(level, HALF_BAR)}"
        if level == DOWNBEAT:
            yield f"h|{STRENGTH[own]}|{'up' if place.bar < 0 else place.bar % 2}"
        if index == self.again:
            late = max(-4, min(4, place.part - self.a_bar * self.bars / 2))
            yield f"again|{int(self.is_repeat)}|{late:g}"
            yield f"againa|{self.ahead}|{late:g}"
        if index == 0:
            yield from self._first(place)
        if index == self.first_strong:
            at = max(-4, min(8, place.part))
            yield f"s1|{at:g}|{metre}"
            yield f"s1a|{self.ahead}|{at:g}"
            yield f"s1n|{self.stresses}|{at:g}"
        if index == self.last_strong:
            left = _class(place.left, _GAPS)
            yield f"sn|{left}|{metre}"
            yield f"snb|{self.behind}|{left}|{self.bars}"
            yield f"snn|{self.stresses}|{left}"
        if index == self.count - 1:
            yield from self._last(place)

    def _first(self, place: Place) -> Iterator[str]:
        at = max(-6.0, min(place.part, 4.0))
        side = "up" if place.part < 0 else "on" if place.part == 0 else "late"
        yield f"first|{at:g}|{self.metre}"
        yield f"f|{side}|{self.classes[0]}"
        yield f"fw|{self.ahead}|{at:g}"
        yield f"fwm|{self.ahead}|{at:g}|{self.metre}"
        yield f"fd|{self.density}|{at:g}"
        yield f"fs|{self.ahead}|{self.stresses}|{at:g}"
        if self.little[0]:
            yield f"wf|{self.little[0]}|{side}"

    def _last(self, place: Place) -> Iterator[str]:
        left = _class(place.left, _GAPS)
        yield f"rem|{left}|{self.metre}"
        yield f"remb|{left}|{self.bars}"
        yield f"lastlev|{place.level}|{self.classes[-1]}|{self.metre}"
        yield f"lw|{self.behind}|{left}"
        yield f"remd|{self.density}|{left}"

    def step(self, index: int, before: Place, after: Place) -> Iterator[str]:
        """Yield what holds of the step from note ``index`` to the next."""
        yield self.stretch(after.part - before.part)
        yield from self.shared(index, before, after)

    def stretch(self, gap: float) -> str:
        """Return how long a step is beside the line's notes spread evenly, in half octaves."""
        return f"dm|{max(-5, min(5, round(2 * _log2(gap / self.even))))}"

    def pair(self, index: int) -> tuple[str, str, bool, bool, tuple[int, int]]:
        """What :meth:`shared` depends on beside the two places."""
        is_last = index == self.count - 2
        return (
            self.classes[index],
            self.classes[index + 1],
            self.words[index] == self.words[index + 1],
            is_last,
            self.feet[index],
        )

    def shared(self, index: int, before: Place, after: Place) -> Iterator[str]:
        """Yield the part of :meth:`step` that is the same for lines of other lengths."""
        own, following, is_word, is_last, foot = self.pair(index)
        metre, gap = self.metre, after.part - before.part
        length = _class(gap, _GAPS)
        strong, weak = self.between(before.part, after.part)
        rise = (after.level > before.level) - (after.level < before.level)
        yield f"d|{length}|{metre}"
        yield f"ds|{length}|{own}|{following}"
        yield f"dw|{length}|{own}|{int(is_word)}"
        yield f"sk|{min(3, strong)}"
        yield f"skb|{min(4, weak)}|{metre}"
        yield f"rel|{rise}|{own}|{following}|{int(is_word)}"
        yield f"dl|{length}|{before.level}|{after.level}|{metre}"
        yield f"ft|{foot[0]}|{foot[1]}|{length}|{metre}"
        yield f"fb|{foot[0]}|{foot[1]}|{length}|{before.level}"
        if before.level < BEAT and gap > 1.5:
            yield f"off|{metre}"
        if is_last:
            yield f"dlast|{length}|{self.behind}"

    def between(self, low: float, high: float) -> tuple[int, int]:
        """Return how many (half-bar or stronger, beat or stronger) places lie strictly between two places."""
        half = self.a_bar / 2 if (self.a_bar / self.parts) % 2 == 0 else self.a_bar
        return _inside(low, high, half), _inside(low, high, self.parts)


def _again(texts: Sequence[str]) -> int | None:
    """Return where the words of a line begin again, None where its halves differ.

    >>> _again(["hot", "cross", "buns", "hot", "cross", "buns"])
    3
    """
    half, odd = divmod(len(texts), 2)
    return half if half > 1 and not odd and texts[:half] == texts[half:] else None


def _feet(strong: Sequence[bool]) -> list[tuple[int, int]]:
    """Return each note's foot (a strong note and the weak ones after it): its length, and the note's place in it.

    Lengths end at 5; weak notes before the first strong one make a foot of negative length, ending at -4.

    >>> _feet([False, True, False, True])
    [(-1, 0), (2, 0), (2, 1), (1, 0)]
    """
    starts = [0, *(i for i, s in enumerate(strong) if s and i), len(strong)]
    feet: list[tuple[int, int]] = []
    for start, end in pairwise(starts):
        length = min(end - start, 5) if strong[start] else -min(end - start, 4)
        feet += [(length, min(i, 5)) for i in range(end - start)]
    return feet


def _inside(low: float, high: float, step: float) -> int:
    first = low // step + 1
    last = -(-high // step) - 1
    return max(0, int(last - first + 1))


def _log2(value: float) -> float:
    from math import log2

    return log2(value)


class Scorer:
    """Scores notes and steps of one line with given weights; higher is better."""

    def __init__(self, features: Features, weights: Mapping[str, float] | None = None):
        self.features = features
        self.weights = shipped() if weights is None else weights
        self._steps: dict[tuple[object, ...], float] = {}

    def note(self, index: int, place: Place) -> float:
        get = self.weights.get
        return sum(get(key, 0.0) for key in self.features.note(index, place))

    def step(self, index: int, before: Place, after: Place) -> float:
        gap = after.part - before.part
        key = (self.features.pair(index), before.part % self.features.a_bar, gap)
        value = self._steps.get(key)
        if value is None:
            get = self.weights.get
            value = sum(get(name, 0.0) for name in self.features.step(index, before, after))
            self._steps[key] = value
        return value
