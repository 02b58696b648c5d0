"""Sung lines in a finished song: each word and vowel onset in the song file's own clock.

In: the song (a mix or, better, the vocal stem alone), its sung lines in order, about when each is sung where somebody
knows. Out: a TimedLine for each line; lines that fit badly carry the finding "unclear".

How: the middle of a stereo mix is followed (``centre``). A line is followed together with the ones before and after
it, so that a window never has to explain foreign words; on real mixes this loses a third of the lines that one line
at a time loses. Where nobody knows when the lines come, one pass over the whole song finds them first, and lines that
came out badly are done again between their neighbours. The grid of beats takes no part: an onset is where it is heard.
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from timing.model import Finding, TimedLine, Utterance
from timing.recording.heard import Pronounce

if TYPE_CHECKING:
    from timing.recording.aligner import LineAligner
    from timing.recording.decode import Sound

_ANCHOR = 1.3  # seconds by which an approximate time may be wrong, and a little more
_CLOSE = 0.5  # and once it has been found
_LONGEST_WINDOW = 30.0
_STRAY = 1.5  # a line found farther than this from where it should be is lost
_BAD_RATIO = -22.0  # median likelihood ratio of a line's words below which it is done again, and then doubted
_GUESSED_LINE = 3.0  # seconds, for a line of which nothing is known


@dataclass(frozen=True, slots=True)
class SungScriptedLine:
    """A sung line and about when it begins and ends in the song's file (seconds; None where nobody knows)."""

    id: str
    utterance: Utterance
    approx_start_s: float | None = None
    approx_end_s: float | None = None


@dataclass(frozen=True, slots=True)
class _Found:
    """A line's timing and how well its words fit (median likelihood ratio)."""

    line: TimedLine
    fit: float


def align_song(
    path: str | os.PathLike[str],
    lines: Sequence[SungScriptedLine],
    pronounce: Pronounce,
) -> Mapping[str, TimedLine]:
    """Return the lines that could be followed, by id, in the song file's clock; raises RecordingError."""
    from timing.recording.aligner import LineAligner

    lines = [line for line in lines if line.utterance.words]
    if not lines:
        return {}
    sound = voice_of(path)
    aligner = LineAligner([line.utterance for line in lines], pronounce)
    known = [line.approx_start_s is not None for line in lines]
    spans = [_span(line) for line in lines] if all(known) else _whole_song(sound, aligner, lines)
    found = [_with_neighbours(sound, aligner, spans, n) for n in range(len(lines))]
    found = _again(sound, aligner, spans, found)
    if all(known):
        # Anchors that people or bars gave may be a second out; where a line was found is the better anchor.
        closer = [_closer(f, span) for f, span in zip(found, spans, strict=True)]
        second = [_with_neighbours(sound, aligner, closer, n, _CLOSE) for n in range(len(lines))]
        found = [_better(a, b) for a, b in zip(found, second, strict=True)]
    timed = {}
    for line, span, best in zip(lines, spans, found, strict=True):
        if best is not None:
            timed[line.id] = replace(best.line, findings=(*best.line.findings, *_doubts(best, line, span)))
    return timed


def voice_of(path: str | os.PathLike[str]) -> Sound:
    """Return what is to be followed in a song: its middle at 16 kHz, or the whole of a mono file."""
    from timing.recording.centre import centre
    from timing.recording.decode import SPEECH_RATE_HZ, read_audio, read_stereo, resample

    stereo, facts = read_stereo(path)
    if facts.channels < 2:
        return read_audio(path)
    alike = (stereo[:, 0] == stereo[:, 1]).all()
    voice = stereo[:, 0] if alike else centre(stereo, facts.rate_hz)
    return replace(facts, samples=resample(voice, facts.rate_hz, SPEECH_RATE_HZ), rate_hz=SPEECH_RATE_HZ)


def _span(line: SungScriptedLine) -> tuple[float, float]:
    start = line.approx_start_s or 0.0
    return start, max(start, line.approx_end_s if line.approx_end_s is not None else start + _GUESSED_LINE)


