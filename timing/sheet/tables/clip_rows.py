"""The rows of the clip table: together they show every frame of the episode once.

In: the plan and the chosen clips. Out, in order: a row for each clip (frames of clips that are on screen together are
shown by each of them, and say so); before the parts of a line that must be split a
row for the line; and, where all clips are shown, a row for each stretch of frames that no clip fills.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from timing.model import Clip, Cut, LineKind, Plan, PlanLine
from timing.model.basics import Passage as Happening
from timing.model.clock import Seconds
from timing.model.findings import FindingCode
from timing.sheet.figures import sum_printed, tenths
from timing.sheet.frame.score import HAPPENS, clipless


@dataclass(frozen=True)
class ClipRow:
    """One clip: one generation to ask for."""

    clip: Clip
    line: PlanLine
    beside: tuple[str, ...] = ()  # clips that are on screen at the same time

    @property
    def is_part(self) -> bool:
        return self.clip.part[1] > 1 and not self.is_picture

    @property
    def is_picture(self) -> bool:
        return self.clip.kind is LineKind.PICTURE

    @property
    def is_flagged(self) -> bool:
        """True for a part of a split line, and for a clip that nothing on the menu holds."""
        return self.is_part or self.clip.ask is None


@dataclass(frozen=True)
class SplitRow:
    """A line that no generation holds, above the rows of its parts; ``flag`` says what to do.

    ``need`` is what the parts need together, with their handles.
    """

    line: PlanLine
    clips: tuple[Clip, ...]
    flag: str

    @property
    def need(self) -> Seconds:
        return sum_printed(clip.need for clip in self.clips)


@dataclass(frozen=True)
class GapRow:
    """Frames (end excluded) without a clip; ``runs_on`` is the clip before them that is long enough to fill them."""

    start_frame: int
    end_frame: int
    what: str
    runs_on: str | None = None
    advice: str = "fill with a picture"


@dataclass(frozen=True)
class CueRow:
    """A line without a clip of its own: a sound, a wait, something seen beside a speech; ``clip`` is where it falls."""

    line: PlanLine
    clip: str | None


@dataclass(frozen=True)
class OmittedRow:
    """Clips that were in an earlier script and are gone: their numbers are not used again."""

    ids: tuple[str, ...]


Row = ClipRow | SplitRow | GapRow | CueRow | OmittedRow


def rows_of(plan: Plan, clips: Sequence[Clip]) -> list[Row]:
    """Return the table's rows, in the order of the clips."""
    lines = {line.id: line for line in plan.lines}
    gaps = list(plan.gaps) if len(clips) == len(plan.clips) and plan.cut is None else []
    rows: list[Row] = []
    beside = _beside(clips)
    of_line: dict[str, list[Clip]] = {}
    for clip in clips:
        of_line.setdefault(clip.line, []).append(clip)
    for clip in clips:
        while gaps and gaps[0][1] <= clip.start_frame:
            rows.append(_gap(plan, *gaps.pop(0)))
        row = ClipRow(clip, lines[clip.line], tuple(beside.get(clip.id, ())))
        if row.is_part and clip is of_line[clip.line][0]:
            rows.append(SplitRow(row.line, tuple(of_line[clip.line]), _flag(row.line)))
        rows.append(row)
    rows += [_gap(plan, *gap) for gap in gaps]
    if plan.cut is not None and len(clips) == len(plan.clips):
        rows = _with_gaps_of_cut(rows, plan.cut)
    rows = _with_cues(rows, plan, clips)
    return _with_omitted(rows, plan.retired_ids) if len(clips) == len(plan.clips) else rows


def places_of(plan: Plan, clip: Clip) -> tuple[tuple[int, int], ...]:
    """Return the frames (start, end; end excluded) in which a clip is seen: in the real cut where there is one."""
    return ((clip.start_frame, clip.end_frame),) if plan.cut is None else plan.cut.places(clip.id)


def _with_gaps_of_cut(rows: Sequence[Row], cut: Cut) -> list[Row]:
    """Return the rows with a low one for each stretch in which the cut shows nothing, behind the clip before it."""
    ends = {end: e.clip for e in cut.events if e.is_seen for end in (e.end_frame,)}
    behind: dict[str | None, list[Row]] = {}
    known = {row.clip.id for row in rows if isinstance(row, ClipRow)}
    for start, end in cut.gaps:
        before = ends.get(start)
        behind.setdefault(before if before in known else None, []).append(
            GapRow(start, end, "the cut shows nothing", advice="")
        )
    first = [row for row in behind.get(None, []) if isinstance(row, GapRow) and row.start_frame == 0]
    found: list[Row] = [*first]
    for row in rows:
        found += [row, *(behind.get(row.clip.id, []) if isinstance(row, ClipRow) else [])]
    return [*found, *(row for row in behind.get(None, []) if row not in first)]


