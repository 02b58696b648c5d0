"""Where listening ends: lines that are placed, lines that are unsure between two readings, speech given to no line.

In: what was heard and the script's lines in order. Out: the three lists, each entry with the label row that would
settle it (:mod:`timing.memory.labels`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from pathlib import PurePosixPath

from timing.model import Origin, TimedLine
from timing.model.clock import Seconds
from timing.model.findings import FindingCode
from timing.recording.results import Heard, Take

UNSURE = 0.6  # confidence of a line below which its reading may be another's
DOUBTS = frozenset({FindingCode.NOT_SAID, FindingCode.UNCLEAR, FindingCode.ROUGH})
WORTH_SHOWING = 0.1  # confidence from which another line, or the line elsewhere, is offered
LEAST_LEFT = Fraction(4, 5)  # seconds of sound that may be a line; less is a breath or a false start
JOINED = Fraction(7, 10)  # seconds of pause inside one stretch

LETTERS_A_SECOND = 14  # four syllables of three and a half letters; our own choice


@dataclass(frozen=True)
class Unsure:
    """A line whose reading is ``this``, and may be ``that``; or ``this`` may be the line ``or_line``."""

    line_id: str
    this: Take
    why: str
    that: Take | None = None
    or_line: str | None = None


@dataclass(frozen=True)
class LeftOver:
    """Speech that was given to no line; ``after`` and ``before`` are the lines heard beside it in the same file.

    ``nearest`` are lines that were not found: those that stand between those two in the script, and others that are
    about as long; first what is about as long as the speech.
    """

    file: str
    start: Seconds
    end: Seconds
    after: str | None
    before: str | None
    nearest: tuple[str, ...]


@dataclass(frozen=True)
class ThreeLists:
    """Every line that was measured is in ``placed`` or ``unsure``; both are in the script's order."""

    placed: tuple[str, ...]
    unsure: tuple[Unsure, ...]
    left_over: tuple[LeftOver, ...]


def three_lists(heard: Heard, lines: Sequence[tuple[str, str]]) -> ThreeLists:
    """Return the lists; ``lines`` are (id, words) of the spoken and sung lines in the script's order."""
    unsure = tuple(found for line_id, words in lines if (found := _unsure(heard, line_id, words, lines)))
    doubted = {one.line_id for one in unsure}
    placed = tuple(line_id for line_id, _ in lines if line_id in heard.lines and line_id not in doubted)
    left = tuple(one for file in heard.sounding for one in _left_over(heard, file, lines))
    return ThreeLists(placed, unsure, left)


def label_row(start: Seconds, end: Seconds, text: str) -> str:
    """Return a row as it stands in a label file."""
    return f"{float(start):.3f}\t{float(end):.3f}\t{text}"


def label_file(sound: str) -> str:
    """Return the name of the label file beside a sound.

    >>> label_file("recordings/memo 3.m4a")
    'recordings/memo 3.txt'
    """
    return PurePosixPath(sound).with_suffix(".txt").as_posix()


def _unsure(heard: Heard, line_id: str, words: str, lines: Sequence[tuple[str, str]]) -> Unsure | None:
    timed = heard.lines.get(line_id)
    if timed is None or timed.origin is Origin.PINNED:
        return None
    mine = [t for t in heard.takes if t.line_id == line_id]
    this = next((t for t in mine if t.is_chosen), None)
    if this is None:
        return None
    whole = [t for t in mine if (t.is_complete and not t.is_outdated) or t is this]
    others = [t for t in whole if t is not this]
    if why := _doubt(timed):
        return Unsure(line_id, this, why, others[-1] if others else None)
    if this.confidence < UNSURE and not _was_wished(heard, line_id):
        return _which(this)
    if others and whole[-1] is not this and not _was_wished(heard, line_id):
        return Unsure(line_id, this, "a later reading has a fault", whole[-1])
    same = [i for i, text in lines if text == words and i != line_id and i not in heard.lines]
    return Unsure(line_id, this, f"line {same[0]} has the same words", or_line=same[0]) if same and words else None


