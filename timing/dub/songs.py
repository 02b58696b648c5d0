"""Sung words in another language on the notes that are sung in the song.

In: the original's sung line, whose syllables lie on the song's bars (its pins among them), and the new words. Out: the
new words timed on those notes, one syllable a note where it goes. Where there are more syllables than notes some notes
are shared, where there are fewer some are held, so that few stresses fall between the beats: the cheapest way of all.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from timing.model import (
    Finding,
    Origin,
    PlanLine,
    TimedLine,
    TimedSyllable,
    TimedWord,
    Utterance,
    Where,
    Word,
    is_vowel,
)
from timing.model.findings import FindingCode

MOST_SHARED = 4  # syllables on one note, or notes under one syllable
# What each departure costs: our own weights. A stress between the beats is heard most, a shared note is hurried, a held
# one is how songs are sung anyway.
STRESS_COST, SHARED_COST, HELD_COST = Fraction(4), Fraction(3), Fraction(2)
JOINED_COST = Fraction(1)  # two vowels that meet between words are sung as one


@dataclass(frozen=True)
class _Step:
    """``syllables`` syllables on ``notes`` notes; one of the two is 1."""

    syllables: int
    notes: int


_STEPS = tuple(_Step(s, n) for s in range(1, MOST_SHARED + 1) for n in range(1, MOST_SHARED + 1) if s == 1 or n == 1)


def sing(line: PlanLine, utterance: Utterance) -> TimedLine:
    """Return the new words on the notes of ``line``, from its own first sound on the episode's clock."""
    notes = line.syllables
    syllables = [(word, index) for word in utterance.words for index in range(len(word.syllables))]
    placed = _placed(syllables, notes)
    at, words = 0, []
    for word in utterance.words:
        own = placed[at : at + len(word.syllables)]
        at += len(word.syllables)
        words.append(TimedWord.of(word, tuple(own)))
    length = words[-1].end - words[0].start
    return TimedLine(tuple(words), Origin.FITTED, length, length)


def is_strong(word: Word | TimedWord, index: int) -> bool:
    """True for a syllable that wants a beat: the main stress of a word that carries meaning."""
    return word.syllables[index].stress == 1 and not (word.is_function and len(word.syllables) == 1)


def stress_findings(line: TimedLine, where: Where | None) -> tuple[Finding, ...]:
    """Return a finding for each stress between two beats whose unstressed neighbour has a beat.

    The mismatch that listeners notice: J. Halle and F. Lerdahl (1993), B. Hayes (2009), as for the original.
    """
    sung = [(syllable, is_strong(word, n)) for word in line.words for n, syllable in enumerate(word.syllables)]
    found = []
    for n, (syllable, strong) in enumerate(sung):
        if not strong or syllable.beat is None or syllable.beat.denominator == 1:
            continue
        beside = [other for other, is_other in sung[max(0, n - 1) : n + 2] if not is_other and _on_beat(other)]
        if beside:
            text, other = syllable.heard, beside[0].heard
            message = f'"{text}" is stressed but falls between the beats, while "{other}" beside it has one'
            facts = {"syllable": text, "neighbour": other, "bar": syllable.bar, "beat": round(float(syllable.beat), 3)}
            found.append(Finding(FindingCode.STRESS_OFF_BEAT, message, facts, where))
    return tuple(found)


def _on_beat(syllable: TimedSyllable) -> bool:
    return syllable.beat is not None and syllable.beat.denominator == 1


def _placed(syllables: Sequence[tuple[Word, int]], notes: Sequence[TimedSyllable]) -> list[TimedSyllable]:
    steps = _steps(syllables, notes)
    if steps is None:  # far too many or too few: spread evenly over the whole
        start, end = notes[0].start, notes[-1].end
        each = (end - start) / len(syllables)
        return [_syllable(s, start + n * each, start + (n + 1) * each, None) for n, s in enumerate(syllables)]
    made: list[TimedSyllable] = []
    i = j = 0
    for step in steps:
        held = notes[j : j + step.notes]
        start, end = held[0].start, held[-1].end
        each = (end - start) / step.syllables
        for n in range(step.syllables):
            note = held[0] if n == 0 else None
            made.append(_syllable(syllables[i + n], start + n * each, start + (n + 1) * each, note))
        i, j = i + step.syllables, j + step.notes
    return made


def _syllable(syllable: tuple[Word, int], start: Fraction, end: Fraction, note: TimedSyllable | None) -> TimedSyllable:
    word, index = syllable
    own = word.syllables[index]
    return TimedSyllable(
        own.text, start, end, Origin.FITTED, own.stress, own.phones, own.said,
        bar=note.bar if note else None, beat=note.beat if note else None,
    )  # fmt: skip


def _steps(syllables: Sequence[tuple[Word, int]], notes: Sequence[TimedSyllable]) -> list[_Step] | None:
    """Return the cheapest way to lay all syllables on all notes, None where none keeps within four to one."""
    best: dict[tuple[int, int], tuple[Fraction, _Step | None]] = {(0, 0): (Fraction(0), None)}
    usual = (notes[-1].end - notes[0].start) / len(notes)
    for i in range(len(syllables) + 1):
        for j in range(len(notes) + 1):
            for step in _STEPS:
                before = best.get((i - step.syllables, j - step.notes))
                if before is None:
                    continue
                cost = before[0] + _cost(syllables, notes, i - step.syllables, j - step.notes, step, usual)
                if (i, j) not in best or cost < best[i, j][0]:
                    best[i, j] = (cost, step)
    at, found = (len(syllables), len(notes)), []
    if at not in best:
        return None
    while at != (0, 0):
        last = best[at][1]
        assert last is not None
        found.append(last)
        at = (at[0] - last.syllables, at[1] - last.notes)
    return found[::-1]


def _cost(
    syllables: Sequence[tuple[Word, int]], notes: Sequence[TimedSyllable], i: int, j: int, step: _Step, usual: Fraction
) -> Fraction:
    strong = is_strong(*syllables[i])
    cost = STRESS_COST if strong and not _on_beat(notes[j]) else Fraction(0)
    if not strong and _on_beat(notes[j]):
        cost += STRESS_COST / 4
    length = notes[j + step.notes - 1].end - notes[j].start
    joined = sum(_runs_on(syllables[i + n - 1], syllables[i + n]) for n in range(1, step.syllables))
    cost += (step.syllables - 1 - joined) * SHARED_COST * usual / length + joined * JOINED_COST
    cost += (step.notes - 1) * HELD_COST
    return cost + sum(STRESS_COST for n in range(1, step.syllables) if is_strong(*syllables[i + n]))


def _runs_on(before: tuple[Word, int], after: tuple[Word, int]) -> bool:
    """True where a word ends in a vowel and the next begins with one: "puxa o"."""
    (first, a), (second, b) = before, after
    sounds, following = first.syllables[a].phones, second.syllables[b].phones
    return first is not second and bool(sounds and following) and is_vowel(sounds[-1]) and is_vowel(following[0])
