"""The plan as it runs in the cut: a clip for each stretch that is seen, a line for each time that its words are heard.

A word of which less than half is left is not there. What is shown or heard again has its number behind it: "C04 (2)".
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from timing.cut.heard import Followed, Said
from timing.cut.laid import clip_laid_at
from timing.model import (
    Clip,
    Cut,
    CutEvent,
    Delivered,
    LineKind,
    Origin,
    Plan,
    PlanLine,
    Sounding,
    TimedLine,
    Totals,
)
from timing.model.clock import FrameRate, Seconds
from timing.model.cut import numbered

HALF = Fraction(1, 2)
Framed = Callable[[TimedLine, FrameRate], TimedLine]
Place = tuple[Seconds, Seconds, str, int]  # start and end of a word, its line in the cut, its number there


def as_it_runs(followed: Followed, framed: Framed, rows: Mapping[str, tuple[int, int]]) -> Plan:
    """Return the plan on the cut's clock; see :func:`timing.cut.follow.in_the_cut`."""
    plan, cut = followed.plan, followed.cut
    lines, heard, places = _lines(followed, framed)
    seen = _Seen(followed, places, rows)
    for event in cut.events:
        if event.is_seen and event.end_frame > event.start_frame:
            seen.add(event)
    every = tuple(sorted([*lines, *seen.pictures], key=lambda n: (n.start, n.end)))
    zero = Fraction(0)
    screen = sum((plan.rate.moment_of(b - a) for a, b in _shown(cut)), zero)
    return replace(
        plan, frames=cut.frames, length=cut.length, lines=every, clips=tuple(seen.clips), songs=followed.songs,
        totals=Totals(zero, screen, zero, zero), loudness=(), findings=(), deliveries=tuple(seen.deliveries),
        requested=None, cut=None, in_cut=None, files_begin=seen.begins, heard=heard,
        on_paper=seen.on_paper,
    )  # fmt: skip


def _shown(cut: Cut) -> list[tuple[int, int]]:
    found, at = [], 0
    for start, end in [*cut.gaps, (cut.frames, cut.frames)]:
        if start > at:
            found.append((at, start))
        at = max(at, end)
    return found


def _lines(
    followed: Followed, framed: Framed
) -> tuple[list[PlanLine], tuple[Sounding, ...], Mapping[str, Sequence[Place]]]:
    """Return the lines, what is heard of them, and by clip of the plan where the words that it may show came to lie."""
    of_line: dict[str, list[str]] = defaultdict(list)
    for clip in followed.plan.clips:
        for line_id in clip.lines or (clip.line,):
            of_line[line_id].append(clip.id)
    runs, planned = _runs(followed.said), followed.soundings
    lines: list[PlanLine] = []
    heard: list[Sounding] = []
    places: dict[str, list[Place]] = defaultdict(list)
    for line in followed.plan.lines:
        for number, run in enumerate(runs.get(line.id, ()), 1):
            line_id = numbered(line.id, number)
            run = [_with_file(said, planned.get(line.id, ())) for said in run]
            lines.append(_line(followed.plan, line, line_id, run, framed))
            heard += (followed.plan.in_its_voice(one) for one in _soundings(line, line_id, run))
            for at, said in enumerate(run):
                for clip_id in [said.clip] if said.clip else of_line[line.id]:
                    places[clip_id].append((said.word.start, said.word.end, line_id, at))
    return lines, tuple(heard), places


def _runs(said: Sequence[Said]) -> Mapping[str, Sequence[Sequence[Said]]]:
    """Return by line the times that its words are heard in order."""
    times: dict[str, list[list[Said]]] = defaultdict(list)
    for one in said:
        if one.left < HALF:
            continue
        runs = times[one.line]
        last = runs[-1][-1] if runs else None
        if last is not None and one.index > last.index and one.word.start >= last.word.end:
            runs[-1].append(one)
        elif last is None or (one.index, one.word.start) != (last.index, last.word.start):
            runs.append([one])
    return times


def _line(plan: Plan, line: PlanLine, line_id: str, run: Sequence[Said], framed: Framed) -> PlanLine:
    words = tuple(said.word for said in run)
    length = words[-1].end - words[0].start
    timed = framed(TimedLine(words, line.origin, length, length), plan.rate)
    offsets = {(said.file, said.file_at - said.word.start) for said in run}
    file, offset = next(iter(offsets)) if len(offsets) == 1 else (None, Fraction(0))
    # Corrections are written on a file's clock, and for a line: one that is put together or heard again has none.
    take = file if file is not None and not line.song and line_id == line.id else None
    whole = len(run) == len(line.words)
    return replace(
        line, id=line_id, text=line.text if whole else _text(line, [said.index for said in run]), words=timed.words,
        start=timed.start, end=timed.end, low=length, high=length, take=take,
        take_start=None if take is None else timed.start + offset,
        delivered=line.delivered if line_id == line.id else (),
        start_frame=timed.syllables[0].start_frame or 0, end_frame=timed.syllables[-1].end_frame or 0,
    )  # fmt: skip


