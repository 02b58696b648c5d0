"""The whole set in order: clip table, strips, frame sheets, bar sheets, line list."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from pathlib import PurePosixPath
from typing import Any

from timing.language.registry import language_of
from timing.model import Clip, LineKind, Plan
from timing.plain.errors import SettingsError
from timing.plain.nearest import meant
from timing.sheet import furniture
from timing.sheet.bars.bar_sheet import SongSheets
from timing.sheet.bars.strips import Strips
from timing.sheet.characters import character_findings
from timing.sheet.draw import About, Writer
from timing.sheet.fonts import REGULAR, Typeface, load_typeface
from timing.sheet.frame.content import row_digests, sheets_of
from timing.sheet.frame.frame_sheet import Window, draw_panel, grid
from timing.sheet.frame.score import Passage, ScoreWriter, display_name, passages_of
from timing.sheet.ink import Ink, Page
from timing.sheet.ipa import key_of
from timing.sheet.origin import said_how, timed_by
from timing.sheet.paper import LEFT, RIGHT, ROWS_TOP, Layout, fitted, frame_layout, paper_size, without_music
from timing.sheet.printed_set import SheetSet
from timing.sheet.revise import Revision, readable, revise
from timing.sheet.tables import line_list
from timing.sheet.tables.clip_rows import rows_of
from timing.sheet.tables.clip_table import Table

PARTS = {
    "clips": "clip table",
    "strips": "strips",
    "frames": "frame sheets",
    "bars": "bar sheets",
    "lines": "line list",
}


def render(plan: Plan, previous: Mapping[str, Any] | None = None) -> SheetSet:
    """Return the printed set; see :func:`timing.sheet.render_sheets`."""
    return _Set(plan, previous).render()


def lay_out(plan: Plan, previous: Mapping[str, Any] | None = None) -> list[Page]:
    """Return the pages with every mark in its place, before anything is drawn."""
    return list(_Set(plan, previous).pages())


class _Set:
    """One printed set in the making."""

    def __init__(self, plan: Plan, previous: Mapping[str, Any] | None):
        settings = plan.settings.sheet
        unknown = [part for part in settings.parts if part not in PARTS]
        if unknown:
            raise SettingsError(f'part "{unknown[0]}" is not known; choose from {", ".join(PARTS)}')
        paper_size(settings.paper)
        previous = readable(previous)
        self.plan, self.settings = plan, settings
        self.layout: Layout = frame_layout(settings, plan.rate)
        self.face: Typeface = load_typeface(settings.font)
        self.scores = ScoreWriter(plan)
        chooses = bool(settings.only_clips or settings.only_speakers or settings.only_scenes)
        self.passages = passages_of(plan, settings.every_frame and not chooses)
        self.clips = chosen_clips(plan)
        self.songs = [sheets for song in plan.songs if (sheets := SongSheets(plan, song, self.scores)).systems]
        self.strips = Strips(plan, self.scores, self._digests, previous)
        self._row_digests: dict[tuple[int, int, str], list[str]] = {}
        self.revision = self._revise(previous)
        self._places = self._first_sheets()
        self._shown = {clip.id for clip in self.clips}
        if "frames" in settings.parts:
            self.strips.link_of = self._link
        self.grids: dict[str, Ink] = {}

    def _revise(self, previous: Mapping[str, Any] | None) -> Revision:
        sheets = [
            sheet
            for passage in self.passages
            for sheet in sheets_of(passage, self._digests(passage), self._layout(passage))
        ]
        for song in self.songs:
            sheets += song.sheets(self._digests(song.passage))
        sheets += self.strips.sheets()
        s = self.settings
        design = f"{s.paper} {s.layout} {self.layout.rows} {self.plan.rate.name} {int(s.every_frame)}"
        return revise(sheets, design, previous, s.parts)

    def _layout(self, passage: Passage) -> Layout:
        """Return the passage's own layout; rows the user asked for, and those of the whole episode, stay."""
        if self.settings.rows is not None or passage.counts_from_episode:
            return self.layout
        reach = max((span.ask_end for span in self.scores.score(passage).spans), default=0)
        return fitted(self.layout, passage.length, reach)

    def _digests(self, passage: Passage) -> list[str]:
        key = (passage.first, passage.end, passage.name)
        if key not in self._row_digests:
            self._row_digests[key] = row_digests(self.scores.score(passage), passage.length)
        return self._row_digests[key]

    def render(self) -> SheetSet:
        plan, parts = self.plan, [part for part in PARTS if part in self.settings.parts]
        about = About(
            f"{furniture.episode_name(plan)}: timing sheets",
            ", ".join(PARTS[part] for part in parts),
            f"timing {_version()}",
            plan.language.replace("_", "-"),
        )
        writer = Writer(self.face, about)
        for page in self.pages():
            writer.add(page)
        return SheetSet(
            writer.finish(), self.revision.register, character_findings(plan, self.face), self.revision.sentences
        )

    def pages(self) -> Iterator[Page]:
        """Yield every page, laid out, in order; one blank page where nothing was chosen."""
        count = 0
        for part in PARTS:
            if part in self.settings.parts:
                for page in self._pages(part, count):
                    count += 1
                    if part in ("clips", "lines"):  # elsewhere it is in the legend
                        furniture.replaced_note(page.ink, page.width, page.height)
                    page.label = page.label or f"page {count}"
                    yield page
        if not count:
            yield Page(*paper_size(self.settings.paper), "empty", Ink(self.face))

    def _pages(self, part: str, before: int) -> Iterator[Page]:
        if part == "clips":
            yield from self._clip_table()
        elif part == "frames":
            yield from self._frame_sheets(before)
        elif part == "strips":
            pages = self.strips.pages(self.face, self.revision, before, {clip.id for clip in self.clips})
            yield from _headed(pages, "Strips", "strips")
        elif part == "bars":
            yield from _headed(self._bar_sheets(before), "Bar sheets", "bars")
        elif part == "lines":
            chosen = {line for clip in self.clips for line in (clip.line, *clip.lines)}
            lines = [line for line in self.plan.lines if line.id in chosen]
            yield from line_list.pages(self.plan, self.face, lines, self.clips, before + 1, self._link)

    def _bar_sheets(self, before: int) -> Iterator[Page]:
        shown = {clip.id for clip in self.clips}
        for song in self.songs:
            if len(shown) == len(self.plan.clips) or any(clip.id in shown for clip in song.passage.clips):
                yield from song.pages(self.face, self.revision, before)
                before += song.count

    # --- clip table --------------------------------------------------------------------------------------

    def _clip_table(self) -> list[Page]:
        printed = "frames" in self.settings.parts

        def label(clip: Clip) -> str:
            place = self._places.get(clip.id)
            return self.revision.sheet(*place).label if place else "–"

        frames = sum(sheet.part == "frames" for sheet in self.revision.sheets)
        counts = f"{frames} frame sheet{'s' * (frames != 1)}, usually of {self.layout.frames} frames" if printed else ""
        sentences = self.revision.sentences
        return Table(self.plan, self.face, rows_of(self.plan, self.clips), label, self._link, sentences, counts).pages()

    def _first_sheets(self) -> dict[str, tuple[str, str, int]]:
        """Return where each clip begins: on its frame sheet, or on its strip where only strips are printed."""
        if "strips" in self.settings.parts and "frames" not in self.settings.parts:
            return {clip_id: ("strips", ids[0], 0) for ids in self.strips.pages_ids for clip_id in ids}
        found = {}
        for passage in self.passages:
            for clip in passage.clips:
                index = (clip.start_frame - passage.first) // self._layout(passage).frames
                found[clip.id] = ("frames", passage.anchor, index)
        return found

    def _link(self, clip: Clip) -> str | None:
        """Return the bookmark of the clip's first printed sheet."""
        part, anchor, index = self._places.get(clip.id, ("", "", 0))
        if part not in self.settings.parts or clip.id not in self._shown:
            return None
        return sheet_key(anchor, index) if part == "frames" else f"strip-{anchor}"

    # --- frame sheets ------------------------------------------------------------------------------------

    def _frame_sheets(self, before: int) -> Iterator[Page]:
        shown = {clip.id for clip in self.clips}
        is_first = True
        number = before
        for passage in self.passages:
            if not any(clip.id in shown for clip in passage.clips) and not passage.counts_from_episode:
                continue
            score = self.scores.score(passage)
            starts = [clip.start_frame - passage.first for clip in passage.clips]
            frames = self._layout(passage).frames
            for index in range(-(-passage.length // frames)):
                number += 1
                page = self._frame_sheet(passage, score, index, number, starts)
                # The PDF library keeps one title for each bookmark, so every entry needs a bookmark of its own.
                outline = [(0, "Frame sheets", "frames")] if is_first else []
                f0, f1 = index * frames, (index + 1) * frames
                outline += [
                    (1, f"{_entry(clip)} ({page.label})", f"clip-{clip.id}")
                    for clip in passage.clips
                    if f0 <= clip.start_frame - passage.first < f1
                ]
                page.outline = tuple(outline)
                page.extra_keys = tuple(key for _, _, key in outline)
                is_first = False
                yield page

    def _frame_sheet(self, passage: Passage, score: Any, index: int, number: int, starts: Sequence[int]) -> Page:
        layout, plan = self._layout(passage), self.plan
        if not score.beats:
            layout = without_music(layout)
        f0 = index * layout.frames
        f1 = f0 + layout.frames
        sheet = self.revision.sheet("frames", passage.anchor, index)
        ink = Ink(self.face)
        here = passage.clips[max(0, bisect_right(starts, f0) - 8) : bisect_right(starts, f1 - 1)]
        here = tuple(c for c in here if c.end_frame - passage.first > f0)
        name = furniture_name(here) if here else "–"
        speakers = " + ".join(dict.fromkeys(display_name(c.speaker) for c in here if c.speaker)) or "–"
        last = min(f1, passage.length)
        if passage.counts_from_episode:
            facts = [
                ("frames", f"{f0 + 1}–{last}"),
                ("time", f"{furniture.clock(f0, layout.second)}–{furniture.clock(f1, layout.second)}"),
            ]
        else:
            sheets = -(-passage.length // layout.frames)
            facts = [
                ("sheet of the clip", f"{index + 1} of {sheets}"),
                ("frames in clip", f"{f0 + 1}–{last}"),
                ("in the episode", f"{passage.first + f0 + 1}–{passage.first + last}"),
            ]
        facts += [("fps", str(plan.rate)), ("speaker", speakers)]
        back = dict.fromkeys(PurePosixPath(d.file).name for c in here if (d := plan.delivered(c.id)))
        if back:
            facts.append(("delivered", " + ".join(back)))
        counts_from = "through the episode" if passage.counts_from_episode else f"from the start of {passage.anchor}"
        furniture.header(
            ink, layout.width, plan, f"counts {counts_from}", name, facts, ("frame sheet", sheet.label),
            times_from(plan, here),
        )  # fmt: skip
        seen = score.near(f0, f1)
        ends = max([passage.length, *(span.ask_end for span in score.spans)])
        vowel_words = language_of(plan.language).vowel_words
        for n, panel in enumerate(layout.panels):
            start = f0 + n * layout.rows
            draw_panel(ink, Window(layout, panel, start, start + layout.rows, ends), score, passage)
            if vowel_words:
                key = key_of((v.sign for v in seen.vowels if start <= v.frame < start + layout.rows), vowel_words)
                furniture.vowel_key(ink, layout, panel, key)
        self._changed(ink, layout, sheet.changed)
        marks = [furniture.WORD, furniture.STRESS, furniture.LIPS, furniture.TEETH, furniture.SILENCE,
                 furniture.HANDLE_MARK]  # fmt: skip
        if any(box.fault and f0 <= box.start for box in seen.boxes):
            marks.append(furniture.FAULT)
        if any(span.ask_end > max(span.end, f0) and span.end <= f1 for span in seen.spans):
            marks.append(furniture.left_over(ends if f1 >= passage.length and ends > f1 else None))
        if ink.has_replaced:
            marks.append(furniture.REPLACED)
        if sheet.changed:
            marks.append(furniture.CHANGED)
        corner = ink.width(furniture.footer_text(ink, plan, number), REGULAR, 6.5)
        furniture.legend(ink, layout.height, marks, room=layout.width - LEFT - RIGHT - corner)
        furniture.footer(ink, layout.width, layout.height, plan, number)
        phase = f0 % layout.second
        form = f"grid-{layout.rows}-{phase}{'' if score.beats else '-spoken'}"
        if form not in self.grids:
            self.grids[form] = grid(self.face, layout, phase)
        return Page(
            layout.width, layout.height, sheet_key(passage.anchor, index), ink, form, self.grids[form],
            label=f"frame sheet {sheet.label}",
        )  # fmt: skip

    def _changed(self, ink: Ink, layout: Layout, rows: frozenset[int]) -> None:
        for row in sorted(rows):
            y = ROWS_TOP + row % layout.rows * layout.pitch
            right = layout.panels[row // layout.rows].right
            furniture.changed_bar(ink, right + RIGHT, y, y + layout.pitch)


def _headed(pages: Iterator[Page], title: str, key: str) -> Iterator[Page]:
    """Yield the pages, the first one under a heading of its own in the outline."""
    for n, page in enumerate(pages):
        if n == 0:
            page.outline = ((0, title, key), *page.outline)
            page.extra_keys = (key,)
        yield page


def times_from(plan: Plan, clips: Sequence[Clip]) -> str:
    """Return where the times of the clips' lines come from, once where it is the same for all."""
    lines = dict.fromkeys(line_id for clip in clips for line_id in clip.lines or (clip.line,))
    told: dict[str, list[str]] = {}
    for line_id in lines:
        line = plan.line(line_id)
        told.setdefault(said_how(line) + timed_by(plan, line), []).append(line_id)
    if len(told) == 1:
        cut = clips[0].frames_cut(plan.rate) if len(clips) == 1 else 0
        return next(iter(told)) + (f" · frame 1 here is frame {cut + 1} of the clip as made" if cut else "")
    return " · ".join(f"line{'s' * (len(ids) > 1)} {', '.join(ids)}: {text}" for text, ids in told.items())


def furniture_name(clips: Sequence[Clip]) -> str:
    names = [c.id for c in clips if c.kind is not LineKind.PICTURE] or [c.id for c in clips]
    if len(names) == 2 and names[0].split(".")[0] != names[1].split(".")[0]:
        return " + ".join(names)
    return names[0] if len(names) == 1 else f"{names[0]}–{names[-1]}"


def sheet_key(anchor: str, index: int) -> str:
    """Return the bookmark of a frame sheet."""
    return f"sheet-{anchor}-{index + 1}"


def _entry(clip: Clip) -> str:
    words = " ".join(clip.text.split()[:5])
    name = display_name(clip.speaker)
    return f"{clip.id} {name}: {words}" if name else f"{clip.id} {words}"


def chosen_clips(plan: Plan) -> tuple[Clip, ...]:
    """Return the clips the settings choose; raises SettingsError when they name something that is not there.

    "C04" chooses all parts of a split line, "rock" every scene whose heading holds it; case does not matter.
    """
    settings = plan.settings.sheet
    clips = plan.clips

    def keep(wanted: Sequence[str], kind: str, of: Any) -> None:
        nonlocal clips
        if not wanted:
            return
        asked = {name.strip().casefold() for name in wanted}
        known = {name for clip in plan.clips for name in of(clip)}
        for name in wanted:
            if name.strip().casefold() not in known:
                raise SettingsError(f'there is no {kind} "{name}" in this episode{_near(name, kind, plan)}')
        clips = tuple(clip for clip in clips if asked & of(clip))

    keep(settings.only_clips, "clip", _clip_names)
    keep(settings.only_speakers, "speaker", lambda c: {(c.speaker or "").casefold()} - {""})
    wanted = [name.strip().casefold() for name in settings.only_scenes]
    keep(settings.only_scenes, "scene", lambda c: {n for n in wanted if n and n in (c.scene or "").casefold()})
    return clips


def _clip_names(clip: Clip) -> set[str]:
    """Return what a clip may be called: "C04.1", "C04", "C4.1", "C4", in small letters."""
    whole = clip.id.casefold()
    names = {whole, whole.split(".")[0]}
    return names | {re.sub(r"^c0+", "c", name) for name in names}


def _near(name: str, kind: str, plan: Plan) -> str:
    of = {"clip": lambda c: c.id, "speaker": lambda c: c.speaker, "scene": lambda c: c.scene}[kind]
    names = list(dict.fromkeys(n for n in map(of, plan.clips) if n))
    advice = meant(name, names, f"there are: {', '.join(names[:8])}{' …' * (len(names) > 8)}")
    return f"; {advice}" if names else ""


def _version() -> str:
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("timing-sheets")
    except PackageNotFoundError:
        return "0"
