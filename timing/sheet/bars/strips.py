"""Strips: for speech what the bar sheet is for song; one row a clip, four rows a page, eight seconds across.

The compact set: a five-minute episode is about fourteen pages. A clip longer than the row goes on in the next.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from timing.model import Clip, LineKind, Plan
from timing.plain.figures import figure
from timing.sheet import cautions
from timing.sheet.bars.across import WORD_SIZE, Across
from timing.sheet.fonts import BOLD, REGULAR, Typeface
from timing.sheet.frame.content import aspects
from timing.sheet.frame.score import Passage, ScoreWriter, display_name
from timing.sheet.frame.slots import known_pages, pages_of
from timing.sheet.furniture import READ, SMALL, caution_square, changed_bar, footer, header, legend_line
from timing.sheet.ink import BEAT, Ink, Page
from timing.sheet.origin import said_how, timed_by
from timing.sheet.paper import LEFT, RIGHT, paper_size, quarter_second
from timing.sheet.revise import Revision, Sheet, row_digest
from timing.sheet.wrapped import wrap

ROWS, SECONDS_ACROSS = 4, 8
RULER, ACTION = 10.6, 24.7  # where the frames are counted, and the lane for the pencil begins
INSET = 4.0  # for the lanes' names
FOOT_ROOM = 12.5
NOTE_LEADING = 3.6  # mm, of what stands in the pencil's lane
LEGEND = (
    "grey: sound · thick: speech · dashed: handle · thin: left over · tick: a syllable begins · "
    "bold: stressed · slanted: to a word beside its tick · line: held · black: lips closed · hollow: lip on teeth · "
    "dotted uprights: lengths on the menu"
)


class Strips:
    """The strip sheets of a plan's spoken and sung clips."""

    def __init__(
        self, plan: Plan, face: Typeface, scores: ScoreWriter, digests: Callable[[Passage], list[str]],
        previous: Mapping[str, Any] | None,
    ):  # fmt: skip
        self.plan, self.face, self.scores, self.digests = plan, face, scores, digests
        self.link_of: Callable[[Clip], str | None] = lambda clip: None
        self.clips = {c.id: c for c in plan.clips if c.kind is not LineKind.PICTURE}
        self.frames = SECONDS_ACROSS * plan.rate.nominal
        counts = {c.id: max(1, -(-(c.end_frame - c.start_frame) // self.frames)) for c in self.clips.values()}
        items = [(clip_id, counts[clip_id]) for clip_id in self.clips]
        self.pages_ids = pages_of(items, ROWS, known_pages(previous, "strips"))
        width, self.height = paper_size(plan.settings.sheet.paper, is_landscape=True)
        self.left, self.right = LEFT + INSET, width - RIGHT
        self.scale = (self.right - self.left) / self.frames

    def _passage(self, clip: Clip) -> Passage:
        return Passage(clip.id, clip.start_frame, clip.end_frame, (clip,))

    def sheets(self) -> Iterator[Sheet]:
        """Yield the strip sheets, not yet labelled; a row is a clip."""
        for ids in self.pages_ids:
            rows = []
            for clip_id in ids:
                passage = self._passage(self.clips[clip_id])
                rows.append(row_digest(["".join(self.digests(passage)), clip_id]))
            about = [aspects(self.plan, (self.clips[i],), self.scores.score(self._passage(self.clips[i]))) for i in ids]
            yield Sheet("strips", ids[0], 0, tuple(rows), " ".join(ids), aspects="|".join(about))

    def pages(self, revision: Revision, before: int, shown: set[str]) -> Iterator[Page]:
        width, height = self.right + RIGHT, self.height
        size = min([WORD_SIZE, *(self._size(clip) for clip in self.clips.values())])
        number = before
        for ids in self.pages_ids:
            chosen = [clip_id for clip_id in ids if clip_id in shown]
            if not chosen:
                continue
            number += 1
            sheet = revision.sheet("strips", ids[0], 0)
            ink = Ink(self.face)
            name = chosen[0] if len(chosen) == 1 else f"{chosen[0]}–{chosen[-1]}"
            facts = [("fps", str(self.plan.rate)), ("across", f"{SECONDS_ACROSS} s, {self.frames} frames")]
            kind = "strips; frames count from each clip’s first"
            top = header(ink, width, height, self.plan, kind, name, facts, ("strip sheet", sheet.label)) + 1.5
            each = (height - top - FOOT_ROOM) / ROWS
            for at, clip_id in enumerate(ids):
                if clip_id not in shown:
                    continue
                begins = top
                top = self._clip(ink, self.clips[clip_id], top, each, size)
                if at in sheet.changed:
                    changed_bar(ink, width, begins + 1, top - 1)
            legend_line(ink, width, height, self.plan, number, LEGEND)
            footer(ink, width, height, self.plan, number)
            key = f"strip-{ids[0]}"
            label = f"strip sheet {sheet.label}"
            yield Page(width, height, key, ink, outline=((1, f"{name} ({label})", key),), label=label)

    def _across(self, ink: Ink, clip: Clip, f0: int) -> Across:
        """Return one row of a clip: what follows its last frame is slack, or the next part's words."""
        passage = self._passage(clip)
        score = self.scores.score(passage)
        shown_end = max(score.spans[0].end, min(score.spans[0].ask_end, self.frames))
        f1 = min(f0 + self.frames, shown_end)
        return Across(ink, score, lambda f: self.left + (f - f0) * self.scale, f0, f1, self.right)

    def _size(self, clip: Clip) -> float:
        """Return the type that a clip's words want: all strips of a set have the smallest one."""
        passage, sizes = self._passage(clip), [WORD_SIZE]
        for f0 in range(0, max(1, passage.length), self.frames):
            across = self._across(Ink(self.face), clip, f0)
            sizes.append(replace(across, f1=min(across.f1, passage.length)).size_for())
        return max(READ, min(sizes))

    def _clip(self, ink: Ink, clip: Clip, top: float, each: float, size: float) -> float:
        passage = self._passage(clip)
        score, second = self.scores.score(passage), self.plan.rate.nominal
        quarter = quarter_second(second)
        for f0 in range(0, max(1, passage.length), self.frames):
            across = self._across(ink, clip, f0)
            heard = replace(across, f1=min(across.f1, passage.length))
            self._title(ink, clip, top, f0 > 0)
            across.bracket(top + 6.6, score.spans[0])
            if score.sound:
                heard.sound(top + 7.2, 3.2)
            across.ruler(top + RULER)
            for frame in range(-(-f0 // quarter) * quarter, across.f1):
                if frame % second % quarter:
                    continue
                x, in_second = across.x(frame), frame % second
                ink.line(x, top + RULER, x, top + RULER + 2, 0.9 if in_second == 0 else 0.5)
                ink.text(x + 0.5, top + RULER + 3.8, str(frame + 1), BOLD, SMALL)
            heard.words(top + RULER + 4.6, size=size)
            if f0 == 0:
                self._menu(ink, clip, across, top)
            foot = top + each - 1.2
            ink.line(self.left, top + ACTION, self.right, top + ACTION, 0.25)
            ink.line(self.left, foot, self.right, foot, 0.5)
            ink.upward(self.left - 1.2, foot - 0.6, "action", BOLD, SMALL)
            top += each
        return top

    def _title(self, ink: Ink, clip: Clip, top: float, is_more: bool) -> None:
        base = top + 3.4
        ink.text(self.left, base, clip.id, BOLD, 11)
        if target := self.link_of(clip):
            ink.link(self.left, top, self.left + ink.width(clip.id, BOLD, 11), top + 5, target)
        x = self.left + ink.width(clip.id, BOLD, 11) + 3
        ask = "no length holds it" if clip.ask is None else f"ask {figure(clip.ask)} s"
        line = self.plan.line(clip.line)
        place = said_how(line) + timed_by(self.plan, line)
        if cut := clip.frames_cut(self.plan.rate):
            place += f" · frame 1 here is frame {cut + 1} of the clip as made"
        name = display_name(clip.speaker)
        told = " · ".join(filter(None, (name, ask, "goes on" if is_more else place)))
        first, *more = wrap(ink.face, told, REGULAR, READ, self.right - x)
        room = self.right - self.left - 2
        ink.text(x, base, first, REGULAR, READ)
        if is_more:
            return
        notes = [(text, REGULAR) for text in more]
        cues = [f"frame {cue.start + 1} {cue.told}" for cue in self.scores.cues(self._passage(clip))]
        notes += [(text, BOLD) for text in wrap(ink.face, " · ".join(cues), BOLD, READ, room) if text]
        y = top + ACTION
        for text, style in notes:
            y += NOTE_LEADING
            ink.text(self.left + 1, y, text, style, READ)
        for doubt in cautions.of_clip(self.plan, clip):
            caution_square(ink, self.left + 1, y + NOTE_LEADING + 0.3, 2.8)
            for text in wrap(ink.face, doubt, BOLD, READ, room - 4):
                y += NOTE_LEADING
                ink.text(self.left + 5, y, text, BOLD, READ)

    def _menu(self, ink: Ink, clip: Clip, across: Across, top: float) -> None:
        profile = self.plan.settings.profiles.get(clip.profile)
        for length in profile.lengths if profile else ():
            x = across.x(self.plan.rate.frame_at(length))
            if x <= self.right + 0.01:
                weight = 0.8 if profile and length == profile.longest else 0.3
                ink.line(x, top + 5.4, x, top + RULER, weight, BEAT)
