"""Where a reading differs from the script: words not said, said differently, words that nobody wrote.

In: a line followed word by word, each word with its likelihood ratio against anything at all. Out: the same line with
a verdict for each token, and the stretches of unscripted speech.

A second look is taken only at the doubtful places: there, and nowhere else, a word may be left out, replaced by free
phones, or have free phones before it. (Allowed everywhere, such a loop finds "errors" in every fifth good line.)
Thresholds were chosen on synthesised speech (lines of our own, three voices: words left out, replaced, added) and
checked on labelled human speech.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from fractions import Fraction
from typing import TYPE_CHECKING

from timing.clock import Seconds
from timing.recording.recogniser import ANY, STEPS_PER_S, HeardWord, Recogniser, step_at

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

DOUBTFUL = -9.0  # beside a word below this, unscripted words are looked for
SUSPECT = -16.0  # a word below this may have been left out or replaced
WRONG = -30.0  # a word still below this after the second look was not said as written
SKIP, LOOP_ENTER, LOOP_STAY = 1e-8, 1e-8, 0.3
SHORTEST_EXTRA = Fraction(1, 4)  # unscripted sound shorter than this is a breath or a click
FOREIGN_FLOOR = -60.0  # for lines in another language than English
_SHORT_STEPS = 4  # a score over n steps of 10 ms counts n / (n + 4): three steps say little


class Verdict(StrEnum):
    """What became of a word."""

    SAID = "said"
    NOT_SAID = "not-said"
    DIFFERENT = "said-differently"


@dataclass(frozen=True, slots=True)
class Reading:
    """A line followed in a sound, one entry for each token.

    ``words`` has None where a token was not said, or where only its place is known; ``ratios`` are log-likelihood
    ratios for 10 ms against free phones, in the recogniser's unit (about 0.1 nat); ``places`` are where something
    else was said instead; ``extras`` are (index of the token after it, start, end) of unscripted speech.
    """

    words: tuple[HeardWord | None, ...]
    ratios: tuple[float, ...]
    verdicts: tuple[Verdict, ...]
    places: Mapping[int, tuple[Seconds, Seconds]] = field(default_factory=dict)
    extras: tuple[tuple[int, Seconds, Seconds], ...] = ()


def read(
    recogniser: Recogniser, samples: NDArray[np.int16], first: int, count: int, floor: float = 0.0
) -> Reading | None:
    """Return the recogniser's words ``first`` .. ``first + count`` where they lie in ``samples``, judged.

    ``floor`` is added to every threshold: sounds of another language fit the recogniser's worse. None when the
    words cannot be fitted at all.
    """
    heard = recogniser.align(samples, range(first, first + count))
    if heard is None:
        return None
    free = recogniser.free_scores(samples)
    ratios = [_ratio(word, free) for word in heard]
    doubts = [i for i, word in enumerate(heard) if _weighed(ratios[i], word) < DOUBTFUL + floor]
    plain = Reading(tuple(heard), tuple(ratios), (Verdict.SAID,) * count)
    return (_second_look(recogniser, samples, first, plain, doubts, free, floor) or plain) if doubts else plain


def ratios_of(recogniser: Recogniser, samples: NDArray[np.int16], words: Sequence[HeardWord]) -> list[float]:
    """Return each word's likelihood ratio against free phones over the same samples."""
    free = recogniser.free_scores(samples)
    return [_ratio(word, free) for word in words]


def _ratio(word: HeardWord, free: NDArray[np.float64] | None) -> float:
    start, end = max(0, step_at(word.start)), max(1, step_at(word.end))
    return (word.score - (float(free[start:end].sum()) if free is not None else 0.0)) / max(1, end - start)


def _weighed(ratio: float, word: HeardWord) -> float:
    steps = float((word.end - word.start) * STEPS_PER_S)
    return ratio * steps / (steps + _SHORT_STEPS)


