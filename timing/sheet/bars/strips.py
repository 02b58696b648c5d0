"""Strips: for speech what the bar sheet is for song; one row a clip, four rows a page, eight seconds across.

The compact set: a five-minute episode is about fourteen pages. A clip longer than the row goes on in the next.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from timing.model import Clip, LineKind, Plan
from timing.plain.figures import figure
from timing.sheet.bars.across import Across
from timing.sheet.fonts import BOLD, REGULAR, Typeface
from timing.sheet.frame.score import Passage, ScoreWriter, display_name
from timing.sheet.furniture import changed_bar, footer, header, legend_line
from timing.sheet.ink import BEAT, Ink, Page
from timing.sheet.origin import said_how, timed_by
from timing.sheet.paper import LEFT, RIGHT, paper_size, quarter_second
from timing.sheet.revise import Revision, Sheet, row_digest
from timing.sheet.wrapped import shorten_middle

ROWS, SECONDS_ACROSS = 4, 8
RULER, ACTION = 11.2, 25.0  # where the frames are counted, and the lane for the pencil begins
TOP = 23.0
LEGEND = (
    "grey: sound · thick: speech · dashed: handle · dotted: left over · tick: a syllable begins · "
    "bold: stressed · slanted: to a word beside its tick · line: held · black: lips closed · hollow: lip on teeth · "
    "uprights: lengths on the menu"
)


def strip_pages(
    clips: Sequence[Clip], row_counts: Mapping[str, int], previous: Sequence[Sequence[str]]
) -> list[list[str]]:
    """Return the clip ids of each page.

    ``previous`` are the pages of the last set. A page keeps the clips it had; an added clip goes where its
    predecessor is, and only a page that overflows breaks in two, so that nothing behind it moves.
    """
    home = {clip_id: n for n, page in enumerate(previous) for clip_id in page}
    groups: list[tuple[int, list[str]]] = []
    for clip in clips:
        place = home.get(clip.id, groups[-1][0] if groups else -1)
        if groups and groups[-1][0] == place:
            groups[-1][1].append(clip.id)
        else:
            groups.append((place, [clip.id]))
    pages: list[list[str]] = []
    for place, ids in groups:
        page: list[str] = []
        used = 0
        # Clips behind the last known page simply fill pages.
        del place
        for clip_id in ids:
            rows = row_counts[clip_id]
            if page and used + rows > ROWS:
                pages.append(page)
                page, used = [], 0
            page.append(clip_id)
            used += rows
        pages.append(page)
    return pages


class Strips:
    """The strip sheets of a plan's spoken and sung clips."""

    def __init__(
        self, plan: Plan, scores: ScoreWriter, digests: Callable[[Passage], list[str]],
        previous: Mapping[str, Any] | None,
    ):  # fmt: skip
        self.plan, self.scores, self.digests = plan, scores, digests
        self.link_of: Callable[[Clip], str | None] = lambda clip: None
        self.clips = {c.id: c for c in plan.clips if c.kind is not LineKind.PICTURE}
        self.frames = SECONDS_ACROSS * plan.rate.nominal
        counts = {c.id: max(1, -(-(c.end_frame - c.start_frame) // self.frames)) for c in self.clips.values()}
        known = [str(s["facts"]).split(" ") for s in (previous or {}).get("sheets", ()) if s["part"] == "strips"]
        self.pages_ids = strip_pages(list(self.clips.values()), counts, known)

    def _passage(self, clip: Clip) -> Passage:
        return Passage(clip.id, clip.start_frame, clip.end_frame, (clip,))

    def sheets(self) -> Iterator[Sheet]:
        """Yield the strip sheets, not yet labelled; a row is a clip."""
        for ids in self.pages_ids:
            rows = []
            for clip_id in ids:
                passage = self._passage(self.clips[clip_id])
                rows.append(row_digest(["".join(self.digests(passage)), clip_id]))
            yield Sheet("strips", ids[0], 0, tuple(rows), " ".join(ids))

    def pages(self, face: Typeface, revision: Revision, before: int, shown: set[str]) -> Iterator[Page]:
        width, height = paper_size(self.plan.settings.sheet.paper, is_landscape=True)
        each = (height - 33) / ROWS
        number = before
        for ids in self.pages_ids:
            chosen = [clip_id for clip_id in ids if clip_id in shown]
            if not chosen:
                continue
            number += 1
            sheet = revision.sheet("strips", ids[0], 0)
            ink = Ink(face)
            name = chosen[0] if len(chosen) == 1 else f"{chosen[0]}–{chosen[-1]}"
            facts = [("fps", str(self.plan.rate)), ("across", f"{SECONDS_ACROSS} s, {self.frames} frames")]
            header(
                ink, width, self.plan, "frames count from each clip’s first", name, facts, ("strip sheet", sheet.label)
            )
            top = TOP
            for at, clip_id in enumerate(ids):
                if clip_id not in shown:
                    continue
                begins = top
                top = self._clip(ink, self.clips[clip_id], top, each, width)
                if at in sheet.changed:
                    changed_bar(ink, width, begins + 1, top - 1)
            legend_line(ink, width, height, self.plan, number, LEGEND)
            footer(ink, width, height, self.plan, number)
            key = f"strip-{ids[0]}"
            label = f"strip sheet {sheet.label}"
            yield Page(width, height, key, ink, outline=((1, f"{name} ({label})", key),), label=label)

    def _clip(self, ink: Ink, clip: Clip, top: float, each: float, width: float) -> float:
        passage = self._passage(clip)
        score = self.scores.score(passage)
        span = score.spans[0]
        quarter = quarter_second(self.plan.rate.nominal)
        right = width - RIGHT
        scale = (right - LEFT) / self.frames
        shown_end = max(span.end, min(span.ask_end, self.frames))
        for f0 in range(0, max(1, passage.length), self.frames):
            f1 = min(f0 + self.frames, shown_end)
            across = Across(ink, score, lambda f, f0=f0: LEFT + (f - f0) * scale, f0, f1, right)  # type: ignore[misc]
            heard = replace(across, f1=min(f1, passage.length))  # what follows is slack, the next part's words
            self._title(ink, clip, top, f0 > 0)
            across.bracket(top + 5.9, span)
            if score.sound:
                heard.sound(top + 6.9, 4.1)
            across.ruler(top + RULER)
            for frame in range(f0, f1):
                if frame % self.plan.rate.nominal % quarter:
                    continue
                in_second = frame % self.plan.rate.nominal
                ink.line(across.x(frame), top + RULER, across.x(frame), top + RULER + 2, 0.9 if in_second == 0 else 0.5)
                ink.text(across.x(frame) + 0.5, top + RULER + 3.4, str(frame + 1), REGULAR if in_second else BOLD, 7)
            heard.words(top + RULER + 4.4)
            if f0 == 0:
                self._menu(ink, clip, across, top, right)
            foot = top + each - 1.2
            ink.line(LEFT, top + ACTION, right, top + ACTION, 0.25)
            ink.line(LEFT, foot, right, foot, 0.5)
            ink.upward(LEFT - 1.6, foot - 0.6, "action", REGULAR, 6.5)
            top += each
        return top

    def _title(self, ink: Ink, clip: Clip, top: float, is_more: bool) -> None:
        base = top + 2.4
        ink.text(LEFT, base, clip.id, BOLD, 11)
        if target := self.link_of(clip):
            ink.link(LEFT, top, LEFT + ink.width(clip.id, BOLD, 11), top + 5, target)
        x = LEFT + ink.width(clip.id, BOLD, 11) + 3
        ask = "no length holds it" if clip.ask is None else f"ask {figure(clip.ask)} s"
        name = ink.face.printable(display_name(clip.speaker))
        more = " · goes on" if is_more else ""
        ink.text(x, base, " · ".join(t for t in (name, ask) if t) + more, REGULAR, 9)
        x += ink.width(" · ".join(t for t in (name, ask) if t) + more, REGULAR, 9) + 4
        line = self.plan.line(clip.line)
        times = said_how(line) + timed_by(self.plan, line)
        place = f"in the episode {clip.start_frame + 1}–{clip.end_frame} · {times}"
        if cut := clip.frames_cut(self.plan.rate):
            place += f" · frame 1 here is frame {cut + 1} of the clip as made"
        ink.text(x, base, shorten_middle(ink.face, place, REGULAR, 7, 240 - x), REGULAR, 7)

    def _menu(self, ink: Ink, clip: Clip, across: Across, top: float, right: float) -> None:
        profile = self.plan.settings.profiles.get(clip.profile)
        for length in profile.lengths if profile else ():
            x = across.x(self.plan.rate.frame_at(length))
            if x <= right + 0.01:
                weight = 0.8 if profile and length == profile.longest else 0.3
                ink.line(x, top + 5.7, x, top + RULER, weight, BEAT)
                ink.text(min(x, right - 1), top + 5.3, f"{figure(length)}", REGULAR, 6.5, "center")