def _with_cues(rows: list[Row], plan: Plan, clips: Sequence[Clip]) -> list[Row]:
    """Return the rows with one for each line that has no clip, behind what begins before it."""
    is_whole = len(clips) == len(plan.clips)
    found = list(rows)
    for line in reversed(clipless(plan)):
        clip = next((c.id for c in clips if c.start_frame <= line.start_frame < c.end_frame), None)
        if clip is None and not is_whole:
            continue
        held = next((n for n, row in enumerate(found) if isinstance(row, GapRow) and _is_held(row, line)), None)
        if held is not None:
            gap = found[held]
            assert isinstance(gap, GapRow)
            found[held] = replace(gap, what=f"line {line.id}, {HAPPENS[line.passage]}: {line.text}")
            continue
        before = (n for n, row in enumerate(rows) if _begins(row) <= line.start_frame)
        found.insert(max(before, default=-1) + 1, CueRow(line, clip))
    return found


def _is_held(gap: GapRow, line: PlanLine) -> bool:
    """True where frames without a clip are a wait, from its first frame to its last."""
    is_whole = (gap.start_frame, gap.end_frame) == (line.start_frame, line.end_frame)
    return line.passage is Happening.WAIT and is_whole


def _begins(row: Row) -> int:
    if isinstance(row, GapRow):
        return row.start_frame
    if isinstance(row, ClipRow):
        return row.clip.start_frame
    return row.clips[0].start_frame if isinstance(row, SplitRow) else 0


def _with_omitted(rows: list[Row], retired: Sequence[str]) -> list[Row]:
    """Return the rows with a low one for every run of line ids that are gone, behind the line they followed."""
    left = sorted(retired, key=_place)
    found: list[Row] = []
    for row in rows:
        here = row.line.id if isinstance(row, ClipRow | SplitRow) else None
        gone = []
        while here and left and _place(left[0]) < _place(here):
            gone.append(f"C{left.pop(0):0>2}")
        found += [OmittedRow(tuple(gone)), row] if gone else [row]
    return [*found, OmittedRow(tuple(f"C{i:0>2}" for i in left))] if left else found


def _place(line_id: str) -> tuple[int, str]:
    """Return where a line stood: "12A" behind "12"."""
    digits = re.match(r"\d*", line_id)
    number = digits[0] if digits else ""
    return int(number or 0), line_id[len(number) :]


def what_is_wrong(clip: Clip) -> str:
    """Return why a clip cannot be asked for at all; empty where it can."""
    return next((f.message for f in clip.findings if f.code == FindingCode.NO_LENGTH_HOLDS_IT), "")


def _flag(line: PlanLine) -> str:
    for finding in line.findings:
        if finding.code == FindingCode.TOO_LONG:
            facts = finding.facts
            places = ", ".join(f"“{place}”" for place in facts["break_after"])
            up_to = "up to " if line.high > line.length else ""
            return (
                f"{up_to}{tenths(Seconds(str(facts['seconds'])))} s with handles, too long for one generation "
                f"({facts['limit_s']:g} s): "
                f"{len(facts['parts_s'])} clips, each going on from the one before; break after {places}"
            )
    return "made in several clips"


def _gap(plan: Plan, start: int, end: int) -> GapRow:
    middle = Seconds(start + end, 2) / plan.rate.fps
    song = next((song for song in plan.songs if song.start <= middle < song.end), None)
    if song is None:
        return GapRow(start, end, "nobody speaks", _runs_on(plan, start, end))
    known = plan.settings.songs.get(song.id)
    title = f"“{known.title}”" if known and known.title else f"song {song.id}"
    return GapRow(start, end, f"{title}, nobody sings", _runs_on(plan, start, end))


def _runs_on(plan: Plan, start: int, end: int) -> str | None:
    """Return the clip that ends at ``start`` if what was asked for lasts until ``end``, None if there is none."""
    until = plan.rate.moment_of(end)
    for clip in plan.clips:
        if clip.end_frame == start and clip.ask is not None:
            begins = clip.start if clip.kind is LineKind.PICTURE else clip.speech_start - clip.head
            if begins + clip.ask >= until:
                return clip.id
    return None


def _beside(clips: Sequence[Clip]) -> dict[str, list[str]]:
    """Return, by clip id, the clips whose frames overlap it."""
    found: dict[str, list[str]] = {}
    running: list[Clip] = []
    for clip in sorted(clips, key=lambda c: (c.start_frame, c.end_frame)):
        running = [c for c in running if c.end_frame > clip.start_frame]
        for other in running:
            found.setdefault(other.id, []).append(clip.id)
            found.setdefault(clip.id, []).append(other.id)
        running.append(clip)
    return found
