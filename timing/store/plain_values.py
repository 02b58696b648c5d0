"""Findings and measured lines as plain values for the store, and back; moments are exact fractions as text.

A line is kept without its words: they are part of every key it is kept under, and come back from there.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from timing.model import Finding, Origin, TimedLine, TimedSyllable, TimedWord, Utterance
from timing.model.findings import FindingCode


def from_finding(finding: Finding) -> list[Any]:
    return [finding.code, finding.message, dict(finding.facts)]


def to_finding(kept: Any) -> Finding:
    code, message, facts = kept
    return Finding(FindingCode(code), message, facts)


def from_line(line: TimedLine) -> list[Any]:
    words = [[w.confidence, [_from_syllable(s) for s in w.syllables]] for w in line.words]
    return [line.confidence, words, [from_finding(f) for f in line.findings]]


def _from_syllable(syllable: TimedSyllable) -> list[Any]:
    starts = [str(p) for p in syllable.phone_starts]
    return [str(syllable.start), str(syllable.end), syllable.origin.value, list(syllable.phones), starts]


def to_line(kept: Any, utterance: Utterance) -> TimedLine:
    """Return a measured line on the words of ``utterance``; raises ValueError where they are not as many."""
    confidence, words, findings = kept
    timed = []
    for word, (sure, syllables) in zip(utterance.words, words, strict=True):
        made = tuple(
            TimedSyllable(
                s.text, Fraction(start), Fraction(end), Origin(origin), s.stress, tuple(phones), s.said,
                tuple(Fraction(p) for p in starts),
            )
            for s, (start, end, origin, phones, starts) in zip(word.syllables, syllables, strict=True)
        )  # fmt: skip
        timed.append(TimedWord.of(word, made, sure))
    length = timed[-1].end - timed[0].start
    said = tuple(to_finding(f) for f in findings)
    return TimedLine(tuple(timed), Origin.MEASURED, length, length, confidence, findings=said)


def from_exact(value: Any) -> Any:
    """Return numbers, texts, fractions and tuples of them as plain values.

    >>> from_exact((Fraction(1, 3), 2, ("a", None)))
    [{'q': '1/3'}, 2, ['a', None]]
    """
    if isinstance(value, Fraction):
        return {"q": str(value)}
    if isinstance(value, tuple):
        return [from_exact(part) for part in value]
    if value is None or isinstance(value, str | int | float):
        return value
    raise TypeError(f"no plain form for {type(value).__name__}")


def to_exact(kept: Any) -> Any:
    """Return what :func:`from_exact` was given.

    >>> to_exact([{"q": "1/3"}, 2, ["a", None]])
    (Fraction(1, 3), 2, ('a', None))
    """
    if isinstance(kept, dict):
        return Fraction(kept["q"])
    return tuple(to_exact(part) for part in kept) if isinstance(kept, list) else kept
