"""The whole set in order: clip table, first pictures, queue, strips, frame sheets, bar sheets, line list."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from timing.model import Clip, Plan
from timing.plain.errors import SettingsError
from timing.plain.nearest import meant
from timing.sheet import furniture
from timing.sheet.bars.bar_sheet import SongSheets
from timing.sheet.bars.strips import Strips
from timing.sheet.characters import character_findings
from timing.sheet.draw import About, Writer
from timing.sheet.fonts import Typeface, load_typeface
from timing.sheet.frame.score import ScoreWriter
from timing.sheet.frame.sheets import FrameSheets, sheet_key
from timing.sheet.ink import Ink, Page
from timing.sheet.paper import frame_layout, paper_size
from timing.sheet.printed_set import SheetSet
from timing.sheet.revise import PART_NAMES, Revision, clip_news, readable, revise
from timing.sheet.tables import line_list, picture_list, queue_list
from timing.sheet.tables.clip_rows import rows_of
from timing.sheet.tables.clip_table import Table

PARTS = {
    "clips": "clip table",
    "pictures": "first pictures",
    "queue": "queue",
    "strips": "strips",
    "frames": "frame sheets",
    "bars": "bar sheets",
    "lines": "line list",
}
FEW_SHEETS = 8  # so many pages nobody wants fewer of


def render(plan: Plan, previous: Mapping[str, Any] | None = None, was_printed: bool = False) -> SheetSet:
    """Return the printed set; see :func:`timing.sheet.render_sheets`."""
    return _Set(plan, previous, was_printed).render()


def lay_out(plan: Plan, previous: Mapping[str, Any] | None = None, was_printed: bool = False) -> list[Page]:
    """Return the pages with every mark in its place, before anything is drawn."""
    return list(_Set(plan, previous, was_printed).pages())


class _Set:
    """One printed set in the making."""

    def __init__(self, plan: Plan, previous: Mapping[str, Any] | None, was_printed: bool):
        settings = plan.settings.sheet
        unknown = [part for part in settings.parts if part not in PARTS]
        if unknown:
            raise SettingsError(f'part "{unknown[0]}" is not known; choose from {", ".join(PARTS)}')
        paper_size(settings.paper)
        previous = readable(previous)
        self.plan, self.settings = plan, settings
        self.counts: dict[str, int] = {}  # pages laid out, by part
        self.fresh: list[int] = []  # numbers of the pages that are sheets to be printed since the last set
        self.was_printed = was_printed
        frame_layout(settings, plan.rate)  # raises for what cannot be
        self.face: Typeface = load_typeface(settings.font)
        self.scores = ScoreWriter(plan)
        self.clips = chosen_clips(plan)
        design = self._design()
        comparable = previous if previous and previous["design"] == design else None
        self.frames = FrameSheets(plan, self.face, self.scores, comparable)
        self.songs = [
            sheets for song in plan.songs if (sheets := SongSheets(plan, self.face, song, self.scores)).systems
        ]
        self.strips = Strips(plan, self.face, self.scores, self.frames.digests, self.frames.about, comparable)
        self.revision = self._revise(design, previous)
        self.news, self.revision.register["clips"] = clip_news(_asked(plan), previous)
        self._places = self._first_sheets()
        self._shown = {clip.id for clip in self.clips}
        if "frames" in settings.parts:
            self.strips.link_of = self._link
            for song in self.songs:
                song.link_of = self._link

    def _design(self) -> str:
        s = self.settings
        return f"{s.paper} {s.layout} {s.rows} {self.plan.rate.name} {int(s.every_frame)}"

    def _revise(self, design: str, previous: Mapping[str, Any] | None) -> Revision:
        sheets = [*self.frames.sheets()]
        for song in self.songs:
            sheets += song.sheets(self.frames.digests(song.passage))
        sheets += self.strips.sheets()
        return revise(sheets, design, previous, self.settings.parts, self.was_printed)

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
            writer.finish(), self.revision.register, character_findings(plan, self.face),
            (*self.revision.sentences, *self._pages_told()), sum(self.counts.values()), self._count_told(),
        )  # fmt: skip

    def _pages_told(self) -> list[str]:
        """Return which pages of the file the sheets to be printed are, for the printer's dialogue."""
        if not self.fresh:
            return []
        runs: list[list[int]] = []
        for number in self.fresh:
            if runs and number == runs[-1][-1] + 1:
                runs[-1].append(number)
            else:
                runs.append([number])
        told = ", ".join(f"{run[0]}-{run[-1]}" if len(run) > 1 else str(run[0]) for run in runs)
        return [f"These sheets are page{'s' * (len(self.fresh) > 1)} {told} of sheets.pdf."]

    def _count_told(self) -> str:
        """Return how many pages were laid out, part by part, and which choice would take about half of them."""
        total, frames = sum(self.counts.values()), self.counts.get("frames", 0)
        parts = ", ".join(f"{PARTS[part]} {n}" for part, n in self.counts.items() if n)
        told = f"{total} page{'s' * (total != 1)}: {parts}" if total else ""
        if frames <= FEW_SHEETS:
            return told
        if self.settings.layout == "wide":
            upright = replace(self.plan.settings, sheet=replace(self.settings, layout="page", rows=None))
            upright_plan = replace(self.plan, settings=upright)
            fewer = len(FrameSheets(upright_plan, self.face, ScoreWriter(upright_plan), None).sheets_of)
            choice = "--layout page"
        else:
            kept = ("strips" if part == "frames" else part for part in self.counts)
            fewer, choice = len(self.strips.pages_ids), f"--parts {','.join(dict.fromkeys(kept))}"
        if 3 * (total - frames + fewer) > 2 * total:
            return told
        return f"{told}; with {choice} {total - frames + fewer}"

    def pages(self) -> Iterator[Page]:
        """Yield every page, laid out, in order; one blank page where nothing was chosen."""
        count = 0
        new = {f"{PART_NAMES[sheet.part]} {sheet.label}" for sheet in self.revision.sheets if sheet.is_fresh}
        for part in PARTS:
            if part in self.settings.parts:
                for page in self._pages(part, count):
                    count += 1
                    self.counts[part] = self.counts.get(part, 0) + 1
                    if page.label in new:
                        self.fresh.append(count)
                    page.label = page.label or f"page {count}"
                    yield page
        if not count:
            yield Page(*paper_size(self.settings.paper), "empty", Ink(self.face))

    def _pages(self, part: str, before: int) -> Iterator[Page]:
        if part == "clips":
            yield from self._clip_table()
        elif part == "pictures":
            yield from picture_list.pages(self.plan, self.face, self._shown, before + 1, self._label, self._link)
        elif part == "queue":
            yield from queue_list.pages(self.plan, self.face, self._shown, before + 1, self._link)
        elif part == "frames":
            shown = {clip.id for clip in self.clips}
            yield from self.frames.pages(self.revision, before, shown, shown if "clips" in self.settings.parts else ())
        elif part == "strips":
            pages = self.strips.pages(self.revision, before, {clip.id for clip in self.clips})
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

        frames = sum(sheet.part == "frames" for sheet in self.revision.sheets)
        counts = f"{frames} frame sheet{'s' * (frames != 1)}" if printed else ""
        sentences = self.revision.sentences
        table = Table(
            self.plan, self.face, rows_of(self.plan, self.clips), self._label, self._link, sentences, counts, self.news
        )
        return table.pages()

    def _label(self, clip: Clip) -> str:
        """Return the number of the sheet on which a clip begins."""
        place = self._places.get(clip.id)
        return self.revision.sheet(*place).label if place else "–"

    def _first_sheets(self) -> dict[str, tuple[str, str, int]]:
        """Return where each clip begins: on its frame sheet, or on its strip where only strips are printed."""
        if "strips" in self.settings.parts and "frames" not in self.settings.parts:
            return {clip_id: ("strips", ids[0], 0) for ids in self.strips.pages_ids for clip_id in ids}
        return {clip.id: place for clip in self.plan.clips if (place := self.frames.place_of(clip))}

    def _link(self, clip: Clip) -> str | None:
        """Return the bookmark of the clip's first printed sheet."""
        part, anchor, index = self._places.get(clip.id, ("", "", 0))
        if part not in self.settings.parts or clip.id not in self._shown:
            return None
        return sheet_key(anchor, index) if part == "frames" else f"strip-{anchor}"


def _asked(plan: Plan) -> dict[str, tuple[str, str]]:
    """Return what is asked for of each clip: its words as they are spoken, without capitals and marks, and seconds."""
    found = {}
    for clip in (plan.requested or plan).clips:
        words = " ".join(re.findall(r"\w+", clip.text.casefold()))
        digest = hashlib.sha256(words.encode()).hexdigest()[:8]
        found[clip.id] = (digest, "–" if clip.ask is None else f"{float(clip.ask):g} s")
    return found


def _headed(pages: Iterator[Page], title: str, key: str) -> Iterator[Page]:
    """Yield the pages, the first one under a heading of its own in the outline."""
    for n, page in enumerate(pages):
        if n == 0:
            page.outline = ((0, title, key), *page.outline)
            page.extra_keys = (key,)
        yield page


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