def _text(line: PlanLine, kept: Sequence[int]) -> str:
    """Return what is left of a line's print."""
    places, at = [], 0
    for word in line.words:
        found = line.text.find(word.text, at)
        if found < 0:
            return " ".join(line.words[n].text for n in kept)
        places.append(found)
        at = found + len(word.text)
    places.append(len(line.text))
    return "".join(line.text[places[n] : places[n + 1]] for n in kept).strip()


def _with_file(said: Said, planned: Sequence[Sounding]) -> Said:
    """Return a word with the file that it is heard from: its own, else the plan's recording of it, if there is one."""
    if said.file is not None:
        return said
    own = next((s for s in planned if s.start <= said.planned < s.start + s.length), None)
    return said if own is None else replace(said, file=own.file, file_at=own.file_start + said.planned - own.start)


def _soundings(line: PlanLine, line_id: str, run: Sequence[Said]) -> list[Sounding]:
    """Return what is heard of a line, a stretch of a file for words that lie there as they do here."""
    found: list[Sounding] = []
    for said in run if not line.song else ():
        if said.file is None:
            continue
        start, end = said.word.start, said.word.end
        last = found[-1] if found else None
        if last and last.file == said.file and last.file_start - last.start == said.file_at - start:
            found[-1] = replace(last, length=end - last.start)
        else:
            found.append(Sounding(line_id, said.file, said.file_at, start, end - start))
    return found


class _Seen:
    """What is seen in the cut, event by event: clips, their files and where those would begin, lines for silence."""

    def __init__(self, followed: Followed, places: Mapping[str, Sequence[Place]], rows: Mapping[str, tuple[int, int]]):
        self.plan, self.lines, self.rows = followed.plan, followed.lines, rows
        self.on_paper: dict[str, tuple[int, int]] = {}
        self.places = {clip_id: sorted(found) for clip_id, found in places.items()}
        self.known = {clip.id: clip for clip in self.plan.clips}
        self.back = {back.clip: back for back in self.plan.deliveries}
        self.clips: list[Clip] = []
        self.deliveries: list[Delivered] = []
        self.begins: dict[str, Seconds] = {}
        self.pictures: list[PlanLine] = []
        self._counts: dict[str, int] = defaultdict(int)

    def add(self, event: CutEvent) -> None:
        clip = self.known.get(event.clip or "")
        if clip is None:
            return
        self._counts[clip.id] += 1
        clip_id = numbered(clip.id, self._counts[clip.id])
        words = [place for place in self.places.get(clip.id, ()) if place[0] < event.end and place[1] > event.start]
        shown = self._speaking(clip, clip_id, event, words) if words else self._silent(clip, clip_id, event)
        self.clips.append(shown)
        self.begins[clip_id] = event.start - event.source
        if clip.id in self.rows:
            moved = self.plan.rate.frame_at(self.begins[clip_id]) - self.plan.rate.frame_at(
                clip_laid_at(self.plan, clip)
            )
            self.on_paper[clip_id] = (self.rows[clip.id][0] + moved, self.rows[clip.id][1])
        if event.file is not None:
            own = self.back.get(clip.id)
            state = own.state if own is not None and own.file == event.file else "delivered"
            first = max(Fraction(0), shown.speech_start - self.begins[clip_id])
            self.deliveries.append(Delivered(clip_id, event.file, 1, state, True, first))

    def _speaking(self, clip: Clip, clip_id: str, event: CutEvent, words: Sequence[Place]) -> Clip:
        lines = tuple(dict.fromkeys(line_id for _, _, line_id, _ in words))
        own = [at for _, _, line_id, at in words if line_id == lines[0]]
        start, end = words[0][0], words[-1][1]
        return replace(
            clip, id=clip_id, line=lines[0], lines=lines, words=(min(own), max(own) + 1), start=event.start,
            end=event.end, start_frame=event.start_frame, end_frame=event.end_frame, speech_start=start,
            speech_end=end, speech=end - start, findings=(), part=clip.part if len(lines) == 1 else (1, 1),
        )  # fmt: skip

    def _silent(self, clip: Clip, clip_id: str, event: CutEvent) -> Clip:
        """Return a stretch in which nothing of the clip is heard, and keep a line without words for it."""
        line, length = self.lines[clip.line], event.end - event.start
        is_picture = clip.kind is LineKind.PICTURE
        self.pictures.append(
            replace(
                line, id=f"{line.id} {clip_id}", kind=LineKind.PICTURE, text=clip.text, words=(), start=event.start,
                end=event.end, start_frame=event.start_frame, end_frame=event.end_frame, low=length, high=length,
                take=None, take_start=None, song=None, delivered=(), findings=(),
                origin=line.origin if is_picture else Origin.ESTIMATED,
            )
        )  # fmt: skip
        return replace(
            clip, id=clip_id, kind=LineKind.PICTURE, line=self.pictures[-1].id, lines=(self.pictures[-1].id,),
            words=(0, 0), start=event.start, end=event.end, start_frame=event.start_frame, end_frame=event.end_frame,
            speech_start=event.start, speech_end=event.start, speech=Fraction(0), findings=(),
            part=clip.part if is_picture else (1, 1),
        )  # fmt: skip
