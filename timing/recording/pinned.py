"""What a person's labels say of one recording, over what was heard in it.

In: a file's readings and its labels. Out: the readings, those that a label speaks of moved to it, and what fits none.
A line that was not found, told by one row, is followed in that stretch.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from functools import partial
from typing import TYPE_CHECKING

from timing.model import Finding, TimedLine, TimedWord, Utterance
from timing.model.clock import Seconds
from timing.model.labels import Label, bare, sorted_out, unused_label, with_pins, words_meant
from timing.recording.listener import Candidate, HeardFile, Listener, from_first_sound
from timing.recording.results import Take

if TYPE_CHECKING:
    from timing.sound.levels import Levels

AROUND = Fraction(1, 2)  # seconds by which a word's row may lie outside the reading that was heard
EDGE = Fraction(1, 20)  # seconds of sound heard around a stretch, so that its first and last sound are whole
SHORTEST = Fraction(6, 100)  # seconds in which anything can be followed

Obeyed = tuple[str, Label]
"""A line's id and a label that was followed for it."""


def pinned(
    listener: Listener, file: HeardFile, heard: Sequence[Candidate], labels: Sequence[Label]
) -> tuple[list[Candidate], list[Finding], list[Obeyed]]:
    """Return the readings as the labels have them, a finding for each label that fits nothing, and the others.

    Raises InputError, with the label's file and line, for labels that contradict each other.
    """
    behind = [label for label in labels if label.start >= file.levels.seconds]
    labels = [label for label in labels if label not in behind]
    words_of = {line.id: [w.text for w in line.utterance.words] for line in listener.lines}
    rows, loose = sorted_out(labels, words_of)
    found = list(heard)
    unfit: list[Finding] = []
    obeyed: list[Obeyed] = []
    told: list[tuple[int | None, str, Label | None, list[Label]]] = [
        (_meant(found, row.id, row.line), row.id, row.line, list(row.parts)) for row in rows if row.line
    ]
    by_reading: dict[int, list[Label]] = {}
    for label in loose:
        index = _reading_around(found, label)
        if index is None:
            what = "names no line of the script, and no line that is heard there has such a word"
            unfit.append(unused_label(label, what))
        else:
            by_reading.setdefault(index, []).append(label)
    unfit += [unused_label(label, "lies behind the end of its sound") for label in behind]
    told += [(index, found[index].take.line_id, None, parts) for index, parts in by_reading.items()]
    for index, line_id, row, parts in told:
        number = listener.by_id[line_id]
        before = None if index is None else found[index]
        base = _base(listener, file, before, number, row)
        words, strange = words_meant(parts, base.words)
        unfit += [unused_label(label, f"is no word of line {line_id}, in whose row it lies") for label in strange]
        obeyed += [(line_id, label) for label in (row, *parts) if label and label not in strange]
        line = with_pins(base, row, words, partial(_words_between, listener, file, number))
        take = Take(line_id, file.opened.name, line.start, line.end, True, line.confidence or 0.0)
        candidate = Candidate(take, from_first_sound(line, file.opened.name, file.levels), row=row, is_pinned=True)
        if index is None or before is None:
            found.append(candidate)
        else:
            found[index] = replace(candidate, is_named=before.is_named)
    return sorted(found, key=lambda c: c.take.start), unfit, obeyed


def _meant(found: Sequence[Candidate], line_id: str, row: Label) -> int | None:
    """Return which reading of a line its row is about: the one with most of it inside, at least half."""
    overlaps = [
        (min(c.take.end, row.end) - max(c.take.start, row.start), n)
        for n, c in enumerate(found)
        if c.take.line_id == line_id and c.line is not None
    ]
    longest, n = max(overlaps, default=(Fraction(0), 0))
    return n if 2 * longest > row.end - row.start else None


def _reading_around(found: Sequence[Candidate], label: Label) -> int | None:
    fits = [
        (abs(label.middle - (c.take.start + c.take.end) / 2), n)
        for n, c in enumerate(found)
        if c.line is not None
        and c.take.start - AROUND <= label.middle <= c.take.end + AROUND
        and bare(label.text) in {bare(text) for w in c.line.words for text in (w.text, w.spoken)}
    ]
    return min(fits)[1] if fits else None


def _base(listener: Listener, file: HeardFile, heard: Candidate | None, number: int, row: Label | None) -> TimedLine:
    """Return the line in the file's clock before the labels count: as it was heard, else followed in its row."""
    from timing.hearing.aligner import rough_in_file, timed_line

    if heard is not None and heard.line is not None:
        return _without(heard.line, file.levels).moved(heard.line.take_start or Fraction(0))
    assert row is not None
    line = listener.lines[number]
    start, end = max(Fraction(0), row.start - EDGE), row.end + EDGE
    reading = listener.reading(file.opened, file.content, number, start, end, file.levels)
    if reading is not None and any(reading.words):
        zero = Fraction(int(start * 16_000), 16_000)
        return timed_line(line.utterance, listener.tokens[number], reading, zero)
    inside = [(max(a, row.start), min(b, row.end)) for a, b in file.regions if a < row.end and b > row.start]
    return rough_in_file(line.utterance, inside or [(row.start, row.end)])


def _without(line: TimedLine, levels: Levels) -> TimedLine:
    """Return a line without the findings of its file, which are added when it is counted from its first sound."""
    return replace(line, findings=tuple(f for f in line.findings if f not in levels.findings()))


def _words_between(
    listener: Listener, file: HeardFile, number: int, first: int, last: int, low: Seconds, high: Seconds
) -> Sequence[TimedWord] | None:
    """Return some words of a line followed between two moments, None where they cannot be."""
    from timing.hearing.aligner import timed_line
    from timing.recording.kept_readings import READING

    words = range(first, last)
    if high - low < SHORTEST or listener.is_foreign(number):
        return None
    reading = listener.store.made(
        READING,
        (file.content, low, high, listener.names[number][0], first, last),
        lambda: listener.aligner.read_words(file.opened.clear.cut(low, high), number, words, file.levels.blurs_words),
    )
    if reading is None or not any(reading.words):
        return None
    whole = listener.lines[number].utterance
    part = Utterance(whole.text, whole.words[first:last], whole.language)
    tokens = [replace(t, word=t.word - first) for t in listener.tokens[number] if t.word in words]
    try:
        return timed_line(part, tokens, reading, Fraction(int(low * 16_000), 16_000)).words
    except ValueError:  # words pressed into a sound of others can end up without time
        return None
