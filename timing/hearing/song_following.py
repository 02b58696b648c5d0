"""Sung lines in a finished song: each word and vowel onset in the song file's own clock.

In: the song (a mix or, better, the vocal stem alone), its sung lines in order, about when each is sung where somebody
knows, moments that a person has pinned, the song's beats. Out: a TimedLine for each line; one that was not followed
surely carries the finding "unclear" and by how much other readings of the song move it (``moved_s``).

All lines are laid along the voice (``song_voice``) at once, in order, each within its room (``song_readings``,
``song_search``), so that no line has to explain foreign words. What is pinned holds; the rest of its line and the lines
beside it are followed around it.
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import accumulate, pairwise
from statistics import fmean
from typing import TYPE_CHECKING

from timing.hearing.recogniser import STEPS_PER_S, step_at
from timing.hearing.song_readings import FollowedLine, follow_words, steps_of
from timing.hearing.song_voice import SongVoice, voice_of
from timing.model import Finding, Origin, TimedLine, Utterance, is_vowel
from timing.model.clock import Seconds
from timing.model.findings import FindingCode
from timing.model.words import Pronounce

if TYPE_CHECKING:
    from timing.hearing.followed_words import Token
    from timing.hearing.song_search import Fixed

_ANCHOR_S = 1.3  # by which an approximate time may be wrong, and a little more
_STRAY_S = 1.5  # a line found farther than this from where it should be is lost
_BAD_FIT = -45.0  # its words fit worse than that, in the mean, beside any phones at all: squeezed into their room


@dataclass(frozen=True, slots=True)
class Pin:
    """A person's word: the ``syllable``-th syllable of a line's ``word``-th word begins at ``start``.

    Both count from 0; seconds in the song's file. ``end``: the end of the word. None where that was not said.
    """

    word: int
    start: Seconds | None
    end: Seconds | None = None
    syllable: int = 0


@dataclass(frozen=True, slots=True)
class SungScriptedLine:
    """A sung line, about when it begins and ends in the song's file (seconds; None where nobody knows), and its pins.

    Pins are in the order in which they are sung.
    """

    id: str
    utterance: Utterance
    approx_start_s: float | None = None
    approx_end_s: float | None = None
    pins: tuple[Pin, ...] = ()


def align_song(
    path: str | os.PathLike[str],
    lines: Sequence[SungScriptedLine],
    pronounce: Pronounce,
    beats_s: Sequence[float] = (),
    instrumental: str | os.PathLike[str] | None = None,
) -> Mapping[str, TimedLine]:
    """Return the lines that could be followed, by id, in the song file's clock; raises RecordingError.

    ``beats_s``: the song's beats in seconds, in order. ``instrumental``: the same song without the singing.
    """
    return follow_song(voice_of(path, instrumental), lines, pronounce, beats_s)


def follow_song(
    song: SongVoice, lines: Sequence[SungScriptedLine], pronounce: Pronounce, beats_s: Sequence[float] = ()
) -> dict[str, TimedLine]:
    """Return what ``align_song`` does, for a voice that has been read; nothing where the words have no room in it.

    Nor a line whose pins leave its words no room.
    """
    from timing.hearing.followed_words import tokens_of

    lines = [line for line in lines if line.utterance.words]
    tokens = [tokens_of(line.utterance, pronounce) for line in lines]
    words = [[token.pronunciations for token in own] for own in tokens]
    steps = steps_of(song)
    fixed = _fixed(lines, tokens, steps)
    rooms = _rooms(lines, steps)
    followed = follow_words(song, words, rooms, [one for own in fixed.values() for one in own], beats_s)
    if followed is None and fixed:
        fixed, followed = {}, follow_words(song, words, rooms, (), beats_s)
    found = {}
    for number, (line, own, heard) in enumerate(zip(lines, tokens, followed or (), strict=False)):
        if line.pins and number not in fixed:
            continue
        timed = _pinned(_timed(line.utterance, own, heard), line.pins)
        found[line.id] = replace(timed, findings=_doubts(timed, line, heard))
    return found


def align_sung(path: str | os.PathLike[str], utterances: Sequence[Utterance], pronounce: Pronounce) -> TimedLine:
    """Return all of ``utterances``, sung in this order in the file at ``path``, as one line in the file's own clock.

    A finding names the first and last word (from 0) of the line it is about. Raises RecordingError, also for silence.
    """
    from timing.hearing.aligner import line_confidence, rough_in_file
    from timing.plain.errors import RecordingError
    from timing.sound.levels import measure, sound_regions

    song = voice_of(path)
    levels = measure(song.untouched)
    regions = sound_regions(song.untouched, levels)
    if not regions:
        raise RecordingError("is silent; record the line again", os.fspath(path))
    found = follow_song(song, [SungScriptedLine(str(n), u) for n, u in enumerate(utterances)], pronounce)
    if len(found) < len(utterances):
        words = tuple(word for utterance in utterances for word in utterance.words)
        line = rough_in_file(replace(utterances[0], words=words), regions)
        return replace(line, findings=(*line.findings, *levels.findings()))
    timed = [word for line in found.values() for word in line.words]
    findings, first = [], 0
    for line in found.values():
        facts = {"first_word": first, "last_word": first + len(line.words) - 1}
        findings += [replace(finding, facts={**finding.facts, **facts}) for finding in line.findings]
        first += len(line.words)
    length = timed[-1].end - timed[0].start
    return TimedLine(
        tuple(timed), Origin.MEASURED, length, length, line_confidence(timed), findings=(*findings, *levels.findings())
    )


def _rooms(lines: Sequence[SungScriptedLine], steps: int) -> list[tuple[int, int]]:
    """Return the steps each line may lie on: around its anchors, for a line without them from those before and after.

    A line may last until the next begins, whatever its own end: bars say little about how long it is held. None
    begins before, or ends before, the one before it.
    """
    lines = [_reaching(line) for line in lines]
    begins = [0 if x.approx_start_s is None else int((x.approx_start_s - _ANCHOR_S) * STEPS_PER_S) for x in lines]
    ends = [steps if x.approx_end_s is None else int((x.approx_end_s + _ANCHOR_S) * STEPS_PER_S) for x in lines]
    for n in range(1, len(lines)):
        begins[n] = begins[n - 1] if lines[n].approx_start_s is None else begins[n]
        ends[-n - 1] = ends[-n] if lines[-n - 1].approx_end_s is None else ends[-n - 1]
    later = [begin + int(2 * _ANCHOR_S * STEPS_PER_S) for begin in begins[1:]]
    ends = [max(pair) for pair in zip(ends, [*later, steps], strict=True)]
    for n in range(1, len(lines)):
        begins[-n - 1] = min(begins[-n - 1], begins[-n])
        ends[n] = max(ends[n], ends[n - 1])
    return [(max(0, begin), min(steps, end)) for begin, end in zip(begins, ends, strict=True)]


def _reaching(line: SungScriptedLine) -> SungScriptedLine:
    """Return a line that is sung about when it was expected, and about when its pins say."""
    if line.approx_start_s is None or line.approx_end_s is None:
        return line
    start, end, words = line.approx_start_s, line.approx_end_s, len(line.utterance.words)
    for pin in line.pins:
        for moment, word in ((pin.start, pin.word), (pin.end, pin.word + 1)):
            if moment is not None:
                expected = line.approx_start_s + (line.approx_end_s - line.approx_start_s) * word / words
                start = min(start, line.approx_start_s + float(moment) - expected)
                end = max(end, line.approx_end_s + float(moment) - expected)
    return replace(line, approx_start_s=start, approx_end_s=end)


def _fixed(lines: Sequence[SungScriptedLine], tokens: Sequence[Sequence[Token]], steps: int) -> dict[int, list[Fixed]]:
    """Return the pins as the search knows them, by the line's number: by tokens, counted over all lines, and steps.

    Without the lines whose pins leave the words between them, or between one and the song's edge, no room.
    """
    from timing.hearing.song_search import Fixed, least_steps, syllable_start

    found: dict[int, list[Fixed]] = {}
    known: list[tuple[int | None, int, int]] = [(None, 0, 0)]  # line, least steps before it, its step
    first = needed = 0
    for number, (line, own) in enumerate(zip(lines, tokens, strict=True)):
        begins = list(accumulate((min(map(least_steps, token.pronunciations)) for token in own), initial=needed))
        for pin in line.pins:
            mine = [k for k, token in enumerate(own) if token.word == pin.word]
            vowels = [(k, v) for k in mine for v in range(sum(map(is_vowel, own[k].pronunciations[0])))]
            at, vowel = (mine[0], 0) if not pin.syllable else vowels[min(pin.syllable, len(vowels) - 1)]
            start, end = (None if m is None else step_at(m) for m in (pin.start, pin.end))
            found.setdefault(number, []).append(Fixed(first + at, vowel, start, None if len(mine) > 1 else end))
            before = own[at].pronunciations[0][: syllable_start(own[at].pronunciations[0], vowel) if vowel else 0]
            known += [(number, begins[at] + least_steps(before), start)] if start is not None else []
            known += [(number, begins[mine[-1] + 1], end)] if end is not None else []
        first, needed = first + len(own), begins[-1]
    known.append((None, needed, steps))
    while tight := {n for (m, a, since), (k, b, until) in pairwise(known) if b - a > until - since for n in (m, k)}:
        known = [one for one in known if one[0] is None or one[0] not in tight]
        if tight == {None}:
            break
    return {n: own for n, own in found.items() if n in {one[0] for one in known}}


def _timed(utterance: Utterance, tokens: Sequence[Token], heard: FollowedLine) -> TimedLine:
    from timing.hearing.aligner import timed_line
    from timing.hearing.differences import Reading, Verdict

    words = tuple(word.heard(index) for index, word in enumerate(heard.words))
    reading = Reading(words, heard.fits, (Verdict.SAID,) * len(words))
    return timed_line(utterance, tokens, reading, Fraction(0))


def _pinned(line: TimedLine, pins: Sequence[Pin]) -> TimedLine:
    """Return the line with its pins to the microsecond: what was searched for is a step of 10 ms."""
    if not pins:
        return line
    starts = {(pin.word, pin.syllable): pin.start for pin in pins if pin.start is not None}
    stops = {pin.word: pin.end for pin in pins if pin.end is not None}
    flat = [(w, k, s) for w, word in enumerate(line.words) for k, s in enumerate(word.syllables)]
    moved = [
        replace(s, start=starts[w, k], origin=Origin.PINNED, phone_starts=()) if (w, k) in starts else s
        for w, k, s in flat
    ]
    for n, (w, k, _) in enumerate(flat):
        if w in stops and k == len(line.words[w].syllables) - 1:
            moved[n] = replace(moved[n], end=stops[w])
    for n in range(len(moved) - 1):
        one, after = moved[n], moved[n + 1]
        is_pinned = flat[n + 1][:2] in starts
        if one.end > after.start and flat[n][0] in stops and flat[n][0] != flat[n + 1][0] and not is_pinned:
            moved[n + 1] = replace(after, start=one.end, phone_starts=())
        elif one.end > after.start or (is_pinned and flat[n][0] == flat[n + 1][0]):
            moved[n] = replace(one, end=after.start)
    words, at = [], 0
    for word in line.words:
        words.append(replace(word, syllables=tuple(moved[at : at + len(word.syllables)])))
        at += len(word.syllables)
    length = words[-1].end - words[0].start
    return replace(line, words=tuple(words), low=length, high=length)


def _doubts(timed: TimedLine, line: SungScriptedLine, heard: FollowedLine) -> tuple[Finding, ...]:
    away = 0.0 if line.approx_start_s is None else abs(float(timed.start) - line.approx_start_s)
    if not heard.is_doubted and fmean(heard.fits) >= _BAD_FIT and (away <= _STRAY_S or line.pins):
        return ()
    message = "this sung line could not be followed surely; listen to it, or give a vocal-only stem of the song"
    if heard.has_other_words:
        message = (
            "the words of this sung line fit far worse than the song's others: perhaps others are sung; listen to it"
        )
    facts = {"away_s": round(away, 2), "moved_s": round(heard.moved_s, 2)}
    return (Finding(FindingCode.UNCLEAR, message, facts),)
