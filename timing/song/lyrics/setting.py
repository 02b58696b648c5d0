"""Lays the syllables of one lyric line on the beats.

In: an utterance, its marks, tempo and metre. Out: syllables with bar, beat, start and end.
Method: dynamic programming over (note, position on a grid of a quarter of a beat, a sixth in compound metres). What
the user pinned is a hard limit; the rest is weighed by :mod:`timing.song.lyrics.weights` and found by
:mod:`timing.song.lyrics.search`.
Positions are beats from beat 1 of the line's first full bar, negative in the pick-up (:mod:`timing.model.metre`).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from math import inf

from timing.model import Break, Origin, TimedSyllable, Utterance, Where
from timing.model.clock import Seconds
from timing.model.metre import Metre
from timing.plain.errors import ScriptError
from timing.song.lyrics.lyrics import LyricMarks
from timing.song.lyrics.notes import Note, notes_of
from timing.song.lyrics.pins import Limit, has_room, impossible, limits_of, may_take
from timing.song.lyrics.search import expected_best
from timing.song.lyrics.weights import Features, Place, Scorer

PICK_UP = Fraction(3, 4)  # of a bar: the longest pick-up the grid offers
BREATH = Fraction(1, 2)  # of a beat, kept free after the last syllable of a line
FINEST, FINEST_PINNED = Fraction(1, 40), Fraction(1, 5)  # of a beat: a grid this fine is not made finer
HELD_ON = 4.0  # a held note runs up to the next one: the score lost for each beat of rest between (our own choice)
LONGEST_HOLD = 4  # beats an unmarked last syllable sounds at most


@dataclass(frozen=True, slots=True)
class Placed:
    """Where one line's notes lie: positions and sounding lengths in beats, one each for a note."""

    notes: tuple[Note, ...]
    positions: tuple[Fraction, ...]
    lengths: tuple[Fraction, ...]
    pinned: tuple[bool, ...]
    bars: int  # what the line takes, at least what was asked for
    squeezed: bool = False  # more notes than the grid has places

    @property
    def end(self) -> Fraction:
        return self.positions[-1] + self.lengths[-1]


def grid(metre: Metre, bars: int, extra: Sequence[Fraction] = ()) -> list[Fraction]:
    """Return the places a note may take, from the pick-up to the end of the last bar, sorted."""
    steps = 2 * metre.parts
    first = -int(PICK_UP * metre.beats * steps)
    last = bars * metre.beats * steps
    return sorted({Fraction(k, steps) for k in range(first, last)} | set(extra))


@dataclass(frozen=True, slots=True)
class Rhythm:
    """Places and sounding lengths, in beats, taken over from another line or a tune: one each for a note."""

    starts: tuple[Fraction, ...]
    lengths: tuple[Fraction, ...]


def place(
    utterance: Utterance,
    marks: LyricMarks,
    metre: Metre,
    bars: int,
    *,
    first: tuple[int, Fraction] | None = None,
    last: tuple[int, Fraction] | None = None,
    not_before: Fraction | None = None,
    rhythm: Rhythm | None = None,
    where: Where | None = None,
) -> Placed:
    """Return where the notes of a line lie, in beats from its first full bar.

    ``first``/``last`` pin the outer notes as (bar, beat); ``not_before`` is the earliest place of the first note (the
    line before still sounds); ``rhythm`` gives the place of every note (of the line that ``=N`` names, of a tune);
    marks overrule it, for their own notes where the rest still fits, else for the whole line. Raises ScriptError
    naming both marks when two pins leave no room.
    """
    notes = notes_of(utterance, marks)
    where = where or Where("lyric")
    if not notes:
        raise ScriptError("this sung line holds no words to sing", where.path, where.line_number)
    trouble: ScriptError | None = None
    for wanted in (rhythm, None) if rhythm else (None,):
        best: tuple[float, list[Fraction], list[Limit], int] | None = None
        for shift in (0, 1) if marks.bar_lines else (0,):
            try:
                limits, needed = limits_of(notes, marks, metre, bars, shift, first, last, where)
                held = [limit.places is not None for limit in limits]
                if wanted:
                    limits, needed = _with_rhythm(limits, wanted, metre, needed)
                early = None if limits[0].places is not None else not_before
                score, positions = _solve(notes, limits, metre, needed, early, where)
            except ScriptError as error:
                trouble = trouble or error
                continue
            # A bar line after the line's beginning may open its first bar or its second: the better one counts,
            # and one that keeps to the bars asked for comes first.
            score -= 1000.0 if needed > bars else 0.0
            if best is None or score > best[0]:
                best = score, positions, limits, needed
                pinned = tuple(held)
        if best is not None:
            _, positions, limits, taken = best
            lengths = _lengths(notes, positions, limits, taken * metre.beats, wanted)
            squeezed = wanted is None and any(p.denominator > 2 * metre.parts for p in _free(positions, pinned))
            return Placed(notes, tuple(positions), tuple(lengths), pinned, taken, squeezed)
    assert trouble
    raise trouble


def _free(positions: Sequence[Fraction], pinned: Sequence[bool]) -> list[Fraction]:
    return [p for p, is_pinned in zip(positions, pinned, strict=True) if not is_pinned]


