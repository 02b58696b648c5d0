"""Where a reading differs from the script: words not said, said differently, words that nobody wrote.

In: a line followed word by word, each word with its likelihood ratio against anything at all. Out: the same line with
a verdict for each token, and the stretches of unscripted speech.

A second look is taken only at the doubtful places: there, and nowhere else, a word may be left out, replaced by free
phones, or have free phones before it. (Allowed everywhere, such a loop finds "errors" in every fifth good line.)
Before that, the line is followed once more with every word that has something against it left out at will: a word
without which the line fits better has one thing more against it. Thresholds were chosen on synthesised speech (lines
of our own, three voices: words left out, replaced, added) and checked on other lines, another voice and human speech.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass, field, replace
from enum import StrEnum
from fractions import Fraction
from typing import TYPE_CHECKING

from timing.hearing.recogniser import ANY, RATE_HZ, STEPS_PER_S, HeardWord, Recogniser, step_at
from timing.hearing.word_evidence import Evidence, evidence
from timing.model.clock import Seconds

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

# Log-odds of ``evidence``, and what lacks in the worst stretch around a word (in the recogniser's unit).
SURE = -0.4  # a word above this may have been left out or replaced
WITHOUT, WITH = 1.75, -0.45  # what it adds whether the line fits better without the word: it does, it does not
WITH_ALONE = -1.35  # it does not, and the word is one sound ("a"), which is said in many ways
ASK = SURE - WITHOUT  # no answer would make a word below this a suspect
LOOK = -2.15  # beside a word above this, unscripted words are looked for
BESIDE = -4.0  # the same for a word that has unscripted sound right beside it
STRETCH = 450.0  # and beside a word with a worse stretch than this
SKIP, LOOP_ENTER, LOOP_STAY = 1e-4, 1e-4, 0.3
SHORTEST_EXTRA = Fraction(1, 5)  # unscripted sound shorter than this is a breath or a click
SPEECH_RANGE_DB, FAINT_DB = -40, -20  # speech against its loudest 10 ms; sound this far below speech is no word
LONGEST_DIP_STEPS = 3  # a stop consonant inside a word
MOSTLY = 0.5  # share of a line's words
_FITS_ANYWHERE = 2  # phones: such a word finds a place inside whatever was said instead
NOISE_ALLOWANCE = 30.0  # what every step may lack in a noisy recording, in which words are not told apart so well
# What every step may lack in lines of another language than English: a word there lacks 17 more than an English one
# (median; synthesised speech of five languages, and the same with two recorded voices of Italian). At 50 every sixth
# line said slowly with another accent is doubted, and its words lose their places; at 90 next to nothing is found.
FOREIGN_ALLOWANCE = 60.0


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
    recogniser: Recogniser, samples: NDArray[np.int16], first: int, count: int, allowance: float = 0.0
) -> Reading | None:
    """Return the recogniser's words ``first`` .. ``first + count`` where they lie in ``samples``, judged.

    ``allowance`` is what each step may lack: sounds of another language fit the recogniser's worse. None when the
    words cannot be fitted at all.
    """
    if not len(samples):  # a label may point behind the end of its sound
        return None
    found = recogniser.align_scored(samples, range(first, first + count))
    if found is None:
        return None
    heard, path = found
    free = recogniser.free_scores(samples)
    ratios = [_ratio(word, free) for word in heard]
    plain = Reading(tuple(heard), tuple(ratios), (Verdict.SAID,) * count)
    if free is None:
        return plain
    signs = evidence(heard, lack_of(free, path, allowance))
    answers = _without(recogniser, samples, first, heard, signs)
    signs = [replace(sign, against=sign.against + answers.get(i, 0.0)) for i, sign in enumerate(signs)]
    suspects = {i for i, sign in enumerate(signs) if sign.against > SURE}
    doubts = {i for i, sign in enumerate(signs) if sign.against > LOOK or sign.stretch > STRETCH}
    if not doubts:
        return plain
    if len(suspects) > MOSTLY * count:
        # Quite another line: with room for other words beside it, every word would find some place that suits it.
        return replace(plain, verdicts=_as_suspected(count, suspects))
    doubtful = _Doubtful(frozenset(doubts), frozenset(suspects), answers)
    return _second_look(recogniser, samples, first, plain, doubtful, free, allowance) or plain


@dataclass(frozen=True, slots=True)
class _Doubtful:
    """Which words to look beside, which of them may be missing, and what was added to the evidence against some."""

    beside: frozenset[int]
    suspects: frozenset[int]
    answers: Mapping[int, float]


def _without(
    recogniser: Recogniser,
    samples: NDArray[np.int16],
    first: int,
    words: Sequence[HeardWord],
    signs: Sequence[Evidence],
) -> Mapping[int, float]:
    """Return what to add to the evidence against some words, having asked whether the line fits better without them."""
    asked = {i for i, sign in enumerate(signs) if sign.against > ASK}
    if not asked:
        return {}
    arcs: list[tuple[int, int, float, int | None]] = [(i, i + 1, 1.0, first + i) for i in range(len(signs))]
    arcs += [(i, i + 1, 1.0, None) for i in sorted(asked)]
    path = recogniser.follow(samples, len(signs) + 1, arcs)
    if path is None:
        return {}
    kept = {word.index - first for word in path}
    said = {i: WITH if len(words[i].phones) > 1 else WITH_ALONE for i in asked & kept}
    return said | dict.fromkeys(asked - kept, WITHOUT)


def _ratio(word: HeardWord, free: NDArray[np.float64] | None) -> float:
    start, end = max(0, step_at(word.start)), max(1, step_at(word.end))
    return (word.score - (float(free[start:end].sum()) if free is not None else 0.0)) / max(1, end - start)


def lack_of(free: NDArray[np.float64], path: NDArray[np.float64], allowance: float = 0.0) -> NDArray[np.float64]:
    """Return how much better any phone at all fits each step than the path does, less what is allowed."""
    count = min(len(free), len(path))
    return free[:count] - path[:count] - allowance


def _as_suspected(count: int, suspects: Set[int]) -> tuple[Verdict, ...]:
    return tuple(Verdict.DIFFERENT if i in suspects else Verdict.SAID for i in range(count))


def _second_look(
    recogniser: Recogniser,
    samples: NDArray[np.int16],
    first: int,
    plain: Reading,
    doubtful: _Doubtful,
    free: NDArray[np.float64],
    allowance: float,
) -> Reading | None:
    """Return the reading with verdicts."""
    count, suspects = len(plain.words), doubtful.suspects
    path = recogniser.follow(samples, *_grammar(first, count, doubtful.beside, suspects))
    if path is None or all(word.index < 0 for word in path):
        return None
    if [word.index for word in path] == list(range(first, first + count)):
        # Even with room for others only the words as written: they lie where they were followed at first.
        return replace(plain, verdicts=_as_suspected(count, suspects))
    found = recogniser.align_scored(samples, [word.index for word in path])
    if found is None:
        return None
    heard, scores = found
    words: list[HeardWord | None] = [None] * count
    ratios = list(plain.ratios)
    verdicts = [Verdict.NOT_SAID] * count
    loops = _loops(path, first, count)
    parts: set[_Loop] = set()  # runs of free phones that are the rest of what was said instead of a word
    for word, sign in zip(heard, evidence(heard, lack_of(free, scores, allowance)), strict=True):
        index = word.index - first
        words[index], ratios[index] = word, _ratio(word, free)
        beside = [loop for loop in loops if index in (loop.before, loop.after)]
        against = sign.against + doubtful.answers.get(index, 0.0)
        is_whole = index not in suspects or _recovers(word, against, beside)
        verdicts[index] = Verdict.SAID if is_whole else Verdict.DIFFERENT
        if not is_whole and len(word.phones) > _FITS_ANYWHERE:
            parts.update(beside)
    places: dict[int, tuple[Seconds, Seconds]] = {}
    extras = []
    for loop in loops:
        start, end, before, after = loop.start, loop.end, loop.before, loop.after
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
        elif _sounding(samples, start, end) >= SHORTEST_EXTRA and loop not in parts:
            extras.append((after, start, end))
    if not extras and Verdict.NOT_SAID not in verdicts:
        # Words merely said differently lie where they are written: the plain times are the steadier ones.
        return replace(plain, verdicts=tuple(verdicts))
    return Reading(tuple(words), tuple(ratios), tuple(verdicts), places, tuple(extras))


def _sounding(samples: NDArray[np.int16], start: Seconds, end: Seconds) -> Seconds:
    """Return the longest run in a stretch that is as loud as speech is.

    Fainter sound is a pause or a breath; the tail of the word before and the head of the one after it are two runs.
    """
    import numpy as np

    step = RATE_HZ // STEPS_PER_S
    power = np.square(samples[: len(samples) // step * step].astype(np.float64)).reshape(-1, step).mean(axis=1)
    if not len(power) or power.max() <= 0:
        return Fraction(0)
    speech = power[power > power.max() * 10 ** (SPEECH_RANGE_DB / 10)].mean()
    loud = power[step_at(start) : step_at(end)] > speech * 10 ** (FAINT_DB / 10)
    longest = run = gap = 0
    for is_loud in loud:
        gap = 0 if is_loud else gap + 1
        run = run + 1 if is_loud or gap <= LONGEST_DIP_STEPS else 0
        longest = max(longest, run - gap)
    return Fraction(longest, STEPS_PER_S)


def _recovers(word: HeardWord, against: float, beside: Sequence[_Loop]) -> bool:
    """True where a suspected word turns out to be said as written, once there is room for other words beside it.

    A short word finds a place inside a longer one that was said instead ("a" in "another").
    """
    if not beside:
        return against <= SURE
    is_inside = len(beside) == 2 or sum(loop.end - loop.start for loop in beside) < SHORTEST_EXTRA
    return not is_inside and len(word.phones) > _FITS_ANYWHERE and against <= BESIDE


@dataclass(frozen=True, slots=True)
class _Loop:
    """A run of free phones; ``before`` and ``after`` are the tokens beside it (-1 and the count at the ends)."""

    start: Seconds
    end: Seconds
    before: int
    after: int


def _loops(path: Sequence[HeardWord], first: int, count: int) -> list[_Loop]:
    found: list[_Loop] = []
    before, start, end = -1, None, Fraction(0)
    for word in path:
        if word.index < 0:
            start, end = word.start if start is None else start, word.end
            continue
        if start is not None:
            found.append(_Loop(start, end, before, word.index - first))
            start = None
        before = word.index - first
    if start is not None:
        found.append(_Loop(start, end, before, count))
    return found


def _grammar(
    first: int, count: int, doubts: Set[int], suspects: Set[int]
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