def _whole_song(sound: Sound, aligner: LineAligner, lines: Sequence[SungScriptedLine]) -> list[tuple[float, float]]:
    """Return (start, end) of each line from one pass over the whole song; evenly spread where that fails."""
    from timing.recording.recogniser import SONG, Recogniser

    tokens = [t.pronunciations for own in aligner.tokens for t in own]
    heard = Recogniser(tokens, SONG).words(sound.samples, range(len(tokens)))
    if heard is None:
        step = float(sound.seconds) / len(lines)
        return [(n * step, (n + 1) * step) for n in range(len(lines))]
    spans = []
    for number in range(len(lines)):
        own = aligner.order(number)
        spans.append((float(heard[own[0]].start), float(heard[own[-1]].end)))
    return spans


def _with_neighbours(
    sound: Sound, aligner: LineAligner, spans: Sequence[tuple[float, float]], number: int, slack: float = _ANCHOR
) -> _Found | None:
    """Return line ``number`` followed together with the lines before and after it."""
    low, high = max(0, number - 1), min(len(spans) - 1, number + 1)
    start, end = _window(spans, low, number, high, slack)
    if end - start > _LONGEST_WINDOW:
        low = high = number
        start, end = spans[number][0] - slack, spans[number][1] + slack
    return _followed(sound, aligner, low, number, high, max(0.0, start), end)


def _window(
    spans: Sequence[tuple[float, float]], low: int, number: int, high: int, slack: float
) -> tuple[float, float]:
    return min(spans[low][0], spans[number][0]) - slack, max(spans[high][1], spans[number][1]) + slack


def _followed(
    sound: Sound, aligner: LineAligner, low: int, number: int, high: int, start: float, end: float
) -> _Found | None:
    from timing.recording.aligner import timed_line
    from timing.recording.doubts import Reading, Verdict, ratios_of

    first = int(start * sound.rate_hz)
    samples = sound.samples[first : int(end * sound.rate_hz)]
    order = [i for n in range(low, high + 1) for i in aligner.order(n)]
    heard = aligner.recogniser.align(samples, order)
    if heard is None:
        return None
    own = set(aligner.order(number))
    words = [word for word in heard if word.index in own]
    ratios = ratios_of(aligner.recogniser, samples, words)
    reading = Reading(tuple(words), tuple(ratios), (Verdict.SAID,) * len(words))
    line = timed_line(
        aligner.utterances[number], aligner.tokens[number], reading, Fraction(first, sound.rate_hz)
    )  # fmt: skip
    return _Found(replace(line, findings=()), sorted(ratios)[len(ratios) // 2])


def _again(
    sound: Sound, aligner: LineAligner, spans: list[tuple[float, float]], found: list[_Found | None]
) -> list[_Found | None]:
    """Follow stray lines again, between the nearest lines that came out well; the better fit is kept."""
    good = [f is not None and f.fit >= _BAD_RATIO for f in found]
    result = list(found)
    for number, best in enumerate(found):
        if good[number]:
            continue
        before = next((n for n in range(number - 1, -1, -1) if good[n]), None)
        after = next((n for n in range(number + 1, len(found)) if good[n]), None)
        start = float(found[before].line.end) if before is not None else 0.0  # type: ignore[union-attr]
        end = float(found[after].line.start) if after is not None else float(sound.seconds)  # type: ignore[union-attr]
        low = before + 1 if before is not None else 0
        high = after - 1 if after is not None else len(found) - 1
        if not 0.3 < end - start <= 2 * _LONGEST_WINDOW:
            continue
        other = _followed(sound, aligner, low, number, high, max(0.0, start - 0.3), end + 0.3)
        if other is not None and (best is None or other.fit > best.fit):
            result[number] = other
            spans[number] = (float(other.line.start), float(other.line.end))
    return result


def _closer(found: _Found | None, span: tuple[float, float]) -> tuple[float, float]:
    """Return where a line was found, unless that is not where it should be."""
    if found is None or abs(float(found.line.start) - span[0]) > _STRAY:
        return span
    return float(found.line.start), float(found.line.end)


def _better(first: _Found | None, second: _Found | None) -> _Found | None:
    if first is None or second is None:
        return first or second
    return second if second.fit >= first.fit - 1 else first


def _doubts(best: _Found, line: SungScriptedLine, span: tuple[float, float]) -> list[Finding]:
    away = abs(float(best.line.start) - span[0])
    if best.fit >= _BAD_RATIO and (line.approx_start_s is None or away <= _STRAY):
        return []
    message = "this sung line could not be followed surely; listen to it, or give a vocal-only stem of the song"
    return [Finding("unclear", message, {"fit": round(best.fit, 1), "away_s": round(away, 2)})]
