"""The frame sheets of a plan: what stands on which sheet, and the sheets drawn.

Several short clips share a sheet; each has a band that says what to draw and rows that count from its own first
frame. A picture passage has a sheet's share of its own with room for a sketch.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from timing.language.registry import language_of
from timing.model import Clip, Plan
from timing.sheet import furniture
from timing.sheet.fonts import BOLD, REGULAR, Typeface
from timing.sheet.frame.band import Band, asked, band
from timing.sheet.frame.content import aspects, row_digests
from timing.sheet.frame.frame_sheet import Window, draw_panel, grid, numbers
from timing.sheet.frame.picture_sheet import draw_picture, seconds_from
from timing.sheet.frame.score import Passage, ScoreWriter, display_name, passages_of
from timing.sheet.frame.slots import HALVES, Slot, columns_of, known_pages, pages_that_hold, settled
from timing.sheet.furniture import READ, SMALL
from timing.sheet.ink import Ink, Page, Region
from timing.sheet.ipa import key_of
from timing.sheet.paper import (
    GUTTER,
    LEAST_PITCH,
    LEAST_WORD_PITCH,
    LEFT,
    RIGHT,
    Panel,
    frame_layout,
    rows_for,
    rows_in,
)
from timing.sheet.revise import SLOT_END, Revision, Sheet, row_digest
from timing.sheet.wrapped import wrap

PART, CAPTION = "frames", "frame sheet"
WIDEST_LABEL = "888 AA"  # room is left for
EPISODE_BAND = 14.0  # over the rows of a set that counts through the episode
CLOSER_PITCH = 2.95  # mm a frame where a clip's last rows share a column with the next clip
LEAST_TAIL = 12  # frames of them
LOW_GOES_ON = 7.0  # mm over them where they share a column
GOES_ON = 28.0  # mm over the rows of a clip that goes on: its number, two pictures to draw
FROM_BAND = 0.5  # mm from the band's foot to the heads of the columns
MOST_SEEN = 2  # lines that name the clips seen in them


class FrameSheets:
    """The frame sheets, in order."""

    def __init__(self, plan: Plan, face: Typeface, scores: ScoreWriter, previous: Mapping[str, Any] | None):
        settings = plan.settings.sheet
        self.plan, self.face, self.scores = plan, face, scores
        first = frame_layout(settings, plan.rate)
        chooses = bool(settings.only_clips or settings.only_speakers or settings.only_scenes)
        self.passages = passages_of(plan, settings.every_frame and not chooses)
        self.title_room = furniture.slim_room(face, first.width, self._kind(), (CAPTION, WIDEST_LABEL))
        extra = 4.2 * (len(furniture.title_lines(face, plan, self.title_room)) - 1)
        self.layout = frame_layout(settings, plan.rate, first.top + extra + 1.2)
        self.bands: dict[str, Band] = {}
        self._panels_of: dict[str, tuple[Panel, ...]] = {}
        self.slots: dict[str, Slot] = {}
        even: dict[str, Slot] = {}
        for passage in self.passages:
            slots = list(self._slots(passage))
            even |= {slot.name: slot for slot in slots}
            self.slots |= {slot.name: slot for slot in self._closer(slots)}
        self.sheets_of = pages_that_hold(list(self.slots), self._holds, known_pages(previous, PART))
        for names in self.sheets_of:  # nobody shares the last column: rows are spread over all of them
            for last in (slot for slot in map(self.slots.__getitem__, names) if slot.index and slot.is_last):
                if self._is_alone(names, last.name):
                    self.slots |= {name: even[name] for name in last.all_names}
        for names in self.sheets_of:
            self._settle(names)
        self.keys = {name: names[0] for names in self.sheets_of for name in names}
        self._home = {clip.id: passage for passage in self.passages for clip in passage.clips}
        self.grids: dict[str, Ink] = {}
        self.numbers: dict[tuple[object, ...], Ink] = {}  # by where a panel lies and how it counts
        self._digests: dict[tuple[int, int, str], list[str]] = {}

    def _kind(self) -> str:
        whole = any(passage.counts_from_episode for passage in self.passages)
        counts = "counts through the episode" if whole else "each clip counts from its frame 1"
        return f"{self.plan.rate} fps · {counts}"

    # --- what stands where -------------------------------------------------------------------------------

    def _is_full(self, passage: Passage) -> bool:
        """True where several speak at once: their words need the whole width."""
        return len(self.scores.score(passage).lanes) > 1

    def _panels(self, passage: Passage) -> tuple[Panel, ...]:
        if passage.anchor not in self._panels_of:
            self._panels_of[passage.anchor] = self._make_panels(passage)
        return self._panels_of[passage.anchor]

    def _make_panels(self, passage: Passage) -> tuple[Panel, ...]:
        score = self.scores.score(passage)
        lanes = max(1, len(score.lanes))
        lines = [self.plan.line(i) for clip in passage.clips for i in clip.lines or (clip.line,)]
        has_mouth = passage.counts_from_episode or not all(line.is_off_camera for line in lines)
        return self.layout.panels(lanes, bool(score.beats), self._is_full(passage), has_mouth, passage.length)

    def _slots(self, passage: Passage) -> Iterator[Slot]:
        is_lying = self.layout.name == "wide"
        is_full = self._is_full(passage)
        halves = HALVES if is_full or is_lying else 1
        width = self.layout.width - LEFT - RIGHT
        width = width if halves == HALVES else (width - GUTTER) / 2
        made = band(self.plan, self.face, passage, width, self.scores.cues(passage))
        if passage.counts_from_episode:
            made = Band(Ink(self.face), EPISODE_BAND)
        self.bands[passage.anchor] = made
        if passage.is_picture:
            yield Slot(passage, 0, 1, 0, 1, halves, True, made.height)
            return
        panels = 2 if is_lying and not is_full else 1
        reach = max((span.ask_end for span in self.scores.score(passage).spans), default=0)
        reach = 0 if passage.counts_from_episode else reach
        wanted = self.plan.settings.sheet.rows
        has_short = any(box.end - box.start < 2 for box in self.scores.score(passage).boxes)
        least = LEAST_WORD_PITCH if has_short else LEAST_PITCH
        count, rows = rows_for(self.layout, made.height, passage.length, reach, panels, wanted, least)
        for index in range(count):
            head = min(made.height, GOES_ON) if index else made.height
            can_share = wanted is None and halves == 1 and index + 1 == count and not passage.counts_from_episode
            low = (LOW_GOES_ON if index else made.low) if can_share else None
            first = index * rows * panels
            yield Slot(passage, index, count, rows, panels, halves, False, head, least, first, low)

    def _closer(self, slots: Sequence[Slot]) -> list[Slot]:
        """Return a passage's slots with as many rows in the first ones as can be read, so that the last is short."""
        last = slots[-1]
        if len(slots) == 1 or last.low_head is None:
            return list(slots)
        most = int(self.layout.room(slots[0].head) / max(CLOSER_PITCH, last.least))
        each = max(slots[0].planned, min(most, (last.passage.length - LEAST_TAIL) // last.index))
        return [replace(slot, planned=each, first=each * slot.index) for slot in slots]

    def _is_alone(self, names: Sequence[str], name: str) -> bool:
        """True where a slot has its column of a sheet to itself."""
        columns = columns_of([self.slots[n] for n in names], self.layout.foot - self.layout.top) or []
        return any(len(column) == 1 and column[0].name == name for column in columns)

    def _holds(self, names: Sequence[str]) -> bool:
        return columns_of([self.slots[name] for name in names], self.layout.foot - self.layout.top) is not None

    def _settle(self, names: Sequence[str]) -> None:
        """Put the slots of a sheet in their places.

        Rows of neighbours that have their columns to themselves begin at the same height, as far as they stay apart.
        """
        top, foot = self.layout.top, self.layout.foot
        columns = columns_of([self.slots[name] for name in names], foot - top) or []
        alone = [c[0] for c in columns if len(c) == 1 and not c[0].is_picture]
        head = max((slot.head for slot in alone), default=0.0)
        for slot in settled(columns, top, foot):
            is_alone = any(slot.name == one.name for one in alone)
            can_be_level = is_alone and self.layout.room(head) / slot.rows >= slot.least
            self.slots[slot.name] = replace(slot, head=head) if can_be_level else slot

    def digests(self, passage: Passage) -> list[str]:
        """Return a digest for each row of a passage."""
        key = (passage.first, passage.end, passage.name)
        if key not in self._digests:
            self._digests[key] = row_digests(self.scores.score(passage), passage.length)
        return self._digests[key]

    def sheets(self) -> Iterator[Sheet]:
        """Yield the sheets, not yet labelled."""
        for names in self.sheets_of:
            rows: list[str] = []
            for name in names:
                rows += [*self._slot_rows(self.slots[name]), SLOT_END]
            first = self.slots[names[0]]
            slots = [self.slots[name] for name in names]
            about = [aspects(self.plan, s.passage.clips, self.scores.score(s.passage)) for s in slots]
            yield Sheet(
                PART, first.passage.anchor, first.index, tuple(rows), " ".join(names), aspects="|".join(about)
            )  # fmt: skip

    def _slot_rows(self, slot: Slot) -> list[str]:
        passage = slot.passage
        said = self.bands[passage.anchor].ink.said() if slot.is_first else f"{slot.index} {slot.count}"
        if slot.is_picture:
            listed = [f"{c.id} {seconds_from(passage.clips, c)} {asked(c)}" for c in passage.clips]
            return [row_digest([said, *listed])]
        return [row_digest([said, str(slot.planned)]), *self.digests(passage)[slot.first : slot.first + slot.frames]]

    def place_of(self, clip: Clip) -> tuple[str, str, int] | None:
        """Return the sheet on which a clip begins."""
        if (passage := self._home.get(clip.id)) is None:
            return None
        slot = self.slots[f"{passage.anchor}/1"]
        index = 0 if slot.is_picture else (clip.start_frame - passage.first) // (slot.planned * slot.panels)
        first = self.slots[self.keys[f"{passage.anchor}/{index + 1}"]]
        return PART, first.passage.anchor, first.index

    # --- drawn -------------------------------------------------------------------------------------------

    def pages(self, revision: Revision, before: int, shown: Collection[str], linked: Collection[str]) -> Iterator[Page]:
        """Yield the sheets on which one of the clips ``shown`` stands; those ``linked`` have a row."""
        is_first, number = True, before
        for names in self.sheets_of:
            slots = [self.slots[name] for name in names]
            if not any(s.passage.counts_from_episode or any(c.id in shown for c in s.passage.clips) for s in slots):
                continue
            number += 1
            page = self._sheet(slots, revision, number, linked)
            outline = [(0, "Frame sheets", "frames")] if is_first else []
            # The PDF library keeps one title for each bookmark, so every entry needs a bookmark of its own.
            outline += [
                (1, f"{entry(clip)} ({page.label})", f"clip-{clip.id}")
                for slot in slots
                for clip in slot.passage.clips
                if slot.is_picture or slot.first <= clip.start_frame - slot.passage.first < slot.first + slot.frames
            ]
            page.outline, page.extra_keys = tuple(outline), tuple(key for _, _, key in outline)
            is_first = False
            yield page

    def _sheet(self, slots: Sequence[Slot], revision: Revision, number: int, linked: Collection[str]) -> Page:
        layout, plan, ink = self.layout, self.plan, Ink(self.face)
        sheet = revision.sheet(PART, slots[0].passage.anchor, slots[0].index)
        corner = CAPTION, sheet.label
        furniture.slim_header(ink, layout.width, layout.height, plan, self._kind(), corner, self.title_room)
        forms: list[tuple[str, Ink]] = []
        marks: dict[str, furniture.Mark] = {}
        vowels: set[str] = set()
        regions: list[Region] = []
        at = 0
        for slot in slots:
            rows = sheet.changed
            count = len(self._slot_rows(slot))
            changed = frozenset(row - at for row in rows if at <= row < at + count)
            at += count + 1
            width = self._width(slot)
            x = LEFT + slot.column * (width + GUTTER)
            regions += self._regions(slot, x, width)
            self._head(ink, slot, x, width, linked)
            if slot.is_picture:
                draw_picture(
                    ink, plan, slot.passage.clips, x, slot.top + slot.head + 1, width,
                    slot.foot,
                )  # fmt: skip
                if changed:
                    furniture.changed_bar(ink, x + width + RIGHT, slot.top, slot.foot)
            else:
                forms += self._rows(ink, slot, x, changed, marks, vowels)
        if slots[-1].halves < HALVES and slots[-1].column == 0:
            width = self._width(slots[-1])
            self._spare(ink, LEFT + width + GUTTER, width)
        if sheet.changed:
            marks["changed"] = furniture.CHANGED
        if ink.has_blanks:
            marks["blanks"] = furniture.BLANKS
        beside = furniture.footer_text(ink, plan, number)
        y = furniture.legend(ink, layout.width, layout.height, list(marks.values()), beside) if marks else 0.0
        if key := key_of(vowels, language_of(plan.language).vowel_words):
            for n, line in enumerate(reversed(wrap(self.face, key, REGULAR, READ, layout.width - LEFT - RIGHT))):
                ink.text(LEFT, y - 0.9 - 3.6 * n, line, REGULAR, READ)
        furniture.footer(ink, layout.width, layout.height, plan, number)
        key = sheet_key(slots[0].passage.anchor, slots[0].index)
        return Page(
            layout.width,
            layout.height,
            key,
            ink,
            tuple(forms),
            label=f"frame sheet {sheet.label}",
            regions=tuple(regions),
        )

    def _regions(self, slot: Slot, x: float, width: float) -> Iterator[Region]:
        """Yield what is read of a slot, in order: the band, then its panels."""
        top, foot = slot.top, slot.foot
        if slot.panels == 1:
            yield Region(x, top, x + width, foot)
            return
        rows = top + slot.head + FROM_BAND
        yield Region(x, top, x + width, rows)
        for panel in self._panels(slot.passage):
            yield Region(panel.left, rows, panel.right, foot)

    def _width(self, slot: Slot) -> float:
        inner = self.layout.width - LEFT - RIGHT
        return inner if slot.halves == HALVES else (inner - GUTTER) / 2

    def _head(self, ink: Ink, slot: Slot, x: float, width: float, linked: Collection[str]) -> None:
        """Draw the band of a clip's first sheet, the number of a clip that goes on over the others."""
        passage, top = slot.passage, slot.top
        if passage.counts_from_episode:
            last = min(slot.first + slot.frames, passage.length)
            ink.text(x, top + 5, f"frames {slot.first + 1}–{last}", BOLD, 11)
            seen = [c.id for c in passage.clips if c.start_frame < last and c.end_frame > slot.first]
            for n, line in enumerate(wrap(self.face, " · ".join(seen), REGULAR, READ, width)[:MOST_SEEN]):
                ink.text(x, top + 9 + 3.6 * n, line, REGULAR, READ)
            return
        if slot.is_first:
            ink.place(self.bands[passage.anchor].ink, x, top)
        else:
            self._goes_on(ink, slot, x, width)
        if passage.clips[0].id in linked:
            ink.link(x, top, x + width, top + 6.5, f"row-{passage.clips[0].id}")

    def _goes_on(self, ink: Ink, slot: Slot, x: float, width: float) -> None:
        passage, top = slot.passage, slot.top
        ink.text(x, top + 5.6, passage.name, BOLD, 16)
        told = f"goes on · {slot.index + 1} of {slot.count}"
        ink.text(x + ink.width(passage.name, BOLD, 16) + 3, top + 5.6, told, BOLD, 11)
        box = slot.head - 9.5
        if box > 9:
            high = min(box, (width - 4) / 2 * 9 / 16)
            for n in (0, 1):
                ink.box(x + n * (high * 16 / 9 + 4), top + 7.6, high * 16 / 9, high, 0.4)

    def _rows(
        self, ink: Ink, slot: Slot, x: float, changed: frozenset[int], marks: dict[str, furniture.Mark],
        vowels: set[str],
    ) -> Iterator[tuple[str, Ink]]:  # fmt: skip
        passage, layout = slot.passage, self.layout
        score, height = self.scores.score(passage), slot.head
        ends = max([passage.length, *(span.ask_end for span in score.spans)])
        panels = [p for p in self._panels(passage) if slot.panels > 1 or abs(p.left - x) < 0.01]
        for n, panel in enumerate(panels):
            start = slot.first + n * slot.rows
            rows = rows_in(layout, panel, height, slot.rows, slot.top, slot.foot)
            window = Window(rows, start, start + slot.rows, ends)
            counted = start + (passage.first if passage.counts_from_episode else 0)
            key = (
                x,
                n,
                rows.top,
                rows.foot,
                slot.rows,
                counted,
                min(window.f1, ends) - start,
                len(score.lanes),
                bool(score.beats),
            )
            if key not in self.numbers:
                self.numbers[key] = numbers(self.face, window, passage)
            ink.place(self.numbers[key], 0, 0)
            draw_panel(ink, window, score)
            phase = start % layout.second
            name = f"grid-{x:.0f}-{n}-{rows.top:.2f}-{rows.foot:.2f}-{slot.rows}-{phase}"
            name += f"-{len(score.lanes)}{bool(score.beats):d}"
            name += "" if "mouth" in panel.columns else "-unseen"
            if name not in self.grids:
                self.grids[name] = grid(self.face, rows, phase)
            yield name, self.grids[name]
            for row in changed:
                if row == 0 and n == 0:  # the band, over all panels
                    furniture.changed_bar(ink, x + self._width(slot) + RIGHT, slot.top, rows.top)
                elif 0 <= row - 1 - n * slot.rows < slot.rows:
                    y = rows.top + (row - 1 - n * slot.rows) * rows.pitch
                    furniture.changed_bar(ink, panel.right + RIGHT, y, y + rows.pitch)
        seen = score.near(slot.first, slot.first + slot.frames)
        vowels |= {v.sign for v in seen.vowels}
        self._explain(marks, slot, seen, ends)

    def _explain(self, marks: dict[str, furniture.Mark], slot: Slot, seen: Any, ends: int) -> None:
        """Add the marks that stand in a slot to the legend."""
        f0, f1 = slot.first, slot.first + slot.frames
        found = {
            "word": furniture.WORD, "stress": furniture.STRESS, "syllable": furniture.SYLLABLE,
            "lips": furniture.LIPS, "teeth": furniture.TEETH, "silence": furniture.SILENCE,
            "speech": furniture.SPEECH_MARK, "handle": furniture.HANDLE_MARK,
        }  # fmt: skip
        if seen.sound:
            found["sound"] = furniture.SOUND
        if any(span.ask_end > max(span.end, f0) and span.end <= f1 for span in seen.spans):
            beyond = ends if f1 >= slot.passage.length and ends > f1 and slot.halves == HALVES else None
            found["left over"] = furniture.left_over(beyond)
        told = self.bands[slot.passage.anchor].ink if slot.is_first else None
        if any(box.fault for box in seen.boxes) or (told and any(t[2] == "!" for g in told.texts.values() for t in g)):
            found["fault"] = furniture.FAULT
        marks |= {name: mark for name, mark in found.items() if name not in marks}

    def _spare(self, ink: Ink, x: float, width: float) -> None:
        """Give the free half of a sheet to the pencil."""
        y, high = self.layout.top + 2, width * 9 / 16
        while y + high < self.layout.foot:
            ink.box(x, y, width, high, 0.4)
            y += high + 4
        ink.text(x + 1.2, self.layout.top + 5.4, "room to draw", BOLD, SMALL)


def sheet_key(anchor: str, index: int) -> str:
    """Return the bookmark of a frame sheet."""
    return f"sheet-{anchor}-{index + 1}"


def entry(clip: Clip) -> str:
    """Return a clip as the outline names it."""
    words = " ".join(clip.text.split()[:5])
    name = display_name(clip.speaker)
    return f"{clip.id} {name}: {words}" if name else f"{clip.id} {words}"
