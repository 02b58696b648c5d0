"""Where the words of a plan are heard in the cut.

A word is where its sound is: in the sound events of its clip, or in the picture's where no track has the sound by
itself, in its recording, or, sung, in its song. Of a take that is not the plan's own the words lie where they were
followed in it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property

from timing.cut.laid import clip_laid_at, sound_laid_at
from timing.delivery.verdict import Check
from timing.model import (
    Clip,
    Cut,
    CutEvent,
    LineKind,
    Plan,
    PlanLine,
    Song,
    Sounding,
    TimedSyllable,
    TimedWord,
)
from timing.model.clock import Seconds
from timing.model.cut import numbered


@dataclass(frozen=True, slots=True)
class Said:
    """One word as it is heard in the cut: ``index`` in its line, ``left`` the share of it that is left.

    ``file_at`` is where it begins in ``file``, ``planned`` where on the plan's clock; no ``file``: the plan's own
    recording is heard.
    """

    line: str
    index: int
    word: TimedWord
    left: Fraction
    lost: Seconds
    clip: str | None = None
    file: str | None = None
    file_at: Seconds = Fraction(0)
    planned: Seconds = Fraction(0)


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch in which words are heard: ``words`` on a clock of which ``at`` lies at the stretch's start."""

    start: Seconds
    end: Seconds
    at: Seconds
    words: tuple[tuple[str, int, TimedWord], ...]
    clip: str | None = None
    file: str | None = None
    file_begins: Seconds = Fraction(0)  # on the words' clock

    def said(self, slack: Seconds) -> Iterator[Said]:
        """Yield the words that are heard in it, wholly or in part; ``slack`` is half a frame."""
        for line_id, index, word in self.words:
            start, end = word.start - self.at + self.start, word.end - self.at + self.start
            # Edges lie on frames, speech does not: half a frame over an edge is rounding, not an edit.
            first = start if self.start - slack <= start else self.start
            last = end if end <= self.end + slack else self.end
            if first < last:
                kept = _between(word, first, last)
                left = (last - first) / (end - start)
                planned = first - self.start + self.at
                gone, file_at = end - start - last + first, planned - self.file_begins
                yield Said(line_id, index, kept, left, gone, self.clip, self.file, file_at, planned)


@dataclass(frozen=True)
class Followed:
    """Everything that is known of the plan in the cut, for the findings and for the plan as it runs there.

    ``said`` are its words in the order in which they are heard, ``song_shift`` how much later each song begins.
    """

    plan: Plan
    cut: Cut
    said: tuple[Said, ...]
    songs: tuple[Song, ...]
    song_shift: Mapping[str, Seconds]

    @cached_property
    def lines(self) -> Mapping[str, PlanLine]:
        return {line.id: line for line in self.plan.lines}

    @cached_property
    def soundings(self) -> Mapping[str, Sequence[Sounding]]:
        """What is heard of each line as planned."""
        return soundings_by_line(self.plan)


def soundings_by_line(plan: Plan) -> Mapping[str, Sequence[Sounding]]:
    found: dict[str, list[Sounding]] = defaultdict(list)
    for one in plan.soundings():
        found[one.line].append(one)
    return found


def followed(plan: Plan, cut: Cut, checks: Sequence[Check]) -> Followed:
    """Return where everything that the plan lets hear is heard in the cut."""
    songs, shifts, sung = _songs(plan, cut)
    pieces = [*_spoken(plan, cut, checks), *sung]
    slack = 1 / (2 * plan.rate.fps)
    said = (one for piece in pieces for one in piece.said(slack))
    heard = sorted(said, key=lambda s: (s.word.start, s.line, s.index))
    return Followed(plan, cut, tuple(heard), songs, shifts)


def _spoken(plan: Plan, cut: Cut, checks: Sequence[Check]) -> list[Piece]:
    clips = {clip.id: clip for clip in plan.clips}
    lines = {line.id: line for line in plan.lines}
    planned = soundings_by_line(plan)
    verdicts = {check.file: check for check in checks}
    found: dict[tuple[object, ...], Piece] = {}
    recorded = {event.file for event in cut.events if event.clip is None and event.is_heard and event.is_followed}
    for event in cut.events:
        clip = clips.get(event.clip or "")
        pieces = []
        if clip is not None and clip.kind is LineKind.PICTURE and event.is_seen and event.is_followed:
            pieces = _over_picture(plan, clip, event, recorded)
        elif not (event.is_heard and event.is_followed):
            continue
        elif clip is not None and clip.kind is LineKind.SPOKEN:
            pieces = [_of_clip(plan, lines, clip, event, verdicts.get(event.file or ""))]
        elif clip is None and event.file is not None:
            pieces = _of_recording(plan, planned, event)
        for piece in pieces:  # two tracks of one sound are one sound
            key = (piece.clip, piece.file, piece.at - piece.start, piece.words[0][:2] if piece.words else None)
            before = found.get(key)
            if before is not None and piece.start <= before.end and before.start <= piece.end:
                start, end = min(before.start, piece.start), max(before.end, piece.end)
                found[key] = replace(before, start=start, end=end, at=before.at - before.start + start)
            else:
                found[(*key, piece.start) if before is not None else key] = piece
    return list(found.values())


