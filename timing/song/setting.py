"""Lays the syllables of one lyric line on the beats.

In: an utterance, its marks, tempo and metre. Out: syllables with bar, beat, start and end.
Method: dynamic programming over (note, position on a grid of a quarter of a beat, a sixth in compound metres). What
the user pinned is a hard limit; the rest is weighed by :mod:`timing.song.weights`.
Positions are beats from beat 1 of the line's first full bar, negative in the pick-up (:mod:`timing.song.metre`).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from timing.clock import Seconds
from timing.errors import ScriptError
from timing.model import Break, Origin, Syllable, TimedSyllable, Utterance, Where, Word
from timing.song.lyrics import LyricMarks
from timing.song.metre import Metre, bar_and_beat, beats_a_bar, parts_a_beat, position_of
from timing.song.weights import ALONE, LITTLE, SECONDARY, STRENGTH, STRONG, WEAK, Features, Place, Scorer

PICK_UP = Fraction(3, 4)  # of a bar: the longest pick-up the grid offers
SNAP = Fraction(1, 20)  # of a beat: a pin this near a grid place means it ("1.33" in 6/8)
BREATH = Fraction(1, 2)  # of a beat, kept free after the last syllable of a line
LONGEST_HOLD = 4  # beats an unmarked last syllable sounds at most


@dataclass(frozen=True, slots=True)
class Note:
    """One onset: usually one syllable, several where words share a note. ``sort``: how strong, as weights name it."""

    syllables: tuple[Syllable, ...]
    offset: int  # of its first character in the line
    end: int  # of its last character, exclusive
    sort: str
    word: int  # index of its (first) word
    break_after: Break = Break.NEVER

    @property
    def text(self) -> str:
        return "".join(s.shown for s in self.syllables).strip()


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


def notes_of(utterance: Utterance, marks: LyricMarks) -> tuple[Note, ...]:
    """Return the line's notes: its syllables, with words joined by ``~`` on one note."""
    notes: list[Note] = []
    for index, word in enumerate(utterance.words):
        at = word.start
        for i, syllable in enumerate(word.syllables):
            end = at + len(syllable.text)
            is_last = i == len(word.syllables) - 1
            sort = sort_of(word, syllable)
            rest = word.break_after if is_last else Break.NEVER
            if i == 0 and notes and any(word.start <= j < max(word.end, word.start + 1) for j in marks.joins):
                before = notes[-1]
                notes[-1] = Note(
                    (*before.syllables, syllable), before.offset, end,
                    max(before.sort, sort, key=STRENGTH.__getitem__), before.word, rest
                )
            else:
                notes.append(Note((syllable,), at, end, sort, index, rest))
            at = end
    return tuple(notes)


def sort_of(word: Word, syllable: Syllable) -> str:
    """Return how strong a syllable is in song: little words of one syllable are weak unless emphasised."""
    if len(word.syllables) == 1:
        return LITTLE if word.is_function and not word.is_emphasised else ALONE
    return {1: STRONG, 2: SECONDARY}.get(syllable.stress, WEAK)


def grid(metre: Metre, bars: int, extra: Sequence[Fraction] = ()) -> list[Fraction]:
    """Return the places a note may take, from the pick-up to the end of the last bar, sorted."""
    steps = 2 * parts_a_beat(metre)
    first = -int(PICK_UP * beats_a_bar(metre) * steps)
    last = bars * beats_a_bar(metre) * steps
    return sorted({Fraction(k, steps) for k in range(first, last)} | set(extra))


@dataclass(frozen=True, slots=True)
class _Limit:
    """Places one note may take (None: any), the mark that says so, and the least length before the next note."""

    places: frozenset[Fraction] | None = None
    said_by: str = ""
    hold: Fraction | None = None


def place(
    utterance: Utterance,
    marks: LyricMarks,
    metre: Metre,
    bars: int,
    *,
    first: tuple[int, Fraction] | None = None,
    last: tuple[int, Fraction] | None = None,
    not_before: Fraction | None = None,
    rhythm: Sequence[Fraction] | None = None,
    where: Where | None = None,
) -> Placed:
    """Return where the notes of a line lie, in beats from its first full bar.

    ``first``/``last`` pin the outer notes as (bar, beat); ``not_before`` is the earliest place of the first note (the
    line before still sounds); ``rhythm`` gives the place of every note (of the line that ``=N`` names, of a tune),
    which only the marks overrule. Raises ScriptError naming both marks when two pins leave no room.
    """
    notes = notes_of(utterance, marks)
    where = where or Where("lyric")
    best: tuple[float, list[Fraction], list[_Limit], int] | None = None
    trouble: ScriptError | None = None
    for shift in (0, 1) if marks.bar_lines else (0,):
        try:
            limits, needed = _limits(notes, marks, metre, bars, shift, first, last, rhythm, where)
            found = _solve(notes, limits, metre, needed, not_before, where)
        except ScriptError as error:
            trouble = trouble or error
            continue
        # A first bar line after the line's beginning may open its first bar or its second: the better one counts,
        # and one that keeps to the bars asked for comes first.
        score = found[0] - (1000.0 if needed > bars else 0.0)
        if best is None or score > best[0]:
            best = score, found[1], limits, needed
    if best is None:
        assert trouble
        raise trouble
    _, positions, limits, taken = best
    squeezed = any(p.denominator > 4 * parts_a_beat(metre) for p in positions) and rhythm is None
    lengths = _lengths(notes, positions, limits, taken * beats_a_bar(metre))
    pinned = tuple(limit.places is not None and rhythm is None for limit in limits)
    return Placed(notes, tuple(positions), tuple(lengths), pinned, taken, squeezed)


