"""Frame edges of the syllables of one line.

In: a line on the episode's clock and the episode's rate. Out: the same line with ``start_frame`` and
``end_frame`` on every syllable. Edges are the nearest frame edges, halves up, from the start of the episode.
A syllable always has at least one frame: an edge gives way by one frame for that (by more only where a line
has hardly more frames than syllables), never beyond its line.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from timing.model import TimedLine, TimedWord
from timing.model.clock import FrameRate, Seconds


def framed(line: TimedLine, rate: FrameRate) -> TimedLine:
    """Return ``line`` (on the episode's clock) with its frames settled.

    A line with more syllables than frames grows at its end, as far as it must.
    """
    moments, gaps, places = _edges(line)
    frames = settle(moments, gaps, rate)
    at = iter(places)
    words: list[TimedWord] = []
    for word in line.words:
        syllables = []
        for syllable in word.syllables:
            first, last = next(at)
            syllables.append(replace(syllable, start_frame=frames[first], end_frame=frames[last]))
        words.append(replace(word, syllables=tuple(syllables)))
    return replace(line, words=tuple(words))


def _edges(line: TimedLine) -> tuple[list[Seconds], list[int], list[tuple[int, int]]]:
    """Return the distinct moments, the least frames between neighbours, and each syllable's two indexes."""
    moments: list[Seconds] = []
    gaps: list[int] = []
    places: list[tuple[int, int]] = []
    for syllable in line.syllables:
        if not moments:
            moments.append(syllable.start)
        elif moments[-1] != syllable.start:
            gaps.append(0)
            moments.append(syllable.start)
        gaps.append(1)
        moments.append(syllable.end)
        places.append((len(moments) - 2, len(moments) - 1))
    return moments, gaps, places


def settle(moments: list[Seconds], gaps: list[int], rate: FrameRate) -> list[int]:
    """Return a frame edge for each moment, at least ``gaps[i]`` frames after the one before.

    First and last edge keep their place where there is room; the others move as little as possible, in all.
    """
    ideal = [rate.frame_at(m) for m in moments]
    if all(b - a >= gap for a, b, gap in zip(ideal, ideal[1:], gaps, strict=False)):
        return ideal
    if ideal[-1] - ideal[0] < sum(gaps):
        ideal[-1] = ideal[0] + sum(gaps)
    reach = 1
    while True:
        found = _settle_within(moments, ideal, gaps, rate, reach)
        if found:
            return found
        reach *= 2


def _settle_within(
    moments: list[Seconds], ideal: list[int], gaps: list[int], rate: FrameRate, reach: int
) -> list[int] | None:
    """Return the cheapest edges with every one at most ``reach`` frames from its own, None if there are none."""
    Cost = tuple[Fraction, int | None]
    table: list[dict[int, Cost]] = [{ideal[0]: (Fraction(0), None)}]
    for i in range(1, len(ideal)):
        allowed = (0,) if i == len(ideal) - 1 else range(-reach, reach + 1)
        row: dict[int, Cost] = {}
        for delta in allowed:
            edge = ideal[i] + delta
            best = min(
                ((cost, before) for before, (cost, _) in table[-1].items() if edge - before >= gaps[i - 1]),
                default=None,
            )
            if best:
                row[edge] = (best[0] + abs(edge - moments[i] * rate.fps), best[1])
        if not row:
            return None
        table.append(row)
    edge = min(table[-1])
    found = [edge]
    for row in reversed(table[1:]):
        before = row[edge][1]
        assert before is not None
        edge = before
        found.append(edge)
    return found[::-1]
