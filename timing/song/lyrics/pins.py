"""What the user pinned, as limits on notes, and what to say when it cannot be.

In: notes, marks, pins of the first and last syllable. Out: one :class:`Limit` for each note. Bars in pins count from
the line's own first full bar.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from timing.model import Where
from timing.model.metre import Metre
from timing.plain.errors import ScriptError
from timing.song.lyrics.lyrics import LyricMarks
from timing.song.lyrics.notes import Note

SNAP = Fraction(1, 20)  # of a beat: a pin this near a grid place means it ("1.33" in 6/8)


@dataclass(frozen=True, slots=True)
class Limit:
    """Places one note may take (None: any), the mark that says so, and the least length before the next note."""

    places: frozenset[Fraction] | None = None
    said_by: str = ""
    hold: Fraction | None = None


def _note_at(notes: Sequence[Note], offset: int) -> int | None:
    """Return the note whose text holds ``offset``, else the first one after it."""
    for i, note in enumerate(notes):
        if offset < note.end:
            return i
    return None


def limits_of(
    notes: Sequence[Note],
    marks: LyricMarks,
    metre: Metre,
    bars: int,
    shift: int,
    first: tuple[int, Fraction] | None,
    last: tuple[int, Fraction] | None,
    where: Where,
) -> tuple[list[Limit], int]:
    """Return each note's limits, and how many bars the line needs for its marks."""
    places: list[frozenset[Fraction] | None] = [None] * len(notes)
    said = [""] * len(notes)
    beats = metre.beats
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
    return [Limit(p, s, h) for p, s, h in zip(places, said, holds, strict=True)], taken


def _pinned_places(
    bar: int | None, beat: Fraction, metre: Metre, bars: int, where: Where, name: str
) -> frozenset[Fraction]:
    if beat >= metre.beats + 1:
        raise ScriptError(f"{name}: a bar of {metre} has {metre.beats} beats", where.path, where.line_number)
    if bar is not None and bar > bars + 8:
        raise ScriptError(
            f"{name}: bars count from the line's own first bar here, and the line has {bars}; write for example @1:1",
            where.path, where.line_number,
        )  # fmt: skip
    steps = 2 * metre.parts
    near = Fraction(round(beat * steps), steps)
    beat = near if abs(near - beat) <= SNAP else beat
    return frozenset(metre.position_of(b, beat) for b in ([bar] if bar is not None else range(bars + 1)))


def may_take(limit: Limit, place: Fraction) -> bool:
    return limit.places is None or place in limit.places


def has_room(notes: Sequence[Note], limits: Sequence[Limit], places: Sequence[Fraction]) -> bool:
    return _first_stuck(limits, places) is None


def _first_stuck(limits: Sequence[Limit], places: Sequence[Fraction]) -> int | None:
    """Return the first note that finds no place when every note goes as early as it can."""
    earliest: Fraction | None = None
    for i, limit in enumerate(limits):
        least = None if earliest is None else earliest + (limits[i - 1].hold or 0)
        for p in places:
            if (earliest is None or p > earliest) and (least is None or p >= least) and may_take(limit, p):
                earliest = p
                break
        else:
            return i
    return None


def impossible(notes: Sequence[Note], limits: Sequence[Limit], places: Sequence[Fraction], where: Where) -> ScriptError:
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