def _note_at(notes: Sequence[Note], offset: int) -> int | None:
    """Return the note whose text holds ``offset``, else the first one after it."""
    for i, note in enumerate(notes):
        if offset < note.end:
            return i
    return None


def _limits(
    notes: Sequence[Note],
    marks: LyricMarks,
    metre: Metre,
    bars: int,
    shift: int,
    first: tuple[int, Fraction] | None,
    last: tuple[int, Fraction] | None,
    rhythm: Sequence[Fraction] | None,
    where: Where,
) -> tuple[list[_Limit], int]:
    """Return each note's limits, and how many bars the line needs for its marks."""
    places: list[frozenset[Fraction] | None] = [None] * len(notes)
    said = [""] * len(notes)
    beats = beats_a_bar(metre)
    taken = bars

    def fix(index: int, allowed: frozenset[Fraction], by: str) -> None:
        nonlocal taken
        before = places[index]
        if before is not None and not before & allowed:
            raise ScriptError(
                f'"{notes[index].text}" cannot be at {said[index]} and at {by} together; keep one of them',
                where.path, where.line_number,
            )  # fmt: skip
        places[index] = allowed if before is None else before & allowed
        said[index] = by
        if len(allowed) == 1:
            taken = max(taken, int(max(allowed) // beats) + 1)

    for number, offset in enumerate(marks.bar_lines):
        index = _note_at(notes, offset)
        if index is not None:
            bar = number + shift if marks.bar_lines[0] > notes[0].offset else number
            name = "the bar line" if len(marks.bar_lines) == 1 else f"bar line {number + 1}"
            fix(index, frozenset({Fraction(bar * beats)}), f'{name} before "{notes[index].text}"')
    for pin in marks.pins:
        index = _note_at(notes, pin.offset)
        if index is not None:
            fix(index, _pinned_places(pin.bar, pin.beat, metre, taken, where, str(pin)), f'"{pin}"')
    for index, pinned, name in ((0, first, "first"), (len(notes) - 1, last, "last")):
        if pinned is not None:
            fix(index, _pinned_places(*pinned, metre, taken, where, name), f"the pin of the {name} syllable")
    holds: list[Fraction | None] = [None] * len(notes)
    for offset, extra in marks.holds.items():
        index = _note_at(notes, offset)
        if index is not None:
            holds[index] = Fraction(1 + extra)
    if rhythm is not None and not any(places):
        places = [frozenset({p}) for p in rhythm]
        taken = max(taken, int(max(rhythm) // beats) + 1)
        holds = [None if h is None or i + 1 < len(notes) else h for i, h in enumerate(holds)]
    return [_Limit(p, s, h) for p, s, h in zip(places, said, holds, strict=True)], taken


def _pinned_places(
    bar: int | None, beat: Fraction, metre: Metre, bars: int, where: Where, name: str
) -> frozenset[Fraction]:
    if beat >= beats_a_bar(metre) + 1:
        raise ScriptError(
            f"{name}: a bar of {metre[0]}/{metre[1]} has {beats_a_bar(metre)} beats", where.path, where.line_number
        )
    if bar is not None and bar > bars + 8:
        raise ScriptError(
            f"{name}: bars count from the line's own first bar here, and the line has {bars}; write for example @1:1",
            where.path, where.line_number,
        )  # fmt: skip
    steps = 2 * parts_a_beat(metre)
    near = Fraction(round(beat * steps), steps)
    beat = near if abs(near - beat) <= SNAP else beat
    return frozenset(position_of(b, beat, metre) for b in ([bar] if bar is not None else range(bars + 1)))


def _solve(
    notes: Sequence[Note],
    limits: Sequence[_Limit],
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
    smallest = Fraction(1, 2 * parts_a_beat(metre))
    free = sum(limit.places is None for limit in limits)
    while len(places) < len(notes) or (free and not _has_room(notes, limits, places)):
        finer = sorted({*places, *((a + b) / 2 for a, b in pairwise(places))})
        if smallest < Fraction(1, 40):
            raise _impossible(notes, limits, places, where)
        smallest /= 2
        places = finer
    if not _has_room(notes, limits, places):
        raise _impossible(notes, limits, places, where)
    scorer = Scorer(Features([n.sort for n in notes], [n.word for n in notes], metre, bars))
    spots = [Place.at(p, metre, bars) for p in places]
    lowest = float("-inf")
    score = [scorer.note(0, spots[k]) if _may(limits[0], places[k]) else lowest for k in range(len(places))]
    back: list[list[int]] = []
    for i in range(1, len(notes)):
        fresh, chosen = [lowest] * len(places), [-1] * len(places)
        hold = limits[i - 1].hold or 0
        for b in range(len(places)):
            if not _may(limits[i], places[b]):
                continue
            own = scorer.note(i, spots[b])
            for a in range(b - 1, -1, -1):
                if score[a] == lowest or places[b] - places[a] < hold:
                    continue
                value = score[a] + own + scorer.step(i - 1, spots[a], spots[b])
                if hold:
                    value -= 4.0 * float(places[b] - places[a] - hold)  # a held note runs up to the next one
                if value > fresh[b]:
                    fresh[b], chosen[b] = value, a
        score = fresh
        back.append(chosen)
    at = max(range(len(places)), key=score.__getitem__)
    if score[at] == lowest:
        raise _impossible(notes, limits, places, where)
    best = score[at]
    path = [at]
    for chosen in reversed(back):
        path.append(chosen[path[-1]])
    return best, [places[k] for k in reversed(path)]


def _may(limit: _Limit, place: Fraction) -> bool:
    return limit.places is None or place in limit.places


def _has_room(notes: Sequence[Note], limits: Sequence[_Limit], places: Sequence[Fraction]) -> bool:
    return _first_stuck(limits, places) is None


def _first_stuck(limits: Sequence[_Limit], places: Sequence[Fraction]) -> int | None:
    """Return the first note that finds no place when every note goes as early as it can."""
    earliest: Fraction | None = None
    for i, limit in enumerate(limits):
        least = None if earliest is None else earliest + (limits[i - 1].hold or 0)
        for p in places:
            if (earliest is None or p > earliest) and (least is None or p >= least) and _may(limit, p):
                earliest = p
                break
        else:
            return i
    return None


def _impossible(
    notes: Sequence[Note], limits: Sequence[_Limit], places: Sequence[Fraction], where: Where
) -> ScriptError:
    stuck = _first_stuck(limits, places)
    stuck = len(notes) - 1 if stuck is None else stuck
    later = next((i for i in range(stuck, len(notes)) if limits[i].said_by), stuck)
    earlier = next((i for i in range(later - 1, -1, -1) if limits[i].said_by or limits[i].hold), None)
    late = limits[later].said_by or f'the end of the line at "{notes[later].text}"'
    if earlier is None:
        message = f"{later} syllables cannot be sung before {late}; move it later"
    else:
        early = limits[earlier].said_by or f'the hold on "{notes[earlier].text}"'
        between = later - earlier - 1
        message = (
            f'{early} on "{notes[earlier].text}" and {late} on "{notes[later].text}" leave no room for '
            f"{between} syllable{'s' * (between != 1)} between; move one of them"
            if between
            else f'{early} on "{notes[earlier].text}" and {late} on "{notes[later].text}" exclude each other'
        )
    return ScriptError(message, where.path, where.line_number)


def _lengths(
    notes: Sequence[Note], positions: Sequence[Fraction], limits: Sequence[_Limit], end: int
) -> list[Fraction]:
    """Return how long each note sounds: up to the next one; the last one to the end of its bars less a breath."""
    lengths = []
    for i, at in enumerate(positions):
        if limits[i].hold:
            lengths.append(limits[i].hold or Fraction(1))
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
    for note, at, length, is_pinned in zip(
        placed.notes, placed.positions, placed.lengths, placed.pinned, strict=True
    ):
        origin = Origin.PINNED if is_pinned else Origin.FITTED
        start, end = moment(at), moment(at + length)
        for i, (syllable, (begin, stop)) in enumerate(zip(note.syllables, share(note, start, end), strict=True)):
            bar, beat = bar_and_beat(at + length * i / len(note.syllables), metre, start_bar)
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
                )  # fmt: skip
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
    lead = beats_a_bar(metre) if placed.positions[0] < 0 else 0
    return timed(placed, metre, lambda p: (p + lead) * spb, start_bar)
