"""A rough timing where no word can be recognised: the line's syllables spread over the stretches that hold sound.

Used for files and languages the aligner cannot handle; always marked with the finding "rough". Shares: a syllable
counts 1, one with main stress 1.3, the last before a mark 1.4 (our own rough rule, in the order of size of the
lengthenings in Klatt, "Linguistic uses of segmental duration in English", JASA 59 (1976)).
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from timing.model import Finding, Origin, TimedLine, TimedSyllable, TimedWord, Utterance
from timing.model.clock import Seconds
from timing.model.findings import FindingCode

ROUGH = Finding(
    FindingCode.ROUGH,
    "the words could not be followed in the recording, so only the beginning and end of the sound are measured; "
    "the syllables between are spread by rule",
)


def rough_line(utterance: Utterance, regions: Sequence[tuple[Seconds, Seconds]], take: str | None = None) -> TimedLine:
    """Return the line spread over ``regions`` (start, end in the file), counted from the first sound."""
    start = regions[0][0]
    sounding = sum((end - begin for begin, end in regions), Fraction(0))
    shares = [
        Fraction(13 if s.stress == 1 else 10) * (Fraction(7, 5) if last and w.mark else 1)
        for w in utterance.words
        for s, last in zip(w.syllables, [False] * (len(w.syllables) - 1) + [True], strict=True)
    ]
    total, done = sum(shares), Fraction(0)
    edges: list[tuple[Seconds, Seconds]] = []
    for share in shares:
        begin, end = done / total * sounding, (done + share) / total * sounding
        edges.append((_at(begin, regions, False) - start, _at(end, regions, True) - start))
        done += share
    words, at = [], iter(edges)
    for word in utterance.words:
        syllables = tuple(
            TimedSyllable(s.text, begin, end, Origin.MEASURED, s.stress, s.phones, s.said)
            for s, (begin, end) in zip(word.syllables, at, strict=False)
        )
        words.append(TimedWord.of(word, syllables, 0.0))
    length = words[-1].end - words[0].start
    return TimedLine(tuple(words), Origin.MEASURED, length, length, 0.0, take, start, (ROUGH,))


def _at(sounding: Seconds, regions: Sequence[tuple[Seconds, Seconds]], is_end: bool) -> Seconds:
    """Return the moment at which ``sounding`` seconds of sound have gone by; an end stays before a pause."""
    for begin, end in regions:
        if sounding < end - begin or (is_end and sounding == end - begin):
            return begin + sounding
        sounding -= end - begin
    return regions[-1][1]
