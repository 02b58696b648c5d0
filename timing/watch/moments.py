"""What is true on one frame of the episode, as the sheets say it.

In: a plan. Out: :class:`Moment`. Frames of the episode count from 0; ``number`` counts as on paper, from 1 at the
first frame of the clip (or of the clips that are seen together).
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass

from timing.model import Clip, LineKind, Origin, Plan, PlanLine
from timing.sheet.frame.score import display_name, passages_of, range_name, song_beats, syllable_frames
from timing.sheet.furniture import clock
from timing.sheet.origin import timed_by

ESTIMATE = "~"  # stands before everything that is only estimated


@dataclass(frozen=True, slots=True)
class Piece:
    """One syllable as printed; ``opens_word`` where a space stands before it."""

    text: str
    opens_word: bool


@dataclass(frozen=True, slots=True)
class Speech:
    """The words of a line that one clip shows; ``current`` is the index of the syllable heard now, None in silence.

    A picture passage has its text as one piece and no current syllable.
    """

    line: str
    who: str
    told: str  # where its times come from
    is_estimated: bool
    pieces: tuple[Piece, ...]
    current: int | None
    is_picture: bool = False


@dataclass(frozen=True, slots=True)
class Moment:
    """Everything a frame of the reel says."""

    frame: int  # of the episode, from 0
    clips: tuple[str, ...]
    clip_name: str  # "C05.1", "C07–C08"; empty between clips
    who: str
    ask: str  # "ask 5 s", "~ ask 5 s", "too long for one generation"
    speeches: tuple[Speech, ...]
    number: int  # as on paper, from 1
    of: int  # frames of the clip
    episode_frame: int  # from 1
    clock: str  # "0:13+12": minutes, seconds, frames
    bar_beat: str  # "3.2", empty where no song plays


class Moments:
    """Says what is true on any frame; clips, syllables and beats are found by bisection."""

    def __init__(self, plan: Plan):
        self.plan, self.rate = plan, plan.rate
        self._lines = {line.id: line for line in plan.lines}
        self._clips = sorted(plan.clips, key=lambda c: (c.start_frame, c.end_frame))
        self._starts = [clip.start_frame for clip in self._clips]
        self._longest = max((c.end_frame - c.start_frame for c in self._clips), default=0)
        self._first = {
            clip.id: (passage.first, passage.end) for passage in passages_of(plan) for clip in passage.clips
        }  # fmt: skip
        self._beats = sorted(b for song in plan.songs for b in song_beats(song, plan.rate) if b[2] or b[1] == -1)
        self._beat_frames = [frame for frame, _, _ in self._beats]
        self._edges: dict[str, tuple[tuple[Piece, int, int], ...]] = {}

    def clips_on(self, frame: int) -> list[Clip]:
        """Return the clips that are seen on a frame, earliest first."""
        first = bisect_left(self._starts, frame - self._longest)
        return [c for c in self._clips[first : bisect_right(self._starts, frame)] if frame < c.end_frame]

    def at(self, frame: int) -> Moment:
        clips = self.clips_on(frame)
        first, end = self._counted(clips, frame)
        who = list(dict.fromkeys(display_name(c.speaker) for c in clips if c.speaker))
        second = self.rate.nominal
        return Moment(
            frame,
            tuple(c.id for c in clips),
            range_name([c.id for c in clips]) if clips else "",
            " & ".join(who),
            " · ".join(dict.fromkeys(self.asked(c) for c in clips)),
            tuple(s for c in clips for s in self._speeches(c, frame)),
            frame - first + 1,
            end - first,
            frame + 1,
            f"{clock(frame, second)}+{frame % second:0{len(str(second - 1))}d}",
            self.bar_beat(frame),
        )

    def number_on(self, frame: int) -> int | None:
        """Return a frame's number as on paper, None where no clip is seen."""
        clips = self.clips_on(frame)
        return frame - self._counted(clips, frame)[0] + 1 if clips else None

    def bar_beat(self, frame: int) -> str:
        """Return the beat that a frame belongs to, "3.2"; empty before the first and after the last one."""
        at = bisect_right(self._beat_frames, frame) - 1
        if at < 0 or self._beats[at][1] == -1:
            return ""
        _, bar, beat = self._beats[at]
        return f"{bar}.{beat}"

    def _counted(self, clips: list[Clip], frame: int) -> tuple[int, int]:
        """Return the frames (first, end) among which a frame is counted on paper."""
        if clips:
            clip = clips[0]
            if clip.id in self.plan.on_paper:  # an edit may show a part of what the sheet has
                first, length = self.plan.on_paper[clip.id]
                return first, first + length
            return self._first.get(clip.id, (clip.start_frame, clip.end_frame))
        gap = next(((a, b) for a, b in self.plan.gaps if a <= frame < b), None)
        return gap or (0, self.plan.frames)

    def asked(self, clip: Clip) -> str:
        """Return what is asked for: "ask 5 s", with "~" where a line in it is only estimated."""
        if clip.ask is None:
            return "too long for one generation"
        is_estimated = any(self._lines[i].origin is Origin.ESTIMATED for i in clip.lines or (clip.line,))
        return f"{ESTIMATE + ' ' if is_estimated else ''}ask {float(clip.ask):g} s"

    def _speeches(self, clip: Clip, frame: int) -> list[Speech]:
        found = []
        for line_id in clip.lines or (clip.line,):
            line = self._lines[line_id]
            shown = range(*clip.words) if line_id == clip.line and clip.part[1] > 1 else range(len(line.words))
            found.append(self._speech(line, shown, frame))
        return found

    def _speech(self, line: PlanLine, shown: range, frame: int) -> Speech:
        is_estimated = line.origin is Origin.ESTIMATED
        told = f"{ESTIMATE + ' ' if is_estimated else ''}{timed_by(self.plan, line)}"
        who = display_name(line.speaker)
        if line.kind is LineKind.PICTURE:
            return Speech(line.id, "", told, is_estimated, (Piece(line.text, True),), None, True)
        edges = self._syllables(line, shown)
        current = next((n for n, (_, start, end) in enumerate(edges) if start <= frame < end), None)
        return Speech(line.id, who, told, is_estimated, tuple(piece for piece, _, _ in edges), current)

    def _syllables(self, line: PlanLine, shown: range) -> tuple[tuple[Piece, int, int], ...]:
        key = f"{line.id} {shown}"
        if key not in self._edges:
            self._edges[key] = tuple(
                (Piece(s.shown, n == 0), *syllable_frames(s, self.rate))
                for at in shown
                for n, s in enumerate(line.words[at].syllables)
            )
        return self._edges[key]