def _with_rhythm(limits: Sequence[Limit], rhythm: Rhythm, metre: Metre, bars: int) -> tuple[list[Limit], int]:
    """Return the limits with every note that has no mark put where the rhythm has it."""
    out = [
        limit
        if limit.places is not None
        else Limit(frozenset({start}), "", limit.hold if i + 1 == len(limits) else None)
        for i, (limit, start) in enumerate(zip(limits, rhythm.starts, strict=True))
    ]
    return out, max(bars, int(max(rhythm.starts) // metre.beats) + 1)


def _solve(
    notes: Sequence[Note],
    limits: Sequence[Limit],
    metre: Metre,
    bars: int,
    not_before: Fraction | None,
    where: Where,
) -> tuple[float, list[Fraction]]:
    """Return (score, positions), the best that the limits allow; raises ScriptError when none does."""
    extra = [p for limit in limits for p in limit.places or ()]
    places = grid(metre, bars, extra)
    if not_before is not None:
        places = [p for p in places if p >= not_before] or places[-1:]
    smallest = Fraction(1, 2 * metre.parts)
    free = sum(limit.places is None for limit in limits)
    while len(places) < len(notes) or (free and not has_room(notes, limits, places)):
        finer = sorted({*places, *((a + b) / 2 for a, b in pairwise(places))})
        if smallest < (FINEST_PINNED if any(limit.said_by for limit in limits) else FINEST):
            raise impossible(notes, limits, places, where)
        smallest /= 2
        places = finer
    if not has_room(notes, limits, places):
        raise impossible(notes, limits, places, where)
    scorer = Scorer(features_of(notes, metre, bars))
    spots = [Place.at(p, metre, bars) for p in places]
    scores = [
        [scorer.note(i, spot) if may_take(limit, place) else -inf for spot, place in zip(spots, places, strict=True)]
        for i, limit in enumerate(limits)
    ]

    def step(note: int, before: int, after: int) -> float | None:
        hold = limits[note].hold
        if hold is None:
            return scorer.step(note, spots[before], spots[after])
        rest = places[after] - places[before] - hold
        if rest < 0:
            return None
        return scorer.step(note, spots[before], spots[after]) - HELD_ON * float(rest)

    found = expected_best(scores, step)
    if found is None:
        raise impossible(notes, limits, places, where)
    return found[0], [places[k] for k in found[1]]


def features_of(notes: Sequence[Note], metre: Metre, bars: int) -> Features:
    """Return the features of a line's settings."""
    texts = [n.text.lower() for n in notes]
    return Features([n.sort for n in notes], [n.word for n in notes], metre, bars, texts)


def _lengths(
    notes: Sequence[Note],
    positions: Sequence[Fraction],
    limits: Sequence[Limit],
    end: int,
    rhythm: Rhythm | None,
) -> list[Fraction]:
    """Return how long each note sounds: up to the next one; the last one to the end of its bars less a breath."""
    lengths = []
    for i, at in enumerate(positions):
        if limits[i].hold:
            lengths.append(limits[i].hold or Fraction(1))
            continue
        if rhythm and at == rhythm.starts[i]:
            lengths.append(rhythm.lengths[i])
            continue
        if i + 1 < len(positions):
            gap = positions[i + 1] - at
            if notes[i].break_after >= Break.CLAUSE and gap > 1:
                gap -= BREATH
            lengths.append(min(gap, Fraction(LONGEST_HOLD)))
        else:
            lengths.append(min(max(end - at - BREATH, BREATH), Fraction(LONGEST_HOLD)))
    for i in range(len(positions) - 1):
        lengths[i] = min(lengths[i], positions[i + 1] - positions[i])
    return lengths


def share(note: Note, start: Seconds, end: Seconds) -> list[tuple[Seconds, Seconds]]:
    """Return the part of a note's time for each of its syllables: equal shares."""
    step = (end - start) / len(note.syllables)
    return [(start + i * step, start + (i + 1) * step) for i in range(len(note.syllables))]


def timed(
    placed: Placed, metre: Metre, moment: Callable[[Fraction], Seconds], start_bar: int = 1
) -> tuple[TimedSyllable, ...]:
    """Return the syllables of a placed line; ``moment`` turns a position (beats) into seconds."""
    found: list[TimedSyllable] = []
    for note, at, length, is_pinned in zip(placed.notes, placed.positions, placed.lengths, placed.pinned, strict=True):
        origin = Origin.PINNED if is_pinned else Origin.FITTED
        start, end = moment(at), moment(at + length)
        for i, (syllable, (begin, stop)) in enumerate(zip(note.syllables, share(note, start, end), strict=True)):
            bar, beat = metre.bar_and_beat(at + length * i / len(note.syllables), start_bar)
            found.append(
                TimedSyllable(
                    syllable.text,
                    begin,
                    stop,
                    origin,
                    syllable.stress,
                    syllable.phones,
                    syllable.said,
                    bar=bar,
                    beat=beat,
                )
            )
    return tuple(found)


def set_line(
    utterance: Utterance,
    marks: LyricMarks,
    bpm: Fraction,
    metre: Metre,
    bars: int,
    first: tuple[int, Fraction] | None = None,
    last: tuple[int, Fraction] | None = None,
    start_bar: int = 1,
    where: Where | None = None,
) -> tuple[TimedSyllable, ...]:
    """Return one line's syllables on the beat, each with bar, beat, start and end.

    The clock starts at beat 1 of ``start_bar``, or a bar earlier where the line has a pick-up, so that no moment is
    negative. ``first``/``last`` pin the outer syllables as (bar, beat), bars counting from the line's own first bar,
    0 being its pick-up. Raises ScriptError when the pins leave no room.
    """
    placed = place(utterance, marks, metre, bars, first=first, last=last, where=where)
    spb = 60 / bpm
    lead = metre.beats if placed.positions[0] < 0 else 0
    return timed(placed, metre, lambda p: (p + lead) * spb, start_bar)