def _which(this: Take) -> Unsure:
    """Return what a reading that is not sure may be instead."""
    rival = next((r for r in this.rivals if r.confidence >= WORTH_SHOWING), None)
    if rival is None:
        return Unsure(this.line_id, this, "it may be something that nobody wrote")
    if rival.line_id != this.line_id:
        return Unsure(this.line_id, this, f"it may be line {rival.line_id}", or_line=rival.line_id)
    that = Take(this.line_id, this.file, rival.start, rival.end, True, rival.confidence)
    return Unsure(this.line_id, this, "it may be elsewhere in the recording", that)


def _was_wished(heard: Heard, line_id: str) -> bool:
    return line_id in heard.wished


def _doubt(timed: TimedLine) -> str | None:
    codes = {f.code for f in timed.findings}
    if FindingCode.SCRIPT_CHANGED in codes:
        return "the script was changed after the recording"
    if FindingCode.ROUGH in codes:
        return "its words could not be followed"
    if FindingCode.NOT_SAID in codes:
        return "words of it are missing"
    if codes & DOUBTS or (timed.confidence is not None and timed.confidence < UNSURE):
        return "its words fit badly"
    return None


def _left_over(heard: Heard, file: str, lines: Sequence[tuple[str, str]]) -> list[LeftOver]:
    takes = sorted((t for t in heard.takes if t.file == file), key=lambda t: t.start)
    parts: list[list[Seconds]] = []
    for start, end in heard.sounding[file]:
        for a, b in _outside(start, end, takes):
            if parts and a - parts[-1][1] <= JOINED and not any(parts[-1][1] <= t.start < a for t in takes):
                parts[-1][1] = b
                parts[-1][2] += b - a
            else:
                parts.append([a, b, b - a])
    found = []
    for a, b, sounding in parts:
        if sounding < LEAST_LEFT:
            continue
        after = next((t.line_id for t in reversed(takes) if t.end <= a + JOINED / 2), None)
        before = next((t.line_id for t in takes if t.start >= b - JOINED / 2), None)
        found.append(LeftOver(file, a, b, after, before, _nearest(lines, after, before, heard, sounding)))
    return found


def _outside(start: Seconds, end: Seconds, takes: Sequence[Take]) -> list[tuple[Seconds, Seconds]]:
    """Return what of a stretch lies in no reading."""
    edges = [start]
    for take in takes:
        if take.end > start and take.start < end:
            edges += [max(start, min(end, take.start)), max(start, min(end, take.end))]
    edges.append(end)
    out, at = [], start
    for a, b in pairwise(edges):
        is_take = any(t.start <= a and b <= t.end for t in takes)
        if b > max(a, at) and not is_take:
            out.append((max(a, at), b))
        at = max(at, b)
    return out


def _nearest(
    lines: Sequence[tuple[str, str]], after: str | None, before: str | None, heard: Heard, sounding: Seconds
) -> tuple[str, ...]:
    """Return the lines not found that a stretch may be: of those between two in the script, and of all, what fits it.

    All count as between where the two are out of order.
    """
    order = [line_id for line_id, _ in lines]
    first = order.index(after) + 1 if after in order else 0
    last = order.index(before) if before in order else len(order)
    near = order[first:last] if first <= last else order
    fits = {line_id for line_id, words in lines if is_about_as_long(words, sounding)}
    missing = [i for i in order if i not in heard.lines and (i in near or i in fits)]
    return tuple(sorted(missing, key=lambda i: (i not in fits, i not in near))[:3])


def is_about_as_long(words: str, length: Seconds) -> bool:
    """True where speech of a length may be some words: half to double of what their letters usually take.

    >>> is_about_as_long("Look high, look low", 1), is_about_as_long("Look high, look low", 3)
    (True, False)
    """
    usual = sum(map(str.isalpha, words)) / LETTERS_A_SECOND
    return usual <= 2 * length and length <= 2 * usual