def _second_look(
    recogniser: Recogniser,
    samples: NDArray[np.int16],
    first: int,
    plain: Reading,
    doubts: Sequence[int],
    free: NDArray[np.float64] | None,
    floor: float,
) -> Reading | None:
    count = len(plain.words)
    suspects = {i for i in doubts if (w := plain.words[i]) and _weighed(plain.ratios[i], w) < SUSPECT + floor}
    path = recogniser.follow(samples, *_grammar(first, count, set(doubts), suspects))
    if path is None or all(word.index < 0 for word in path):
        return None
    heard = recogniser.align(samples, [word.index for word in path])
    if heard is None:
        return None
    words: list[HeardWord | None] = [None] * count
    ratios = list(plain.ratios)
    verdicts = [Verdict.NOT_SAID] * count
    for word in heard:
        index = word.index - first
        words[index], ratios[index] = word, _ratio(word, free)
        wrong = index in doubts and _weighed(ratios[index], word) < WRONG + floor
        verdicts[index] = Verdict.DIFFERENT if wrong else Verdict.SAID
    places: dict[int, tuple[Seconds, Seconds]] = {}
    extras = []
    for start, end, before, after in _loops(path, first, count):
        missing = [i for i in range(before + 1, after) if words[i] is None]
        if missing:
            step = (end - start) / len(missing)
            for number, i in enumerate(missing):
                verdicts[i] = Verdict.DIFFERENT
                places[i] = (start + number * step, start + (number + 1) * step)
            # Where the written word fits into the gap as it was first followed, that is the better guess.
            low = words[before].end if before >= 0 else start  # type: ignore[union-attr]
            high = words[after].start if after < count else end  # type: ignore[union-attr]
            at_first = [plain.words[i] for i in missing]
            if all(w is not None and low <= w.start and w.end <= high for w in at_first):
                for i, w in zip(missing, at_first, strict=True):
                    words[i] = w
        elif end - start >= SHORTEST_EXTRA:
            extras.append((after, start, end))
    if not extras and Verdict.NOT_SAID not in verdicts:
        # Words merely said differently lie where they are written: the plain times are the steadier ones.
        return replace(plain, verdicts=tuple(verdicts))
    return Reading(tuple(words), tuple(ratios), tuple(verdicts), places, tuple(extras))


def _loops(path: Sequence[HeardWord], first: int, count: int) -> list[tuple[Seconds, Seconds, int, int]]:
    """Return each run of free phones: (start, end, token before it or -1, token after it or ``count``)."""
    found: list[tuple[Seconds, Seconds, int, int]] = []
    before, start, end = -1, None, Fraction(0)
    for word in path:
        if word.index < 0:
            start, end = word.start if start is None else start, word.end
            continue
        if start is not None:
            found.append((start, end, before, word.index - first))
            start = None
        before = word.index - first
    if start is not None:
        found.append((start, end, before, count))
    return found


def _grammar(
    first: int, count: int, doubts: set[int], suspects: set[int]
) -> tuple[int, list[tuple[int, int, float, int | None]]]:
    """Return (states, arcs): state 2i lies before token i, state 2i + 1 is the loop there; the last is the end."""
    arcs: list[tuple[int, int, float, int | None]] = []
    for i in range(count):
        arcs.append((2 * i, 2 * i + 2, 1.0, first + i))
        if i in suspects:
            arcs.append((2 * i, 2 * i + 2, SKIP, None))
    for i in range(count + 1):
        near = i in doubts or i - 1 in doubts
        if near:
            arcs.append((2 * i, 2 * i + 1, LOOP_ENTER, ANY))
            arcs.append((2 * i + 1, 2 * i + 1, LOOP_STAY, ANY))
            arcs.append((2 * i + 1, 2 * i, 1.0, None))
            if i in suspects:
                arcs.append((2 * i + 1, 2 * i + 2, 1.0, None))
    # The loop after the last token has a number of its own above the end, which must be the last state.
    top = 2 * count + 1
    swap = {2 * count: top, top: 2 * count}
    return top + 1, [(swap.get(a, a), swap.get(b, b), p, w) for a, b, p, w in arcs]