def _of_clip(plan: Plan, lines: Mapping[str, PlanLine], clip: Clip, event: CutEvent, check: Check | None) -> Piece:
    places = [(line_id, n) for line_id, first, last in plan.words_of(clip) for n in range(first, last)]
    back = plan.delivered(clip.id)
    is_own = back is not None and back.file == event.file and back.is_measured
    heard = check.heard.words if check is not None and check.heard is not None else ()
    if not is_own and len(heard) == len(places):
        words = tuple((line_id, n, word) for (line_id, n), word in zip(places, heard, strict=True))
        return Piece(event.start, event.end, event.source, words, clip.id, event.file)
    begins = plan.file_begins(clip)
    if is_own and back is not None and back.speech_start is not None:
        begins = clip.speech_start - back.speech_start
    words = tuple((line_id, n, lines[line_id].words[n]) for line_id, n in places)
    at = clip_laid_at(plan, clip) + event.source
    return Piece(
        event.start, event.end, at, words, clip.id, event.file if is_own else None, begins
    )  # fmt: skip


def _over_picture(plan: Plan, clip: Clip, event: CutEvent, recorded: Set[str | None]) -> list[Piece]:
    """Return the voices off camera of a passage, which go with its picture where no track has their recording."""
    lines = [line for line in plan.lines if line.over == clip.line and line.take not in recorded - {None}]
    words = tuple((line.id, n, word) for line in lines for n, word in enumerate(line.words))
    at = clip_laid_at(plan, clip) + event.source
    return [Piece(event.start, event.end, at, words)] if words else []


def _of_recording(plan: Plan, planned: Mapping[str, Sequence[Sounding]], event: CutEvent) -> list[Piece]:
    """Return a piece for each line whose reading lies in a recording."""
    found = []
    for line in plan.lines:
        if line.take != event.file or line.take_start is None or line.song or event.line not in (None, line.id):
            continue
        own = next((s for s in planned.get(line.id, ()) if s.file == event.file), None)
        begins = line.start - line.take_start
        at = event.source + (begins if own is None else sound_laid_at(plan, own))
        words = tuple((line.id, n, word) for n, word in enumerate(line.words))
        found.append(Piece(event.start, event.end, at, words, None, event.file, begins))
    return found


def _songs(plan: Plan, cut: Cut) -> tuple[tuple[Song, ...], dict[str, Seconds], list[Piece]]:
    """Return the songs where the cut plays them, how far each was moved, and their words.

    A song plays where its own sound lies. Where the cut has none of it, it plays where most of its pictures say.
    """
    placed_songs: list[Song] = []
    shifts: dict[str, Seconds] = {}
    pieces: list[Piece] = []
    for song in plan.songs:
        own = [e for e in cut.events if e.song == song.id and (e.is_heard or not e.is_seen) and e.is_followed]
        if own:
            # The song itself begins on a frame of our timeline.
            begins = plan.rate.moment_of(plan.rate.frame_at(song.start))
            stretches = [(e.start, e.end, begins + e.source) for e in own]
        else:
            moved = _moved_by_pictures(plan, cut, song)
            if moved is None:
                continue
            start, end = max(Fraction(0), song.start + moved), min(cut.length, song.end + moved)
            if start >= end:
                continue
            stretches = [(start, end, start - moved)]
        words = tuple(
            (line.id, n, word) for line in plan.lines if line.song == song.id for n, word in enumerate(line.words)
        )
        for number, (start, end, at) in enumerate(sorted(stretches), 1):
            shifts.setdefault(song.id, start - at)
            pieces.append(Piece(start, end, at, words))
            placed_songs.append(_stretch(song, start, end, start - at, number))
    return tuple(placed_songs), shifts, pieces


def _moved_by_pictures(plan: Plan, cut: Cut, song: Song) -> Seconds | None:
    """Return by how much most pictures of a song were moved, by their length; None where none is in the cut."""
    lines = {line.id: line for line in plan.lines}
    sung = {c.id: c for c in plan.clips if c.kind is LineKind.SUNG and lines[c.line].song == song.id}
    votes: dict[Seconds, Seconds] = defaultdict(Fraction)
    for event in cut.events:
        clip = sung.get(event.clip or "")
        if clip is None or not event.is_seen or not event.is_followed:
            continue
        votes[event.start - event.source - clip_laid_at(plan, clip)] += event.end - event.start
    return max(votes, key=lambda by: (votes[by], -by)) if votes else None


def _stretch(song: Song, start: Seconds, end: Seconds, by: Seconds, number: int) -> Song:
    """Return a song as it plays in one stretch of the cut."""
    inside = [m + by for m in song.beats if start <= m + by < end]
    bars = [m + by for m in song.downbeats if start <= m + by < end]
    return replace(
        song, id=numbered(song.id, number), start=song.start + by, end=end,
        beats=tuple(inside), downbeats=tuple(bars), findings=(), heard_from=start,
    )  # fmt: skip


def _between(word: TimedWord, start: Seconds, end: Seconds) -> TimedWord:
    """Return a word with its syllables pressed into what is left of it."""
    if (word.end - word.start) == end - start:
        by = start - word.start
        syllables = tuple(replace(s.moved(by), start_frame=None, end_frame=None) for s in word.syllables)
        return replace(word, syllables=syllables)
    ratio = (end - start) / (word.end - word.start)

    def pressed(s: TimedSyllable) -> TimedSyllable:
        first, last = ((m - word.start) * ratio + start for m in (s.start, s.end))
        return replace(s, start=first, end=last, phone_starts=(), start_frame=None, end_frame=None)

    return replace(word, syllables=tuple(pressed(s) for s in word.syllables))
